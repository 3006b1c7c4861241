package reliability_test

import (
	"fmt"
	"strings"

	"fairlead/analytics/quantity"
	"fairlead/analytics/reliability"
)

// Two fitters, two limbs, one value each.
func ExampleAnalyse() {
	report, err := reliability.Analyse([]reliability.Value{
		{Subject: "a", Rater: "A", Trial: 1, Value: 1147}, {Subject: "a", Rater: "B", Trial: 1, Value: 1171},
		{Subject: "b", Rater: "A", Trial: 1, Value: 980}, {Subject: "b", Rater: "B", Trial: 1, Value: 996},
		{Subject: "c", Rater: "A", Trial: 1, Value: 1320}, {Subject: "c", Rater: "B", Trial: 1, Value: 1340},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	pair := report.Between.Pairs[0].First
	fmt.Printf("TEM %.1f (%.2f %%)\n", report.All.TEM.Value, report.All.TEMPercent.Value)
	fmt.Printf("%s less %s: %.1f (%.1f to %.1f)\n", "A", "B", pair.Bias.Value, pair.Bias.Lo, pair.Bias.Hi)
	fmt.Println("rater A alone:", report.ByRater[0].TEM.Why)
	// Output:
	// TEM 14.3 (1.24 %)
	// A less B: -20.0 (-29.9 to -10.1)
	// rater A alone: no subject was measured twice
}

// A study is read, and what it leaves in force is asked for by date.
func ExampleInForce() {
	file, err := reliability.DecodeCSV(strings.NewReader(`subject,fitter,day,level_mm,pass,girth_mm
a,A,2026-05-04,0,1,320
a,A,2026-05-04,0,2,321
a,A,2026-05-04,30,1,335
a,A,2026-05-04,30,2,335
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, on := range []quantity.Date{"2026-05-03", "2026-05-04"} {
		e, err := reliability.InForce([]reliability.Study{file.Study}, on)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%s: %d studies, reading error %.2f mm\n", on, e.Studies, e.Sigmas.ReadingMM)
	}
	// Output:
	// 2026-05-03: 0 studies, reading error 2.00 mm
	// 2026-05-04: 1 studies, reading error 1.66 mm
}
