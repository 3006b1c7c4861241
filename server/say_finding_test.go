package server

import (
	"encoding/json"
	"strings"
	"testing"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/web"
)

// testSayer says English in centimetres and fails the test for a text or a
// blank that is missing.
func testSayer(t testing.TB) sayer {
	t.Helper()
	catalogue, err := web.OpenCatalogue()
	if err != nil {
		t.Fatal(err)
	}
	return sayer{unit: quantity.Centimetre, text: func(id string, args ...any) string {
		named := map[string]any{}
		for i := 0; i+1 < len(args); i += 2 {
			named[args[i].(string)] = args[i+1]
		}
		said, err := catalogue.Say("en", id, named)
		if err != nil {
			t.Errorf("text %s with %v: %v", id, named, err)
		}
		return said
	}}
}

func pointer(v float64) *float64 { return &v }

// example is a finding of the rule with everything that it can hold.
func example(rule assess.Rule) assess.Finding {
	f := assess.Finding{
		Rule: rule, About: assess.AboutCover, Level: assess.Soon, ClosedBy: assess.Fitter,
		Limit:     &assess.LimitUsed{Value: 3, Unit: assess.MM, By: "R. Alder", On: "2026-03-12"},
		LookFirst: assess.LookFirstCodes,
		Words: map[string]string{
			"direction": "posterior", "posture": "seated", "neighbour": "socket-wall", "shoe": "flat shoe", "first-on": "2026-03-12",
			"events": "realignment,shoe-changed", "conditions": "fitter,time-of-day,minutes-since-doffing", "since": "2026-03-12",
			"check": "swing-free", "place": "back of the calf", "sign": "blister", "signs": "blister,rub-mark", "seen-before": "yes",
			"reduced-feeling": "yes", "still-growing": "yes", "early-limb": "yes", "name": "upper clip", "state": "loose",
			"part": "residual", "why": "landmark", "lasting": "yes",
		},
		Values: []assess.Value{
			{Name: "levels", Value: 1, Unit: assess.Count},
			{Name: "level", Value: 90, Unit: assess.MM}, {Name: "spread", Value: 9, Unit: assess.MM},
			{Name: "gap", Value: 2.4, U: pointer(0.36)}, {Name: "readings", Value: 2}, {Name: "drop", Value: 1.7, U: pointer(0.6)},
			{Name: "first-gap", Value: 4.1, U: pointer(0.5)},
			{Name: "change", Value: -7.1, U: pointer(1), Lo: pointer(-9.1), Hi: pointer(-5.1)},
			{Name: "then-volume", Value: 1520}, {Name: "now-volume", Value: 1412}, {Name: "from", Value: 0}, {Name: "to", Value: 150},
			{Name: "sound-change", Value: -1.2}, {Name: "beside-sound", Value: -5.9}, {Name: "days", Value: 9},
			{Name: "thick-socks", Value: 3}, {Name: "ply", Value: 12},
			{Name: "layers-then", Value: 1}, {Name: "layers-now", Value: 3},
			{Name: "thickness-then", Value: 0.6, U: pointer(0.2)}, {Name: "thickness-now", Value: 1.8, U: pointer(0.4)},
			{Name: "room", Value: 1.2, U: pointer(0.3), Lo: pointer(0.6), Hi: pointer(1.8)},
			{Name: "comfort-then", Value: 8}, {Name: "comfort-now", Value: 6}, {Name: "worst-pain-then", Value: 1}, {Name: "worst-pain-now", Value: 4},
		},
	}
	return f
}

// TestEveryRuleHasWords walks the rules, so that a new one without words fails.
func TestEveryRuleHasWords(t *testing.T) {
	y := testSayer(t)
	for _, rule := range assess.Rules {
		if sayings[rule] == nil {
			t.Errorf("rule %s has no words", rule)
			continue
		}
		said := y.finding(example(rule))
		if said.Claim == "" || strings.Contains(said.Claim, string(rule)+".") || strings.HasSuffix(said.Claim, ".") || said.Why == "" {
			t.Errorf("%s: claim %q, why %q", rule, said.Claim, said.Why)
		}
		if strings.Contains(said.Claim+said.Rest+said.Why, "NaN") {
			t.Errorf("%s says NaN: %+v", rule, said)
		}
	}
	if said := y.finding(assess.Finding{Rule: "of-another-time", ClosedBy: assess.Fitter}); !strings.Contains(said.Claim, "of-another-time") {
		t.Errorf("a rule that is not known reads %q", said.Claim)
	}
}

func TestFindingsSaid(t *testing.T) {
	starting := &assess.LimitUsed{Value: 5, Unit: assess.Percent, Starting: true}
	tests := []struct {
		name   string
		rule   assess.Rule
		change func(*assess.Finding)
		want   saidFinding
	}{
		{"clearance below", assess.ClearanceBelow, func(f *assess.Finding) {
			f.LookFirst, f.Words["events"], f.Words["conditions"] = []string{assess.LookAttachment, assess.LookShell, assess.LookRecentEvents}, "", ""
			delete(f.Words, "still-growing")
			delete(f.Words, "early-limb")
			delete(f.Words, "reduced-feeling")
		}, saidFinding{
			"soon", "Clearance 2.4\u202fmm, posterior, 9\u202fcm level, seated",
			"Outside the limit of 3\u202fmm set by R. Alder on 12 March 2026.",
			"2 readings, mean 2.4\u202fmm ± 0.4. 4.1\u202fmm on 12 March 2026, same posture and shoe. Shoe: flat shoe. " +
				"Look first at the attachment, the shape of the shell and recent changes. For the fitter.",
		}},
		{"starting value", assess.VolumeChange, func(f *assess.Finding) {
			f.Limit, f.LookFirst, f.Level, f.ClosedBy = starting, nil, assess.Watch, assess.Prosthetist
			f.Words = map[string]string{"since": "2026-03-12"}
		}, saidFinding{
			"watch", "Limb volume −7.1\u202f% since 12 March 2026, beyond measurement",
			"Outside the limit of −5\u202f%, a starting value, not yet confirmed. 95 % interval −9.1 to −5.1 %.",
			"1520 mL on 12 March 2026, 1412 mL now, from 0 to 15\u202fcm. The sound limb changed by −1.2\u202f% over the same time; " +
				"the difference is −5.9\u202f%. Only the prosthetist can close this.",
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f := example(tt.rule)
			tt.change(&f)
			if got := testSayer(t).finding(f); got != tt.want {
				t.Errorf("got\n%q\nwant\n%q", got, tt.want)
			}
		})
	}
}

// TestLimbAndCoverNeverShareASentence: a gap between cover and socket does not
// close because a limb shrinks, and no wording may suggest it.
func TestLimbAndCoverNeverShareASentence(t *testing.T) {
	y := testSayer(t)
	for _, rule := range assess.Rules {
		said := y.finding(example(rule))
		for _, sentence := range strings.Split(said.Claim+". "+said.Rest+" "+said.Why, ". ") {
			sentence = strings.ToLower(sentence)
			if strings.Contains(sentence, "limb") && (strings.Contains(sentence, "cover ") || strings.Contains(sentence, "clearance")) {
				t.Errorf("%s says limb and cover in one sentence: %s", rule, sentence)
			}
		}
	}
}

// TestStoredFindingsAreSaid reads a finding back from its stored form.
func TestStoredFindingsAreSaid(t *testing.T) {
	y := testSayer(t)
	for _, rule := range assess.Rules {
		f := example(rule)
		stored, err := json.Marshal(f)
		if err != nil {
			t.Fatal(err)
		}
		var back assess.Finding
		if err := json.Unmarshal(stored, &back); err != nil {
			t.Fatal(err)
		}
		if got, want := y.finding(back), y.finding(f); got != want {
			t.Errorf("%s: stored and read back %q, want %q", rule, got, want)
		}
	}
}
