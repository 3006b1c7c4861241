// Package clearance judges the air between a cover and what is inside it, and
// the change of room inside a socket.
//
// The two are different things and share no result: a gap between cover and
// socket depends on the mount and the shell, the room in the socket depends on
// limb, liner and socks.
//
// Gaps are always millimetres. No published limit for the clearance of a shell
// cover was found; the starting limits are common practice and say so, until a
// person sets others.
package clearance
