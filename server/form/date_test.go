package form

import (
	"testing"
	"time"
	_ "time/tzdata"

	"fairlead/analytics/quantity"
	"pgregory.net/rapid"
)

func TestDate(t *testing.T) {
	tests := []struct {
		name, typed string
		want        quantity.Date
		code        string
	}{
		{name: "ISO", typed: "2026-11-25", want: "2026-11-25"},
		{name: "year first with slashes", typed: "2026/11/5", want: "2026-11-05"},
		{name: "year first with points", typed: "2026.11.05", want: "2026-11-05"},
		{name: "day, month, year", typed: "5.11.2026", want: "2026-11-05"},
		{name: "with spaces", typed: " 5. 11. 2026 ", want: "2026-11-05"},
		{name: "a leap day", typed: "29.2.2028", want: "2028-02-29"},
		{name: "slashes, only day first is a date", typed: "25/11/2026", want: "2026-11-25"},
		{name: "slashes, only month first is a date", typed: "11/25/2026", want: "2026-11-25"},
		{name: "slashes, both orders agree", typed: "11/11/2026", want: "2026-11-11"},
		{name: "slashes, two readings", typed: "4/5/2026", code: DateEither},
		{name: "hyphens, two readings", typed: "04-05-2026", code: DateEither},
		{name: "two-digit year", typed: "25.11.26", code: DateShortYear},
		{name: "two-digit year with slashes", typed: "25/11/26", code: DateShortYear},
		{name: "no such day", typed: "2026-02-30", code: DateAbsent},
		{name: "no such day in any order", typed: "31/31/2026", code: DateAbsent},
		{name: "no leap day", typed: "29.2.2026", code: DateAbsent},
		{name: "month zero", typed: "1.0.2026", code: DateAbsent},
		{name: "the first year", typed: "31.12.1900", want: "1900-12-31"},
		{name: "the last year", typed: "1.1.2199", want: "2199-01-01"},
		{name: "three digits for the day", typed: "001.1.2026", code: NotDate},
		{name: "three digits for the month", typed: "1.001.2026", code: NotDate},
		{name: "long ago", typed: "1.1.1899", code: DateYear},
		{name: "far ahead", typed: "1.1.2200", code: DateYear},
		{name: "three-digit year", typed: "1.1.202", code: NotDate},
		{name: "five-digit year", typed: "1.1.20265", code: NotDate},
		{name: "text", typed: "yesterday", code: NotDate},
		{name: "mixed signs", typed: "2026-11/25", code: NotDate},
		{name: "negative", typed: "-1-1-2026", code: NotDate},
		{name: "digits without signs", typed: "20261125", code: NotDate},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := reader(tt.typed, false, quantity.Centimetre)
			got := r.Date("f")
			if c := code(t, r); c != tt.code || got != tt.want {
				t.Errorf("Date(%q) = %q, code %q; want %q, code %q", tt.typed, got, c, tt.want, tt.code)
			}
		})
	}
}

func TestDateNotFuture(t *testing.T) {
	lateEvening := time.Date(2026, 11, 25, 23, 30, 0, 0, time.UTC)
	tests := []struct {
		name, typed, zone, code string
	}{
		{name: "today", typed: "2026-11-25", zone: "UTC"},
		{name: "tomorrow", typed: "2026-11-26", zone: "UTC", code: DateFuture},
		{name: "already tomorrow further east", typed: "2026-11-26", zone: "Europe/Vienna"},
		{name: "still today further west", typed: "2026-11-26", zone: "America/New_York", code: DateFuture},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := New(map[string]string{"f": tt.typed}, Options{Now: lateEvening, Zone: load(t, tt.zone)})
			got := r.DateNotFuture("f")
			if c := code(t, r); c != tt.code || (got == "") != (tt.code != "") {
				t.Errorf("DateNotFuture(%q) = %q, code %q; want code %q", tt.typed, got, c, tt.code)
			}
		})
	}
}

func load(t *testing.T, name string) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

func TestDateTime(t *testing.T) {
	now := time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC)
	tests := []struct {
		name, date, clock, zone string
		want                    string // UTC
		again                   string // UTC, where the clocks show it twice
		code, field             string
	}{
		{name: "winter time", date: "2026-11-24", clock: "14:30", zone: "Europe/Berlin", want: "2026-11-24T13:30:00Z"},
		{name: "summer time", date: "1.7.2026", clock: "14:30", zone: "Europe/Berlin", want: "2026-07-01T12:30:00Z"},
		{name: "one digit for the hour", date: "2026-11-24", clock: "9:05", zone: "UTC", want: "2026-11-24T09:05:00Z"},
		{name: "a point between", date: "2026-11-24", clock: "9.05", zone: "UTC", want: "2026-11-24T09:05:00Z"},
		{name: "seconds from a browser", date: "2026-11-24", clock: "09:05:30", zone: "UTC", want: "2026-11-24T09:05:30Z"},
		{name: "half-hour offset", date: "2026-11-24", clock: "0:15", zone: "Asia/Kolkata", want: "2026-11-23T18:45:00Z"},
		{name: "last minute before spring", date: "2026-03-29", clock: "1:59", zone: "Europe/Berlin", want: "2026-03-29T00:59:00Z"},
		{name: "skipped in spring", date: "2026-03-29", clock: "2:30", zone: "Europe/Berlin", code: TimeSkipped, field: "clock"},
		{name: "first minute after spring", date: "2026-03-29", clock: "3:00", zone: "Europe/Berlin", want: "2026-03-29T01:00:00Z"},
		{name: "twice in autumn", date: "2026-10-25", clock: "2:30", zone: "Europe/Berlin", want: "2026-10-25T00:30:00Z", again: "2026-10-25T01:30:00Z"},
		{name: "after autumn", date: "2026-10-25", clock: "3:00", zone: "Europe/Berlin", want: "2026-10-25T02:00:00Z"},
		{name: "spring across the ocean", date: "2026-03-08", clock: "2:30", zone: "America/New_York", code: TimeSkipped, field: "clock"},
		{name: "autumn across the ocean", date: "2026-11-01", clock: "1:30", zone: "America/New_York", want: "2026-11-01T05:30:00Z", again: "2026-11-01T06:30:00Z"},
		{name: "half an hour twice", date: "2026-04-05", clock: "1:45", zone: "Australia/Lord_Howe", want: "2026-04-04T14:45:00Z", again: "2026-04-04T15:15:00Z"},
		{name: "a day that a country left out", date: "2011-12-30", clock: "12:00", zone: "Pacific/Apia", code: TimeSkipped, field: "clock"},
		{name: "a clock four minutes fast", date: "2026-11-25", clock: "9:04", zone: "UTC", want: "2026-11-25T09:04:00Z"},
		{name: "six minutes ahead", date: "2026-11-25", clock: "9:06", zone: "UTC", code: TimeFuture, field: "clock"},
		{name: "tomorrow", date: "2026-11-26", clock: "9:00", zone: "UTC", code: TimeFuture, field: "clock"},
		{name: "neither", zone: "UTC"},
		{name: "no time", date: "2026-11-24", zone: "UTC", code: TimeMissing, field: "clock"},
		{name: "no date", clock: "9:00", zone: "UTC", code: DateMissing, field: "date"},
		{name: "no such hour", date: "2026-11-24", clock: "24:10", zone: "UTC", code: NotTime, field: "clock"},
		{name: "half of the day", date: "2026-11-24", clock: "2:30 pm", zone: "UTC", code: NotTime, field: "clock"},
		{name: "a bad date", date: "2026-02-30", clock: "9:00", zone: "UTC", code: DateAbsent, field: "date"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := New(map[string]string{"date": tt.date, "clock": tt.clock}, Options{Now: now, Zone: load(t, tt.zone)})
			got, again := r.DateTime("date", "clock")
			if c := code(t, r); c != tt.code {
				t.Fatalf("code %q, want %q", c, tt.code)
			}
			if _, ok := r.Problems().For(tt.field); ok != (tt.code != "") {
				t.Errorf("problems %v, want one of field %q", r.Problems(), tt.field)
			}
			if stamp(got) != tt.want || stamp(again) != tt.again {
				t.Errorf("got %v, again %v; want %s, %s", got, again, tt.want, tt.again)
			}
		})
	}
}

func stamp(at time.Time) string {
	if at.IsZero() {
		return ""
	}
	return at.Format(time.RFC3339)
}

// The second of two is no choice while it lies ahead.
func TestSecondOfTwoLiesAhead(t *testing.T) {
	for name, tt := range map[string]struct{ now, again string }{
		"the first time round":  {"2026-10-25T00:31:00Z", ""},
		"the second time round": {"2026-10-25T01:31:00Z", "2026-10-25T01:30:00Z"},
	} {
		now, err := time.Parse(time.RFC3339, tt.now)
		if err != nil {
			t.Fatal(err)
		}
		r := New(map[string]string{"date": "2026-10-25", "clock": "2:30"}, Options{Now: now, Zone: load(t, "Europe/Berlin")})
		if at, again := r.DateTime("date", "clock"); stamp(at) != "2026-10-25T00:30:00Z" || stamp(again) != tt.again {
			t.Errorf("%s: got %v, again %v; want %s", name, at, again, tt.again)
		}
	}
}

func TestBothPartsOfAMomentAreNamed(t *testing.T) {
	r := New(map[string]string{"date": "soon", "clock": "late"}, Options{})
	r.DateTime("date", "clock")
	r.DateTime("date", "clock")
	if got := r.Problems(); len(got) != 2 || got[0].Code != NotDate || got[1].Code != NotTime {
		t.Errorf("got %v, want one problem for each part", got)
	}
}

// Every moment comes back from the clock that showed it, as one of two where the
// clock shows it twice.
func TestEveryMomentReadsBack(t *testing.T) {
	zones := []*time.Location{
		time.UTC, load(t, "Europe/London"), load(t, "America/St_Johns"), load(t, "Australia/Lord_Howe"),
		load(t, "Pacific/Apia"), load(t, "Africa/Casablanca"), load(t, "America/Santiago"),
	}
	rapid.Check(t, func(t *rapid.T) {
		zone := rapid.SampledFrom(zones).Draw(t, "zone")
		minutes := rapid.Int64Range(0, 16*366*24*60).Draw(t, "minutes")
		moment := time.Date(2010, 1, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(minutes) * time.Minute)
		local := moment.In(zone)
		r := New(map[string]string{"date": local.Format(time.DateOnly), "clock": FormatClock(moment, zone)},
			Options{Now: moment, Zone: zone})
		got, again := r.DateTime("date", "clock")
		if r.Problems().Any() || !got.Equal(moment) && !again.Equal(moment) || !again.IsZero() && !got.Before(again) {
			t.Fatalf("%v reads as %v, again %v, problems %v", local, got, again, r.Problems())
		}
	})
}

func FuzzParseDate(f *testing.F) {
	for _, seed := range []string{"2026-11-25", "25.11.2026", "4/5/2026", "29.2.2026", "1.1.26", "--", "2026-11-25-1"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		date, fault := parseDate(typed)
		if (date == "") == (fault == nil) {
			t.Fatalf("%q: date %q with fault %v", typed, date, fault)
		}
		if again, f := parseDate(string(date)); fault == nil && (f != nil || again != date) {
			t.Errorf("%q: %q reads back as %q", typed, date, again)
		}
	})
}

func TestTimeOfDay(t *testing.T) {
	tests := []struct {
		typed, want string
		problem     bool
	}{
		{"", "", false},
		{"8:00", "08:00", false},
		{" 17.30 ", "17:30", false},
		{"23:59:59", "23:59", false},
		{"24:00", "", true},
		{"8 o'clock", "", true},
		{"8", "", true},
	}
	for _, tt := range tests {
		r := New(map[string]string{"at": tt.typed}, Options{})
		if got := r.TimeOfDay("at"); got != tt.want || r.Problems().Any() != tt.problem {
			t.Errorf("%q reads %q with %v, want %q", tt.typed, got, r.Problems(), tt.want)
		}
	}
}
