package girth

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"fairlead/analytics/table"
)

// unitFactor is how far a girth must be from the middle one of its visit to be
// taken for one in another unit: centimetres for millimetres are 10 times off,
// inches 25.4 times (common practice, no source).
const unitFactor = 8

// gather joins the rows into visits, ascending by date.
func (d *decoder) gather() {
	slices.SortStableFunc(d.rows, func(a, b row) int {
		return cmp.Or(cmp.Compare(a.date, b.date), cmp.Compare(a.limb, b.limb), cmp.Compare(a.round, b.round)) // residual before sound
	})
	for rest := d.rows; len(rest) > 0; {
		n := slices.IndexFunc(rest, func(r row) bool {
			return r.date != rest[0].date || r.limb != rest[0].limb || r.round != rest[0].round
		})
		if n < 0 {
			n = len(rest)
		}
		if v, ok := d.gatherVisit(rest[:n]); ok {
			d.add(v, rest[0].round)
		}
		rest = rest[n:]
	}
}

// add keeps a visit; a second round takes the place of the first if it reads all
// its levels.
func (d *decoder) add(v Visit, round int) {
	last := len(d.visits) - 1
	if last < 0 || d.visits[last].Date != v.Date || d.visits[last].Limb != v.Limb {
		d.visits = append(d.visits, v)
		return
	}
	missing := slices.ContainsFunc(d.visits[last].Profile, func(first Pooled) bool {
		return !slices.ContainsFunc(v.Profile, func(at Pooled) bool { return math.Abs(at.LevelMM-first.LevelMM) <= SameLevelMM })
	})
	if missing {
		d.Note(v.Line, "read every level of round 1 to have it count", "round %d of the %s lacks levels, so round 1 counts", round, v.name())
		return
	}
	d.Note(v.Line, "leave it out of the file to see round 1", "round %d of the %s counts instead of round 1", round, v.name())
	d.visits[last] = v
}

// gatherVisit turns the rows of one round of one limb on one date, in the order of
// the file, into a visit, or into problems.
func (d *decoder) gatherVisit(rows []row) (v Visit, ok bool) {
	v = Visit{Date: rows[0].date, Limb: rows[0].limb, Line: rows[0].line}
	before := d.Faults()
	fitterLine := 0
	for _, r := range rows {
		if r.minutes != nil && (v.MinutesOff == nil || *r.minutes < *v.MinutesOff) {
			v.MinutesOff = r.minutes // of the first reading
		}
		switch {
		case r.fitter == "" || r.fitter == v.Fitter:
		case v.Fitter == "":
			v.Fitter, fitterLine = r.fitter, r.line
		default:
			d.Problem(r.line, "put each fitter's readings into a file of their own",
				"the fitter is %q and on line %d %q for the same limb and date", table.Shorten(r.fitter), fitterLine, table.Shorten(v.Fitter))
		}
	}
	d.noteOrder(rows)
	byLevel := slices.Clone(rows)
	slices.SortStableFunc(byLevel, func(a, b row) int { return cmp.Compare(a.LevelMM, b.LevelMM) })
	for rest := byLevel; len(rest) > 0; {
		n := slices.IndexFunc(rest, func(r row) bool { return r.LevelMM-rest[0].LevelMM > SameLevelMM })
		if n < 0 {
			n = len(rest)
		}
		d.numberPasses(rest[:n])
		rest = rest[n:]
	}
	if d.Faults() > before {
		return v, false
	}
	readings := make([]Reading, len(byLevel))
	for i, r := range byLevel {
		readings[i] = r.Reading
	}
	profile, err := Pool(readings)
	if err != nil {
		panic(fmt.Sprintf("girth: rows that were checked do not pool: %v", err))
	}
	v.Profile = profile
	d.checkProfile(v, byLevel)
	return v, true
}

// numberPasses gives the rows of one level that name no pass the next free
// number in the order of the file, and finds passes that are there twice.
func (d *decoder) numberPasses(rows []row) {
	lineOf := make(map[int]int, len(rows))
	for _, r := range rows {
		switch first, twice := lineOf[r.Pass]; {
		case r.Pass == 0:
		case twice:
			d.Problem(r.line, "number the passes 1, 2, 3 … or remove one of the rows",
				"pass %d at level %g mm is there already on line %d", r.Pass, r.LevelMM, first)
		default:
			lineOf[r.Pass] = r.line
		}
	}
	next := 1
	for i := range rows {
		if rows[i].Pass != 0 {
			continue
		}
		for lineOf[next] != 0 {
			next++
		}
		rows[i].Pass = next
		lineOf[next] = rows[i].line
	}
}

// checkProfile looks at what a visit comes to: enough levels, one unit, and, as
// notes, readings that disagree (M1) and steps that no limb makes (M5).
func (d *decoder) checkProfile(v Visit, byLevel []row) {
	if len(v.Profile) < 2 {
		if d.lost || byLevel[0].round > 1 { // a second round may be broken off
			return
		}
		d.Problem(v.Line, "add girths at other levels", "there is only one level for the %s, and a volume needs two", v.name())
		return
	}
	usual := middle(v.Profile.Girths())
	for _, r := range byLevel {
		factor := math.Max(r.GirthMM/usual, usual/r.GirthMM)
		if len(v.Profile) >= 3 && factor >= unitFactor {
			d.Problem(r.line, "check whether units are mixed", "the girth %g mm is %.0f times off the others of the %s (about %.0f mm)",
				r.GirthMM, factor, v.name(), usual)
		}
	}
	lineAt := func(level float64) int {
		i := slices.IndexFunc(byLevel, func(r row) bool { return math.Abs(r.LevelMM-level) <= SameLevelMM })
		return byLevel[i].line
	}
	for i, at := range v.Profile {
		if at.Reread {
			d.Note(lineAt(at.LevelMM), "read again where that is possible",
				"two readings at level %g mm differ by %.1f mm", at.LevelMM, at.SpreadMM)
		}
		if i > 0 && ImplausibleStep(v.Profile[i-1].GirthMM, at.GirthMM) {
			d.Note(lineAt(at.LevelMM), "check both readings", "the girth goes from %.0f mm at level %g mm to %.0f mm at level %g mm",
				v.Profile[i-1].GirthMM, v.Profile[i-1].LevelMM, at.GirthMM, at.LevelMM)
		}
	}
}

// noteOrder remarks on the first reading of a visit that goes back along the
// limb within its pass; levels may ascend or descend.
func (d *decoder) noteOrder(rows []row) {
	last, direction := make(map[int]float64), make(map[int]int)
	for _, r := range rows {
		if r.Pass == 0 {
			continue
		}
		if previous, ok := last[r.Pass]; ok {
			step := cmp.Compare(r.LevelMM, previous)
			if direction[r.Pass] != 0 && step != 0 && step != direction[r.Pass] {
				d.Note(r.line, "check the level; the readings are put in order", "the level %g mm after %g mm is out of order", r.LevelMM, previous)
				return
			}
			direction[r.Pass] = step
		}
		last[r.Pass] = r.LevelMM
	}
}

// name says which limb and date, for a message.
func (v Visit) name() string {
	return strings.TrimSuffix(string(v.Limb)+" limb on "+string(v.Date), " on ")
}
