// Package form turns what a person typed into values, and values back into
// what a person reads.
//
// A Reader takes the texts of a form by field name. Each of its methods reads
// one field, gives the value, and notes a Problem when the text does not say
// one; it never stops at the first. An empty field is no problem: it reads as
// nil, "" or the zero value, and Require names the fields that must be filled.
//
//	r := form.New(form.FromPost(post), form.Options{Unit: quantity.Centimetre, Now: now, Zone: zone})
//	r.Require("name")
//	name := r.Text("name", 200)
//	girth := r.Girth("residual.0.1")
//	if problems := r.Problems(); problems.Any() { /* show the same page again */ }
//
// Nothing is guessed. A text that can be read in two ways ("1,234" or
// "4/5/2026") is asked about, and so is a girth that looks like another unit
// ("334" in a field of centimetres).
//
// A Problem is a code and its figures; the words stand in the catalogue
// web/text/en/problems.json under the same code. What was typed stays with the
// caller, word for word, to be shown again.
package form
