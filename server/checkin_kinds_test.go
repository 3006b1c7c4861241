package server

import (
	"strings"
	"testing"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// TestTwoLimbsOneCheckin follows both limbs of a client in one check-in: one has
// no length to tape, so it has no page for girths.
func TestTwoLimbsOneCheckin(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-031")
	second := models.Limb{ClientID: client.Client.ID, Side: quantity.Right, Level: quantity.PartialFoot, Origin: models.PresentAtBirth}
	if err := site.store.CreateLimb(t.Context(), &second); err != nil {
		t.Fatal(err)
	}
	b := site.As("kit", models.Fitter)
	draft := b.Start(client.Client)
	b.Fill(draft, "socks", "limb1.socks_none", "yes").To(t, "2-socks")
	b.Get(draft+"/2-socks").Has(t, 200, "right partial foot", `name="limb2.shoe"`)
	b.Fill(draft, "2-socks", "limb2.shoe", "sandals").To(t, "on")
	b.Fill(draft, "again").To(t, "2-off")
	b.Get(draft+"/2-residual-1").Has(t, 404)
	b.Get(draft+"/result").Has(t, 200, "Volume does not apply to this level of amputation.")
	saved := b.Save(draft, "left_empty", "declined")
	b.Get(saved.Location).Has(t, 200, "sandals", "right partial foot")
	all, err := site.store.CheckinsOf(t.Context(), client.Client.ID)
	if err != nil || len(all) != 1 || len(all[0].Limbs) != 2 {
		t.Fatalf("%d check-ins, %v", len(all), err)
	}
	if got := all[0].Limbs[1].ResidualNotDone; got != models.NotPossible {
		t.Errorf("girths of a partial foot not done because of %q, want does not apply", got)
	}
}

// TestOpenSkinLeavesTheTapeOff offers to leave the limb out, and does.
func TestOpenSkinLeavesTheTapeOff(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-032")
	b := site.As("kit", models.Fitter)
	draft := b.Start(client.Client)
	b.Fill(draft, "off", "limb1.skin.1.sign", "open-sore", "limb1.skin.1.place", "distal end").To(t, "sound-1")
	page := b.Get(draft + "/residual-1")
	page.Has(t, 200, "Open skin was recorded")
	b.Post(draft+"/residual-1", "version", page.Version(t), "go", "skin").To(t, "again")
	b.Get(draft+"/result").Has(t, 200, "distal end", "Now")
	saved := b.Save(draft, "left_empty", "time")
	b.Get(saved.Location).Has(t, 200, "open sore or wound")
	flags, err := site.store.FlagsOf(t.Context(), client.Client.ID)
	if err != nil || len(flags) == 0 || flags[0].Level != "now" {
		t.Errorf("flags %+v, %v; want one of level now", flags, err)
	}
	all, _ := site.store.CheckinsOf(t.Context(), client.Client.ID)
	if got := all[0].Limbs[0].ResidualNotDone; got != models.OpenSkin {
		t.Errorf("not done because of %q, want skin", got)
	}
}

// TestOneLevelOnly keeps the reading and says why there is no volume.
func TestOneLevelOnly(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-033")
	b := site.As("kit", models.Fitter)
	draft := b.Start(client.Client)
	b.Fill(draft, "residual-1", "limb1.residual.300.1", "33.4").To(t, "residual-2")
	b.Get(draft+"/result").Has(t, 200, "it needs girths at two levels or more")
	saved := b.Save(draft, "left_empty", "time")
	b.Get(saved.Location).Has(t, 200, "33.4", "it needs girths at two levels or more")
}

// TestUnresolvedChangeAsksToMeasureAgain: two fitters, a change of more than
// 5 % inside the error.
func TestUnresolvedChangeAsksToMeasureAgain(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-034")
	site.As("kit", models.Fitter).Visit(client, "delivery", "33.4", "33.7", "32.1")
	lou := site.As("lou", models.Fitter)
	draft := lou.Start(client.Client)
	lou.Fill(draft, "residual-1", girthPairs("residual", 1, "32.4", "32.7", "31.2")...)
	lou.Get(draft+"/result").Has(t, 200, "Measure again before the client leaves", "be told from measuring error")
}

// TestProsthetistSeesButDoesNotCorrect: a recorded check-in is for the care
// team to read.
func TestProsthetistSeesButDoesNotCorrect(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-035")
	where := site.As("kit", models.Fitter).Visit(client, "delivery", "33.4", "33.7", "32.1")
	stranger := site.As("pia", models.Prosthetist)
	stranger.Get(where).Has(t, 404)
	pia, err := site.store.PersonBySignIn(t.Context(), "pia")
	if err != nil {
		t.Fatal(err)
	}
	client.Client.CareTeam = []models.Person{pia}
	if err := site.store.UpdateClient(t.Context(), &client.Client); err != nil {
		t.Fatal(err)
	}
	page := stranger.Get(where)
	page.Has(t, 200, "33.4")
	if strings.Contains(page.Body, "/correct") {
		t.Error("a prosthetist is offered to correct the fitter's measurement")
	}
	stranger.Post(where+"/correct").Has(t, 403)
}

func TestJoinText(t *testing.T) {
	cases := []struct{ name, a, b, want string }{
		{"both", "no", "hairline", "no, hairline"},
		{"no note", "yes", "", "yes"},
		{"only a note", "", "hairline", "hairline"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got := joinText(c.a, c.b); got != c.want {
				t.Errorf("joinText(%q, %q) = %q, want %q", c.a, c.b, got, c.want)
			}
		})
	}
}

// A part that nobody has said anything about is neither done nor empty: the
// result says so, and socks that were not asked about are not "none".
func TestUnansweredPartsAreNotTakenForDone(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-090")
	b := site.As("kit", models.Fitter)
	draft := b.Start(client.Client)
	b.Fill(draft, "residual-1", girthPairs("residual", 1, "33.4", "33.7", "32.1")...)
	page := b.Get(draft + "/result")
	page.Has(t, 200, "not said yet")
	for _, never := range []string{"Nothing seen", "<dd class=\"typed\">none</dd>"} {
		if strings.Contains(page.Body, never) {
			t.Errorf("the result says %q of a part that nobody has looked at", never)
		}
	}
	if a := b.Save(draft); a.Status != 422 {
		t.Errorf("saved without a reason for empty parts: status %d, want 422", a.Status)
	}
}
