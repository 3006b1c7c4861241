package assess

import (
	"math"
	"strings"
	"testing"

	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
)

// Levels by section 6.2 of the domain notes: same day and soon are from patient
// leaflets; the step up with reduced feeling as well.
func TestSkinSigns(t *testing.T) {
	tests := []struct {
		sign          string
		want, reduced Level
	}{
		{"open-sore", Now, Now},
		{"blister", Now, Now},
		{"discharge", Now, Now},
		{"colour-change", Now, Now},
		{"swelling", Now, Now},
		{"redness-stays", Soon, Now},
		{"lump", Soon, Now},
		{"callus", Soon, Now},
		{"warty-end", Soon, Now},
		{"rash", Soon, Now},
		{"other", Soon, Now},
		{"a sign not on the list", Soon, Now},
		{"rub-mark", Watch, Soon},
		{"redness-fades", Watch, Soon},
	}
	for _, tt := range tests {
		t.Run(tt.sign, func(t *testing.T) {
			h := legs(visit("2026-11-25", 0, skin("shin", tt.sign)))
			f := only(t, Assess(h), SkinSign)
			if f.Level != tt.want || f.About != AboutSkin || f.ClosedBy != Prosthetist || f.Words["sign"] != tt.sign {
				t.Errorf("got %+v, want level %s, for the prosthetist", f, tt.want)
			}
			said := map[bool]string{true: "yes"}[tt.want != tt.reduced] // only where it made a difference
			h.Limb.ReducedFeeling = true
			if f := only(t, Assess(h), SkinSign); f.Level != tt.reduced || f.Words["reduced-feeling"] != said {
				t.Errorf("with reduced feeling %s for %q, want %s for %q", f.Level, f.Words["reduced-feeling"], tt.reduced, said)
			}
			h.Limb.ReducedFeeling, h.Visits[0].Fluid = false, []string{"dialysis", "diabetes"}
			if f := only(t, Assess(h), SkinSign); f.Level != tt.reduced || f.Words["diabetes"] != said {
				t.Errorf("with diabetes %s for %q, want %s for %q", f.Level, f.Words["diabetes"], tt.reduced, said)
			}
		})
	}
}

// Diabetes is not over because nobody ticked it again, and reduced feeling
// beside it is one step, not two.
func TestDiabetesLasts(t *testing.T) {
	diabetes := func(v *Visit) { v.Fluid = []string{"diabetes"} }
	h := legs(visit("2026-03-12", 0, diabetes), visit("2026-11-25", 0, skin("shin", "redness-fades")))
	if f := only(t, Assess(h), SkinSign); f.Level != Soon || f.Words["diabetes"] != "yes" {
		t.Errorf("got %+v, want soon because of the diabetes told before", f)
	}
	h.Limb.ReducedFeeling = true
	if f := only(t, Assess(h), SkinSign); f.Level != Soon || f.Words["reduced-feeling"] != "yes" || f.Words["diabetes"] != "" {
		t.Errorf("got %+v, want one step for one reason", f)
	}
}

// Section 6.2: a fall with injury is for the same day.
func TestRecentFall(t *testing.T) {
	fell := func(v *Visit) { v.Fluid = []string{"recent-fall"} }
	pain := func(n int) func(*Visit) { return func(v *Visit) { v.WorstPain = &n } }
	tests := []struct {
		name         string
		before, last []func(*Visit)
		now          []func(*Visit)
		want         Level
		with         string
	}{
		{"none", nil, nil, nil, "", ""},
		{"at the visit before", nil, []func(*Visit){fell}, nil, "", ""},
		{"alone", nil, nil, []func(*Visit){fell}, Soon, ""},
		{"with a sign on the skin", nil, nil, []func(*Visit){fell, skin("shin", "redness-fades")}, Now, "skin"},
		{"pain up by 2", nil, []func(*Visit){pain(1)}, []func(*Visit){fell, pain(3)}, Now, "pain"},
		{"pain up by 1", nil, []func(*Visit){pain(2)}, []func(*Visit){fell, pain(3)}, Soon, ""},
		{"pain as at the visit before", []func(*Visit){pain(0)}, []func(*Visit){pain(3)}, []func(*Visit){fell, pain(3)}, Soon, ""},
		{"pain not asked at the visit before", []func(*Visit){pain(0)}, nil, []func(*Visit){fell, pain(3)}, Now, "pain"},
		{"pain not asked before", nil, nil, []func(*Visit){fell, pain(9)}, Soon, ""},
		{"skin and pain", nil, []func(*Visit){pain(1)}, []func(*Visit){fell, pain(3), skin("shin", "blister")}, Now, "skin,pain"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			h := legs(visit("2026-03-12", 0, tt.before...), visit("2026-06-01", 0, tt.last...), visit("2026-11-25", 0, tt.now...))
			findings := Safety(h)
			if tt.want == "" {
				if level := levelOf(findings, RecentFall); level != "" {
					t.Errorf("got %s, want no finding", level)
				}
				return
			}
			f := only(t, findings, RecentFall)
			if f.Level != tt.want || f.About != AboutSkin || f.ClosedBy != Prosthetist || f.Words["with"] != tt.with {
				t.Errorf("got %+v, want %s with %q, for the prosthetist", f, tt.want, tt.with)
			}
			if _, ok := f.Value("worst-pain-now"); ok != strings.Contains(tt.with, "pain") {
				t.Errorf("figures %+v, want those of pain only where it is up", f.Values)
			}
		})
	}
}

func TestSameRubMarkTwice(t *testing.T) {
	tests := []struct {
		name    string
		earlier []func(*Visit)
		want    Level
	}{
		{"first time", nil, Watch},
		{"same place, written another way", []func(*Visit){skin(" Back of  the calf", "rub-mark")}, Soon},
		{"another place", []func(*Visit){skin("shin", "rub-mark")}, Watch},
		{"another sign there", []func(*Visit){skin("back of the calf", "redness-fades")}, Watch},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			h := legs(visit("2026-03-12", 0, tt.earlier...), visit("2026-06-01", 0), visit("2026-11-25", 0, skin("back of the calf", "rub-mark")))
			f := only(t, Assess(h), SkinSign)
			if seen := f.Words["seen-before"] == "yes"; f.Level != tt.want || seen != (tt.want == Soon) {
				t.Errorf("got %s, seen before %v; want %s", f.Level, seen, tt.want)
			}
		})
	}
}

func TestOnlyRubMarksCountTwice(t *testing.T) {
	h := legs(visit("2026-03-12", 0, skin("shin", "redness-fades")), visit("2026-11-25", 0, skin("shin", "redness-fades")))
	if f := only(t, Assess(h), SkinSign); f.Level != Watch || f.Words["seen-before"] != "yes" {
		t.Errorf("got %+v, want watch and that it was seen before", f)
	}
}

func TestSignsOfOnePlaceAreOneFinding(t *testing.T) {
	findings := Assess(legs(visit("2026-11-25", 0,
		skin("shin", "rub-mark"), skin("Shin", "blister"), skin("shin", "rub-mark"), skin("end", "redness-fades"))))
	if len(findings) != 2 {
		t.Fatalf("got %+v, want one finding for each of two places", findings)
	}
	shin := findings[0]
	if shin.Place != "shin" || shin.Level != Now || shin.Words["sign"] != "blister" || shin.Words["signs"] != "blister,rub-mark" {
		t.Errorf("got %+v, want the blister first at the shin", shin)
	}
}

func TestFunctionChecks(t *testing.T) {
	v := visit("2026-11-25", 0)
	v.Functions = []Function{{"swing-free", "yes"}, {"release-free", "no"}, {"foot-free", "not-checked"}}
	f := only(t, Assess(legs(v)), FunctionNo)
	if f.Level != Now || f.ClosedBy != Prosthetist || f.Place != "release-free" || f.LookFirst[0] != LookCoverOff {
		t.Errorf("got %+v, want now, prosthetist, cover off", f)
	}
}

// Whatever is wrong with readings, limits and dates: what was seen on skin and
// answered no comes first.
func TestNothingHidesSkinAndSafety(t *testing.T) {
	bad := girth.Profile{{LevelMM: 60, GirthMM: math.NaN()}, {LevelMM: 30, GirthMM: -1}, {LevelMM: 30}}
	broken := func(v *Visit) {
		v.Residual.Profile, v.Sound.Profile = bad, bad
		v.On = "not a date"
		v.SocksAsked = true
		gap("skin", math.Inf(-1))(v)
		gap("s", math.NaN())(v)
		v.Functions = []Function{{"no-crack", "no"}}
	}
	tests := []struct {
		name string
		h    History
	}{
		{"broken readings", legs(visit("2026-03-12", 0, broken), visit("2026-11-25", 0, broken, skin("shin", "open-sore")))},
		{"no readings", legs(visit("2026-11-25", 0, unmeasured, skin("shin", "open-sore"), func(v *Visit) {
			v.Functions = []Function{{"no-crack", "no"}}
		}, touch("skin", quantity.Contact)))},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			h := tt.h
			h.Stations = []Station{station("skin", quantity.SkinSurface), station("s", quantity.SocketWall)}
			h.Stations[1].WarnMM = number(math.NaN())
			h.Sigmas = volume.Sigmas{ReadingMM: -1}
			h.RoomLimit = &RoomLimit{MM: 1}
			findings := Assess(h)
			want := []Rule{FunctionNo, SkinSign, ContactSkin}
			if len(findings) < len(want) {
				t.Fatalf("got %+v, want at least %v", findings, want)
			}
			for i, rule := range want {
				if findings[i].Rule != rule || findings[i].Level != Now {
					t.Errorf("finding %d is %s %s, want %s now", i, findings[i].Rule, findings[i].Level, rule)
				}
			}
			if safety := Safety(h); len(safety) != len(want) {
				t.Errorf("Safety gives %+v, want %v", safety, want)
			}
		})
	}
}
