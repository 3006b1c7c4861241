// Package stl reads and writes STL, as text and in binary (3D Systems,
// StereoLithography Interface Specification, 1989). Normals, names and
// attribute bytes are not used: a face is turned by its corners alone.
package stl
