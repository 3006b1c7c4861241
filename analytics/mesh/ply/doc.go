// Package ply reads and writes PLY (G. Turk, The PLY Polygon File Format, 1994):
// text and both byte orders, properties and elements of any kind beside the
// places of the vertices and the corners of the faces, polygons.
package ply
