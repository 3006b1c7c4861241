package server

import "testing"

func TestSeenText(t *testing.T) {
	tests := []struct{ name, typed, want string }{
		{"words", "it rubs\tthere\r\n", "it rubs\tthere\r\n"},
		{"nothing that is seen", "\u200b\u2060\ufeff", ""},
		{"joiners alone", "\u200d \u200c\u200e", ""},
		{"fillers alone", "\u3164\u2800\ufe0f", ""},
		{"a word with places to break it", "\ufeffpros\u00adthe\u200bsis", "prosthesis"},
		{"an emoji of several", "\U0001f469\u200d\U0001f9bc", "\U0001f469\u200d\U0001f9bc"},
		{"Persian", "می\u200cخواهم", "می\u200cخواهم"},
		{"turned around", "\u202eenil\u202c", "enil"},
		{"line signs", "a\u2028b", "a\nb"},
		{"no UTF-8", "a\xffb", "ab"},
	}
	for _, tt := range tests {
		if got := seenText(tt.typed); got != tt.want {
			t.Errorf("%s: got %q, want %q", tt.name, got, tt.want)
		}
	}
}

// TestTextThatIsNotSeenIsNoAnswer on the page of all answers, nor in the report.
func TestTextThatIsNotSeenIsNoAnswer(t *testing.T) {
	r := newReporter(t)
	r.Start()
	r.Answer("safety", "what", "safety.none", "yes")
	r.Answer("text", "check", "text", "\u200b \u2060\ufeff")
	r.Get("/report/check").Lacks(t, `class="typed"`)
	r.Post("/report/send").leads(t, "sent")
	if got := r.reports()[0].Said.Text; got != "" {
		t.Errorf("got %q", got)
	}
}
