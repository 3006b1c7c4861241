// Package section cuts a surface across an axis: the girth that a tape would
// read, the length of the contour, the area and its middle at each level, and
// the solid beyond a level.
//
// # Girth
//
// A tape bridges hollows, so the girth is the perimeter of the convex hull of
// the section. The length of the contour, which follows every hollow and every
// roughness, stands beside it.
//
// # Damage
//
// Where the surface is missing, the section goes along the filling, or straight
// where there is none, and says how wrong it may be. The bound takes the
// missing piece for at most the half circle over the chord of each gap: right
// for every surface that is nowhere bent more sharply than the gap is wide.
//
// # Ties
//
// A vertex exactly on a level counts as beyond it, wherever it is looked at, so
// that sections through vertices, edges and whole faces are closed lines too.
package section
