package server

import "fairlead/analytics/quantity"

// The longest texts of the record, in characters.
const (
	longestName = 120
	longestLine = 200
	longestNote = 5000
)

// The passes that a plan can ask for: those of a round. There is always room for
// the third reading that a pair apart needs. Plans made before there were rounds may
// ask for more.
const (
	fewestPasses  = 1
	mostPasses    = quantity.PassesPerRound
	mostOldPasses = 5
)
