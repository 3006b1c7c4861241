package server

import (
	"fairlead/server/followup"
)

// whoseTape says where the uncertainties of the tape come from: from common
// practice, or from a study of the workshop's own.
func (y sayer) whoseTape(t followup.TapeError) string {
	u := t.Use
	if u == nil {
		return y.text("tape.defaults")
	}
	id := "tape.own"
	if u.WithdrawnAt != nil {
		id = "tape.own-withdrawn"
	}
	return y.text(id, "On", y.date(u.HeldOn), "Limbs", y.text("tape.limbs", "Count", u.Limbs),
		"Fitters", y.text("tape.fitters", "Count", u.Fitters), "By", u.TakenBy, "Taken", y.day(u.TakenAt))
}

// sigmaDecimals are those that the uncertainties of a study keep, in mm; shares of
// girth keep as many in percent and one more.
const sigmaDecimals = 2

// sigmaMM says a standard uncertainty of the tape with all its decimals.
func (y sayer) sigmaMM(mm float64) string { return y.upTo(mm, sigmaDecimals) + narrow + "mm" }

// sigmaPercent says one that is a share of girth, in percent.
func (y sayer) sigmaPercent(share float64) string { return y.upTo(100*share, sigmaDecimals+1) }
