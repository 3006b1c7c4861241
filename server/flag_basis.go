package server

import (
	"time"

	"fairlead/analytics/quantity"
	"fairlead/server/followup"
)

// saidBasis is one sentence of how what a flag rests on stands now, with the
// address of a check-in that was corrected, or none.
type saidBasis struct{ Sentence, Link string }

// basis puts how what a flag rests on stands now into words, for days in a zone.
// It closes nothing: the flag stays open until its owner closes it.
func (y sayer) basis(b followup.Basis, zone *time.Location) []saidBasis {
	var said []saidBasis
	if b.NotFound {
		said = append(said, saidBasis{Sentence: y.text("flag.not-found")})
	}
	for _, c := range b.Corrected {
		said = append(said, saidBasis{
			Sentence: y.text("flag.corrected", "On", y.date(quantity.DateOf(c.EnteredAt.In(zone)))), Link: checkinPath(c.ClientID, c.ID),
		})
	}
	return said
}
