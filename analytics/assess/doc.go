// Package assess is the spine of the follow-up: the whole history of one limb
// goes in, findings with their evidence come out. The page, the flags and the
// simulations all call the same functions.
//
// # What a finding is
//
// A finding is a claim about the newest visit: which rule spoke, how urgent it
// is, with which figures, against which limit and who set that limit, what to
// look at first and who may close it. It never proposes a sock, a socket size
// or a relief, and limb and cover never share one.
//
// What a client reports gives findings too, by rules of its own (AssessReport).
// They rest on the report, stand beside what was measured and never change it,
// and no report is without one.
//
// # Order
//
// Skin and safety come first and need no arithmetic (see Safety). A limit that
// nobody has set stands at a starting value and says so; the starting values
// are common practice or built on published figures, as the comment at each
// constant tells by its row in the domain notes (V, K, S, P, M).
//
// # Silence
//
// No finding means that no value lies outside the limits. It doesn't mean that
// the limb or the cover is well: what was not looked at can't be found.
package assess
