// Package format reads a mesh in whichever of the known formats it is, told by
// its content and never by its name.
package format
