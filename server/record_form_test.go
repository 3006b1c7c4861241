package server

import (
	"slices"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
)

// typedReader reads a form in centimetres on 25 November 2026.
func typedReader(typed map[string]string) *form.Reader {
	return form.New(typed, form.Options{Unit: quantity.Centimetre, Now: time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)})
}

func length(mm float64) *quantity.Length {
	l := quantity.FromMM(mm)
	return &l
}

func TestProposePlan(t *testing.T) {
	tests := []struct {
		name      string
		limb      models.Limb
		wantLast  float64 // mm
		wantCap   quantity.CapKind
		wantDepth float64 // mm
	}{
		{"M4 to the inflection level", models.Limb{Level: quantity.Transtibial, LengthMM10: length(160), InflectionMM10: length(130), DistalShape: models.Conical}, 120, quantity.SemiEllipsoid, 40},
		{"M4 to the end", models.Limb{Level: quantity.Transtibial, LengthMM10: length(160)}, 150, quantity.SemiEllipsoid, 10},
		{"the last level is the end", models.Limb{Level: quantity.Transtibial, LengthMM10: length(150)}, 150, quantity.NoCap, 0},
		{"a bulbous end has no cap", models.Limb{Level: quantity.Transtibial, LengthMM10: length(160), DistalShape: models.Bulbous}, 150, quantity.NoCap, 0},
		{"a joint's end has no cap", models.Limb{Level: quantity.KneeDisarticulation, LengthMM10: length(300)}, 280, quantity.NoCap, 0},
		{"no length, no depth", models.Limb{Level: quantity.Transfemoral}, 280, quantity.NoCap, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := proposePlan(tt.limb)
			if last := got.Levels[len(got.Levels)-1].MM(); last != tt.wantLast {
				t.Errorf("last level: got %g mm, want %g", last, tt.wantLast)
			}
			var depth float64
			if got.CapDepth != nil {
				depth = got.CapDepth.MM()
			}
			if got.CapKind != tt.wantCap || depth != tt.wantDepth || got.Passes != 2 {
				t.Errorf("got cap %s of %g mm and %d passes, want %s of %g mm and 2", got.CapKind, depth, got.Passes, tt.wantCap, tt.wantDepth)
			}
		})
	}
	if got := proposePlan(models.Limb{Level: quantity.Forequarter, LengthMM10: length(100)}); len(got.Levels) != 0 {
		t.Errorf("a level without a cone: got levels %v", got.Levels)
	}
}

func TestCheckOtherLimbs(t *testing.T) {
	left := models.Limb{ID: "1", Side: quantity.Left, Level: quantity.Transtibial}
	tests := []struct {
		name, wantField string
		limb            models.Limb
	}{
		{"itself", "", left},
		{"a second left leg", "side", models.Limb{Side: quantity.Left, Level: quantity.Transfemoral}},
		{"the right leg", "", models.Limb{Side: quantity.Right, Level: quantity.Transfemoral}},
		{"the right leg with a sound left one", "other_side_sound", models.Limb{Side: quantity.Right, Level: quantity.Transfemoral, OtherSideSound: true}},
		{"a left arm", "", models.Limb{Side: quantity.Left, Level: quantity.Transradial, OtherSideSound: true}},
		{"a level not chosen yet", "", models.Limb{Side: quantity.Left}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := typedReader(nil)
			checkOtherLimbs(r, tt.limb, []models.Limb{left})
			var got string
			if problems := r.Problems(); len(problems) > 0 {
				got = problems[0].Field
			}
			if got != tt.wantField {
				t.Errorf("problem at %q, want %q", got, tt.wantField)
			}
		})
	}
}

// Section 8 (e) of the domain notes asks for four directions at two levels;
// the rest of the walk is common practice, no source.
func TestProposeWalk(t *testing.T) {
	all := walkLevels{upper: length(30), lower: length(120), joint: length(0), foot: length(380)}
	tests := []struct {
		name   string
		level  quantity.AmputationLevel
		levels walkLevels
		want   int
	}{
		{"a leg", quantity.Transtibial, all, 13},
		{"a leg without a level at the foot", quantity.Transtibial, walkLevels{upper: all.upper, lower: all.lower, joint: all.joint}, 11},
		{"a thigh, no joint", quantity.Transfemoral, walkLevels{upper: all.upper, lower: all.lower}, 8},
		{"an arm has no foot", quantity.Transradial, all, 10},
		{"nothing", quantity.Transtibial, walkLevels{}, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := proposeWalk(tt.level, tt.levels)
			if len(got) != tt.want {
				t.Errorf("got %d stations, want %d", len(got), tt.want)
			}
			postures := quantity.PosturesOf(tt.level)
			for _, st := range got {
				if !slices.Contains(postures, st.Posture) {
					t.Errorf("posture %s does not belong to %s", st.Posture, tt.level)
				}
				if still := st.Posture == quantity.Standing || st.Posture == quantity.Straight; still && st.EveryTime != (st.Direction == quantity.Posterior) {
					t.Errorf("%+v: every time, want the posterior one only", st)
				}
			}
		})
	}
}

func TestAddWalkLeavesOutWhatIsThere(t *testing.T) {
	who := models.Person{LengthUnit: quantity.Centimetre, DecimalComma: true}
	typed := map[string]string{"stations": "1"}
	stations := proposeWalk(quantity.Transtibial, walkLevels{upper: length(35)})
	putStations(who, typed, 0, stations[:1])
	if got := addWalk(who, typedReader(typed), typed, stations); got != 3 || typed["stations"] != "4" || typed["station-3-level"] != "3,5" {
		t.Errorf("got %d more, %v, want 3", got, typed)
	}
}

func TestReadStations(t *testing.T) {
	by := signer{name: "Kit", on: "2026-11-25"}
	stored := models.Station{
		ID: "s", Level: 300, Direction: quantity.Posterior, Posture: quantity.Standing, Neighbour: quantity.SocketWall,
		WarnLimit: length(4), ActLimit: length(3), LimitBy: "Marlow", LimitOn: "2026-01-01",
	}
	whole := func(more ...string) map[string]string {
		typed := map[string]string{"level": "3", "direction": "posterior", "posture": "standing", "neighbour": "socket-wall"}
		for i := 0; i+1 < len(more); i += 2 {
			typed[more[i]] = more[i+1]
		}
		return typed
	}
	tests := []struct {
		name    string
		row     map[string]string
		problem string // field within the row
		want    func(models.Station) bool
	}{
		{"starting limits", whole(), "", func(s models.Station) bool { return s.WarnLimit == nil && s.LimitBy == "" }},
		{"own limits carry a name", whole("warn", "5", "act", "4"), "", func(s models.Station) bool {
			return *s.WarnLimit == 50 && *s.ActLimit == 40 && s.LimitBy == "Kit" && s.LimitOn == "2026-11-25"
		}},
		{"limits left alone keep theirs", whole("id", "s", "warn", "4", "act", "3.0"), "", func(s models.Station) bool {
			return s.ID == "s" && s.LimitBy == "Marlow" && s.LimitOn == "2026-01-01"
		}},
		{"limits changed", whole("id", "s", "warn", "4", "act", "2"), "", func(s models.Station) bool { return s.LimitBy == "Kit" }},
		{"limits taken away", whole("id", "s"), "", func(s models.Station) bool { return s.WarnLimit == nil && s.LimitBy == "" && s.LimitOn == "" }},
		{"an id of another cover is not taken", whole("id", "elsewhere"), "", func(s models.Station) bool { return s.ID == "" }},
		{"one limit", whole("warn", "5"), "act", nil},
		{"limits crossed", whole("warn", "4", "act", "5"), "act", nil},
		{"as built, unsigned", whole("built", "2.4"), "", func(s models.Station) bool {
			return *s.AsBuilt == 24 && s.AsBuiltBy == "Kit" && s.AsBuiltOn == "2026-03-01"
		}},
		{"as built, signed", whole("built", "2.4", "built_by", "Marlow", "built_on", "2026-03-04"), "", func(s models.Station) bool {
			return s.AsBuiltBy == "Marlow" && s.AsBuiltOn == "2026-03-04"
		}},
		{"signed for nothing", whole("built_by", "Marlow"), "built", nil},
		{"accepted in the future", whole("built", "2", "built_on", "2026-12-01"), "built_on", nil},
		{"a gap below zero", whole("built", "-1"), "built", nil},
		{"no level", whole("level", ""), "level", nil},
		{"a posture of an arm", whole("posture", "full-bend"), "posture", nil},
		{"no neighbour", whole("neighbour", ""), "neighbour", nil},
		{"stored and emptied", map[string]string{"id": "s"}, "level", nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			typed := map[string]string{}
			for field, value := range tt.row {
				typed[rowField("station", 0, field)] = value
			}
			r := typedReader(typed)
			got := stationRows{
				r: r, before: map[string]models.Station{"s": stored}, postures: quantity.PosturesOf(quantity.Transtibial),
				by: by, delivered: "2026-03-01",
			}.read(1)
			if tt.problem != "" {
				if _, found := r.Problems().For(rowField("station", 0, tt.problem)); !found {
					t.Errorf("problems %v, want one at %s", r.Problems(), tt.problem)
				}
				return
			}
			if r.Problems().Any() || len(got) != 1 || !tt.want(got[0]) {
				t.Errorf("got %+v, problems %v", got, r.Problems())
			}
		})
	}
}

// A gap that was accepted at delivery is of that day, so long as there was one.
func TestAsBuiltIsOfTheDelivery(t *testing.T) {
	for delivered, want := range map[string]quantity.Date{"2026-03-01": "2026-03-01", "": "2026-11-25", "1.3.2026": "2026-03-01"} {
		r := typedReader(map[string]string{
			"material": "PA12", "state": "in-use", "delivered_on": delivered, "stations": "1", "station-0-level": "3", "station-0-built": "4",
			"station-0-direction": "posterior", "station-0-posture": "standing", "station-0-neighbour": "socket-wall",
		})
		got := readCover(r, models.Cover{}, models.Limb{Level: quantity.Transtibial}, signer{name: "Kit", on: "2026-11-25"})
		if r.Problems().Any() || len(got.Stations) != 1 || got.Stations[0].AsBuiltOn != want {
			t.Errorf("delivered %q: got %+v, problems %v, want accepted on %s", delivered, got.Stations, r.Problems(), want)
		}
	}
}

func TestStationsStandInWalkingOrder(t *testing.T) {
	typed := map[string]string{}
	putStations(models.Person{LengthUnit: quantity.Centimetre}, typed, 0, []models.Station{
		{Level: 900, Direction: quantity.Medial, Posture: quantity.Seated, Neighbour: quantity.SkinSurface},
		{Level: 900, Direction: quantity.Anterior, Posture: quantity.Standing, Neighbour: quantity.SocketWall},
		{Level: 300, Direction: quantity.Posterior, Posture: quantity.Standing, Neighbour: quantity.SocketWall},
		{Level: 300, Direction: quantity.Lateral, Posture: quantity.Standing, Neighbour: quantity.SocketWall},
		{Level: 300, Direction: quantity.Anterior, Posture: quantity.Standing, Neighbour: quantity.SocketWall},
	})
	typed[rowField("station", 4, "out")] = "yes"
	typed[rowField("station", 5, "level")] = "3.0"
	typed[rowField("station", 5, "direction")], typed[rowField("station", 5, "posture")] = "lateral", "standing"
	r := typedReader(typed)
	rows := stationRows{r: r, postures: quantity.PosturesOf(quantity.Transtibial)}
	got := rows.read(5)
	want := []quantity.Direction{quantity.Lateral, quantity.Posterior, quantity.Anterior, quantity.Medial}
	if len(got) != len(want) || r.Problems().Any() {
		t.Fatalf("got %d stations, problems %v, want %d", len(got), r.Problems(), len(want))
	}
	for i, st := range got {
		if st.Direction != want[i] || st.Ordinal != i+1 {
			t.Errorf("station %d: got %s with ordinal %d, want %s", i+1, st.Direction, st.Ordinal, want[i])
		}
	}
	rows.read(6)
	if p, found := r.Problems().For("station-5-level"); !found || p.Code != "problem.station-twice" {
		t.Errorf("a place that stands twice: problems %v", r.Problems())
	}
}

func TestPlanNotice(t *testing.T) {
	before := models.MeasuringPlan{Number: 1, Landmark: "x", Levels: []quantity.Length{0, 300}, Passes: 2, CapKind: quantity.ConeCap, CapDepth: length(20)}
	tests := []struct {
		name, want string
		change     func(*models.MeasuringPlan)
	}{
		{"landmark", "plan.saved-breaks", func(p *models.MeasuringPlan) { p.Landmark = "y" }},
		{"cap", "plan.saved-breaks", func(p *models.MeasuringPlan) { p.CapKind, p.CapDepth = quantity.NoCap, nil }},
		{"depth of the cap", "plan.saved-breaks", func(p *models.MeasuringPlan) { p.CapDepth = length(25) }},
		{"levels", "plan.saved-levels", func(p *models.MeasuringPlan) { p.Levels = []quantity.Length{0, 250} }},
		{"passes", "plan.saved", func(p *models.MeasuringPlan) { p.Passes = 3 }},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			after := before
			tt.change(&after)
			if got := planNotice(before, after); got != tt.want || samePlan(before, after) {
				t.Errorf("got %s, same %v, want %s", got, samePlan(before, after), tt.want)
			}
		})
	}
}

func TestSameTyped(t *testing.T) {
	tests := []struct {
		a, b string
		want bool
	}{
		{"16", "16.0", true}, {"16,0", "16", true}, {"0 3 6", "0  3.0  6", true}, {" a ", "a", true},
		{"a", "b", false}, {"0 3", "0 3 6", false}, {"", "0", false}, {"1 a", "1 b", false},
	}
	for _, tt := range tests {
		if got := sameTyped(tt.a, tt.b); got != tt.want {
			t.Errorf("sameTyped(%q, %q) = %v, want %v", tt.a, tt.b, got, tt.want)
		}
	}
}

func TestColumn(t *testing.T) {
	tests := []struct {
		field, want string
		row         int
	}{
		{rowField("station", 12, "built_by"), "station-built_by", 12}, {"name", "name", -1}, {"a-b-c", "a-b-c", -1}, {"a-1", "a-1", -1},
	}
	for _, tt := range tests {
		if got, row := column(tt.field); got != tt.want || row != tt.row {
			t.Errorf("column(%q) = %q, %d, want %q, %d", tt.field, got, row, tt.want, tt.row)
		}
	}
}
