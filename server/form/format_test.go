package form

import (
	"testing"
	"time"

	"fairlead/analytics/quantity"
)

func TestFormat(t *testing.T) {
	const cm, mm, in = quantity.Centimetre, quantity.Millimetre, quantity.Inch
	tests := []struct {
		name         string
		l            quantity.Length
		unit         quantity.LengthUnit
		comma        bool
		short, typed string
	}{
		{"a tape's millimetre", 3340, cm, false, "33.4", "33.4"},
		{"decimal comma", 3340, cm, true, "33,4", "33,4"},
		{"finer than a tape, half away from zero", 3345, cm, false, "33.5", "33.45"},
		{"whole millimetres", 3340, mm, false, "334", "334"},
		{"finer than a tape in millimetres", 3344, mm, false, "334", "334.4"},
		{"inches", 2540, in, false, "10.00", "10.00"},
		{"inches that need a third decimal", 1, in, false, "0.00", "0.004"},
		{"negative", -3340, cm, false, "−33.4", "−33.4"},
		{"no negative zero", -4, mm, false, "0", "−0.4"},
		{"below one", 50, cm, false, "0.5", "0.5"},
		{"zero", 0, cm, true, "0,0", "0,0"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := Format(tt.l, tt.unit, tt.comma); got != tt.short {
				t.Errorf("Format = %q, want %q", got, tt.short)
			}
			if got := FormatTyped(tt.l, tt.unit, tt.comma); got != tt.typed {
				t.Errorf("FormatTyped = %q, want %q", got, tt.typed)
			}
		})
	}
}

func TestFormatNumbers(t *testing.T) {
	tests := []struct{ name, got, want string }{
		{"decimal", FormatDecimal(1147.069, 1, false), "1147.1"},
		{"decimal comma and real minus", FormatDecimal(-4.5, 1, true), "−4,5"},
		{"no negative zero", FormatDecimal(-0.04, 1, false), "0.0"},
		{"computed girth in the person's unit", FormatIn(334.5, quantity.Inch, false), "13.17"},
		{"change up", FormatChange(0.4, 1, false), "+0.4"},
		{"change down", FormatChange(-0.4, 1, false), "−0.4"},
		{"change too small to show", FormatChange(0.04, 1, true), "0,0"},
		{"no change", FormatChange(0, 1, false), "0.0"},
		{"percent change", FormatPercentChange(3, 1, false), "+3.0\u202f%"},
		{"interval", FormatInterval(-6.04, -3.1, 1, false, "en"), "−6.0 to −3.1"},
		{"interval across zero", FormatInterval(-1.2, 3.1, 1, true, "en-GB"), "−1,2 to +3,1"},
		{"interval in a language without words", FormatInterval(-1.2, 3.1, 1, true, "xx"), "−1,2 … +3,1"},
		{"gap", FormatMM(2.4, false), "2.4\u202fmm"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if tt.got != tt.want {
				t.Errorf("got %q, want %q", tt.got, tt.want)
			}
		})
	}
}

func TestFormatDates(t *testing.T) {
	vienna := load(t, "Europe/Vienna")
	moment := time.Date(2026, 11, 25, 8, 5, 0, 0, time.UTC)
	tests := []struct{ name, got, want string }{
		{"in full", FormatDate("2026-11-25", "en"), "25 November 2026"},
		{"in a table", FormatShortDate("2026-05-01", "en-GB"), "1 May 2026"},
		{"in a language without words", FormatDate("2026-11-25", "xx"), "2026-11-25"},
		{"unknown", FormatDate("", "en"), ""},
		{"time of day at the place", FormatClock(moment, vienna), "9:05"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if tt.got != tt.want {
				t.Errorf("got %q, want %q", tt.got, tt.want)
			}
		})
	}
}
