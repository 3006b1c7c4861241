package chart

import (
	"strconv"
	"strings"
	"time"
)

// SparkPoint is one visit of a sparkline: the volume change since the
// reference in percent and its 95 % interval.
type SparkPoint struct {
	At                            time.Time
	Percent, LoPercent, HiPercent float64
}

// Spark is a small course as figures for the template "spark". Coordinates are
// in the units of its view box, Width by Height.
type Spark struct {
	Width, Height float64
	Band          string    // polygon of the interval, empty for fewer than two points
	Line          string    // polyline, empty for fewer than two points
	LastX, LastY  float64   // the newest point
	Limits        []float64 // heights of the limit lines
}

// The view box of a sparkline, in CSS pixels, and what its marks need at the
// edge.
const (
	sparkWidth  = 100.0
	sparkHeight = 32.0
	sparkEdge   = 3.0
)

// Sparkline draws points in ascending time on a true time axis, with the same
// range of percent as the volume panel of a Course. limitsPercent are drawn as
// dashes. ok is false when there is no point to draw. Points must be finite.
func Sparkline(points []SparkPoint, limitsPercent []float64) (spark Spark, ok bool) {
	if len(points) == 0 {
		return Spark{}, false
	}
	lo, hi := 0.0, 0.0
	for _, p := range points {
		lo, hi = min(lo, p.LoPercent, p.Percent), max(hi, p.HiPercent, p.Percent)
	}
	for _, l := range limitsPercent {
		lo, hi = min(lo, l), max(hi, l)
	}
	s := changeScale(lo, hi)
	first, last := points[0].At, points[len(points)-1].At
	x := func(t time.Time) float64 {
		if !last.After(first) {
			return sparkWidth - sparkEdge
		}
		return sparkEdge + (sparkWidth-2*sparkEdge)*float64(t.Sub(first))/float64(last.Sub(first))
	}
	y := func(percent float64) float64 {
		percent = min(max(percent, s.min), s.max)
		return tenth(sparkEdge + (sparkHeight-2*sparkEdge)*(s.max-percent)/(s.max-s.min))
	}
	spark = Spark{Width: sparkWidth, Height: sparkHeight, LastX: tenth(x(last)), LastY: y(points[len(points)-1].Percent)}
	for _, l := range limitsPercent {
		spark.Limits = append(spark.Limits, y(l))
	}
	if len(points) > 1 {
		n := len(points)
		middle, band := make([]string, n), make([]string, 2*n)
		for i, p := range points {
			middle[i] = pair(x(p.At), y(p.Percent))
			band[i], band[2*n-1-i] = pair(x(p.At), y(p.HiPercent)), pair(x(p.At), y(p.LoPercent))
		}
		spark.Line, spark.Band = strings.Join(middle, " "), strings.Join(band, " ")
	}
	return spark, true
}

// tenth rounds a coordinate to a tenth of a pixel.
func tenth(v float64) float64 { return float64(int(v*10+0.5)) / 10 }

// pair writes one point of a polyline.
func pair(x, y float64) string {
	return strconv.FormatFloat(x, 'f', 1, 64) + "," + strconv.FormatFloat(y, 'f', 1, 64)
}
