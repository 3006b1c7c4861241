// Package trial tries the trend and the rules on it on simulated limbs whose
// truth is known, beside the simple rules that are commonly used, and counts how
// well each does.
//
// # What is counted
//
// False flags are those of steady limbs, per 100 years of follow-up. A flag counts
// once when it opens; a rule on a probability closes at half of it, a simple rule
// as soon as its figure is back inside. All rules are compared at the same rate of
// them: the threshold of each is found on steady limbs (calibrate).
//
// A loss is found at a mark when the rule has spoken for a loss by the first visit
// at which the limb, losing 1 % a month, has truly lost so much; half of these
// limbs begin to lose at the first visit, half up to nine months later. A step is
// found when the rule speaks at the first visit after it, by the next or by the one
// after that. What a rule says of the other direction finds nothing.
//
// Truth is the level without the day-to-day part. Intervals are held against it
// at each visit, forecasts at their horizon.
//
// The default flags are counted by another way: each limb is read girth by girth,
// with a doffing time and visits left out, and assess.Assess is asked after each
// visit, as the page does, with a second round where the check-in asks for one
// (Flags).
//
// # How far to trust it
//
// As far as the limbs: see package cohort. The settings of the trend were chosen
// on limbs of this kind, and it knows beforehand what they are like.
package trial
