// Package obj reads the polygons of Wavefront OBJ (Advanced Visualizer Manual,
// appendix B1, 1995). Materials, groups, normals, textures, lines and curved
// surfaces are passed over. No other file is ever opened, whatever the file
// names.
package obj
