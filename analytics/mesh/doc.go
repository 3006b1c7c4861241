// Package mesh holds surfaces of triangles as scanners write them, and cleans
// them: corners at the same place become one vertex, faces that are not there
// or there twice go, pieces that float about are dropped, the rest is turned
// outward, and the rims of what is missing are found. Every repair is counted.
//
// # Numbers
//
// Coordinates are float64. A binary file holds float32, which float64 keeps
// exactly, but a text file or a PLY of doubles holds more digits than float32,
// and volumes are promised to 1e-9. It costs 12 bytes a vertex: of a million
// triangles 6 MB more, where 156 MiB is what a general library needs for the
// same work. Corners are numbered by int32: half the memory of int, and far
// above DefaultFaces.
//
// # Orientation
//
// The corners of a face run counter-clockwise seen from outside. Clean makes
// this so; volumes and sections rely on it.
//
// # Limits and errors
//
// Decoders below this package stream. They hold what they read and never more
// because of a count in a header; what is wrong with a file is a *Fault, which
// says what to do. The same file gives the same mesh on every machine.
package mesh
