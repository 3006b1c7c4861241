package reliability

import (
	"cmp"
	"fmt"
)

// ICC is one of the six intraclass correlations of Shrout and Fleiss.
type ICC struct {
	Form    int  // 1 each subject has raters of its own, 2 raters are drawn from many, 3 these raters only
	Average bool // of the mean of K values instead of one
	K       int  // how many values of each subject there are
	Figure
}

// Name is the name in the paper: ICC(2,1), or ICC(2,k) for the mean of k values.
func (c ICC) Name() string {
	if c.Average {
		return fmt.Sprintf("ICC(%d,k)", c.Form)
	}
	return fmt.Sprintf("ICC(%d,1)", c.Form)
}

// correlations returns the six, single values first, of the subjects that have a
// value in every column, and how many those are.
func (s sample) correlations() (six []ICC, subjects int) {
	var table [][]float64
	if s.columns <= mostColumns {
		table = s.complete()
	}
	why := Reason("")
	switch {
	case s.columns > mostColumns:
		why = TooManyRaters
	case s.columns < 2:
		why = OneColumn
	case s.subjects < 2:
		why = FewSubjects
	case len(table) < 2:
		why = NoComplete
	}
	figures := [6]Figure{}
	for i := range figures {
		figures[i] = undefined(why)
	}
	if why == "" {
		figures = s.newMeanSquares(table).correlations()
	}
	for i, f := range figures {
		six = append(six, ICC{Form: i%3 + 1, Average: i >= 3, K: s.columns, Figure: f})
	}
	return six, len(table)
}

// correlations works out the six from mean squares B between subjects, W within,
// J of the raters and E of the rest (Shrout and Fleiss 1979):
//
//	(1,1) = (B − W)/(B + (k−1) W)                      (1,k) = (B − W)/B
//	(2,1) = (B − E)/(B + (k−1) E + k (J − E)/n)        (2,k) = (B − E)/(B + (J − E)/n)
//	(3,1) = (B − E)/(B + (k−1) E)                      (3,k) = (B − E)/B
//
// with the paper's intervals by F. They can be negative: the subjects then
// differ less than the values of one of them.
func (m meanSquares) correlations() [6]Figure {
	n, k := float64(m.n), float64(m.k)
	b, w, j, e := m.between, m.within, m.judges, m.e
	if b == 0 && w == 0 {
		u := undefined(AllEqual)
		return [6]Figure{u, u, u, u, u, u}
	}
	f := [6]Figure{}
	f[0], f[3] = oneError(b, w, n-1, n*(k-1), k)
	f[2], f[5] = oneError(b, e, n-1, (n-1)*(k-1), k)
	f[1] = m.absolute()
	f[4] = undefined(SubjectsAlike)
	if below := b + (j-e)/n; below > 0 {
		f[4] = defined((b-e)/below, cmp.Or(f[1].Why, NotComputable))
		if up := func(r float64) float64 { return k * r / (1 + (k-1)*r) }; f[1].Bounded && 1+(k-1)*f[1].Lo > 0 {
			f[4] = within(f[4].Value, up(f[1].Lo), up(f[1].Hi)) // Spearman–Brown, as in the paper
		}
	}
	return f
}

// oneError returns the forms that weigh the mean square between subjects against
// one mean square of error: for one value and for the mean of k.
func oneError(b, e, df1, df2, k float64) (one, mean Figure) {
	if b == 0 && e == 0 { // the subjects are alike, and the raters differ by a constant
		return undefined(SubjectsAlike), undefined(SubjectsAlike)
	}
	value := (b - e) / (b + (k-1)*e)
	switch {
	case e == 0:
		return defined(1, NoError), defined(1, NoError)
	case b == 0:
		return defined(value, SubjectsAlike), undefined(SubjectsAlike)
	}
	ratio := b / e
	lo, hi := ratio/f975(df1, df2), ratio*f975(df2, df1)
	return within(value, (lo-1)/(lo+k-1), (hi-1)/(hi+k-1)), within((b-e)/b, 1-1/lo, 1-1/hi)
}

// absolute returns ICC(2,1) with the paper's approximate interval.
func (m meanSquares) absolute() Figure {
	n, k := float64(m.n), float64(m.k)
	b, j, e := m.between, m.judges, m.e
	value := (b - e) / (b + (k-1)*e + k*(j-e)/n)
	if e == 0 {
		return defined(value, NoError)
	}
	ratio := j / e
	raters := k * value * ratio
	rest := n*(1+(k-1)*value) - k*value
	v := (k - 1) * (n - 1) * (raters + rest) * (raters + rest) / ((n-1)*raters*raters + rest*rest)
	if !(v > 0) {
		return defined(value, NotComputable)
	}
	low, high := f975(n-1, v), f975(v, n-1)
	spread := k*j + (k*n-k-n)*e
	return within(value,
		n*(b-low*e)/(low*spread+n*b),
		n*(high*b-e)/(spread+n*high*b))
}
