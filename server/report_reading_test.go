package server

import (
	"testing"
	"time"

	"fairlead/models"
)

func TestReadsNext(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	weekdays := []string{"monday", "tuesday", "wednesday", "thursday", "friday"}
	at := func(text string) time.Time {
		when, err := time.ParseInLocation("2006-01-02 15:04", text, berlin)
		if err != nil {
			t.Fatal(err)
		}
		return when
	}
	tests := []struct {
		name, at string
		on       []string
		now      string
		want     string // "" for no promise
	}{
		{"before the time of a day", "08:00", weekdays, "2026-11-25 07:59", "2026-11-25 08:00"},
		{"at the time it is the next one", "08:00", weekdays, "2026-11-25 08:00", "2026-11-26 08:00"},
		{"over the weekend", "08:00", weekdays, "2026-11-27 18:00", "2026-11-30 08:00"},
		{"one day a week, later on it", "16:30", []string{"wednesday"}, "2026-11-25 17:00", "2026-12-02 16:30"},
		{"over the end of summer time", "08:00", []string{"sunday"}, "2026-10-24 12:00", "2026-10-25 08:00"},
		{"over the start of summer time", "08:00", []string{"sunday"}, "2026-03-28 12:00", "2026-03-29 08:00"},
		{"no time", "", weekdays, "2026-11-25 07:59", ""},
		{"no days", "08:00", nil, "2026-11-25 07:59", ""},
		{"no time of a clock", "soon", weekdays, "2026-11-25 07:59", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, ok := readsNext(models.Workshop{ReadsReportsAt: tt.at, ReadsReportsOn: tt.on}, at(tt.now))
			if ok != (tt.want != "") || ok && !got.Equal(at(tt.want)) {
				t.Errorf("got %v, %v; want %s", got, ok, tt.want)
			}
		})
	}
}

func TestNextReadingInWords(t *testing.T) {
	r := newReporter(t)
	tests := []struct{ now, want string }{
		{"2026-11-25T05:00:00Z", "today, Wednesday, at 8:00"},
		{"2026-11-25T07:00:00Z", "tomorrow, Thursday, at 8:00"}, // 8:00 in Berlin
		{"2026-11-27T09:00:00Z", "on Monday at 8:00"},
	}
	for _, tt := range tests {
		now, err := time.Parse(time.RFC3339, tt.now)
		if err != nil {
			t.Fatal(err)
		}
		r.clock.seconds.Store(now.Unix())
		if err := r.store.RevokeReportLink(t.Context(), r.link.ID, r.link.MadeBy); err != nil {
			t.Fatal(err)
		}
		r.link.ID, r.link.ExpiresAt = "", now.Add(time.Hour)
		r.token += "x"
		r.link.TokenHash = tokenHash(r.token)
		if err := r.store.CreateReportLink(t.Context(), &r.link); err != nil {
			t.Fatal(err)
		}
		r.Get(r.start()).Has(t, 200, "We next read these reports "+tt.want+".")
	}
	w, err := r.store.Workshop(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	w.ReadsReportsOn = nil
	if err := r.store.SaveWorkshop(t.Context(), &w); err != nil {
		t.Fatal(err)
	}
	r.Get(r.start()).Has(t, 200, "We can&#39;t say when we next read these reports")
}
