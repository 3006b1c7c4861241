// Package server is HTTP in and HTML out: the only floor that knows gin.
//
// routes.go is the whole table of routes; each names its action, and
// access.go says which roles may do an action. A route whose action is not in
// that table does not start. One action is one file, named for the thing and
// the verb: client_edit.go, checkin_save.go.
package server
