// Package quantity holds the lengths, dates and fixed vocabularies of the
// trade that every other package shares. It is a leaf: it imports nothing of
// this module, and both the store and the analytics use it, so that a unit or
// a word exists once.
package quantity
