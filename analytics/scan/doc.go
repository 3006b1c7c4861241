// Package scan takes a file of a scan the whole way: decoded by its content,
// the unit stated, cleaned, filled where something is missing, placed in a frame
// of the limb, measured. The command and the server both call it.
package scan
