// Package table reads tables in CSV as people and spreadsheets write them: a
// heading, then rows.
//
// Columns are separated by commas or semicolons; a decimal comma is understood
// between semicolons. A byte order mark, CRLF, blank lines, lines that start
// with # and the empty columns a spreadsheet leaves behind are fine. Columns may
// come in any order and are found by their names, in small or capital letters.
//
// What is wrong is gathered by line, each with what to do, so that a file can
// be mended in one go.
package table
