package followup_test

import (
	"slices"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/models/modelstest"
	"fairlead/server/followup"
)

// bench is a client with one limb, its plan and a cover without a day of
// delivery, in a store of its own.
type bench struct {
	t      *testing.T
	store  *models.Store
	fitter models.Person
	limb   models.Limb
	plan   models.MeasuringPlan
	cover  models.Cover
}

func newBench(t *testing.T) *bench {
	t.Helper()
	return benchIn(t, modelstest.SQLite(t))
}

// benchIn is newBench in a store.
func benchIn(t *testing.T, store *models.Store) *bench {
	t.Helper()
	b := &bench{t: t, store: store, fitter: models.Person{Name: "Kit", SignIn: "kit", IsFitter: true, LengthUnit: quantity.Centimetre}}
	b.must(b.store.CreatePerson(t.Context(), &b.fitter))
	client := models.Client{Code: "K-001", Name: "Rowan, M."}
	b.must(b.store.CreateClient(t.Context(), &client))
	b.limb = models.Limb{ClientID: client.ID, Side: quantity.Left, Level: quantity.Transtibial, Origin: models.Amputation}
	b.must(b.store.CreateLimb(t.Context(), &b.limb))
	b.plan = models.MeasuringPlan{LimbID: b.limb.ID, Landmark: "mid-patellar tendon", Levels: []quantity.Length{0, 300, 600, 900}, Passes: 2, CapKind: quantity.NoCap}
	b.must(b.store.AddPlan(t.Context(), &b.plan))
	b.cover = models.Cover{LimbID: b.limb.ID, State: models.InUse}
	b.must(b.store.CreateCover(t.Context(), &b.cover))
	return b
}

func (b *bench) must(err error) {
	b.t.Helper()
	if err != nil {
		b.t.Fatal(err)
	}
}

// checkin is a visit of the bench on a day from the first one on.
func (b *bench) checkin(v taping) models.Checkin {
	made := v.visit(0)
	c, seen := made.Checkin, made.Seen
	c.ID, c.ClientID, c.MeasuredBy, c.EnteredBy = "", b.limb.ClientID, b.fitter.ID, b.fitter.ID
	if c.Kind == "" {
		c.Kind = models.FollowUp
	}
	seen.LimbID, seen.PlanID, seen.CoverID = b.limb.ID, &b.plan.ID, &b.cover.ID
	c.Limbs = []models.CheckinLimb{seen}
	return c
}

// record saves a check-in as a person would, from a draft.
func (b *bench) record(c models.Checkin) models.Checkin {
	b.t.Helper()
	draft := models.Draft{ClientID: c.ClientID, PersonID: b.fitter.ID, CorrectsID: c.ReplacesID}
	b.must(b.store.CreateDraft(b.t.Context(), &draft))
	c.DraftID = draft.ID
	recorded, err := followup.RecordCheckin(b.t.Context(), b.store, modelstest.Start, c)
	b.must(err)
	return recorded.Checkin
}

// correct saves a correction.
func (b *bench) correct(old models.Checkin, v taping) models.Checkin {
	b.t.Helper()
	c := b.checkin(v)
	c.ReplacesID, c.Reason = &old.ID, "figures swapped"
	return b.record(c)
}

// flags are those of a rule, the open one first.
func (b *bench) flags(rule assess.Rule) []models.Flag {
	b.t.Helper()
	all, err := b.store.FlagsOf(b.t.Context(), b.limb.ClientID)
	b.must(err)
	return slices.DeleteFunc(all, func(f models.Flag) bool { return f.Rule != string(rule) })
}

// evidence counts what all flags of a rule rest on.
func (b *bench) evidence(rule assess.Rule) int {
	n := 0
	for _, f := range b.flags(rule) {
		n += len(f.Evidence)
	}
	return n
}

func (b *bench) close(f models.Flag) {
	b.t.Helper()
	closing := models.Closing{By: b.fitter.ID, Reason: "looked at"}
	if assess.About(f.About).ClosedBy() == assess.Prosthetist {
		closing.ReviewID = &b.review(f.LimbID).ID
	}
	b.must(b.store.CloseFlag(b.t.Context(), f.ID, f.Version, closing))
}

// review signs a review of a limb that says nothing.
func (b *bench) review(limbID string) *models.Review {
	b.t.Helper()
	before, err := b.store.ReviewsOf(b.t.Context(), limbID)
	b.must(err)
	r := models.Review{
		ClientID: b.limb.ClientID, LimbID: limbID, Number: len(before) + 1, SignedAt: time.Now(), SignedBy: b.fitter.ID,
		SignerName: b.fitter.Name, Decisions: []models.Decision{{Kind: models.NoChangeDecided}}, ContentHash: "none",
	}
	b.must(b.store.CreateReview(b.t.Context(), &r))
	return &r
}

func (b *bench) load() followup.ClientRecord {
	b.t.Helper()
	record, err := followup.Load(b.t.Context(), b.store, b.limb.ClientID)
	b.must(err)
	return record
}

// basis is that of the first flag of a rule.
func (b *bench) basis(rule assess.Rule) followup.Basis {
	b.t.Helper()
	record, first := b.load(), b.flags(rule)[0]
	found, err := record.Limbs[0].Assess()
	b.must(err)
	return record.Bases(record.Limbs[0], []models.Flag{first}, found)[first.ID]
}

// result is what the one limb's result of a check-in says once it is saved.
func (b *bench) result(c models.Checkin) followup.Result {
	b.t.Helper()
	record := b.load()
	var corrected *models.Checkin
	if c.ReplacesID != nil {
		old, err := b.store.CheckinByID(b.t.Context(), *c.ReplacesID)
		b.must(err)
		corrected = &old
	}
	results, err := record.ResultsOf(c.ID, record.Before(c.ID, corrected))
	b.must(err)
	return results[0]
}

func rulesOf(findings []assess.Finding) []assess.Rule {
	var rules []assess.Rule
	for _, f := range findings {
		rules = append(rules, f.Rule)
	}
	return rules
}

var (
	deliveredAt340 = taping{kind: models.Delivery, girths: girthsOf(340)}
	deliveredAt320 = taping{kind: models.Delivery, girths: girthsOf(320)}
	newestAt320    = taping{day: 60, girths: girthsOf(320)}
)

// changedBeyondDoubt is what a visit finds that measures a change of 11 % for the
// first time: the change, and that it looks like a slip or a step.
var changedBeyondDoubt = []assess.Rule{assess.VolumeChange, assess.MeasureAgainRule}

// TestPaperOfTheDeliveryEnteredLate: with the visit that it is compared with in
// the record the newest visit finds a change, and a flag says so.
func TestPaperOfTheDeliveryEnteredLate(t *testing.T) {
	b := newBench(t)
	newest := b.record(b.checkin(newestAt320))
	if n := b.evidence(assess.VolumeChange); n != 0 {
		t.Fatalf("a first visit has %d findings of a change", n)
	}
	late := b.record(b.checkin(deliveredAt340))
	flags := b.flags(assess.VolumeChange)
	if len(flags) != 1 || len(flags[0].Evidence) != 1 || *flags[0].Evidence[0].CheckinID != newest.ID {
		t.Fatalf("flags %+v, want one that rests on the newest visit", flags)
	}
	result := b.result(late)
	if result.Newest || result.Late == nil || result.Late.NewestOn != "2026-05-11" || len(result.Findings) != 0 {
		t.Fatalf("result %+v, want one that leaves it to the newest visit", result)
	}
	if got := rulesOf(result.Late.Finds); !slices.Equal(got, changedBeyondDoubt) || len(result.Late.Gone) != 0 {
		t.Errorf("the newest finds %v, want the change of volume", got)
	}
	if other := b.result(newest); !other.Newest || other.Late != nil || !slices.Equal(rulesOf(other.Findings), changedBeyondDoubt) {
		t.Errorf("result of the newest %+v", other)
	}

	b.record(b.checkin(taping{day: 30})) // says nothing of the volume
	if n := b.evidence(assess.VolumeChange); n != 1 {
		t.Errorf("%d pieces of evidence after a late visit that changes nothing, want 1", n)
	}
}

// TestReferenceCorrected keeps the flag open for its owner and says that nothing
// finds it any more.
func TestReferenceCorrected(t *testing.T) {
	b := newBench(t)
	delivery := b.record(b.checkin(deliveredAt340))
	b.record(b.checkin(newestAt320))
	if basis := b.basis(assess.VolumeChange); basis.NotFound || len(basis.Corrected) != 0 {
		t.Errorf("nothing was corrected, and the basis is %+v", basis)
	}
	corrected := b.correct(delivery, deliveredAt320)
	flags := b.flags(assess.VolumeChange)
	if len(flags) != 1 || flags[0].ClosedAt != nil || len(flags[0].Evidence) != 1 {
		t.Fatalf("flags %+v, want the one as it was", flags)
	}
	basis := b.basis(assess.VolumeChange)
	if !basis.NotFound || len(basis.Corrected) != 1 || basis.Corrected[0].ID != corrected.ID {
		t.Errorf("basis %+v, want it not found and the delivery corrected", basis)
	}
	result := b.result(corrected)
	if result.Late == nil || len(result.Late.Finds) != 0 || !slices.Equal(rulesOf(result.Late.Gone), changedBeyondDoubt) {
		t.Errorf("result %+v, want the change gone", result.Late)
	}

	again := b.correct(corrected, deliveredAt340)
	if basis := b.basis(assess.VolumeChange); basis.NotFound || len(basis.Corrected) != 0 {
		t.Errorf("corrected back: basis %+v, want new evidence", basis)
	}
	if got := b.flags(assess.VolumeChange)[0].Evidence; len(got) != 2 {
		t.Errorf("%d pieces of evidence, want 2", len(got))
	}
	if c, corrected, ok := b.load().Current(delivery.ID); !ok || !corrected || c.ID != again.ID {
		t.Errorf("current version of the delivery is %s, want %s", c.ID, again.ID)
	}
}

// TestNewestCorrected does the same where the newest visit was mistyped.
func TestNewestCorrected(t *testing.T) {
	b := newBench(t)
	b.record(b.checkin(deliveredAt340))
	mistyped := b.record(b.checkin(newestAt320))
	corrected := b.correct(mistyped, taping{day: 60, girths: girthsOf(340)})
	basis := b.basis(assess.VolumeChange)
	if !basis.NotFound || len(basis.Corrected) != 1 || basis.Corrected[0].ID != corrected.ID {
		t.Errorf("basis %+v, want it not found and the visit corrected", basis)
	}
	if result := b.result(corrected); result.Late != nil || !result.Newest {
		t.Errorf("result %+v, want that of a newest visit", result)
	}
	b.close(b.flags(assess.VolumeChange)[0])
	if basis := b.basis(assess.VolumeChange); basis.NotFound || len(basis.Corrected) != 0 {
		t.Errorf("closed: basis %+v, want none", basis)
	}
}

// TestClosedStaysClosed: the same figures don't open again what a person closed;
// other figures do.
func TestClosedStaysClosed(t *testing.T) {
	b := newBench(t)
	delivery := b.record(b.checkin(deliveredAt340))
	newest := b.record(b.checkin(newestAt320))
	b.close(b.flags(assess.VolumeChange)[0])

	noted := b.correct(delivery, deliveredAt340)
	b.record(b.checkin(taping{day: 30}))
	if flags := b.flags(assess.VolumeChange); len(flags) != 1 || flags[0].ClosedAt == nil {
		t.Fatalf("flags %+v, want the closed one alone", flags)
	}
	b.correct(noted, taping{kind: models.Delivery, girths: girthsOf(350)})
	flags := b.flags(assess.VolumeChange)
	if len(flags) != 2 || flags[0].ClosedAt != nil || *flags[0].Evidence[0].CheckinID != newest.ID {
		t.Errorf("flags %+v, want another one of the newest visit", flags)
	}
}

// TestLateSkinIsRaised raises what a late check-in says about skin, from itself.
func TestLateSkinIsRaised(t *testing.T) {
	b := newBench(t)
	b.record(b.checkin(newestAt320))
	late := b.checkin(taping{day: 30})
	late.Limbs[0].Skin = []models.SkinFinding{{Moment: models.OnDoffing, Place: "shin", Sign: "blister"}}
	late = b.record(late)
	flags := b.flags(assess.SkinSign)
	if len(flags) != 1 || flags[0].Level != string(assess.Now) || *flags[0].Evidence[0].CheckinID != late.ID {
		t.Errorf("flags %+v, want one of the late check-in", flags)
	}
	if got := b.result(late); !slices.Equal(rulesOf(got.Findings), []assess.Rule{assess.SkinSign}) || got.Late == nil {
		t.Errorf("result %+v, want the sign, and the rest left to the newest", got)
	}
}

// TestEnteredInTimeIsNotLate: a newer check-in that is corrected afterwards does
// not make an older one late.
func TestEnteredInTimeIsNotLate(t *testing.T) {
	b := newBench(t)
	b.record(b.checkin(deliveredAt340))
	middle := b.record(b.checkin(taping{day: 30, girths: girthsOf(320)}))
	newest := b.record(b.checkin(taping{day: 60, girths: girthsOf(340)}))
	b.correct(b.correct(newest, taping{day: 60, girths: girthsOf(339)}), taping{day: 60, girths: girthsOf(338)})
	got := b.result(middle)
	if got.Newest || got.Late != nil || !slices.Equal(rulesOf(got.Findings), changedBeyondDoubt) {
		t.Errorf("result %+v, want what was found then", got)
	}
}

// TestLateStaysLate: it is no less late for a correction of the newer one.
func TestLateStaysLate(t *testing.T) {
	b := newBench(t)
	newest := b.record(b.checkin(newestAt320))
	late := b.record(b.checkin(deliveredAt340))
	b.correct(b.correct(newest, newestAt320), newestAt320)
	if got := b.result(late); got.Late == nil {
		t.Errorf("result %+v, want a late one", got)
	}
}

// TestResultBeforeSaving is that of a check-in that is still a draft.
func TestResultBeforeSaving(t *testing.T) {
	b := newBench(t)
	delivery := b.record(b.checkin(deliveredAt340))
	b.record(b.checkin(newestAt320))
	record := b.load()
	draft := b.checkin(deliveredAt320)
	draft.ID, draft.ReplacesID = "draft", &delivery.ID
	results, err := record.With(draft).ResultsOf(draft.ID, record)
	if err != nil {
		t.Fatal(err)
	}
	if late := results[0].Late; late == nil || !slices.Equal(rulesOf(late.Gone), changedBeyondDoubt) {
		t.Errorf("result %+v, want the change gone", results[0])
	}
	draft = b.checkin(taping{day: 90, girths: girthsOf(320)})
	draft.ID = "draft"
	if results, err = record.With(draft).ResultsOf(draft.ID, record); err != nil || results[0].Late != nil || !results[0].Newest {
		t.Errorf("result %+v, %v, want that of a newest visit", results, err)
	}
}

// TestDeliveryFillsInItsDay keeps the day with a cover that has none.
func TestDeliveryFillsInItsDay(t *testing.T) {
	b := newBench(t)
	b.record(b.checkin(taping{day: -30}))
	if cover, err := b.store.CoverByID(t.Context(), b.cover.ID); err != nil || cover.DeliveredOn != "" {
		t.Errorf("after a follow-up: delivered on %q, %v", cover.DeliveredOn, err)
	}
	late := b.checkin(taping{kind: models.Delivery})
	late.MeasuredAt, late.Zone = time.Date(2026, 3, 12, 23, 30, 0, 0, time.UTC), "Europe/Berlin"
	b.record(late)
	if cover, err := b.store.CoverByID(t.Context(), b.cover.ID); err != nil || cover.DeliveredOn != "2026-03-13" {
		t.Errorf("delivered on %q, %v, want the day at the place", cover.DeliveredOn, err)
	}
}
