package followup_test

import (
	"strings"
	"testing"
	"time"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
)

func TestWhatIsKeptInSight(t *testing.T) {
	for name, tt := range map[string]struct {
		decision         models.Decision
		signed, byLetter bool
	}{
		"not to wear":               {models.Decision{Kind: models.DoNotWear}, true, true},
		"cover off until a text":    {models.Decision{Kind: models.CoverOff, Note: "the clip is replaced"}, true, true},
		"cover off until today":     {models.Decision{Kind: models.CoverOff, Until: "2026-05-01"}, true, true},
		"cover off until yesterday": {models.Decision{Kind: models.CoverOff, Until: "2026-04-30"}, false, false},
		"look again later":          {models.Decision{Kind: models.LookAgainDecision, Until: "2026-05-02"}, false, false},
		"look again today":          {models.Decision{Kind: models.LookAgainDecision, Until: "2026-05-01"}, false, true},
		"sock advice":               {models.Decision{Kind: models.SockAdvice}, false, false},
	} {
		decisions := []models.Decision{tt.decision}
		if got := (followup.Decided{Review: &models.Review{Decisions: decisions}}).Standing("2026-05-01"); (len(got) == 1) != tt.signed {
			t.Errorf("%s, signed: got %v", name, got)
		}
		if got := (followup.Decided{Letter: &models.Answer{Decisions: decisions}}).Standing("2026-05-01"); (len(got) == 1) != tt.byLetter {
			t.Errorf("%s, by letter: got %v", name, got)
		}
	}
}

// TestWhatIsInForce: the later of letter and review, by their own days in the
// workshop's zone, and not by when the letter was recorded.
func TestWhatIsInForce(t *testing.T) {
	zone := time.FixedZone("two hours east", 2*60*60)
	at := func(text string) time.Time {
		when, err := time.ParseInLocation("2006-01-02 15:04", text, zone)
		if err != nil {
			t.Fatal(err)
		}
		return when.UTC()
	}
	for name, tt := range map[string]struct {
		signed   string
		written  quantity.Date
		recorded string
		want     string
	}{
		"neither":                               {"", "", "", ""},
		"a review alone":                        {"2026-05-03 10:00", "", "", "review"},
		"a letter alone":                        {"", "2026-05-03", "2026-05-05 10:00", "letter"},
		"letter, then review":                   {"2026-05-04 10:00", "2026-05-03", "2026-05-03 12:00", "review"},
		"review, then letter":                   {"2026-05-02 10:00", "2026-05-03", "2026-05-05 10:00", "letter"},
		"a stale letter, recorded last":         {"2026-05-04 10:00", "2026-05-03", "2026-05-09 10:00", "review"},
		"a newer letter, recorded long after":   {"2026-05-04 10:00", "2026-05-05", "2026-05-30 10:00", "letter"},
		"one day, the letter lay there":         {"2026-05-03 10:00", "2026-05-03", "2026-05-03 09:00", "review"},
		"one day, the letter came after":        {"2026-05-03 10:00", "2026-05-03", "2026-05-06 09:00", "review letter"},
		"signed after midnight, as zone has it": {"2026-05-04 00:30", "2026-05-03", "2026-05-06 09:00", "review"},
	} {
		var review *models.Review
		var letter *models.Answer
		if tt.signed != "" {
			review = &models.Review{SignedAt: at(tt.signed)}
		}
		if tt.written != "" {
			letter = &models.Answer{AnsweredOn: tt.written, RecordedAt: at(tt.recorded)}
		}
		got := ""
		for _, d := range followup.InForce(review, letter, zone) {
			if d.Letter != nil {
				got += " letter"
			} else {
				got += " review"
			}
		}
		if strings.TrimSpace(got) != tt.want {
			t.Errorf("%s: got%s, want %s", name, got, tt.want)
		}
	}
}
