package server

import (
	"log/slog"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/models/modelstest"
	"fairlead/server/demo"
	"fairlead/server/form"
	"github.com/alexedwards/argon2id"
)

// demoSite serves the invented workshop.
func demoSite(t *testing.T) *site {
	t.Helper()
	s := &site{t: t, clock: &clock{}, log: &lines{}}
	today := time.Date(2026, 11, 25, 10, 30, 0, 0, time.UTC)
	s.clock.seconds.Store(today.Unix())
	past := &demo.Clock{}
	past.Set(today)
	s.store = modelstest.SQLiteAt(t, past.Now)
	hash := func(password string) (string, error) { return argon2id.CreateHash(password, &cheapPassword) }
	if err := demo.Fill(t.Context(), s.store, past, today, hash); err != nil {
		t.Fatal(err)
	}
	handler, err := New(Deps{Store: s.store, Now: s.clock.Now, Log: slog.New(slog.NewTextHandler(s.log, nil)), Password: &cheapPassword})
	if err != nil {
		t.Fatal(err)
	}
	s.Server = httptest.NewTLSServer(handler)
	t.Cleanup(s.Close)
	return s
}

// Demo signs in as one of the people of the invented workshop.
func (s *site) Demo(role models.Role) *browser {
	s.t.Helper()
	for _, p := range demo.SignIns {
		if p.Role == role {
			b := s.Browser()
			if a := b.Post("/sign-in", "name", p.SignIn, "password", p.Password); a.Status != http.StatusSeeOther {
				s.t.Fatalf("sign-in of %s: status %d", role, a.Status)
			}
			return b
		}
	}
	s.t.Fatalf("nobody is a %s", role)
	return nil
}

var clientLink = regexp.MustCompile(`<a href="/clients/[^"]*">([^<]*) \(K-\d+\)</a>`)

// listed are the names of the clients of the list of the day, in its order.
func listed(a answer) (names []string) {
	_, table, _ := strings.Cut(a.Body, "<tbody>")
	for _, m := range clientLink.FindAllStringSubmatch(table, -1) {
		names = append(names, m[1])
	}
	return names
}

func TestTodayInOrderOfNeed(t *testing.T) {
	site := demoSite(t)
	a := site.Demo(models.Fitter).Get("/today")
	a.Has(t, http.StatusOK,
		"Four people need an answer now, five need you soon", "overdue: ask again since", "Wednesday 25 November 2026",
		"No crack or sharp edge” was answered no", "and 1 more", "left transtibial", "</svg>Overdue", "16 more with no open flag. This is not an assessment.",
		"Check-ins being typed", `class="spark"`, "not diagnose or treat")
	got := strings.Join(listed(a), " ")
	want := "Bramble, T. Hazel, B. Larch, T. Nettle, R. Poplar, W. Birch, M. Sallow, H. Rowan, M. Maple, D. Sorrel, F. Aspen, J. Spruce, Q. Juniper, L. Willow, S. Ivy, Z."
	if got != want {
		t.Errorf("listed %s\nwant   %s", got, want)
	}
	if strings.Contains(a.Body, "Holly") || strings.Contains(a.Body, "Alder") {
		t.Error("the list holds an archived client, or one who needs nothing")
	}
	if strings.Contains(site.log.String(), "catalogue") {
		t.Errorf("a text is missing:\n%s", site.log.String())
	}
}

// A limb that was not taped at its newest visit shows when it was.
func TestTodayTellsWhenTheLimbWasTaped(t *testing.T) {
	a := demoSite(t).Demo(models.Fitter).Get("/today")
	_, larch, _ := strings.Cut(a.Body, "Larch, T.")
	larch, _, _ = strings.Cut(larch, "</tr>")
	if !strings.Contains(larch, "taped on ") {
		t.Errorf("the row does not say when the limb was taped:\n%s", larch)
	}
}

func TestTodayOfAProsthetistIsTheirOwnClients(t *testing.T) {
	site := demoSite(t)
	b := site.Demo(models.Prosthetist)
	clients := b.Get("/clients")
	clients.Has(t, http.StatusOK, "Alder, A.")
	for _, name := range []string{"Clover, D.", "Gorse, H."} { // nobody of the workshop is on their care team
		if strings.Contains(clients.Body, name) || strings.Contains(b.Post("/clients/find", "q", name).Body, ">"+name) {
			t.Errorf("a prosthetist sees %s, whose care team they are not on", name)
		}
	}
	a := b.Get("/today")
	a.Has(t, http.StatusOK, "Four people need an answer now, four need you soon")
	if strings.Contains(a.Body, "New check-in") || strings.Contains(clients.Body, "New client") {
		t.Error("a prosthetist is offered what only a fitter does")
	}
}

func TestAnOwnerSeesNoNames(t *testing.T) {
	b := demoSite(t).Demo(models.Owner)
	for _, path := range []string{"/today", "/clients"} {
		if a := b.Get(path); a.Status != http.StatusSeeOther || a.Location != "/setup" {
			t.Errorf("%s: status %d to %q, want 303 to /setup", path, a.Status, a.Location)
		}
	}
	if a := b.Post("/clients/find", "q", "a"); a.Status != http.StatusSeeOther || a.Location != "/setup" {
		t.Errorf("search: status %d to %q, want 303 to /setup", a.Status, a.Location)
	}
}

func TestTodayWithNobodyInIt(t *testing.T) {
	b := newSite(t).As("rowan", models.Fitter)
	b.Get("/today").Has(t, http.StatusOK, "Nobody is waiting for an answer", "Begin with a new client")
	wren := b.As("wren", models.Prosthetist).Get("/today")
	wren.Has(t, http.StatusOK, "No client in use is yours so far.")
	wren.Lacks(t, "Begin with a new client")
	b.Get("/clients").Has(t, http.StatusOK, "There is no client here yet")
	client := models.Client{Code: "K-001", Name: "Reed, A."}
	if err := b.store.CreateClient(t.Context(), &client); err != nil {
		t.Fatal(err)
	}
	b.Get("/today").Has(t, http.StatusOK, "Nobody is waiting for an answer", "No flag is open", "1 more with no open flag")
}

func TestWhoIsWaiting(t *testing.T) {
	y := testSayer(t)
	cases := []struct {
		count models.TodayCount
		want  string
	}{
		{models.TodayCount{Now: 2, Soon: 1, Watch: 4}, "Two people need an answer now, one needs you soon"},
		{models.TodayCount{Now: 1, Soon: 12}, "One person needs an answer now, 12 need you soon"},
		{models.TodayCount{Now: 1}, "One person needs an answer now"},
		{models.TodayCount{Soon: 1, Overdue: 3}, "One person needs you soon"},
		{models.TodayCount{Watch: 1}, "Nobody is waiting for an answer; one person is to be looked at next visit"},
		{models.TodayCount{Watch: 3, Due: 2}, "Nobody is waiting for an answer; three people are to be looked at next visit"},
		{models.TodayCount{Overdue: 2, Due: 1}, "Nobody is waiting for an answer; two check-ins are overdue"},
		{models.TodayCount{Due: 1, Rest: 7}, "Nobody is waiting for an answer; one check-in is due within a week"},
		{models.TodayCount{Rest: 7}, "Nobody is waiting for an answer"},
	}
	for _, c := range cases {
		if got := y.whoIsWaiting(c.count); got != c.want {
			t.Errorf("%+v: %q, want %q", c.count, got, c.want)
		}
	}
}

func TestElapsed(t *testing.T) {
	y := testSayer(t)
	const day = 24 * time.Hour
	cases := []struct {
		d    time.Duration
		want string
	}{
		{0, "1 min"}, {59 * time.Minute, "59 min"}, {time.Hour, "1 h"}, {47 * time.Hour, "47 h"}, {2 * day, "2 days"},
		{13 * day, "13 days"}, {14 * day, "2 weeks"}, {69 * day, "9 weeks"}, {70 * day, "2 months"}, {365 * day, "12 months"},
	}
	for _, c := range cases {
		if got := y.elapsed(c.d); got != c.want {
			t.Errorf("%s: %q, want %q", c.d, got, c.want)
		}
	}
}

// TestTodaySaysWhatIsAwaited: a flag that was handed over waits until the day on
// which to ask again, and is soon from then on.
func TestTodaySaysWhatIsAwaited(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	b := site.As("kit", models.Fitter)
	flag := site.raise(client, b.Visit(client, "delivery", "33.4", "33.7", "32.1"), assess.VolumeChange, assess.AboutLimb)
	b.Get("/today").Has(t, http.StatusOK, ", <b>unseen</b>", `class="mark soon"`, "One person needs you soon")
	b.Post(flag+"/seen", "version", "1").Has(t, http.StatusSeeOther)
	b.Get("/today").Lacks(t, "<b>unseen</b>")

	kit, err := site.store.PersonBySignIn(t.Context(), "kit")
	if err != nil {
		t.Fatal(err)
	}
	today := site.clock.Now()
	hand := func(days int) string {
		t.Helper()
		on := today.AddDate(0, 0, days)
		if err := site.store.CreateHandover(t.Context(), &models.Handover{
			ClientID: client.ID, LimbID: client.Limb.ID, ToWhom: "R. <Alder>", Means: models.ByLetter, HandedOn: quantity.DateOf(today),
			AskAgainOn: quantity.DateOf(on), RecordedBy: kit.ID, FlagIDs: []string{site.flagAt(flag).ID},
		}); err != nil {
			t.Fatal(err)
		}
		return form.FormatDate(quantity.DateOf(on), language)
	}
	ahead := hand(7)
	b.Get("/today").Has(t, http.StatusOK, "Handed over to R. &lt;Alder&gt; by letter, ask again on "+ahead, `class="mark watch"`, "Nobody is waiting for an answer; one person is to be looked at next visit")
	b.Get(flag).Has(t, http.StatusOK, "awaiting an answer; ask again on "+ahead, "Handed over to R. &lt;Alder&gt; by letter on ", `class="mark soon"`)
	past := hand(-1)
	b.Get("/today").Has(t, http.StatusOK, "overdue: ask again since "+past, `class="mark soon"`, "One person needs you soon")
	b.Get("/clients/"+client.ID).Has(t, http.StatusOK, "overdue: ask again since "+past)
}
