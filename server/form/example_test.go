package form_test

import (
	"fmt"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/server/form"
)

// A bench form with two good fields and two that must be typed again.
func Example() {
	now := time.Date(2026, 11, 25, 10, 0, 0, 0, time.UTC)
	r := form.New(map[string]string{
		"on":      "25.11.2026",
		"0 mm":    "33,4",
		"30 mm":   "334",
		"comfort": "eleven",
	}, form.Options{Unit: quantity.Centimetre, Now: now})

	on := r.DateNotFuture("on")
	girth := r.Girth("0 mm")
	r.Girth("30 mm")
	r.Int("comfort", 0, 10)

	fmt.Println(form.FormatDate(on, "en"), form.Format(*girth, quantity.Millimetre, false), "mm")
	for _, problem := range r.Problems() {
		fmt.Println(problem.Field, problem.Code, problem.Args["Suggestion"])
	}
	// Output:
	// 25 November 2026 334 mm
	// 30 mm problem.girth-unit 33.4
	// comfort problem.number <nil>
}
