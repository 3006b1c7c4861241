package server

import (
	"maps"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
)

var (
	testNow    = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	testPlan   = models.MeasuringPlan{ID: "plan", Levels: []quantity.Length{0, 300, 600}, Passes: 2}
	testLayout = checkinLayout{
		Zone: "Europe/Berlin", People: []models.Person{
			{ID: "kit", IsFitter: true}, {ID: "alder", IsProsthetist: true}, {ID: "heath", IsOwner: true},
			{ID: "left", IsFitter: true, DisabledAt: &testNow},
		},
		Limbs: []limbLayout{{
			No: 1, Plan: &testPlan,
			Limb:       models.Limb{Level: quantity.Transtibial, AmputatedOn: "2020-03-01", OtherSideSound: true},
			Prosthesis: &models.Prosthesis{ID: "prosthesis"},
			Cover: &models.Cover{ID: "cover", Stations: []models.Station{{ID: "s1", Posture: quantity.Standing}},
				Attachments: []models.Attachment{{ID: "a1"}}},
		}},
	}
)

// readTyped reads fields over those that every check-in has.
func readTyped(t *testing.T, l checkinLayout, typed map[string]string) (models.Checkin, form.Problems) {
	t.Helper()
	zone, err := time.LoadLocation(l.Zone)
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]string{
		"kind": "follow-up", "date": "2026-11-25", "time": "10:00", "measured_by": "kit", "left_empty": "time",
	}
	maps.Copy(all, typed)
	r := form.New(all, form.Options{Unit: quantity.Centimetre, Now: testNow, Zone: zone})
	c := parseCheckin(r, l, "2026-11-25")
	return c, r.Problems()
}

// Only those who fit or treat measure; but whoever measured a check-in may have
// left, or have another role, by the time it is corrected.
func TestMeasuredBy(t *testing.T) {
	corrected := testLayout
	corrected.Corrects = &models.Checkin{ID: "first", MeasuredBy: "left"}
	for _, test := range []struct {
		name, by string
		layout   checkinLayout
		taken    bool
	}{
		{"a fitter", "kit", testLayout, true},
		{"a prosthetist", "alder", testLayout, true},
		{"an owner who does neither", "heath", testLayout, false},
		{"somebody who has left", "left", testLayout, false},
		{"whoever measured what is corrected", "left", corrected, true},
		{"an owner, of what is corrected", "heath", corrected, false},
	} {
		t.Run(test.name, func(t *testing.T) {
			c, problems := readTyped(t, test.layout, map[string]string{"measured_by": test.by, "reason": "a typing error"})
			if taken := c.MeasuredBy == test.by && !problems.Any(); taken != test.taken {
				t.Errorf("measured by %q with problems %v, want it taken: %v", c.MeasuredBy, problems, test.taken)
			}
		})
	}
}

func TestBadInputOfCheckin(t *testing.T) {
	tests := []struct {
		name, field, typed, want string
	}{
		{"zero girth", "limb1.residual.0.1", "0", form.LengthOutOfRange},
		{"negative girth", "limb1.residual.0.1", "-33", form.LengthOutOfRange},
		{"absurd girth", "limb1.residual.0.1", "99999", form.LengthOutOfRange},
		{"girth in millimetres typed as centimetres", "limb1.residual.0.1", "334", form.GirthUnit},
		{"not a number", "limb1.sound.300.2", "NaN", form.NotNumber},
		{"infinite", "limb1.sound.300.2", "Inf", form.NotNumber},
		{"text in a number", "limb1.residual.600.1", "thirty", form.NotNumber},
		{"a unit that is none of ours", "limb1.residual.600.1", "33 ft", form.NotUnit},
		{"no kind", "kind", "", form.Required},
		{"an unknown kind", "kind", "visit", form.NotOffered},
		{"no date", "date", "", form.Required},
		{"no time", "time", "", form.Required},
		{"a date in the future", "date", "2027-01-01", ""},
		{"a day that is none", "date", "2026-02-30", form.DateAbsent},
		{"before the amputation", "date", "2019-12-31", "checkin.before-amputation"},
		{"measured by nobody", "measured_by", "", form.Required},
		{"measured by a stranger", "measured_by", "someone", form.NotOffered},
		{"weight of a feather", "weight", "0.5", form.OutOfRange},
		{"comfort of eleven", "comfort_average", "11", form.OutOfRange},
		{"half a point", "pain_worst", "2.5", form.NotWhole},
		{"a day of 30 hours", "hours_per_day", "30", form.OutOfRange},
		{"dialysis hours alone", "dialysis_hours", "5", "checkin.dialysis-not-ticked"},
		{"next date gone by", "next_on", "2026-11-24", "checkin.next-past"},
		{"negative gap", "limb1.station.s1.gap", "-1", form.LengthOutOfRange},
		{"a touch that is none", "limb1.station.s1.touch", "rattle", form.NotOffered},
		{"an answer that is none", "limb1.check.no-crack", "perhaps", form.NotOffered},
		{"a note without an answer", "limb1.check.no-crack.note", "small", ""},
		{"a sock without ply", "limb1.sock.now.1.material", "single", ""},
		{"a sign without a place", "limb1.skin.1.sign", "blister", ""},
		{"a place without a sign", "limb1.skin.1.place", "tibial crest", ""},
		{"a clock of 25 hours", "limb1.doffed", "25:00", form.NotTime},
		{"a liner of half a metre", "limb1.liner_thickness", "500", form.LengthOutOfRange},
		{"a reason that is none", "limb1.residual_not_done", "lazy", form.NotOffered},
		{"text too long", "talk", string(make([]byte, 1<<20)), form.TextLong},
		{"an attachment state that is none", "limb1.attachment.a1", "wobbly", form.NotOffered},
	}
	elsewhere := map[string]struct{ field, code string }{
		"a note without an answer": {"limb1.check.no-crack", "checkin.note-without-answer"},
		"a sock without ply":       {"limb1.sock.now.1.ply", "checkin.ply-missing"},
		"a sign without a place":   {"limb1.skin.1.place", "checkin.place-missing"},
		"a place without a sign":   {"limb1.skin.1.sign", "checkin.sign-missing"},
		"a date in the future":     {"time", form.TimeFuture},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, problems := readTyped(t, testLayout, map[string]string{tt.field: tt.typed})
			field, want := tt.field, tt.want
			if other, ok := elsewhere[tt.name]; ok {
				field, want = other.field, other.code
			}
			got, _ := problems.For(field)
			if got.Code != want {
				t.Errorf("got %q, want %q; all: %v", got.Code, want, problems)
			}
		})
	}
}

// TestContradictions types two things that can't both hold.
func TestContradictions(t *testing.T) {
	tests := []struct {
		name  string
		typed map[string]string
		field string
		want  string
	}{
		{"worst above average", map[string]string{"comfort_average": "5", "comfort_worst": "7"}, "comfort_worst", "checkin.worst-above-average"},
		{"a gap and contact", map[string]string{"limb1.station.s1.gap": "2", "limb1.station.s1.touch": "contact"}, "limb1.station.s1.gap", "checkin.gap-and-contact"},
		{"a gap and not reachable", map[string]string{"limb1.station.s1.gap": "2", "limb1.station.s1.touch": "not-reachable"}, "limb1.station.s1.gap", "checkin.gap-not-reachable"},
		{"nothing seen and a blister", map[string]string{"limb1.skin_none": "yes", "limb1.skin.1.sign": "blister", "limb1.skin.1.place": "end"}, "limb1.skin_none", "checkin.none-and-some"},
		{"no sock and a sock", map[string]string{"limb1.socks_none": "yes", "limb1.sock.now.1.ply": "3"}, "limb1.socks_none", "checkin.none-and-socks"},
		{"done and not done", map[string]string{"limb1.sock.now.1.ply": "3", "limb1.socks_not_done": "time"}, "limb1.socks_not_done", "checkin.done-and-not"},
		{"read before it came off", map[string]string{"limb1.doffed": "10:10", "limb1.first_reading": "10:00"}, "limb1.first_reading", "checkin.first-before-off"},
		{"skin as why the skin was not looked at", map[string]string{"limb1.skin_not_done": "skin"}, "limb1.skin_not_done", form.NotOffered},
		{"not taped for skin of which nothing is recorded", map[string]string{"limb1.residual_not_done": "skin"}, "limb1.residual_not_done", "checkin.skin-first"},
		{"sound limb, the same", map[string]string{"limb1.skin_none": "yes", "limb1.sound_not_done": "skin"}, "limb1.sound_not_done", "checkin.skin-first"},
		{"all that is empty, for skin of which nothing is recorded", map[string]string{"limb1.skin_none": "yes", "left_empty": "skin"}, "left_empty", "checkin.skin-first"},
		{"the look at the skin itself left empty for skin", map[string]string{"limb1.again.1.sign": "blister", "limb1.again.1.place": "end", "left_empty": "skin"}, "left_empty", "checkin.skin-first"},
		{"left empty without a reason", map[string]string{"left_empty": ""}, "left_empty", "checkin.left-empty"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, problems := readTyped(t, testLayout, tt.typed)
			if got, _ := problems.For(tt.field); got.Code != tt.want {
				t.Errorf("got %q, want %q; all: %v", got.Code, tt.want, problems)
			}
		})
	}
}

func TestCheckinAsTyped(t *testing.T) {
	c, problems := readTyped(t, testLayout, map[string]string{
		"limb1.residual.0.1": "33,4", "limb1.residual.0.2": "335 mm", "limb1.residual.300.1": "13.2 in",
		"limb1.station.s1.touch": "polish-mark", "limb1.socks_none": "yes", "limb1.skin_none": "yes",
		"limb1.doffed": "09:50", "limb1.first_reading": "10:02", "limb1.posture": "seated", "looseness": "−2",
		"limb1.attachment.a1": "loose", "limb1.check.no-crack": "no", "limb1.check.no-crack.note": "distal edge",
	})
	if problems.Any() {
		t.Fatalf("problems: %v", problems)
	}
	l := c.Limbs[0]
	want := []models.Reading{
		{Part: quantity.Residual, Level: 0, Pass: 1, Girth: 3340}, {Part: quantity.Residual, Level: 0, Pass: 2, Girth: 3350},
		{Part: quantity.Residual, Level: 300, Pass: 1, Girth: 3353},
	}
	if len(l.Readings) != len(want) {
		t.Fatalf("readings %+v, want %+v", l.Readings, want)
	}
	for i := range want {
		if l.Readings[i] != want[i] {
			t.Errorf("reading %d: %+v, want %+v", i, l.Readings[i], want[i])
		}
	}
	if l.MinutesOff == nil || *l.MinutesOff != 12 {
		t.Errorf("minutes off %v, want 12", l.MinutesOff)
	}
	if l.SocksNotDone != models.Done || l.SkinNotDone != models.Done || len(l.Socks) != 0 {
		t.Errorf("no sock and nothing seen are answers: %q %q", l.SocksNotDone, l.SkinNotDone)
	}
	if l.SoundNotDone != models.NoTime || l.ResidualNotDone != models.Done || l.ClearanceNotDone != models.Done {
		t.Errorf("not done: sound %q, residual %q, clearance %q", l.SoundNotDone, l.ResidualNotDone, l.ClearanceNotDone)
	}
	if got := l.Clearances[0]; got.Touch != quantity.PolishMark || got.Method != quantity.WitnessMark || got.Posture != quantity.Standing {
		t.Errorf("clearance %+v", got)
	}
	if c.Looseness == nil || *c.Looseness != -2 {
		t.Errorf("looseness %v, want −2", c.Looseness)
	}
}

// TestSkinIsAReasonOnceItIsRecorded takes skin for the reason not to tape where
// a sign of any moment is recorded.
func TestSkinIsAReasonOnceItIsRecorded(t *testing.T) {
	for name, typed := range map[string]map[string]string{
		"on taking off":           {"limb1.skin.1.sign": "blister", "limb1.skin.1.place": "end", "limb1.residual_not_done": "skin"},
		"before putting on again": {"limb1.again.1.sign": "blister", "limb1.again.1.place": "end", "limb1.sound_not_done": "skin"},
		"for all that is empty":   {"limb1.skin.1.sign": "blister", "limb1.skin.1.place": "end", "left_empty": "skin"},
	} {
		t.Run(name, func(t *testing.T) {
			if _, problems := readTyped(t, testLayout, typed); problems.Any() {
				t.Errorf("problems: %v", problems)
			}
		})
	}
}

// TestOverMidnight takes a first reading that is earlier by the clock for one
// after midnight.
func TestOverMidnight(t *testing.T) {
	c, problems := readTyped(t, testLayout, map[string]string{
		"date": "2026-11-24", "limb1.doffed": "23:55", "limb1.first_reading": "00:07",
	})
	if got := c.Limbs[0].MinutesOff; got == nil || *got != 12 {
		t.Errorf("minutes off %v, want 12; %v", got, problems)
	}
}

// TestNoConeAsksNoGirths: a level of amputation without a length to tape has
// neither steps nor readings, and nobody is asked why.
func TestNoConeAsksNoGirths(t *testing.T) {
	l := testLayout
	limb := l.Limbs[0]
	limb.Limb.Level, limb.Plan = quantity.PartialFoot, nil
	l.Limbs = []limbLayout{limb}
	for _, st := range l.steps(nil) {
		if st.Kind == soundStep || st.Kind == residualStep {
			t.Errorf("there is a step %s", st.slug())
		}
	}
	c, _ := readTyped(t, l, nil)
	if got := c.Limbs[0]; got.ResidualNotDone != models.NotPossible || got.SoundNotDone != models.NotPossible {
		t.Errorf("not done: %q, %q; want does not apply", got.ResidualNotDone, got.SoundNotDone)
	}
}

// TestEveryFieldHasItsPage: a problem leads back to a page that exists.
func TestEveryFieldHasItsPage(t *testing.T) {
	two := testLayout
	second := two.Limbs[0]
	second.No = 2
	two.Limbs = append([]limbLayout{}, two.Limbs[0], second)
	steps := two.steps(nil)
	for field, want := range map[string]string{
		"kind": "talk", "fluid.diabetes": "talk", "next_on": "result", "reason": "result", "left_empty": "result",
		"limb1.shoe": "socks", "limb2.sock.now.1.ply": "2-socks", "limb1.check.no-crack": "on", "limb1.station.s1.gap": "on",
		"limb1.doffed": "off", "limb2.skin.1.place": "2-off", "limb1.sound.0.2": "sound-2", "limb1.sound_not_done": "sound-1",
		"limb2.residual.300.1": "2-residual-1", "limb1.residual.300.3": "residual-2", "limb1.length": "residual-1",
		"limb1.again.1.sign": "again",
	} {
		got := two.stepOf(field)
		if got.slug() != want || find(steps, got.slug()) < 0 {
			t.Errorf("%s: page %q, want %q", field, got.slug(), want)
		}
	}
}

// TestLeftOutPartHasNoSecondPass: why a limb was not taped is said once.
func TestLeftOutPartHasNoSecondPass(t *testing.T) {
	typed := map[string]string{"limb1.residual_not_done": "skin"}
	if steps := testLayout.steps(typed); find(steps, "residual-2") >= 0 || find(steps, "residual-1") < 0 {
		t.Error("a limb that is not taped still has a second pass, or no page at all")
	}
	typed["limb1.residual.0.1"] = "33.4"
	if find(testLayout.steps(typed), "residual-2") < 0 {
		t.Error("a limb that was taped in part has no second pass")
	}
}
