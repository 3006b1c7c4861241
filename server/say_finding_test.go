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
			"part": "residual", "why": "landmark", "lasting": "yes", "diabetes": "yes",
			"comfort-since": "2026-05-03", "worst-pain-since": "2026-03-12",
			"safety": "open-skin,not-sure", "cannot-phone": "yes", "side-unsaid": "yes",
			"areas": "calf.posterior,foot.lateral", "what": "rub,noise", "fit": "loose", "seen-on": "2026-05-03", "low": "yes",
			"on": "2026-11-25", "walk-on": "2026-05-03", "reported-on": "2026-05-04", "gap-state": "below-warn", "touch": "polish-mark",
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
			{Name: "probability", Value: 84.2, Unit: assess.Percent}, {Name: "beyond", Value: 3, Unit: assess.Percent},
			{Name: "days-measured", Value: 5, Unit: assess.Count}, {Name: "span", Value: 154, Unit: assess.Days},
			{Name: "horizon", Value: 154, Unit: assess.Days}, {Name: "earliest", Value: 12, Unit: assess.Days}, {Name: "likely", Value: 60, Unit: assess.Days},
			{Name: "slip", Value: 30, Unit: assess.Percent}, {Name: "step", Value: 21, Unit: assess.Percent},
			{Name: "newest", Value: -8.8, Unit: assess.Percent},
			{Name: "slope", Value: -1.4, Unit: assess.PercentPerMonth, U: pointer(0.3), Lo: pointer(-2), Hi: pointer(-0.8)},
			{Name: "bother", Value: 6}, {Name: "looseness", Value: -3},
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
			delete(f.Words, "diabetes")
		}, saidFinding{
			"soon", "Clearance 2.4\u202fmm, posterior, 9\u202fcm level, seated",
			"Outside the limit of 3\u202fmm set by R. Alder on 12 March 2026.",
			"2 readings, mean 2.4\u202fmm ± 0.7 (95 %). 4.1\u202fmm on 12 March 2026, same posture and shoe. Shoe: flat shoe. " +
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

// TestWordsOfOneFinding looks for what has to be said, and for what must not be.
func TestWordsOfOneFinding(t *testing.T) {
	ten := &assess.LimitUsed{Value: 10, Unit: assess.Count, Starting: true}
	days := func(n float64) assess.Value { return assess.Value{Name: "days", Value: n, Unit: assess.Days} }
	tests := []struct {
		name      string
		rule      assess.Rule
		limit     *assess.LimitUsed
		words     map[string]string
		days      *assess.Value
		want, not []string
	}{
		{"more than ten ply", assess.SocksPly, ten, nil, nil, []string{"Told when more than 10, a starting value, not yet confirmed."}, []string{"from 10"}},
		{"thick socks", assess.SocksThick, &assess.LimitUsed{Value: 3, Unit: assess.Count, Starting: true}, nil, nil, []string{"Flagged at 3 or more,"}, []string{"more than"}},
		{"each rating with its date", assess.ComfortDrop, nil, nil, nil, []string{
			"Comfort 6 of 10, was 8 on 3 May 2026", "pain at worst 4 of 10, was 1 on 12 March 2026",
		}, nil},
		{"ratings stored without dates of their own", assess.ComfortDrop, nil, map[string]string{"comfort-since": "", "worst-pain-since": ""}, nil, []string{
			"Comfort 6 of 10, was 8 on 12 March 2026", "was 1 on 12 March 2026",
		}, nil},
		{"volume since the same visit", assess.ComfortDrop, nil, map[string]string{"with": "volume"}, nil, []string{"Over the same time limb volume"}, nil},
		{"volume since another visit", assess.ComfortDrop, nil, map[string]string{"with": "volume", "with-since": "2026-02-01"}, nil, []string{
			"Limb volume changed by −7.1\u202f% since 1 February 2026, beyond measurement.",
		}, []string{"same time"}},
		{"room since another visit", assess.ComfortDrop, nil, map[string]string{"with": "room", "with-since": "2026-02-01"}, nil, []string{
			"Room in the socket changed by +1.2 mm since 1 February 2026, beyond measurement.",
		}, []string{"same time"}},
		{"rubbing", assess.VolumeChange, nil, map[string]string{"with": "rub"}, nil, []string{"A rub mark, a blister or redness that stays was seen at this visit."}, nil},
		{"comfort beside a volume", assess.VolumeChange, nil, map[string]string{"with": "comfort"}, nil, []string{"Comfort is down"}, []string{"down or pain up by two points or more over the same time"}},
		{"fast, the same day", assess.VolumeFast, nil, nil, new(days(0)), []string{"Limb volume −7.1\u202f% on the same day"}, []string{"within"}},
		{"fast, a day", assess.VolumeFast, nil, nil, new(days(1)), []string{"within a day"}, nil},
		{"unresolved, the same day", assess.VolumeUnresolved, nil, nil, new(days(0)), []string{"Limb volume −7.1\u202f% on the same day: can't be told from measuring error"}, []string{"within"}},
		{"diabetes", assess.SkinSign, nil, map[string]string{"reduced-feeling": ""}, nil, []string{"One step more urgent because of diabetes."}, []string{"feeling"}},
		{"fall", assess.RecentFall, nil, nil, nil, []string{"A fall or injury lately", "Ask whether anything was hurt"}, []string{"on the skin", "at worst"}},
		{"fall with skin and pain", assess.RecentFall, nil, map[string]string{"with": "skin,pain"}, nil, []string{
			"A sign on the skin was seen at this visit.", "Pain at worst 4 of 10, was 1 on 12 March 2026.",
		}, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f := example(tt.rule)
			f.Limit = tt.limit
			for word, text := range tt.words {
				f.Words[word] = text
			}
			for i := range f.Values {
				if tt.days != nil && f.Values[i].Name == "days" {
					f.Values[i] = *tt.days
				}
			}
			said := testSayer(t).finding(f)
			whole := said.Claim + " | " + said.Rest + " | " + said.Why
			for _, want := range tt.want {
				if !strings.Contains(whole, want) {
					t.Errorf("%q lacks %q", whole, want)
				}
			}
			for _, not := range tt.not {
				if strings.Contains(whole, not) {
					t.Errorf("%q says %q", whole, not)
				}
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
