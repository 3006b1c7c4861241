// Package web holds what the browser gets that is not data: the templates, the
// style sheet, fonts and scripts, and the catalogue of everything that is said.
// It all lives inside the binary.
//
// A [Renderer] turns a page name, a language and a page struct into HTML. The
// page structs belong to the server; templates/README.md says which fields the
// layouts read. [Asset] gives the address of a static file and [Static] serves
// it.
package web

import (
	"embed"
	"io/fs"
)

//go:embed templates static text
var embedded embed.FS

// Templates holds the folders layout, partials and pages.
var Templates = folder("templates")

// folder returns one of the embedded folders. Its name is always one of those
// in the embed directive, so that an error is a programmer's mistake.
func folder(name string) fs.FS {
	sub, err := fs.Sub(embedded, name)
	if err != nil {
		panic(err)
	}
	return sub
}
