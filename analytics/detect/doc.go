// Package detect holds the simple rules by which a change of limb volume is
// commonly found, to be compared with the trend on the same limbs: a fixed
// percentage, the same on two visits in a row, the difference in units of its
// own error, and the control charts EWMA and CUSUM.
//
// Every rule takes the visits of one limb one after the other and says of each
// how far out it is; a rule is out when that is beyond its threshold, to either
// side. The score does not depend on the threshold, so that one run over a
// cohort serves to choose the thresholds that give the same rate of false
// alarms.
//
// All of them take the visits as equally spaced, and none knows fitters, slips
// or how a young limb shrinks.
package detect
