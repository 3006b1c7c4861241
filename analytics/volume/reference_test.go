package volume

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"fairlead/analytics/girth"
)

// seriesA is the limb of the check values: six levels every 30 mm, two passes
// that agree.
var seriesA = profileOf(30, 320, 335, 330, 310, 285, 250)

// profileOf returns a profile from the landmark on, two equal passes per level.
func profileOf(spacingMM float64, girthsMM ...float64) girth.Profile {
	var readings []girth.Reading
	for i, g := range girthsMM {
		for pass := 1; pass <= 2; pass++ {
			readings = append(readings, girth.Reading{LevelMM: float64(i) * spacingMM, Pass: pass, GirthMM: g})
		}
	}
	p, err := girth.Pool(readings)
	if err != nil {
		panic(err)
	}
	return p
}

// checkValue is one row of the file of check values.
type checkValue struct{ expected, tolerance float64 }

// checkValues reads limb_geometry_checks.csv (COMPUTED from geometry).
func checkValues(t *testing.T) map[string]checkValue {
	t.Helper()
	f, err := os.Open("../../testdata/reference/limb_geometry_checks.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	values := make(map[string]checkValue)
	for _, row := range rows[1:] {
		expected, err1 := strconv.ParseFloat(row[2], 64)
		tolerance, err2 := strconv.ParseFloat(row[3], 64)
		if err1 != nil || err2 != nil {
			t.Fatalf("check value %q: %v %v", row[0], err1, err2)
		}
		values[row[0]] = checkValue{expected, tolerance}
	}
	return values
}

func total(t *testing.T, p girth.Profile) float64 {
	t.Helper()
	e, err := Measure(p, DefaultSigmas)
	if err != nil {
		t.Fatal(err)
	}
	return e.VolumeML
}

func capOf(t *testing.T, kind string, girthMM, depthMM float64) float64 {
	t.Helper()
	v, err := Cap(capKind(kind), girthMM, depthMM)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// Every row of the file that this package can answer is asked, so that a row
// added there fails here until it is.
func TestGeometryCheckValues(t *testing.T) {
	values := checkValues(t)
	segments, _ := frusta(seriesA.Levels(), seriesA.Girths())
	got := map[string]float64{
		"G01":   Frustum(300, 300, 100),
		"G02":   Frustum(300, 0, 100),
		"G03":   Frustum(360, 300, 50),
		"G04":   Frustum(320, 280, 40),
		"G05":   total(t, seriesA),
		"G06":   total(t, profileOf(30, 315, 330, 325, 305, 280, 245)),
		"G06p":  100 * (total(t, profileOf(30, 315, 330, 325, 305, 280, 245))/total(t, seriesA) - 1),
		"G07":   total(t, profileOf(30, 360, 330, 300, 270, 240)),
		"G08":   total(t, profileOf(150, 320, 250)),
		"G09":   discOracle(seriesA.Girths(), 30),
		"G10":   trapezoidOracle(seriesA.Girths(), 30),
		"G11":   capOf(t, "semi-ellipsoid", 250, 250/(2*math.Pi)), // of depth r it is the hemisphere
		"G12_2": capOf(t, "semi-ellipsoid", 250, 20),
		"G13_2": capOf(t, "paraboloid", 250, 20),
		"G14_2": capOf(t, "cone", 250, 20),
		"G15_2": sphereSegmentOracle(250, 20),
		"G12_3": capOf(t, "semi-ellipsoid", 250, 30),
		"G13_3": capOf(t, "paraboloid", 250, 30),
		"G14_3": capOf(t, "cone", 250, 30),
		"G15_3": sphereSegmentOracle(250, 30),
		"G16":   total(t, seriesA) + capOf(t, "semi-ellipsoid", 250, 30),
	}
	for i, s := range segments {
		got["G05"+string(rune('a'+i))] = s.VolumeML
	}
	for id, want := range values {
		g, ok := got[id]
		switch {
		case ok && math.Abs(g-want.expected) > want.tolerance:
			t.Errorf("%s = %.9f, want %.9f ± %g", id, g, want.expected, want.tolerance)
		case !ok && !strings.HasPrefix(id, "G2"):
			t.Errorf("check value %s is not asked for", id)
		}
	}
}

// The models that the program does not mix in, as oracles: they stay close to
// the frusta on series A, and a wrong frustum would not.
func discOracle(girthsMM []float64, h float64) float64 {
	v := 0.0
	for i := range len(girthsMM) - 1 {
		mid := (girthsMM[i] + girthsMM[i+1]) / 2
		v += h * mid * mid / (4 * math.Pi) / 1000
	}
	return v
}

func trapezoidOracle(girthsMM []float64, h float64) float64 {
	v := 0.0
	for i := range len(girthsMM) - 1 {
		a, b := girthsMM[i], girthsMM[i+1]
		v += h * (a*a + b*b) / (8 * math.Pi) / 1000
	}
	return v
}

func sphereSegmentOracle(girthMM, d float64) float64 {
	r := girthMM / (2 * math.Pi)
	return math.Pi * d * (3*r*r + d*d) / 6 / 1000
}

func TestOraclesBracketTheFrusta(t *testing.T) {
	g := seriesA.Girths()
	disc, frustum, trapezoid := discOracle(g, 30), total(t, seriesA), trapezoidOracle(g, 30)
	if !(disc < frustum && frustum < trapezoid) {
		t.Errorf("disc %g, frusta %g, trapezoid %g; want ascending", disc, frustum, trapezoid)
	}
}
