package trend

import (
	"math"
	"slices"
)

// TheilSen returns the median of the slopes of all pairs of points (x, y) with
// different x (Theil 1950; Sen, J Am Stat Assoc 1968;63:1379), and whether there
// is such a pair. x must ascend. It panics when the lengths differ.
//
// Up to 1,000 points all slopes are compared; beyond that the middle slope is
// closed in by counting, to a relative 1e-12, so that neither time nor space
// grows with the square.
func TheilSen(x, y []float64) (slope float64, ok bool) {
	if len(x) != len(y) {
		panic("trend: Theil–Sen of unequal lengths")
	}
	const few = 1_000
	if len(x) > few {
		return countedTheilSen(x, y)
	}
	slopes := make([]float64, 0, len(x)*(len(x)-1)/2+1)
	for j := range x {
		for i := range j {
			if x[j] > x[i] {
				slopes = append(slopes, (y[j]-y[i])/(x[j]-x[i]))
			}
		}
	}
	n := len(slopes)
	if n == 0 {
		return 0, false
	}
	upper := nth(slopes, n/2)
	if n%2 == 1 {
		return upper, true
	}
	lower := slopes[0]
	for _, s := range slopes[1 : n/2] {
		lower = max(lower, s)
	}
	return (lower + upper) / 2, true
}

// nth puts the k-th smallest value (from 0) in its place, none larger before it
// and none smaller behind it, and returns it: Hoare's selection with the median
// of three as pivot.
func nth(values []float64, k int) float64 {
	lo, hi := 0, len(values)-1
	for lo < hi {
		a, b, c := values[lo], values[lo+(hi-lo)/2], values[hi]
		pivot := math.Max(math.Min(a, b), math.Min(math.Max(a, b), c))
		i, j := lo, hi
		for i <= j {
			for values[i] < pivot {
				i++
			}
			for values[j] > pivot {
				j--
			}
			if i <= j {
				values[i], values[j] = values[j], values[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return values[k]
		}
	}
	return values[k]
}

// countedTheilSen finds the middle slopes by bisection on how many slopes are
// smaller, which is how many pairs change their order in y − slope·x.
func countedTheilSen(x, y []float64) (float64, bool) {
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case x[a] != x[b]:
			return a - b
		case y[a] < y[b]:
			return -1
		case y[a] > y[b]:
			return 1
		}
		return 0
	})
	c := counter{x: x, y: y, order: order, values: make([]float64, len(x)), spare: make([]float64, len(x))}
	least, pairs := math.Inf(1), 0
	for start := 0; start < len(x); {
		end := start + 1
		for end < len(x) && x[end] == x[start] {
			end++
		}
		pairs += (end - start) * start
		if start > 0 {
			least = math.Min(least, x[start]-x[start-1])
		}
		start = end
	}
	if pairs == 0 {
		return 0, false
	}
	bound := (slices.Max(y)-slices.Min(y))/least + 1
	upper := c.nth(pairs/2, bound)
	if pairs%2 == 1 {
		return upper, true
	}
	return (c.nth(pairs/2-1, bound) + upper) / 2, true
}

// counter counts pairs of points by slope.
type counter struct {
	x, y          []float64
	order         []int
	values, spare []float64
}

// nth returns the k-th smallest slope (from 0), which lies within ±bound.
func (c *counter) nth(k int, bound float64) float64 {
	lo, hi := -bound, bound
	for hi-lo > 1e-12*math.Max(math.Max(math.Abs(lo), math.Abs(hi)), 1e-6) {
		mid := lo + float64((hi-lo)/2)
		if c.below(mid) > k {
			hi = mid
		} else {
			lo = mid
		}
	}
	return lo + float64((hi-lo)/2)
}

// below counts the pairs with a smaller slope. Points of one x stand by their
// y, so that they never count.
func (c *counter) below(slope float64) int {
	for i, k := range c.order {
		c.values[i] = c.y[k] - float64(slope*c.x[k])
	}
	return inversions(c.values, c.spare)
}

// inversions sorts the values and returns how many pairs stood the wrong way.
func inversions(values, spare []float64) int {
	n := len(values)
	if n < 2 {
		return 0
	}
	half := n / 2
	count := inversions(values[:half], spare[:half]) + inversions(values[half:], spare[half:])
	i, j := 0, half
	for k := range n {
		if j == n || i < half && values[i] <= values[j] {
			spare[k] = values[i]
			i++
		} else {
			count += half - i
			spare[k] = values[j]
			j++
		}
	}
	copy(values, spare[:n])
	return count
}
