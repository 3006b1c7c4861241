package chart

import (
	"encoding/json"
	"math"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
	"github.com/go-echarts/go-echarts/v2/types"
)

// AgreementPoint is what two fitters or methods gave for one limb.
type AgreementPoint struct {
	Mean, Difference float64
	Words            []string // told at the point, the limb first
}

// AgreementLine is the bias or a limit of agreement, with its words.
type AgreementLine struct {
	At    float64
	Words string
	Heavy bool // the bias
}

// Agreement is a plot of differences against means (Bland and Altman 1986).
type Agreement struct {
	Points      []AgreementPoint
	Lines       []AgreementLine
	MeanName    string // of the axes, with their units
	Difference  string
	Description string // one paragraph made from the data, for those who can't see it
}

// AgreementPX is the height that the plot is laid out for, in CSS pixels.
const AgreementPX = 320

// Option lays the plot out. The error is ErrEmpty without a point.
func (a Agreement) Option() (json.RawMessage, error) {
	if len(a.Points) == 0 {
		return nil, ErrEmpty
	}
	chart := charts.NewLine()
	chart.SetGlobalOptions(
		charts.WithAnimation(false),
		charts.WithLegendOpts(opts.Legend{Show: opts.Bool(false)}),
		charts.WithTooltipOpts(opts.Tooltip{Show: opts.Bool(true), Trigger: "item", Formatter: "{b}"}),
		charts.WithAriaOpts(&opts.Aria{Enabled: opts.Bool(true), Label: &opts.AriaLabel{Description: a.Description}}),
	)
	across, up := a.scales()
	chart.GridList = []opts.Grid{{Left: "52", Right: "16", Top: "34", Bottom: "46", ContainLabel: opts.Bool(false)}}
	chart.XAxisList = []opts.XAxis{valueAxis(across, a.MeanName)}
	chart.YAxisList = []opts.YAxis{{
		Type: "value", Show: opts.Bool(false), Min: up.min, Max: up.max,
		AxisLabel: &opts.AxisLabel{}, SplitLine: &opts.SplitLine{Show: opts.Bool(false)},
	}}
	chart.MultiSeries = charts.MultiSeries{a.lines(across, up), a.points()}
	empty := map[string]any{}
	heading := map[string]any{
		"text": a.Difference, "left": 0, "top": 0, "padding": 0,
		"textStyle": map[string]any{"color": soft, "fontSize": fontPX, "fontWeight": "normal"},
	}
	return encode(chart, house{headings: []any{heading}, narrow: empty, wide: empty, broad: empty})
}

func valueAxis(s scale, name string) opts.XAxis {
	return opts.XAxis{
		Type: "value", Min: s.min, Max: s.max, Name: name, NameLocation: "middle", NameGap: 28, SplitNumber: 4,
		AxisLine:  &opts.AxisLine{Show: opts.Bool(true), OnZero: opts.Bool(false), LineStyle: &opts.LineStyle{Color: then}},
		AxisLabel: &opts.AxisLabel{Show: opts.Bool(false)},
		SplitLine: &opts.SplitLine{Show: opts.Bool(false)},
	}
}

// scales cover the means, and the differences with their limits and zero.
func (a Agreement) scales() (across, up scale) {
	loX, hiX, loY, hiY := math.Inf(1), math.Inf(-1), 0.0, 0.0
	for _, p := range a.Points {
		loX, hiX = min(loX, p.Mean), max(hiX, p.Mean)
		loY, hiY = min(loY, p.Difference), max(hiY, p.Difference)
	}
	for _, l := range a.Lines {
		loY, hiY = min(loY, l.At), max(hiY, l.At)
	}
	return roundScale(loX, hiX), roundScale(loY, hiY)
}

// roundScale covers lo to hi with ends on round steps and room at both ends.
func roundScale(lo, hi float64) scale {
	const steps = 4
	span := hi - lo
	if span <= 0 {
		span = math.Max(math.Abs(lo)/10, 1)
	}
	step := math.Pow(10, math.Floor(math.Log10(span/steps)))
	for _, times := range []float64{2, 2.5, 2} {
		if span/step > steps {
			step *= times
		}
	}
	const room = 0.25 // of a step
	return scale{step * math.Floor(lo/step-room), step * math.Ceil(hi/step+room), step}
}

// lines draws ticks, bias and limits across the plot, with their words.
func (a Agreement) lines(across, up scale) charts.SingleSeries {
	s := joined("limits", 0, nil, ink, "solid")
	s.MarkLines = &opts.MarkLines{MarkLineStyle: opts.MarkLineStyle{Symbol: []string{"none", "none"}}}
	for _, tick := range across.ticks() { // an axis of its own would write 1,000
		s.MarkLines.Data = append(s.MarkLines.Data, mark{
			Name: signed(tick, false), XAxis: tick,
			Label:     &markLabel{Show: true, Position: "start", Formatter: "{b}", Color: soft, FontSize: fontPX},
			LineStyle: &opts.LineStyle{Color: "transparent", Width: 1, Type: "solid"},
		})
	}
	for _, tick := range up.ticks() {
		color := hair
		if math.Abs(tick) < up.step/2 {
			tick, color = 0, then
		}
		s.MarkLines.Data = append(s.MarkLines.Data, mark{
			Name: signed(tick, true), YAxis: tick,
			Label:     &markLabel{Show: true, Position: "start", Formatter: "{b}", Color: soft, FontSize: fontPX, Distance: 8},
			LineStyle: &opts.LineStyle{Color: color, Width: 1, Type: "solid"},
		})
	}
	for _, l := range a.Lines {
		kind, color := "dashed", soon
		if l.Heavy {
			kind, color = "solid", ink
		}
		s.MarkLines.Data = append(s.MarkLines.Data, mark{
			Name: l.Words, YAxis: l.At,
			Label:     &markLabel{Show: true, Position: "insideEndTop", Formatter: "{b}", Color: soft, FontSize: fontPX},
			LineStyle: &opts.LineStyle{Color: color, Width: 1.3, Type: kind},
		})
	}
	return s
}

// points are the limbs.
func (a Agreement) points() charts.SingleSeries {
	data := make([]datum, len(a.Points))
	for i, p := range a.Points {
		data[i] = told(p.Mean, p.Difference, p.Words...)
	}
	return charts.SingleSeries{
		Id: "limbs", Type: types.ChartScatter, Data: data, Symbol: "circle", SymbolSize: 9,
		ItemStyle: &opts.ItemStyle{Color: paper, BorderColor: ink, BorderWidth: 1.6, Opacity: opts.Float(1)},
	}
}
