// Package token reads the words and numbers of text files of meshes, a window
// at a time: a file of any size takes the memory of one window.
package token
