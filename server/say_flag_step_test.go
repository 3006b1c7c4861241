package server

import (
	"slices"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
)

// lifeOfAFlag is a flag with one of every step, closed by a review.
func lifeOfAFlag() (models.Flag, models.FlagsAround) {
	at := func(day, hour int) time.Time { return time.Date(2026, 5, day, hour, 5, 0, 0, time.UTC) }
	called, handover, answer, review := at(2, 7), "handover", "answer", "review"
	before, after := quantity.FromMM(2.4), quantity.FromMM(4)
	seen, closed := at(2, 6), at(9, 8)
	f := models.Flag{
		ID: "flag", ClientID: "client", Rule: "gone-rule", About: string(assess.AboutLimb), Level: "now", OpenedAt: at(1, 6), SeenAt: &seen,
		ClosedAt: &closed, ClosedBy: "wren", CloseReason: "  looked at it ", ClosedReviewID: &review,
		Evidence: []models.FlagEvidence{
			{Level: "now", AddedAt: at(3, 6), Finding: []byte(`{"rule":"attachment","closed_by":"fitter","words":{"name":"upper clip","state":"loose"}}`)},
			{Level: "soon", AddedAt: at(1, 6), Finding: []byte(`{"rule":"attachment","closed_by":"fitter","words":{"name":"upper clip","state":"loose"}}`)},
		},
		Steps: []models.FlagStep{
			{ID: "1", Kind: models.StepSeen, MadeAt: at(2, 6), MadeBy: "kit"},
			{ID: "2", Kind: models.StepCalled, MadeAt: at(2, 8), MadeBy: "kit", CalledAt: &called, Outcome: models.NoAnswer, Note: "rings again at 4!"},
			{ID: "3", Kind: models.StepActed, MadeAt: at(4, 8), MadeBy: "kit", CoverAction: models.AttachmentTightened, GapBefore: &before, GapAfter: &after, Note: "upper clip"},
			{ID: "4", Kind: models.StepHandedOver, MadeAt: at(5, 8), MadeBy: "kit", AskAgainOn: "2026-05-06", HandoverID: &handover},
			{ID: "5", Kind: models.StepAskedAgain, MadeAt: at(6, 8), MadeBy: "kit", AskAgainOn: "2026-05-15", HandoverID: &handover},
			{ID: "6", Kind: models.StepAnswered, MadeAt: at(7, 8), MadeBy: "kit", HandoverID: &handover, AnswerID: &answer},
			{ID: "7", Kind: models.StepReviewed, MadeAt: at(8, 8), MadeBy: "wren", ReviewID: &review},
		},
	}
	return f, models.FlagsAround{
		Handovers: map[string]models.Handover{handover: {ID: handover, ToWhom: "R. Alder", Means: models.ByLetter, HandedOn: "2026-05-05"}},
		Answers:   map[string]models.Answer{answer: {ID: answer, HandoverID: handover, FromWhom: "R. Alder", AnsweredOn: "2026-05-06"}},
		Reviews:   map[string]models.Review{review: {ID: review, ClientID: "client", SignerName: "W. Wren", SignedAt: at(8, 8)}},
	}
}

func testTeller(t *testing.T, around models.FlagsAround) flagTeller {
	t.Helper()
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	return flagTeller{sayer: testSayer(t), people: map[string]string{"kit": "Kit", "wren": "Wren"}, around: around, zone: zone}
}

func TestHistoryOfAFlagInSentences(t *testing.T) {
	f, around := lifeOfAFlag()
	teller := testTeller(t, around)
	want := []string{
		"Opened on 1 May 2026 at 8:05, level soon: Attachment loose: upper clip.",
		"Seen by Kit on 2 May 2026 at 8:05.",
		"Called by Kit on 2 May 2026 at 9:05: no answer. rings again at 4!",
		"New evidence on 3 May 2026 at 8:05, level now: Attachment loose: upper clip.",
		"Attachment tightened by Kit on 4 May 2026; gap 2.4\u202fmm before, 4.0\u202fmm after. upper clip.",
		"Handed over to R. Alder by letter on 5 May 2026, recorded by Kit. Ask again on 6 May 2026.",
		"Kit asked R. Alder again on 6 May 2026. Ask again on 15 May 2026.",
		"Answer of R. Alder of 6 May 2026 received on 7 May 2026, recorded by Kit.",
		"Signed in the review of 8 May 2026 by W. Wren.",
		"Closed on 9 May 2026 by the signed review of W. Wren, because: looked at it.",
	}
	told := teller.told(f, teller.claimOf(f))
	var got []string
	for _, step := range told {
		got = append(got, step.Sentence)
		if step.Short == "" || len(step.Short) > len(step.Sentence)+40 {
			t.Errorf("%q is short for %q", step.Short, step.Sentence)
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	for i, link := range map[int]string{5: "/clients/client/handovers/handover", 7: "/clients/client/handovers/handover",
		8: "/clients/client/reviews/review", 9: "/clients/client/reviews/review"} {
		if told[i].Link != link || told[i].LinkLabel == "" {
			t.Errorf("%q leads to %q, want %q", told[i].Sentence, told[i].Link, link)
		}
	}

	answer := "answer"
	if got, want := teller.closed(f), "Closed on 9 May 2026 by the signed review of W. Wren"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	f.ClosedReviewID, f.ClosedAnswerID, f.ClosedBy = nil, &answer, "kit"
	if got, want := teller.closed(f), "Closed on 9 May 2026 by the written answer of R. Alder of 6 May 2026, recorded by Kit"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	last := teller.closing(f)
	if want := "Closed on 9 May 2026 by the written answer of R. Alder of 6 May 2026, recorded by Kit, because: looked at it."; last.Sentence != want || last.Link != "/clients/client/handovers/handover" {
		t.Errorf("got %q to %q", last.Sentence, last.Link)
	}
	f.ClosedAnswerID = nil
	if got, want := teller.closed(f), "Closed on 9 May 2026 by Kit"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if got, want := teller.closing(f).Sentence, "Closed on 9 May 2026 by Kit, because: looked at it."; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// TestEveryStepHasItsSentence walks the vocabularies, so that a new word without a
// sentence fails.
func TestEveryStepHasItsSentence(t *testing.T) {
	f, around := lifeOfAFlag()
	teller := testTeller(t, around)
	for _, kind := range models.FlagStepKinds {
		if !slices.ContainsFunc(f.Steps, func(s models.FlagStep) bool { return s.Kind == kind && teller.step(f, s).Sentence != "" }) {
			t.Errorf("a step %s is not told", kind)
		}
	}
	for _, outcome := range models.CallOutcomes {
		teller.step(f, models.FlagStep{Kind: models.StepCalled, CalledAt: f.SeenAt, Outcome: outcome})
	}
	for _, action := range models.CoverActions {
		teller.step(f, models.FlagStep{Kind: models.StepActed, CoverAction: action})
	}
	for _, means := range models.AllMeans {
		teller.text("flag.means." + string(means))
	}
}

func TestWhoseAnswerIsAwaited(t *testing.T) {
	f, around := lifeOfAFlag()
	handover := "handover"
	f.ClosedAt, f.ClosedReviewID, f.HandoverID, f.AskAgainOn = nil, nil, &handover, "2026-05-20"
	f.Steps = f.Steps[:5]
	teller := testTeller(t, around)
	for day, want := range map[quantity.Date][2]string{
		"2026-05-19": {"Handed over to R. Alder by letter, awaiting an answer; ask again on 20 May 2026", "ask again on 20 May 2026"},
		"2026-05-20": {"Handed over to R. Alder by letter, awaiting an answer; ask again today", "ask again today"},
		"2026-05-21": {"Handed over to R. Alder by letter, awaiting an answer; overdue: ask again since 20 May 2026", "overdue: ask again since 20 May 2026"},
	} {
		life := teller.life(f, day)
		if len(life) != 2 || life[0] != "Seen by Kit on 2 May 2026 at 8:05" || life[1] != want[0] {
			t.Errorf("%s: %q", day, life)
		}
		if got := teller.awaiting("today.awaiting.", f, around.Handovers, day); got != "Handed over to R. Alder by letter, "+want[1] {
			t.Errorf("%s: Today says %q", day, got)
		}
	}
	f.SeenAt, f.HandoverID, f.AskAgainOn = nil, nil, ""
	if life := teller.life(f, "2026-05-19"); !slices.Equal(life, []string{"Nobody has said yet that they have seen this."}) {
		t.Errorf("unseen: %q", life)
	}
}

// TestEachStepKeepsItsDayToAsk, whatever became of the flag; of what was recorded
// before it was kept the last says the day in force.
func TestEachStepKeepsItsDayToAsk(t *testing.T) {
	days := func(f models.Flag) []quantity.Date {
		var all []quantity.Date
		for _, step := range f.Steps {
			if step.HandoverID != nil {
				all = append(all, askAgainOn(f, step))
			}
		}
		return all
	}
	handover, other := "handover", "other"
	f, _ := lifeOfAFlag()
	if got := days(f); !slices.Equal(got, []quantity.Date{"2026-05-06", "2026-05-15", ""}) {
		t.Errorf("closed: %q", got)
	}
	f.HandoverID, f.AskAgainOn = &handover, "2026-12-15"
	if got := days(f); !slices.Equal(got, []quantity.Date{"2026-05-06", "2026-05-15", "2026-12-15"}) {
		t.Errorf("open: %q", got)
	}
	for i := range f.Steps {
		f.Steps[i].AskAgainOn = ""
	}
	if got := days(f); !slices.Equal(got, []quantity.Date{"", "", "2026-12-15"}) {
		t.Errorf("of before: %q", got)
	}
	f.HandoverID = &other
	if got := days(f); !slices.Equal(got, []quantity.Date{"", "", ""}) {
		t.Errorf("with somebody else: %q", got)
	}
}
