package server

// The longest texts of the record, in characters.
const (
	longestName = 120
	longestLine = 200
	longestNote = 5000
)

// The passes that a plan can ask for. There is always room for the third
// reading that a pair apart needs.
const (
	fewestPasses = 1
	mostPasses   = 5
)
