package trial

import (
	"context"
	"errors"
	"fmt"

	"fairlead/analytics/cohort"
)

// Options say what is tried.
type Options struct {
	Limbs   int // of the cohort, and of each kind of limb that rules are compared on
	Visits  int // of each limb
	Seed    uint64
	Setting cohort.Setting
	Workers int                   // how many limbs at once; it doesn't change the outcome
	Tell    func(done, total int) // of the progress, from any worker; nil for nobody
}

// The sizes that a trial may have: below the least there is nothing to compare,
// and what is above the most does not fit into memory.
const (
	LeastLimbs, MostLimbs   = 20, 200_000
	LeastVisits, MostVisits = 8, 200
)

// ErrBadOptions is wrapped by the error of Run for options without a meaning.
var ErrBadOptions = errors.New("trial: bad options")

func (o Options) check() error {
	switch {
	case o.Limbs < LeastLimbs || o.Limbs > MostLimbs:
		return fmt.Errorf("%w: %d limbs are not within %d to %d", ErrBadOptions, o.Limbs, LeastLimbs, MostLimbs)
	case o.Visits < LeastVisits || o.Visits > MostVisits:
		return fmt.Errorf("%w: %d visits are not within %d to %d", ErrBadOptions, o.Visits, LeastVisits, MostVisits)
	case o.Limbs*o.Visits > MostLimbs*LeastVisits:
		return fmt.Errorf("%w: %d limbs with %d visits are more than %d visits in all", ErrBadOptions, o.Limbs, o.Visits, MostLimbs*LeastVisits)
	case o.Setting != cohort.Clean && o.Setting != cohort.Everyday:
		return fmt.Errorf("%w: kind %q is neither %q nor %q", ErrBadOptions, o.Setting, cohort.Clean, cohort.Everyday)
	case o.Workers < 1:
		return fmt.Errorf("%w: %d workers", ErrBadOptions, o.Workers)
	}
	return nil
}

// Report is what came of a trial.
type Report struct {
	Options  Options
	Methods  []Method // the rule on the trend first
	Coverage Coverage
	Crossing []Crossing
	Steady   Steadiness
	// Flags are those of steady limbs that are assessed as on the page, in
	// FlagYears limb-years.
	Flags     Flags
	FlagYears float64
}

// The limbs of a trial: the cohort, and each kind that rules are compared on. A
// limb's number says which it belongs to, so that all of them differ.
const (
	ofCohort = iota
	ofSteady
	ofLosing
	ofStepping
)

const numbersApart = 1 << 32

// A step comes after some visits and leaves room to find it.
const stepAfterVisits = 3

// draw returns the draw of a kind of limb, and the number of its first limb.
func (o Options) draw(kind uint64) (cohort.Draw, uint64) {
	d := cohort.Draw{Seed: o.Seed, Visits: o.Visits, Setting: o.Setting}
	switch kind {
	case ofSteady:
		d.Fate = cohort.Steadily
	case ofLosing:
		d.Fate = cohort.Losing(1)
	case ofStepping:
		d.Fate = cohort.Stepping(StepPercent, stepAfterVisits, StepVisits+1)
	}
	return d, kind * numbersApart
}

// Run tries the trend and the simple rules on simulated limbs. The error wraps
// ErrBadOptions or is that of ctx.
func Run(ctx context.Context, o Options) (*Report, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	r := &Report{Options: o}
	t := newTeller(o)
	if err := r.compare(ctx, t); err != nil {
		return nil, err
	}
	if err := r.follow(ctx, t); err != nil {
		return nil, err
	}
	if err := r.assess(ctx, t); err != nil {
		return nil, err
	}
	return r, nil
}

// compare measures all rules on limbs of which each has one thing to find.
func (r *Report) compare(ctx context.Context, t *teller) error {
	o := r.Options
	var limbs probes[cohort.Member]
	for kind, set := range limbs.sets() {
		*set = make([]cohort.Member, o.Limbs)
		d, first := o.draw(kind)
		if err := each(ctx, o.Workers, o.Limbs, func() func(int) {
			return func(i int) { (*set)[i] = d.Member(first + uint64(i)) }
		}); err != nil {
			return err
		}
	}
	for _, c := range candidates() {
		var signals probes[signal]
		sets := limbs.sets()
		for kind, of := range signals.sets() {
			*of = make([]signal, o.Limbs)
			members := *sets[kind]
			if err := each(ctx, o.Workers, o.Limbs, func() func(int) {
				speak := c.make()
				return func(i int) {
					(*of)[i] = speak(members[i])
					t.done(c.work)
				}
			}); err != nil {
				return err
			}
		}
		r.offer(judge(c, limbs, signals))
	}
	return ctx.Err()
}

// offer takes a method, or the better of two settings of one.
func (r *Report) offer(m Method) {
	last := len(r.Methods) - 1
	if last < 0 || r.Methods[last].Name != m.Name {
		r.Methods = append(r.Methods, m)
		return
	}
	if m.FoundPercent[bestAt] > r.Methods[last].FoundPercent[bestAt] {
		r.Methods[last] = m
	}
}

// bestAt is the place in Marks at which the settings of a method are compared:
// the 6 % mark.
const bestAt = 2

// sets are the kinds of limbs by their number.
func (p *probes[T]) sets() map[uint64]*[]T {
	return map[uint64]*[]T{ofSteady: &p.steady, ofLosing: &p.losing, ofStepping: &p.stepping}
}

// mixTimes is how many limbs of the mix there are to each of the other kinds. It
// holds few early limbs and few that near a limit, and the visits of one limb go
// together: with as many limbs as of the others, chance alone would move what is
// found for those by several points.
const mixTimes = 2

// follow measures what the trend says of the mix.
func (r *Report) follow(ctx context.Context, t *teller) error {
	o := r.Options
	found := make([]outcome, o.Limbs)
	d, first := o.draw(ofCohort)
	losing, firstLosing := o.draw(ofLosing)
	steady, firstSteady := o.draw(ofSteady)
	err := each(ctx, o.Workers, o.Limbs, func() func(int) {
		f := newFollower()
		return func(i int) {
			n := uint64(i)
			for half := range uint64(mixTimes) {
				m := d.Member(first + mixTimes*n + half)
				course := f.follow(m)
				found[i].coverage.coverage(m, course)
				found[i].crossings.count(m, course)
			}
			m := losing.Member(firstLosing + n)
			if m.Path[0].StartDay == 0 { // others are steady at first
				countSteady(&found[i].steady.Wrongly, f.steadyAt(m))
			}
			m = steady.Member(firstSteady + n)
			countSteady(&found[i].steady.Rightly, f.steadyAt(m))
			t.done(followWork)
		}
	})
	if err != nil {
		return err
	}
	var all crossings
	for i := range found {
		r.Coverage.add(found[i].coverage)
		all.add(found[i].crossings)
		r.Steady.add(found[i].steady)
	}
	r.Crossing = all.bins()
	return nil
}

// outcome is what was counted on one limb.
type outcome struct {
	coverage  Coverage
	crossings crossings
	steady    Steadiness
}

// assess measures the default flags on steady limbs, girth by girth.
func (r *Report) assess(ctx context.Context, t *teller) error {
	o := r.Options
	found, members := make([]Flags, o.Limbs), make([]cohort.Member, o.Limbs)
	d, first := o.draw(ofSteady)
	err := each(ctx, o.Workers, o.Limbs, func() func(int) {
		return func(i int) {
			members[i] = d.Member(first + uint64(i))
			found[i] = flags(members[i], d.Follow(members[i], cohort.DefaultTape))
			t.done(assessWork)
		}
	})
	if err != nil {
		return err
	}
	r.Flags, r.FlagYears = Flags{}, years(members)
	for _, f := range found {
		r.Flags.add(f)
	}
	return nil
}
