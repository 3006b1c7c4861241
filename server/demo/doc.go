// Package demo invents a workshop: people, some thirty clients, and two years
// of check-ins that end today.
//
// Stories is the table of the clients, one entry each. Their limbs and readings
// come from package cohort, so that the truth behind every reading is known,
// and everything is recorded through the same use cases as what a person types:
// flags come from the rules alone. The same table gives the same readings every
// time; only the dates follow the day on which it is told.
//
// Nobody in it is real. The telephone numbers are those that the numbering plan
// keeps for works of fiction.
package demo
