package reliability

import (
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// tabled reads a data file with # comments; the first record is its heading.
func tabled(t *testing.T, file string) (heading []string, rows [][]string) {
	t.Helper()
	content, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.SplitSeq(strings.TrimSpace(string(content)), "\n") {
		switch cells := strings.Split(line, ","); {
		case strings.HasPrefix(line, "#"):
		case heading == nil:
			heading = cells
		default:
			rows = append(rows, cells)
		}
	}
	return heading, rows
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// published returns the values of a file of testdata/reference whose columns,
// after the subject, are raters or, with trials in them, rater_trial.
func published(t *testing.T, file string) []Value {
	t.Helper()
	heading, rows := tabled(t, "../../testdata/reference/"+file)
	var values []Value
	for _, row := range rows {
		for j, name := range heading[1:] {
			rater, trial, _ := strings.Cut(name, "_")
			v := Value{Subject: row[0], Rater: rater, Trial: 1, Value: number(t, row[j+1])}
			if trial != "" {
				v.Trial = int(number(t, trial))
			}
			values = append(values, v)
		}
	}
	return values
}

// live returns the figures that R gave; see testdata/README.md.
func live(t *testing.T) map[string][3]float64 {
	t.Helper()
	_, rows := tabled(t, "testdata/r_reference.csv")
	figures := map[string][3]float64{}
	for _, row := range rows {
		var f [3]float64
		for i := range f {
			f[i] = math.NaN()
			if row[i+1] != "NA" {
				f[i] = number(t, row[i+1])
			}
		}
		figures[row[0]] = f
	}
	return figures
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g ± %g", what, got, want, tolerance)
	}
}

// same holds a figure against one of R, to the ten digits that are stored.
func same(t *testing.T, what string, got Figure, want [3]float64) {
	t.Helper()
	if !got.Defined || !got.Bounded {
		t.Errorf("%s: got %+v, want %v", what, got, want)
		return
	}
	for i, x := range []float64{got.Value, got.Lo, got.Hi} {
		near(t, what+" "+[]string{"value", "lo", "hi"}[i], x, want[i], 1e-8*math.Max(1, math.Abs(want[i])))
	}
}

func analyse(t *testing.T, values []Value) Report {
	t.Helper()
	r, err := Analyse(values)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Shrout and Fleiss 1979, 6 targets by 4 judges: the mean squares 11.24, 6.26,
// 32.49 and 1.02 and the six correlations .17 .29 .71 .44 .62 .91 (data READ-2nd,
// six decimals COMPUTED, printed figures MEMORY), with the intervals that R gives.
func TestShroutFleiss(t *testing.T) {
	values := published(t, "shrout_fleiss_1979_icc.csv")
	s, _ := newSample(values, func(v Value) string { return v.Rater })
	m := s.newMeanSquares(s.complete())
	near(t, "BMS", m.between, 11.241667, 1e-6)
	near(t, "WMS", m.within, 6.263889, 1e-6)
	near(t, "JMS", m.judges, 32.486111, 1e-6)
	near(t, "EMS", m.e, 1.019444, 1e-6)
	r := analyse(t, values)
	want := live(t)
	for i, c := range r.ICC() {
		near(t, c.Name(), c.Value, []float64{.165742, .289764, .714841, .442797, .620051, .909316}[i], 1e-6)
		near(t, c.Name()+" as printed", c.Value, []float64{.17, .29, .71, .44, .62, .91}[i], 0.005)
		same(t, c.Name(), c.Figure, want["shrout-fleiss "+strings.Replace(c.Name(), ",", ";", 1)])
	}
	near(t, "TEM is √WMS", r.All.TEM.Value, math.Sqrt(6.2638888889), 1e-9)
	near(t, "SEM is √EMS", r.All.SEM.Value, math.Sqrt(1.0194444444), 1e-9)
	near(t, "SEM of agreement", r.All.SEMAgreement.Value, math.Sqrt(m.e+(m.judges-m.e)/6), 1e-9)
	for _, own := range r.ByRater {
		if own.TEM.Defined || own.TEM.Why != NoRepeats {
			t.Errorf("rater %s with one trial: TEM %+v, want none", own.Rater, own.TEM)
		}
	}
}

// Weir 2005, data set A: mean squares 2098.54, 30.25 and 57.107, SEM 7.6 as
// printed on page 236, MDC95 (READ-2nd; further digits COMPUTED). Trials of one
// rater and two raters of one trial are the same arithmetic.
func TestWeir(t *testing.T) {
	var trials, raters []Value
	_, rows := tabled(t, "../../testdata/reference/weir_2005_a.csv")
	for _, row := range rows {
		for j, cell := range row[1:] {
			v := Value{Subject: row[0], Rater: "one", Trial: j + 1, Value: number(t, cell)}
			trials = append(trials, v)
			v.Rater, v.Trial = strconv.Itoa(j), 1
			raters = append(raters, v)
		}
	}
	want := live(t)
	for name, r := range map[string]Report{"trials": analyse(t, trials), "raters": analyse(t, raters)} {
		near(t, name+" SEM as printed", r.All.SEM.Value, 7.6, 0.05)
		near(t, name+" MDC95", r.All.MDC95.Value, 20.946732, 1e-5)
		same(t, name+" SEM", r.All.SEM, want["weir sem"])
		same(t, name+" TEM", r.All.TEM, want["weir tem"])
		for _, c := range r.ICC() {
			same(t, name+" "+c.Name(), c.Figure, want["weir "+strings.Replace(c.Name(), ",", ";", 1)])
		}
	}
}

// Bland and Altman 1986, peak flow by two meters: bias −2.1, SD 38.8, limits
// −79.7 and 75.5 with 2 SD from the rounded figures (READ-2nd, printed figures
// MEMORY), within-subject SDs of the repeated readings 15.3 and 19.9, and with
// the means of both readings 33.2, corrected for their repetition to 37.7 (MEMORY).
func TestBlandAltman(t *testing.T) {
	r := analyse(t, published(t, "bland_altman_1986_pefr.csv"))
	want := live(t)
	pair := r.Between.Pairs[0]
	if pair.A != "large" || pair.B != "mini" || pair.First.N != 17 {
		t.Fatalf("pair %+v, want large against mini on 17 subjects", pair)
	}
	a := pair.First
	same(t, "bias", a.Bias, want["pefr bias"])
	same(t, "SD", a.SD, want["pefr sd"])
	same(t, "lower limit", a.Lower, want["pefr limit -1"])
	same(t, "upper limit", a.Upper, want["pefr limit 1"])
	same(t, "slope", a.Slope, want["pefr slope"])
	near(t, "limit with 2 SD", a.Bias.Value-2*a.SD.Value, -79.647907, 1e-5)
	near(t, "limit with 2 SD as printed", a.Bias.Value+2*a.SD.Value, 75.5, 0.1)
	if a.Growing {
		t.Error("the differences grow with size, which the slope's interval denies")
	}
	for i, name := range []string{"large", "mini"} {
		own := r.ByRater[i]
		same(t, name+" TEM", own.TEM, want["pefr "+name+" tem"])
		near(t, name+" TEM in percent", own.TEMPercent.Value, []float64{3.417565, 4.386498}[i], 1e-6)
		near(t, name+" R", own.Reliability.Value, []float64{0.982648, 0.967544}[i], 1e-6)
		near(t, name+" repeatability 1.96 √2 s", z95*math.Sqrt2*own.TEM.Value, []float64{42.427922, 55.190007}[i], 1e-5)
	}
	means := pair.Means
	near(t, "bias of the means", means.Bias.Value, -6.029412, 1e-6)
	near(t, "SD corrected for repetition as printed", means.SD.Value, 37.7, 0.06)
	if means.Repeated != 2 || r.Between.Trials != 2 {
		t.Errorf("means of %d, between of %d, want 2", means.Repeated, r.Between.Trials)
	}
}

// With three cells of Shrout and Fleiss missing, the errors are those of least
// squares (R's lm and anova) and the correlations those of the subjects left.
func TestMissingCells(t *testing.T) {
	full := published(t, "shrout_fleiss_1979_icc.csv")
	var values []Value
	for _, v := range full {
		if gone := v.Subject == "2" && v.Rater == "j1" || v.Subject == "3" && v.Rater == "j2" || v.Subject == "6" && v.Rater == "j4"; !gone {
			values = append(values, v)
		}
	}
	want := live(t)
	r := analyse(t, values)
	same(t, "SEM", r.All.SEM, want["holes sem"])
	same(t, "TEM", r.All.TEM, want["holes tem"])
	s, _ := newSample(values, func(v Value) string { return v.Rater })
	fit, _ := s.fitAdditive()
	near(t, "SS of raters", fit.columnSS, want["holes raters ss"][0], 1e-7)
	if r.Between.ICCSubjects != 3 || !r.ICC()[1].Bounded {
		t.Errorf("%d subjects in the correlations, want 3", r.Between.ICCSubjects)
	}
}

// NIST StRD Norris: certified coefficients and standard deviations of a straight
// line.
func TestLineOfNorris(t *testing.T) {
	_, rows := tabled(t, "../../testdata/reference/nist_strd_norris.csv")
	var x, y []float64
	for _, row := range rows {
		x, y = append(x, number(t, row[0])), append(y, number(t, row[1]))
	}
	l, ok := fitLine(x, y)
	if !ok || len(x) != 36 {
		t.Fatalf("no line through %d points", len(x))
	}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"B1", l.slope, 1.00211681802045}, {"B0", l.intercept, -0.262323073774029},
		{"sd B1", l.slopeSD, 4.29796848199937e-4}, {"sd B0", l.interceptSD, 0.232818234301152},
	} {
		near(t, c.name, c.got, c.want, 1e-9*math.Abs(c.want))
	}
}
