// Package trend follows a limb's volume over irregular visits: how far it is
// from where it was at the first visit, how fast it moves, where it may be in
// some weeks, and how sure each of these is.
//
// # Model
//
// Work is done on y = 100 ln(volume), so that differences are log-percent. The
// state holds the change δ since the first visit, its slope β, the day-to-day
// deviation d, the level μ0 at the first visit, for an early limb the amplitude
// A of a shape of shrinkage, and one lasting offset b for each further source (a
// method in the hands of a fitter with a device):
//
//	y = δ + d + μ0 + A-part in δ + b(source) + e,  e ~ N(0, u²)
//
// The slope is a mean-reverting process (Ornstein–Uhlenbeck), so that forecasts
// flatten; the deviation is one too, with a memory of two days, so that a tape
// and a scan of one day share it and the next visit does not. The baseline is
// the state at the first visit, learned from all visits, never the one noisy
// first volume.
//
// # Mixture
//
// How much slope and deviation vary is not known of a limb. A Kalman filter runs
// for each of four settings (twelve for an early limb, where three shapes
// compete), and every reading may be ordinary, wild, or the first after a step.
// All are weighed by how well they predicted: the multi-process filter of
// Harrison and Stevens (1976) with one visit of memory of the labels, merged by
// moments as in the second-order generalised pseudo-Bayes filter. There is no
// optimiser, no randomness and no tuning per limb: with three to eight visits
// the most likely variance is often none at all, and its intervals far too
// narrow.
//
// # Sameness
//
// Sums run in a fixed order, and products are rounded before they are added,
// so that no processor fuses the two; only exp, log and erfc may differ between
// machines, in the last bit. This prints nothing as long as that holds:
//
//	GOARCH=arm64 go build -a -gcflags=fairlead/analytics/trend=-S ./analytics/trend 2>&1 | grep -E 'FN?M(ADD|SUB)D'
//
// # Limits of the method
//
// An interval that knows only the data is right on average over the kinds of
// limb there may be, not within each kind: with four visits a limb that loses
// 1 % a month can't be told from a steady one. A slip of 8 to 15 % at the very
// first visit stays, as no later visit can tell it from a step just after: take
// two full passes there. The settings were chosen on simulated limbs.
package trend
