package form

import (
	"strings"

	"fairlead/analytics/quantity"
)

// written lists how a unit of length may be written behind a number.
var written = map[string]quantity.LengthUnit{
	"mm": quantity.Millimetre, "mm.": quantity.Millimetre,
	"cm": quantity.Centimetre, "cm.": quantity.Centimetre,
	"in": quantity.Inch, "in.": quantity.Inch, "inch": quantity.Inch, "inches": quantity.Inch,
	"\"": quantity.Inch, "″": quantity.Inch, "”": quantity.Inch, "''": quantity.Inch,
}

// tenths returns how many recorded steps of 0.1 mm one unit is, exactly.
func tenths(unit quantity.LengthUnit) int64 { return int64(quantity.FromMM(unit.MM())) }

// parseLength reads a number and the unit behind it, or the given unit when
// there is none, and tells whether a unit was written.
func parseLength(typed string, unit quantity.LengthUnit, comma bool) (quantity.Length, bool, *fault) {
	n, tail, f := parseNumber(typed, comma)
	if f != nil {
		return 0, false, f
	}
	if tail != "" {
		known, ok := written[tail]
		if !ok {
			return 0, false, &fault{NotUnit, map[string]any{"Typed": shown(typed), "Units": "mm, cm, in"}}
		}
		unit = known
	}
	return quantity.Length(n.times(tenths(unit))), tail != "", nil
}

// Length reads a length from least to most, both included, typed in the unit or
// with another one written behind it. The result is rounded to 0.1 mm, half
// away from zero.
func (r *Reader) Length(field string, unit quantity.LengthUnit, least, most quantity.Length) *quantity.Length {
	if compact(r.values[field]) == "" {
		return nil
	}
	l, _, f := parseLength(r.values[field], unit, r.options.DecimalComma)
	if f == nil {
		f = r.outside(r.values[field], l, unit, least, most)
	}
	if f != nil {
		r.fail(field, f)
		return nil
	}
	return &l
}

// outside is the fault of a length that is not between least and most.
func (r *Reader) outside(typed string, l quantity.Length, unit quantity.LengthUnit, least, most quantity.Length) *fault {
	if l >= least && l <= most {
		return nil
	}
	return &fault{LengthOutOfRange, map[string]any{
		"Typed": shown(typed), "Unit": string(unit),
		"Min": FormatTyped(least, unit, r.options.DecimalComma), "Max": FormatTyped(most, unit, r.options.DecimalComma),
	}}
}

// The girths that are taken, and those that are believed without the unit
// written behind them. The first pair is the hard limit of the record; the
// second covers the girths of limbs, from a child's wrist to a large thigh, and
// is common practice without a source.
const (
	leastGirth      quantity.Length = 200
	mostGirth       quantity.Length = 20000
	leastUsualGirth quantity.Length = 600
	mostUsualGirth  quantity.Length = 12000
)

// Girth reads a girth in the person's unit, from 20 to 2000 mm. A figure that
// is no usual girth in that unit but is one in another, such as 334 in a field
// of centimetres, is asked about unless its unit is written behind it.
func (r *Reader) Girth(field string) *quantity.Length {
	if compact(r.values[field]) == "" {
		return nil
	}
	typed, unit, comma := r.values[field], r.options.Unit, r.options.DecimalComma
	l, unitWritten, f := parseLength(typed, unit, comma)
	if f == nil && !unitWritten {
		f = r.otherUnit(typed, l)
	}
	if f == nil {
		f = r.outside(typed, l, unit, leastGirth, mostGirth)
	}
	if f != nil {
		r.fail(field, f)
		return nil
	}
	return &l
}

// otherUnit is the fault of a girth that is usual only when it is read in
// another unit than the person's.
func (r *Reader) otherUnit(typed string, l quantity.Length) *fault {
	if l >= leastUsualGirth && l <= mostUsualGirth {
		return nil
	}
	unit, comma := r.options.Unit, r.options.DecimalComma
	for _, other := range quantity.LengthUnits {
		meant, _, _ := parseLength(typed, other, comma) // no fault: it was read in the person's unit before
		if other == unit || meant < leastUsualGirth || meant > mostUsualGirth {
			continue
		}
		code := GirthUnit
		if l >= leastGirth && l <= mostGirth {
			code = GirthUnitSure
		}
		return &fault{code, map[string]any{
			"Typed": shown(typed), "Unit": string(unit), "Suggestion": Format(meant, unit, comma),
		}}
	}
	return nil
}

// mostGap is the widest gap that is taken: 100 mm.
const mostGap quantity.Length = 1000

// Gap reads a clearance, always in millimetres, from 0 to 100 mm.
func (r *Reader) Gap(field string) *quantity.Length {
	return r.Length(field, quantity.Millimetre, 0, mostGap)
}

// The levels that a measuring plan can hold, and how many of them.
const (
	leastLevel  quantity.Length = -10000
	mostLevel   quantity.Length = 10000
	fewestLevel                 = 2
	mostLevels                  = 60
)

// Levels reads the levels of a measuring plan in the person's unit, ascending
// and all different, with spaces or semicolons between them: "0 3 6,5 9" or
// "0; 3; 6.5; 9". A unit behind the last one holds for all. There must be at
// least two, since a volume lies between two levels.
func (r *Reader) Levels(field string) []quantity.Length {
	if compact(r.values[field]) == "" {
		return nil
	}
	levels, f := r.levels(r.values[field])
	if f != nil {
		r.fail(field, f)
		return nil
	}
	return levels
}

func (r *Reader) levels(typed string) ([]quantity.Length, *fault) {
	parts, unit := splitLevels(typed, r.options.Unit)
	if len(parts) > mostLevels {
		return nil, &fault{LevelsMany, map[string]any{"Max": mostLevels, "Count": len(parts)}}
	}
	show := func(l quantity.Length) string { return FormatTyped(l, r.options.Unit, r.options.DecimalComma) }
	levels := make([]quantity.Length, 0, len(parts))
	for i, part := range parts {
		if strings.Count(part, ",") > 1 {
			return nil, &fault{LevelsSeparator, map[string]any{"Typed": shown(part)}}
		}
		l, _, f := parseLength(part, unit, r.options.DecimalComma)
		if f == nil {
			f = r.outside(part, l, r.options.Unit, leastLevel, mostLevel)
		}
		if f != nil {
			return nil, f
		}
		if i > 0 && l == levels[i-1] {
			return nil, &fault{LevelRepeated, map[string]any{"Level": show(l), "Unit": string(r.options.Unit)}}
		}
		if i > 0 && l < levels[i-1] {
			return nil, &fault{LevelOrder, map[string]any{
				"Level": show(l), "Before": show(levels[i-1]), "Unit": string(r.options.Unit),
			}}
		}
		levels = append(levels, l)
	}
	if len(levels) < fewestLevel {
		return nil, &fault{LevelsFew, nil}
	}
	return levels, nil
}

// splitLevels cuts a list at semicolons and line ends, or at spaces when there
// are none, and takes off a unit that stands alone at the end.
func splitLevels(typed string, unit quantity.LengthUnit) ([]string, quantity.LengthUnit) {
	var parts []string
	if strings.ContainsAny(typed, ";\n") {
		for _, part := range strings.FieldsFunc(typed, func(c rune) bool { return c == ';' || c == '\n' || c == '\r' }) {
			if compact(part) != "" {
				parts = append(parts, part)
			}
		}
	} else {
		for _, part := range strings.Fields(typed) {
			if part = strings.TrimRight(part, ","); part != "" {
				parts = append(parts, part)
			}
		}
	}
	if last := len(parts) - 1; last > 0 {
		if known, ok := written[strings.ToLower(compact(parts[last]))]; ok {
			return parts[:last], known
		}
	}
	return parts, unit
}
