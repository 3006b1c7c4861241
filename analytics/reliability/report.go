package reliability

import (
	"maps"
	"slices"
)

// Report is what Analyse finds.
type Report struct {
	Subjects, Values int
	Raters           []string // in the order of the alphabet
	MostTrials       int      // of one rater on one subject
	// All is about any two values of a subject, whoever took them. With one rater
	// it is that rater's own error.
	All Precision
	// ByRater is each rater's own error, between that rater's trials.
	ByRater []RaterReport
	// Between compares raters; when it is nil BetweenWhy says why.
	Between    *BetweenReport
	BetweenWhy Reason
	Remarks    []Remark
}

// RaterReport is one rater's own error.
type RaterReport struct {
	Rater string
	Precision
	ICC         []ICC // trials in the place of raters
	ICCSubjects int   // with every trial
	Constant    bool  // every subject got the same value
}

// BetweenReport compares raters on one value of each subject: the mean of Trials
// trials, or the first trial where raters have unequal numbers of them.
type BetweenReport struct {
	Trials int
	Precision
	ICC         []ICC
	ICCSubjects int // that every rater measured
	Bias        []RaterBias
	Pairs       []RaterPair // nil when there are too many
	PairsWhy    Reason
}

// RaterBias is how much more a rater gives than all raters together on the same
// subjects, adjusted for who measured whom. It has no interval here; those of
// two raters against one another have.
type RaterBias struct {
	Rater string
	Bias  Figure
}

// RaterPair is the agreement of two raters.
type RaterPair struct {
	A, B string
	// First compares the first trials, as the paper's example does.
	First Agreement
	// Means compares the means of all trials, with limits for one of them; its N
	// is 0 when trials are single or unequal.
	Means Agreement
	// Percent compares the first trials in percent; its N is 0 when a value is
	// not above zero.
	Percent Agreement
}

// mostInPairs is how many raters are still compared two by two.
const mostInPairs = 12

// Analyse works out what values by subject, rater and trial say about their
// error. A method can stand in the place of the rater. Subjects, raters and
// trials may be missing anywhere: errors come from every subject with two values
// or more, correlations from those with all.
//
// Errors: ErrNoValues; ErrBadValue for a value beyond ±MaxValue, a trial below 1
// or one that is there twice.
func Analyse(values []Value) (Report, error) {
	values, err := checked(values)
	if err != nil {
		return Report{}, err
	}
	own := map[string][]Value{}
	for _, v := range values {
		own[v.Rater] = append(own[v.Rater], v)
	}
	r := Report{Values: len(values), Raters: slices.Sorted(maps.Keys(own))}
	all, _ := newSample(values, func(v Value) string { return v.Rater })
	if len(r.Raters) == 1 {
		all, _ = newSample(values, func(v Value) int { return v.Trial })
	}
	r.Subjects = all.subjects
	r.All = all.precision()
	for _, rater := range r.Raters {
		s, _ := newSample(own[rater], func(v Value) int { return v.Trial })
		report := RaterReport{Rater: rater, Precision: s.precision(), Constant: constant(own[rater])}
		report.ICC, report.ICCSubjects = s.correlations()
		r.ByRater = append(r.ByRater, report)
		for _, g := range s.bySubject() {
			r.MostTrials = max(r.MostTrials, len(g))
		}
	}
	r.compareRaters(values)
	r.remark()
	return r, nil
}

// ICC returns the six correlations: between raters, or between the trials of the
// only one.
func (r Report) ICC() []ICC {
	if r.Between != nil {
		return r.Between.ICC
	}
	return r.ByRater[0].ICC
}

// compareRaters fills Between.
func (r *Report) compareRaters(values []Value) {
	if len(r.Raters) < 2 {
		r.BetweenWhy = OneRater
		return
	}
	if len(r.Raters) > mostColumns {
		r.BetweenWhy = TooManyRaters
		return
	}
	single, trials := perRater(values)
	s, raters := newSample(single, func(v Value) string { return v.Rater })
	b := &BetweenReport{Trials: trials, Precision: s.precision()}
	b.ICC, b.ICCSubjects = s.correlations()
	if fit, ok := s.fitAdditive(); ok {
		for i, rater := range raters {
			b.Bias = append(b.Bias, RaterBias{Rater: rater, Bias: defined(fit.effects[i], ErrorUnbounded)})
		}
		slices.SortFunc(b.Bias, func(a, c RaterBias) int { return slices.Index(r.Raters, a.Rater) - slices.Index(r.Raters, c.Rater) })
	}
	r.Between = b
	if len(r.Raters) > mostInPairs {
		b.PairsWhy = TooManyRaters
		return
	}
	for i, a := range r.Raters {
		for _, c := range r.Raters[i+1:] {
			b.Pairs = append(b.Pairs, r.pair(values, single, trials, a, c))
		}
	}
}

// pair compares two raters.
func (r *Report) pair(values, single []Value, trials int, a, b string) RaterPair {
	p := RaterPair{A: a, B: b}
	first := pairsOf(firstTrials(values), a, b)
	p.First = Agree(first)
	p.Percent, _ = AgreePercent(first)
	errorOf := func(rater string) Figure { return r.ByRater[slices.Index(r.Raters, rater)].TEM }
	if ownA, ownB := errorOf(a), errorOf(b); trials > 1 && ownA.Defined && ownB.Defined {
		p.Means = agreeRepeated(pairsOf(single, a, b), trials, ownA.Value*ownA.Value, ownB.Value*ownB.Value)
	}
	return p
}

// perRater returns one value for each subject and rater and how many trials it
// is the mean of: the mean of all where every rater has as many of every
// subject, otherwise the first trial. The values are in order.
func perRater(values []Value) (single []Value, trials int) {
	first := firstTrials(values)
	if len(values)%len(first) != 0 {
		return first, 1
	}
	trials = len(values) / len(first)
	means := slices.Clone(first)
	for i := range means {
		group := values[i*trials : (i+1)*trials]
		sum := 0.0
		for _, v := range group {
			if v.Subject != means[i].Subject || v.Rater != means[i].Rater {
				return first, 1
			}
			sum += v.Value
		}
		means[i].Value = sum / float64(trials)
	}
	return means, trials
}

// firstTrials returns the first value of each subject and rater.
func firstTrials(values []Value) []Value {
	return slices.CompactFunc(slices.Clone(values), func(a, b Value) bool {
		return a.Subject == b.Subject && a.Rater == b.Rater
	})
}

// pairsOf returns the subjects that both raters measured, from one value of each.
func pairsOf(single []Value, a, b string) []Pair {
	byB := map[string]float64{}
	for _, v := range single {
		if v.Rater == b {
			byB[v.Subject] = v.Value
		}
	}
	var pairs []Pair
	for _, v := range single {
		if other, both := byB[v.Subject]; both && v.Rater == a {
			pairs = append(pairs, Pair{Subject: v.Subject, A: v.Value, B: other})
		}
	}
	return pairs
}
