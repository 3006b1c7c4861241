// Package geom holds the vectors of three-dimensional space that meshes,
// sections and registrations are made of. Lengths are millimetres.
//
// Products are rounded one by one: an explicit conversion keeps the compiler
// from fusing a multiplication with an addition, so that the same input gives
// the same result on every machine.
package geom
