package trial

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/cohort"
	"fairlead/analytics/girth"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
)

// firstDay is the day of everybody's first visit.
var firstDay = time.Date(2024, time.January, 8, 10, 0, 0, 0, time.UTC)

// longAgo is the amputation of a limb whose early months are over.
const longAgo quantity.Date = "2010-06-01"

// historyOf is the record of a followed limb, one visit for each row: what
// assess.Assess is given on the page.
func historyOf(m cohort.Member, f cohort.Followed) assess.History {
	h := assess.History{
		Limb:     assess.Limb{ID: "limb", Level: f.Limb.Level, AmputatedOn: longAgo},
		Stations: stationsOf(f),
	}
	if m.WeeksSince > 0 {
		h.Limb.AmputatedOn = dateOf(-int(math.Round(7 * m.WeeksSince)))
	}
	for i, row := range m.Rows {
		held := f.Visits[i]
		at := firstDay.AddDate(0, 0, row.Day)
		v := assess.Visit{
			ID: fmt.Sprintf("visit %03d", i+1), On: quantity.DateOf(at), At: at.Unix(), Kind: "follow-up", Shoe: "walking shoe",
			Residual: volume.Visit{
				Profile: pooled(held.Readings), Fitter: fitters[row.Source], MinutesOff: &held.MinutesOff,
				Series: volume.Series{Landmark: "mid-patellar tendon", CapKind: quantity.NoCap, Device: "tape"},
			},
		}
		for s, gap := range held.FeltMM {
			v.Clearances = append(v.Clearances, assess.Clearance{StationID: h.Stations[s].ID, GapMM: &gap, Method: quantity.Feeler})
		}
		h.Visits = append(h.Visits, v)
	}
	return h
}

var fitters = [...]string{"own", "second"}

func dateOf(day int) quantity.Date { return quantity.DateOf(firstDay.AddDate(0, 0, day)) }

// stationsOf lays the gaps out in front and behind, at two levels.
func stationsOf(f cohort.Followed) []assess.Station {
	stations := make([]assess.Station, len(f.Gaps))
	for i := range stations {
		stations[i] = assess.Station{
			ID: fmt.Sprintf("station %d", i+1), LevelMM: 60 * float64(1+i/2), Posture: quantity.Standing, Neighbour: quantity.SocketWall,
			Direction: [...]quantity.Direction{quantity.Anterior, quantity.Posterior}[i%2],
		}
		if f.Accepted {
			felt := f.Visits[0].FeltMM[i]
			stations[i].AsBuiltMM, stations[i].AsBuiltBy, stations[i].AsBuiltOn = &felt, "own", dateOf(0)
		}
	}
	return stations
}

// pooled is the profile of readings; nothing where there are none.
func pooled(readings []girth.Reading) girth.Profile {
	profile, err := girth.Pool(readings)
	if err != nil {
		panic(fmt.Sprintf("trial: readings of the cohort: %v", err))
	}
	return profile
}

// Flags counts how often flags opened or became more urgent.
type Flags map[FlagKind]int

// FlagKind is a flag that opened at a level, or rose to it from another.
type FlagKind struct {
	Rule  assess.Rule
	Level assess.Level
	From  assess.Level // empty for one that opened
}

// flags assesses a limb after each of its visits, as the page does, with a second
// round of the tape where the check-in asks for one, and counts the flags. A flag of a rule with hysteresis closes once its figure is back
// inside the limit, others when they are not found again; a visit without a volume
// closes nothing about the limb.
//
// Findings about a station whose gap truly closes are left out: they are right.
func flags(m cohort.Member, f cohort.Followed) Flags {
	type key struct {
		rule  assess.Rule
		place string
	}
	count, open := Flags{}, map[key]assess.Finding{}
	h := historyOf(m, f)
	visits := h.Visits
	for i := range visits {
		h.Visits = visits[:i+1]
		found := assess.Assess(h)
		if again := f.Visits[i].Again; len(again) > 0 && asksAgain(h) {
			visits[i].ResidualFirst = visits[i].Residual
			visits[i].Residual.Profile = pooled(again)
			found = assess.Assess(h)
		}
		for _, finding := range found {
			if closes(h, f, finding.Place) {
				continue
			}
			k := key{finding.Rule, finding.Place}
			was, known := open[k]
			if !known || moreUrgent(finding.Level, was.Level) {
				count[FlagKind{finding.Rule, finding.Level, was.Level}]++
				open[k] = finding
			}
		}
		for k, finding := range open {
			again := slices.ContainsFunc(found, func(f assess.Finding) bool { return f.Rule == k.rule && f.Place == k.place })
			unknown := finding.About == assess.AboutLimb && len(visits[i].Residual.Profile) == 0
			if again || unknown {
				continue
			}
			if out, settles := h.Outlying(finding); !settles || out.Gone() {
				delete(open, k)
			}
		}
	}
	return count
}

// asksAgain tells whether the check-in asks for a second round of the newest visit.
func asksAgain(h assess.History) bool {
	_, ask := h.MeasureAgain()
	return ask
}

func moreUrgent(a, b assess.Level) bool {
	return slices.Index(assess.Levels, a) < slices.Index(assess.Levels, b)
}

// closes tells whether a place is a station whose gap truly closes.
func closes(h assess.History, f cohort.Followed, place string) bool {
	i := slices.IndexFunc(h.Stations, func(s assess.Station) bool { return s.ID == place })
	return i >= 0 && f.Gaps[i].ClosingMMPerMonth > 0
}

// Opened is how often a flag of a rule opened at a level or a more urgent one,
// counted once where it became more urgent later.
func (c Flags) Opened(rule assess.Rule, level assess.Level) int {
	n := 0
	for kind, opened := range c {
		if kind.Rule == rule && kind.From == "" && !moreUrgent(level, kind.Level) {
			n += opened
		}
		if kind.Rule == rule && kind.From != "" && moreUrgent(level, kind.From) && !moreUrgent(level, kind.Level) {
			n += opened
		}
	}
	return n
}

func (c Flags) add(d Flags) {
	for kind, n := range d {
		c[kind] += n
	}
}

// Kinds are those that occurred, by level and rule.
func (c Flags) Kinds() []FlagKind {
	var kinds []FlagKind
	for kind := range c {
		kinds = append(kinds, kind)
	}
	slices.SortFunc(kinds, func(a, b FlagKind) int {
		return cmp.Or(
			cmp.Compare(slices.Index(assess.Levels, a.Level), slices.Index(assess.Levels, b.Level)),
			cmp.Compare(slices.Index(assess.Rules, a.Rule), slices.Index(assess.Rules, b.Rule)),
			cmp.Compare(a.From, b.From),
		)
	})
	return kinds
}
