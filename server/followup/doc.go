// Package followup holds the use cases: it reads the record, hands it to the
// analytics, and keeps what follows from it. Whoever calls decides who may do
// what; here is what happens when they do.
//
// It knows the record (models) and the arithmetic (analytics), and neither
// pages nor words: what it returns are figures and codes.
package followup
