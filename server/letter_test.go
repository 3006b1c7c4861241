package server

import (
	"fmt"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
)

// handOver records that flags of a client were handed over, and returns the
// address of the letter.
func (s *site) handOver(client benchClient, to string, flags ...string) string {
	s.t.Helper()
	h := models.Handover{
		ClientID: client.ID, LimbID: client.Limb.ID, ToWhom: to, Means: models.ByLetter,
		HandedOn: "2026-03-02", AskAgainOn: "2026-03-16", RecordedBy: s.Person("clerk-"+models.NewID()[30:], models.Fitter).ID,
	}
	for _, f := range flags {
		h.FlagIDs = append(h.FlagIDs, f[strings.LastIndexByte(f, '/')+1:])
	}
	if err := s.store.CreateHandover(s.t.Context(), &h); err != nil {
		s.t.Fatal(err)
	}
	return letterPath(client.ID, h.ID)
}

// TestLetter: all that somebody who does not sign in needs, each figure with its
// unit and uncertainty.
func TestLetter(t *testing.T) {
	s := newSite(t)
	workshop, err := s.store.Workshop(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	workshop.Phone = "+49 30 000 111"
	if err := s.store.SaveWorkshop(t.Context(), &workshop); err != nil {
		t.Fatal(err)
	}
	client, b := s.BenchClient("K-014"), s.As("kit", models.Fitter)
	b.Visit(client, "delivery", "33.4", "33.7", "32.1")
	second := b.Visit(client, "follow-up", "32.0", "32.1", "30.4")
	flags, err := s.store.FlagsOf(t.Context(), client.ID) // of the volume, by the second visit
	if err != nil || len(flags) == 0 || flags[0].Rule != string(assess.VolumeFast) {
		t.Fatalf("%d flags, %v, want the change of volume first", len(flags), err)
	}
	letter := s.handOver(client, "Dr Ash <b>", flagPath(flags[0]), s.raise(client, second, assess.CoverContact, assess.AboutCover))
	a := b.Get(letter)
	a.Has(t, http.StatusOK, "Letter to Dr Ash &lt;b&gt;", "Invented workshop", "Telephone &#43;49 30 000 111", "Rowan, M.", "K-014", "left transtibial",
		"Handed over to you on 2 March 2026: 2 flags", "Open since", "Limits in force", "starting value, not yet confirmed",
		"Your answer about Rowan, M., K-014, left transtibial", "Cover off until", "Do not wear the prosthesis until seen", "Limits changed to",
		"Socket decisions are yours; local rules apply.", "It does not diagnose or treat", "Signature", "How to send it back",
		`data-printed="Rowan, M. (K-014), left transtibial · Invented workshop · printed on`, `data-option="course-option"`, `class="limb"`)
	for what, pattern := range map[string]string{
		"a volume with its error": `\d+ ± \d+\x{202f}mL`,
		"an interval":             `[+−]\d+\.\d to [+−]\d+\.\d\x{202f}%`,
		"a volume of a flag":      `<dt>Volume then</dt><dd>\d+\x{202f}mL ± \d+ \(95 %`,
		"a figure of a flag":      `<dd>[^<]*(%|mm|mL) ± \d+\.?\d* \(95 %`,
		"a change of girth":       `<td class="r">(<b>)?[+−]\d+\.\d(</b>)? ± \d+\.\d</td>`,
	} {
		if !regexp.MustCompile(pattern).MatchString(a.Body) {
			t.Errorf("the letter lacks %s (%s)\n%s", what, pattern, a.Body)
		}
	}
	if strings.Contains(a.Body, "Dr Ash <b>") {
		t.Error("a name is markup")
	}
}

// TestLetterIsForWhoSeesTheClient: no way to a letter but by its own client.
func TestLetterIsForWhoSeesTheClient(t *testing.T) {
	s := newSite(t)
	client, other, b := s.BenchClient("K-014"), s.BenchClient("K-015"), s.As("kit", models.Fitter)
	checkin := b.Visit(client, "delivery", "33.4", "33.7", "32.1")
	letter := s.handOver(client, "Ash", s.raise(client, checkin, assess.SockLayers, assess.AboutLimb))
	b.Get(letter).Has(t, http.StatusOK)
	b.Get(strings.Replace(letter, client.ID, other.ID, 1)).Has(t, http.StatusNotFound)
	b.Get(letterPath(client.ID, models.NewID())).Has(t, http.StatusNotFound)
	s.As("wren", models.Prosthetist).Get(letter).Has(t, http.StatusNotFound)
	s.As("owl", models.Owner).Get(letter).Has(t, http.StatusForbidden)
	if err := s.store.ArchiveClient(t.Context(), client.ID, client.Version, "moved away"); err != nil {
		t.Fatal(err)
	}
	b.Get(letter).Has(t, http.StatusOK, "archived")
	b.Get("/clients").Has(t, http.StatusOK, `data-printed="Invented workshop`)
}

// TestLetterOfAnything: a limb without a cone, without a visit and without a cover;
// names as long as they get.
func TestLetterOfAnything(t *testing.T) {
	s := newSite(t)
	b := s.As("kit", models.Fitter)
	long := strings.TrimSpace(strings.Repeat("Ashgrove-Thornbury ", 8))
	client := models.Client{Code: "K-020", Name: long, Language: "en"}
	if err := s.store.CreateClient(t.Context(), &client); err != nil {
		t.Fatal(err)
	}
	limb := models.Limb{ClientID: client.ID, Side: quantity.Right, Level: quantity.PartialFoot, Origin: models.PresentAtBirth}
	if err := s.store.CreateLimb(t.Context(), &limb); err != nil {
		t.Fatal(err)
	}
	own := benchClient{Client: client, Limb: limb}
	s.report(own, models.Said{Safety: []string{"open-skin"}, What: []string{"rub"}, Bother: new(7), Text: "It <i>rubs</i>"})
	flags, err := s.store.FlagsOf(t.Context(), client.ID)
	if err != nil || len(flags) == 0 {
		t.Fatalf("%d flags, %v", len(flags), err)
	}
	var paths []string
	for _, f := range flags {
		paths = append(paths, flagPath(f))
	}
	a := b.Get(s.handOver(own, long, paths...))
	a.Has(t, http.StatusOK, long, "right partial foot", "No visit is recorded yet", "No cover is recorded", "Open or bleeding skin", "7 of 10", "A clinician is to hear of it today",
		"It &lt;i&gt;rubs&lt;/i&gt;", "Who sent it is not confirmed")
	if strings.Contains(a.Body, "Limits in force</h2>") || strings.Contains(a.Body, "NaN") {
		t.Errorf("limits of a volume that does not apply, or a figure that is none\n%s", a.Body)
	}
}

// TestLetterSaysWhereToSendIt: by the address of the workshop, else by asking, else
// on lines to write on; never by what nobody has said.
func TestLetterSaysWhereToSendIt(t *testing.T) {
	const (
		address = "Invented lane 1\n00000 <Nowhere>"
		lines   = `Invented lane 1<br>00000 &lt;Nowhere&gt;`
		ask     = "Ask the workshop where to send it: &#43;49 30 000 111."
		written = "Address or stamp of the workshop:"
		number  = "Telephone &#43;49 30 000 111"
		blank   = "<span>Telephone:</span>"
	)
	for _, tt := range []struct {
		name, address, phone string
		has, lacks           []string
	}{
		{"both", address, "+49 30 000 111", []string{lines, number}, []string{ask, written, blank}},
		{"address alone", address, "", []string{lines, blank}, []string{"Ask the workshop", written, number}},
		{"telephone alone", "", "+49 30 000 111", []string{ask, number, written}, []string{lines, blank}},
		{"neither", "", "", []string{written, blank}, []string{lines, "Ask the workshop", number}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := newSite(t)
			workshop, err := s.store.Workshop(t.Context())
			if err != nil {
				t.Fatal(err)
			}
			workshop.Address, workshop.Phone = tt.address, tt.phone
			if err := s.store.SaveWorkshop(t.Context(), &workshop); err != nil {
				t.Fatal(err)
			}
			client, b := s.BenchClient("K-014"), s.As("kit", models.Fitter)
			checkin := b.Visit(client, "delivery", "33.4", "33.7", "32.1")
			a := b.Get(s.handOver(client, "Ash", s.raise(client, checkin, assess.SockLayers, assess.AboutLimb)))
			a.Has(t, http.StatusOK, tt.has...)
			if tt.address != "" && strings.Count(a.Body, lines) != 2 {
				t.Error("the address does not stand in the head and where the answer goes")
			}
			for _, text := range tt.lacks {
				if strings.Contains(a.Body, text) {
					t.Errorf("the letter has %q", text)
				}
			}
		})
	}
}

// TestLetterOfManyVisits lists the newest and says how many it leaves out.
func TestLetterOfManyVisits(t *testing.T) {
	s := newSite(t)
	client, b := s.BenchClient("K-014"), s.As("kit", models.Fitter)
	var last string
	for i := range 12 {
		last = b.Visit(client, "follow-up", fmt.Sprintf("33.%d", i%10), "33.7", "32.1")
	}
	a := b.Get(s.handOver(client, "Ash", s.raise(client, last, assess.SockLayers, assess.AboutLimb)))
	a.Has(t, http.StatusOK, "6 earlier visits are not listed here; they come on request.", "Telephone:</span>")
	if n := len(regexp.MustCompile(`data-label="Visit"`).FindAllString(a.Body, -1)); n != letterRows {
		t.Errorf("the letter lists %d visits, want %d", n, letterRows)
	}
}

// TestFigureOfALetter: a unit or a scale with every figure, a sign with every change,
// and half of the 95 % interval wherever there is an uncertainty.
func TestFigureOfALetter(t *testing.T) {
	for _, tt := range []struct {
		name string
		v    assess.Value
		want string
	}{
		{"a rating", assess.Value{Name: "comfort-now", Value: 5, Unit: assess.Points}, "5 of 10"},
		{"too loose", assess.Value{Name: "looseness", Value: -2, Unit: assess.Points}, "2 too loose"},
		{"a count", assess.Value{Name: "layers-now", Value: 2, Unit: assess.Count}, "2"},
		{"days", assess.Value{Name: "days", Value: 9, Unit: assess.Days}, "9\u202fdays"},
		{"a gap", assess.Value{Name: "gap", Value: 2.1, Unit: assess.MM, U: new(0.5)}, "2.1\u202fmm ± 1.0 (95 %)"},
		{"a gain", assess.Value{Name: "sound-change", Value: 1.4, Unit: assess.Percent, U: new(1.7), Lo: new(-2.0), Hi: new(4.8)},
			"+1.4\u202f% ± 3.4 (95 %: −2.0 to +4.8)"},
		{"a loss", assess.Value{Name: "change-volume", Value: -114.3, Unit: assess.ML, U: new(19.4)}, "−114\u202fmL ± 38 (95 %)"},
		{"a gain in mL", assess.Value{Name: "change-volume", Value: 114.3, Unit: assess.ML, U: new(19.4)}, "+114\u202fmL ± 38 (95 %)"},
		{"no change", assess.Value{Name: "change", Value: 0, Unit: assess.Percent, U: new(1.0), Lo: new(-2.0), Hi: new(2.0)},
			"0.0\u202f% ± 2.0 (95 %: −2.0 to +2.0)"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := testSayer(t).withError(tt.v); got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
}
