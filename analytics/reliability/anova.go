package reliability

import (
	"slices"

	"gonum.org/v1/gonum/mat"
)

// withinSubjects is the one-way analysis of variance by subject: the sum of squares of
// the values around the mean of their subject, and its degrees of freedom.
func (s sample) withinSubjects() (ss float64, df int) {
	counts, means := s.means()
	for _, c := range s.cells {
		d := c.value - means[c.subject]
		ss += float64(d * d)
	}
	for _, n := range counts {
		df += max(n-1, 0)
	}
	return s.zeroed(ss), df
}

// additive is the two-way analysis of variance without interaction, subject +
// column + error, by least squares. With a value in every cell its mean squares
// are the JMS and EMS of Shrout and Fleiss; with cells that are missing or
// filled several times the columns are adjusted for the subjects.
type additive struct {
	columnSS, errorSS float64
	columnDF, errorDF int
	effects           []float64 // of each column, with sum 0; by column
	spread            float64   // what the column variance counts by in the column SS, in all
}

// mostColumns is how many columns an additive analysis takes: it needs a square
// of them.
const mostColumns = 200

// fitAdditive fits the two-way model. With the subjects eliminated, the effects
// e solve C e = q,
//
//	C = diag(n.j) − Σi ni niᵀ/ni.,   q = Σ over the column of (y − mean of the subject)
//
// whose rank is the columns' degrees of freedom (Searle SR, Linear Models, on
// the two-way classification with unequal numbers; from memory). A design that
// falls into parts without a common subject loses one for each part.
func (s sample) fitAdditive() (additive, bool) {
	if s.columns > mostColumns {
		return additive{}, false
	}
	k := s.columns
	_, means := s.means()
	c := mat.NewSymDense(k, nil)
	q := mat.NewVecDense(k, nil)
	groups := s.bySubject()
	for i, group := range groups {
		in := columnCounts(group, k)
		for x, nx := range in {
			c.SetSym(x, x, c.At(x, x)+nx)
			for y := x; nx > 0 && y < k; y++ {
				c.SetSym(x, y, c.At(x, y)-nx*in[y]/float64(len(group)))
			}
		}
		for _, cell := range group {
			q.SetVec(cell.column, q.AtVec(cell.column)+cell.value-means[i])
		}
	}
	fit := additive{effects: make([]float64, k), spread: mat.Trace(c)}
	if !fit.solve(c, q) {
		return additive{}, false
	}
	for i, e := range fit.effects {
		fit.columnSS += e * q.AtVec(i)
	}
	for i, group := range groups {
		own := 0.0 // the mean of what the subject's columns do
		for _, cell := range group {
			own += fit.effects[cell.column] / float64(len(group))
		}
		for _, cell := range group {
			r := cell.value - means[i] - (fit.effects[cell.column] - own)
			fit.errorSS += float64(r * r)
		}
	}
	fit.columnSS, fit.errorSS = s.zeroed(fit.columnSS), s.zeroed(fit.errorSS)
	_, df := s.withinSubjects()
	fit.errorDF = df - fit.columnDF
	return fit, true
}

// bySubject returns the cells of each subject.
func (s sample) bySubject() [][]cell {
	groups := make([][]cell, s.subjects)
	for _, c := range s.cells {
		groups[c.subject] = append(groups[c.subject], c)
	}
	return groups
}

// columnCounts returns how many of some cells stand in each of k columns.
func columnCounts(cells []cell, k int) []float64 {
	in := make([]float64, k)
	for _, c := range cells {
		in[c.column]++
	}
	return in
}

// rankTolerance is what an eigenvalue of C may be, relative to the largest, to
// count as zero: C holds counts and shares of them.
const rankTolerance = 1e-9

// solve finds the effects of least size that solve C e = q, and the rank of C.
func (fit *additive) solve(c *mat.SymDense, q *mat.VecDense) bool {
	var eigen mat.EigenSym
	if !eigen.Factorize(c, true) {
		return false
	}
	values := eigen.Values(nil)
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	largest := values[len(values)-1]
	for j, value := range values {
		if value <= rankTolerance*largest || value <= 0 {
			continue
		}
		fit.columnDF++
		v := vectors.ColView(j)
		along := mat.Dot(v, q) / value
		for i := range fit.effects {
			fit.effects[i] += along * v.AtVec(i)
		}
	}
	return true
}

// meanSquares are those of Shrout and Fleiss for n subjects with a value in each
// of k columns.
type meanSquares struct {
	n, k                       int
	between, within, judges, e float64
}

// complete returns the subjects with exactly one value in every column, as a
// table of rows; the others are left out.
func (s sample) complete() [][]float64 {
	var whole [][]float64
	for _, group := range s.bySubject() {
		if len(group) != s.columns {
			continue
		}
		row := make([]float64, s.columns)
		for _, c := range group {
			row[c.column] = c.value
		}
		if in := columnCounts(group, s.columns); !slices.Contains(in, 0) {
			whole = append(whole, row)
		}
	}
	return whole
}

// newMeanSquares works out the mean squares of a full table of at least two rows
// and two columns.
func (s sample) newMeanSquares(table [][]float64) meanSquares {
	n, k := len(table), len(table[0])
	grand := 0.0
	rows, columns := make([]float64, n), make([]float64, k)
	for i, row := range table {
		for j, x := range row {
			rows[i] += x / float64(k)
			columns[j] += x / float64(n)
			grand += x / float64(n*k)
		}
	}
	var between, within, judges, e float64
	for i, row := range table {
		between += float64(k) * (rows[i] - grand) * (rows[i] - grand)
		for j, x := range row {
			within += float64((x - rows[i]) * (x - rows[i]))
			r := (x - rows[i]) - (columns[j] - grand)
			e += float64(r * r)
		}
	}
	for _, mean := range columns {
		judges += float64(n) * (mean - grand) * (mean - grand)
	}
	return meanSquares{
		n: n, k: k,
		between: s.zeroed(between) / float64(n-1),
		within:  s.zeroed(within) / float64(n*(k-1)),
		judges:  s.zeroed(judges) / float64(k-1),
		e:       s.zeroed(e) / float64((n-1)*(k-1)),
	}
}
