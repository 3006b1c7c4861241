package trend_test

import (
	"fmt"

	"fairlead/analytics/quantity"
	"fairlead/analytics/trend"
)

// A limb that loses some 0.8 % a month, seen by one fitter.
func ExampleRun() {
	var visits []trend.Visit
	for i, ml := range []float64{1210, 1198, 1187, 1179, 1160, 1152, 1139} {
		visits = append(visits, trend.Visit{
			Date: quantity.Date("2024-01-10").AddDays(42 * i), VolumeML: ml, UML: 18,
			Source: trend.SourceOf("tape", "Ash", ""),
		})
	}
	r, err := trend.Run(visits, trend.Options{LimitPercent: -8})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("change %.1f %% (%.1f to %.1f)\n", r.Change.Estimate, r.Change.Lo, r.Change.Hi)
	fmt.Printf("a loss of more than 3 %%: %.2f\n", r.LossOver3)
	fmt.Printf("8 %% passed within %d days: %.2f\n", r.Forecast.HorizonDays, r.Forecast.Probability)
	fmt.Printf("a gain of 5 %% passed: %.2f\n", r.Crossing(5).Probability)
	fmt.Println(r.Steadiness.Verdict)
	// Output:
	// change -5.1 % (-8.9 to -1.2)
	// a loss of more than 3 %: 0.86
	// 8 % passed within 182 days: 0.52
	// a gain of 5 % passed: 0.00
	// not shown to be steady
}

// A filter takes visit after visit, is asked in between and used again for the
// next limb, without allocating.
func ExampleFilter() {
	f, err := trend.NewFilter(trend.DefaultSettings())
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, ml := range []float64{1210, 1222, 1204, 1209, 1113} {
		if err := f.Add(trend.Reading{Day: 42 * float64(i), Value: ml, U: 17}); err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%.2f %v\n", f.Loss(3), f.MeasureAgain())
	}
	// Output:
	// 0.00 false
	// 0.00 false
	// 0.02 false
	// 0.02 false
	// 0.56 true
}
