package server

import (
	"strings"
	"testing"

	"fairlead/analytics/girth"
	"fairlead/models"
)

// toAsk types a check-in up to the question whether to measure again.
func (b *browser) toAsk(client benchClient, girths ...string) string {
	b.t.Helper()
	draft := b.Start(client.Client)
	b.Fill(draft, "off", "limb1.doffed", "10:00", "limb1.first_reading", "10:12", "limb1.skin_none", "yes", "date", "2026-01-05", "time", "10:00")
	b.Fill(draft, "residual-1", girthPairs("residual", 1, girths...)...).To(b.t, "residual-2")
	b.Fill(draft, "residual-2", girthPairs("residual", 2, girths...)...).To(b.t, "measure-again")
	return draft
}

// press sends a page by one of its buttons.
func (b *browser) press(draft, step, button string, pairs ...string) answer {
	b.t.Helper()
	page := b.Get(draft + "/" + step)
	return b.Post(draft+"/"+step, append([]string{"version", page.Version(b.t), "go", button}, pairs...)...)
}

// TestMeasureAgainWithoutScripts measures a first visit twice, the second time blind,
// reads both rounds before and after saving, and corrects one of them.
func TestMeasureAgainWithoutScripts(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-090")
	b := site.As("kit", models.Fitter)
	draft := b.toAsk(client, "33.4", "33.7", "32.1")
	b.Get(draft+"/measure-again").Has(t, 200, "no earlier measurement can be compared with this one", "Wipe the marks off", "Measure again now", "client gone")
	b.Get(draft+"/result").Has(t, 200, "no earlier measurement can be compared", draft+"/measure-again")

	b.press(draft, "measure-again", "again-now").To(t, "second-1")
	page := b.Get(draft + "/second-1")
	page.Has(t, 200, "Residual limb, round 2, first pass", "limb1.second_reading", "limb1.second.300.1", "Wipe the marks off")
	if strings.Count(page.Body, "covered") != 3+1 { // and in the words about it
		t.Errorf("the first round is not covered on the page of the second\n%s", page.Body)
	}
	page.Lacks(t, `value="33.4"`)
	b.Fill(draft, "second-1", append(girthPairs("second", 1, "33.2", "33.5", "31.9"), "limb1.second_reading", "10:19")...).To(t, "second-2")
	b.Fill(draft, "second-2", girthPairs("second", 2, "33.2", "33.5", "32.6")...).To(t, "again")
	rounds := []string{"Measured twice:", "Round 2 differs by −", "Round 2 counts where two visits are compared", "round 2, first pass", "round 2, second pass"}
	b.Get(draft+"/result").Has(t, 200, append(rounds, "Residual limb, round 2")...)

	saved := b.Save(draft, "left_empty", "time")
	shown := b.Get(saved.Location)
	shown.Has(t, 200, append(rounds, "19\u202fmin", "apart")...)
	shown.Lacks(t, "fourth pass", "no earlier measurement", "Not measured a second time")
	record, err := site.store.CheckinsOf(t.Context(), client.Client.ID)
	if err != nil || len(record) != 1 {
		t.Fatal(len(record), err)
	}
	limb := record[0].Limbs[0]
	first, second := limb.Rounds("residual", &client.Plan)
	if len(first) != 6 || len(second) != 6 || second[0].Pass != 4 || limb.SecondMinutesOff == nil || *limb.SecondMinutesOff != 19 {
		t.Errorf("%d and %d readings, %+v", len(first), len(second), limb)
	}

	file := b.Get("/clients/" + client.ID + "/limbs/" + client.Limb.ID + "/girths.csv")
	file.Has(t, 200, "residual,60,1,319,Kit,19,2", "residual,60,2,326,Kit,19,2", "residual,60,2,321,Kit,12,1")
	if sheet, err := girth.DecodeCSV(strings.NewReader(file.Body), ""); err != nil || sheet.Visits[0].Profile[0].GirthMM != 332 {
		t.Errorf("read back %+v, %v", sheet, err)
	}

	fix := strings.TrimSuffix(b.Post(saved.Location+"/correct").Location, "/result")
	b.Get(fix+"/second-2").Has(t, 200, `value="32.6"`, "33.4, 33.4")
	b.Fill(fix, "second-2", "limb1.second.600.2", "31.9").To(t, "again")
	newer := b.Save(fix, "reason", "misread")
	b.Get(newer.Location).Has(t, 200, append(rounds, "misread")...)
}

// TestNoSecondRound: a reason is kept, none is needed, and one that is beside a
// complete second round says nothing.
func TestNoSecondRound(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-091")
	b := site.As("kit", models.Fitter)
	draft := b.toAsk(client, "33.4", "33.7", "32.1")
	b.Fill(draft, "measure-again", "limb1.second_not_done", "skin").Has(t, 422, "Record what was seen on the skin first")
	b.Fill(draft, "measure-again", "limb1.second_not_done", "pain").To(t, "again")
	page := b.Get(draft + "/result")
	page.Has(t, 200, "Not measured a second time: pain.", draft+"/measure-again")
	page.Lacks(t, "Measure again before the client leaves")

	b.press(draft, "measure-again", "again-now").To(t, "second-1")
	b.Fill(draft, "second-1", "limb1.second.0.1", "33.1").To(t, "second-2")
	b.Get(draft+"/result").Has(t, 200, "Not every level of the first round was read", "no earlier measurement can be compared")
	b.Save(draft, "left_empty", "time").Has(t, 303)

	other := site.BenchClient("K-092")
	draft = b.toAsk(other, "33.4", "33.7", "32.1")
	b.Fill(draft, "measure-again").To(t, "again")
	b.Save(draft, "left_empty", "time").Has(t, 303)
	draft = b.Start(other.Client)
	b.Fill(draft, "residual-1", girthPairs("residual", 1, "33.4", "33.7", "32.1")...).To(t, "residual-2")
	b.Fill(draft, "residual-2", girthPairs("residual", 2, "33.4", "33.7", "32.1")...).To(t, "again")
	b.Get(draft+"/measure-again").Has(t, 200, "No second measurement is asked for here")
	b.press(draft, "measure-again", "next").To(t, "again")
}

// TestSecondRoundGivenUpMeanwhile: while one types a second round, another gives it
// up; what was typed is kept.
func TestSecondRoundGivenUpMeanwhile(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-093")
	kit, lou := site.As("kit", models.Fitter), site.As("lou", models.Fitter)
	draft := kit.toAsk(client, "33.4", "33.7", "32.1")
	kit.press(draft, "measure-again", "again-now")
	page := kit.Get(draft + "/second-1")
	lou.Fill(draft, "measure-again", "limb1.second_not_done", "time").To(t, "again")
	kit.Post(draft+"/second-1", append(girthPairs("second", 1, "33.2", "33.5", "31.9"), "version", page.Version(t), "shown", page.hidden().Get("shown"), "go", "next")...).To(t, "second-2")
	kit.Get(draft+"/second-1").Has(t, 200, `value="33.5"`)
}

// TestSkinEndsASecondRound goes on from where the page was when skin ends it.
func TestSkinEndsASecondRound(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-094")
	b := site.As("kit", models.Fitter)
	draft := b.toAsk(client, "33.4", "33.7", "32.1")
	b.Fill(draft, "off", "limb1.skin_none", "", "limb1.skin.1.sign", "blister", "limb1.skin.1.place", "shin")
	b.press(draft, "measure-again", "again-now").To(t, "second-1")
	b.Get(draft+"/second-1").Has(t, 200, "no mark and no tape there")
	b.press(draft, "second-1", "skin").To(t, "again")
	b.Get(draft+"/result").Has(t, 200, "Not measured a second time: skin.")
}

// TestOldPlanHasNoSecondRound: a plan of more passes than a round has, from before there
// were rounds, keeps all its passes in the one.
func TestOldPlanHasNoSecondRound(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-095")
	plan := client.Plan
	plan.ID, plan.Passes, plan.Reason = "", 5, "as before"
	if err := site.store.AddPlan(t.Context(), &plan); err != nil {
		t.Fatal(err)
	}
	b := site.As("kit", models.Fitter)
	draft := b.Start(client.Client)
	for pass, next := range []string{"residual-2", "residual-3", "residual-4", "residual-5", "again"} {
		b.Fill(draft, strings.Replace("residual-N", "N", version(pass+1), 1), girthPairs("residual", pass+1, "33.4", "33.7", "32.1")...).To(t, next)
	}
	shown := b.Get(b.Save(draft, "left_empty", "time").Location)
	shown.Has(t, 200, "fifth pass")
	shown.Lacks(t, "round 2", "Measured twice")
}
