// Package volume works out the volume of a span of limb from its girths, how
// uncertain it is, and whether it has changed between two visits.
//
// The span is a row of truncated cones (frusta) between successive levels, each
// section taken as the circle of that girth. The distal end below the last
// level can be added as a cap, always as a figure of its own. The model of
// discs around mid-slice girths is not mixed in.
//
// A girth always gives at least the true area of a section (isoperimetric
// inequality), by 1.25 % for an ellipse of axis ratio 1.2; in a percent change
// this cancels as long as the shape stays similar. Between levels frusta are a
// little low where a limb bulges and a little high where it is waisted, so two
// visits are only compared on the same levels.
package volume
