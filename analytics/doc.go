// Package analytics is the root of what Fairlead computes. It holds no code;
// this page fixes what all packages below it agree on.
//
// # Frame
//
// A limb is measured along its long axis. The zero landmark is a palpable
// point named by the measuring plan; a level is the distance from it, in
// millimetres, positive towards the distal end. Sides of a section are named
// anterior, posterior, medial and lateral, never by an angle alone.
//
// # Units
//
// Lengths, girths and gaps are millimetres, volumes millilitres, ratios are
// plain numbers and percentages say so in their names. Every number carries
// its unit in its name (GirthMM, VolumeML, IntervalPercent). Package quantity
// holds the exact conversions and the fixed vocabularies.
//
// # Uncertainty
//
// A field named U… is a standard uncertainty (one standard deviation) in the
// unit of the value beside it. An interval is the central 95 % unless its name
// says otherwise, and uses the normal quantile 1.959964.
//
// # Errors
//
// Data that a person can type or a file can hold wrongly gives an error that
// says what is wrong and where. A broken precondition that only a programmer
// can cause (unequal slice lengths, an unknown enumeration value) panics.
//
// # Purity
//
// No package here reads a clock, a file, the network, a database or a global
// source of randomness; whoever calls passes dates and seeds in. The same
// input gives the same result on every machine.
package analytics
