// Package girth holds tape readings of a limb: it pools the passes at each
// level into a profile along the limb, interpolates inside the span that was
// measured, and reads the long CSV form in which girths are exchanged.
//
// A reading is one girth at one level in one pass. Every raw reading is kept by
// whoever calls; what this package returns is derived from them.
package girth
