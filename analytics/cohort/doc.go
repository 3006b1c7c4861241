// Package cohort invents limbs with a known truth: a girth profile along the
// limb, a course of its volume over time, and a tape and a feeler that read
// them with error. It feeds the demonstration and the tests that ask how well
// what is computed from readings finds the truth again.
//
// Nothing here describes a real limb. Shapes and sizes are made up to look
// plausible; where a figure comes from a publication, the comment beside it
// says so.
//
// A true girth is always GirthMM of a Limb at a volume factor, and a volume
// factor is a product of what changes it:
//
//	rng := cohort.NewRand(7)
//	limb := cohort.NewLimb(rng, quantity.Transtibial, 1)
//	path := cohort.Path{{Kind: cohort.SlowLoss, Percent: 1}, {Kind: cohort.Seasonal, Percent: 0.4}}
//	factor := path.FactorAt(180) * cohort.DayToDay(rng, 0.8) * limb.RiseAfter(10)
//	readings := cohort.DefaultTape.Read(rng, limb, factor, girth.ProposeLevels(limb.Level, limb.InflectionMM), 2)
//
// The same seed gives the same limb and the same readings.
//
// # Cohorts
//
// A Draw is a cohort of such limbs in a known mix: Member gives one of them with
// the volumes that are read of it, Follow the same one girth by girth. Each limb
// has a source of randomness of its own, so that they can be drawn on any number
// of cores.
//
// How far to trust it: no real limb is in it, and it resembles what the method
// that is tried on it believes beforehand. The bias of a second fitter (3.7 %) is
// the one that the trend expects, the amounts and half-lives of early shrinkage
// are near those it expects, and so are the rates of wild readings and of steps.
// That flatters the method, early limbs most, and another seed does not take it
// away. What is found on a cohort also depends on the mix: a third of its limbs
// is steady.
package cohort

import "math/rand/v2"

// NewRand returns the source of randomness of one invented limb.
func NewRand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 0)) }
