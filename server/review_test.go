package server

import (
	"html"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/followup"
)

// reviewBench is a client whose limb became 6 % smaller in a month, with its
// prosthetist at a browser.
type reviewBench struct {
	*site
	client benchClient
	fitter *browser
	wren   *browser
	path   string // of the review
	flag   string // id of the flag about the volume
}

func newReviewBench(t *testing.T) reviewBench {
	t.Helper()
	s := newSite(t)
	s.clock.Pass(-61 * 24 * time.Hour)
	client := s.BenchClient("K-001")
	fitter := s.As("kit", models.Fitter)
	fitter.Visit(client, "delivery", "33.4", "33.7", "32.1")
	s.clock.Pass(30 * 24 * time.Hour)
	fitter = s.again("kit")
	fitter.Visit(client, "follow-up", "32.4", "32.7", "31.1")
	s.clock.Pass(time.Hour)
	wren := s.As("wren", models.Prosthetist)
	person, err := s.store.PersonBySignIn(t.Context(), "wren")
	if err != nil {
		t.Fatal(err)
	}
	s.team(client.Client, nil, person)
	flag := s.flagOf(client, assess.VolumeChange)
	return reviewBench{
		site: s, client: client, fitter: s.again("kit"), wren: wren, path: limbPath(client.Limb) + "/review",
		flag: flag[strings.LastIndex(flag, "/")+1:],
	}
}

var hiddenInput = regexp.MustCompile(`<input type="hidden" name="([^"]*)" value="([^"]*)">`)

// hidden are the hidden fields of the first form of a page's main part.
func (a answer) hidden() url.Values {
	form := url.Values{}
	_, main, _ := strings.Cut(a.Body, "<main")
	_, main, _ = strings.Cut(main, `<form`)
	main, _, _ = strings.Cut(main, "</form>")
	for _, m := range hiddenInput.FindAllStringSubmatch(main, -1) {
		form.Set(m[1], html.UnescapeString(m[2]))
	}
	return form
}

// Form is the review as a person would have it before them, with what they type.
func (r reviewBench) Form(b *browser, pairs ...string) url.Values {
	r.t.Helper()
	a := b.Get(r.path)
	a.Has(r.t, http.StatusOK)
	form := a.hidden()
	for _, field := range limitFields {
		form.Set(field, a.Value(r.t, field))
	}
	for i := 0; i+1 < len(pairs); i += 2 {
		form.Set(pairs[i], pairs[i+1])
	}
	return form
}

// Checked sends a review to be checked and returns what the page that asks for
// the password carries.
func (r reviewBench) Checked(b *browser, pairs ...string) url.Values {
	r.t.Helper()
	a := b.PostForm(r.path, r.Form(b, pairs...))
	a.Has(r.t, http.StatusOK, "Nothing is signed yet")
	return a.hidden()
}

// signed are the signed reviews of the limb.
func (r reviewBench) signed() []models.Review {
	r.t.Helper()
	all, err := r.store.ReviewsOf(r.t.Context(), r.client.Limb.ID)
	if err != nil {
		r.t.Fatal(err)
	}
	return all
}

func with(form url.Values, pairs ...string) url.Values {
	more := url.Values{}
	for field, values := range form {
		more[field] = values
	}
	for i := 0; i+1 < len(pairs); i += 2 {
		more.Set(pairs[i], pairs[i+1])
	}
	return more
}

// TestReviewFromTheListToTheLetter goes the whole way of a review.
func TestReviewFromTheListToTheLetter(t *testing.T) {
	r := newReviewBench(t)
	r.wren.Get(r.path).Has(t, http.StatusOK, "Rowan, M.", "left transtibial", "Never signed", "Delivery", "Follow-up", "−5.9\u202f%",
		"Limb volume −5.9", "Formula", "Outside the limit of −5", "starting value, not yet confirmed", "Keep open", "No change: carry on as it is",
		"One or more", `value="keep" checked`)

	check := r.wren.PostForm(r.path, r.Form(r.wren, "decision.look-again", "yes", "look_again_on", string(quantity.DateOf(r.clock.Now().AddDate(0, 1, 0))),
		"decision.do-not-wear", "yes", "note", "Seen <b>together</b>.\r\nSecond line.", "loss", "8", "limits_reason", "soft liner",
		"flag."+r.flag, "close", "reason."+r.flag, "settles as expected"))
	check.Has(t, http.StatusOK, "Do not wear the prosthesis until seen.", "Look again by ", "Limits set anew.", "5\u202f% (starting value, not yet confirmed)", "<b>8\u202f%</b>",
		"soft liner", "Closed by this signature", "settles as expected", "Seen &lt;b&gt;together&lt;/b&gt;.", "2 check-ins", "Sign as Wren",
		`type="password" value=""`, "Girth readings")
	if strings.Contains(check.Body, "autofocus") {
		t.Error("the page that asks for the password moves the focus")
	}
	if len(r.signed()) != 0 {
		t.Fatal("checking signed something")
	}
	form := check.hidden()
	signed := r.wren.PostForm(r.path+"/sign", with(form, "password", testPassword, "signed_by", "somebody", "signer_name", "Somebody"))
	signed.Has(t, http.StatusSeeOther)
	reviews := r.signed()
	if len(reviews) != 1 || reviews[0].SignerName != "Wren" || signed.Location != signedPath(reviews[0]) {
		t.Fatalf("signed %+v, to %s", reviews, signed.Location)
	}
	again := r.wren.PostForm(r.path+"/sign", with(form, "password", testPassword))
	if again.Has(t, http.StatusSeeOther); again.Location != signed.Location || len(r.signed()) != 1 {
		t.Errorf("sent twice it leads to %s and makes %d reviews", again.Location, len(r.signed()))
	}

	page := r.fitter.Get(signed.Location)
	page.Has(t, http.StatusOK, "Review 1", "Signed by Wren, prosthetist, on "+r.today(), "Do not wear the prosthesis until seen.", reviews[0].ContentHash,
		"settles as expected", "Seen &lt;b&gt;together")
	page.Lacks(t, "This is not what was signed", "Review again")
	r.fitter.Get("/clients/"+r.client.ID).Has(t, http.StatusOK, "What was decided", "Signed by Wren on "+r.today(), "Left transtibial:",
		"Do not wear the prosthesis until seen.", "−8\u202f% · Wren, ", "<h1>Do not wear the prosthesis until seen</h1>")
	flag, err := r.store.FlagByID(t.Context(), r.flag)
	if err != nil || flag.ClosedReviewID == nil || *flag.ClosedReviewID != reviews[0].ID || flag.CloseReason != "settles as expected" {
		t.Errorf("the flag is %+v (%v)", flag, err)
	}

	// 6 % lies inside the limit now, 8.7 % outside of the one that Wren set
	r.clock.Pass(10 * 24 * time.Hour)
	fitter := r.again("kit")
	fitter.Visit(r.client, "follow-up", "32.4", "32.7", "31.1")
	flags, err := r.store.FlagsOf(t.Context(), r.client.ID)
	if err != nil || len(openFlags(flags)) != 0 {
		t.Errorf("6 %% against a limit of 8 %% opened %+v (%v)", openFlags(flags), err)
	}
	for range 2 {
		fitter.Visit(r.client, "follow-up", "32.0", "32.2", "30.6")
		r.clock.Pass(5 * 24 * time.Hour)
	}
	fitter = r.again("kit")
	fitter.Get("/clients/"+r.client.ID).Has(t, http.StatusOK, "Outside the limit of −8\u202f% set by Wren on ")
	r.again("wren").Get(r.path).Has(t, http.StatusOK, "Since review 1, signed by Wren on ", "In force: Wren, ")
}

// TestOnlyTheirOwnProsthetistReviews tries every route of a review as everybody
// else.
func TestOnlyTheirOwnProsthetistReviews(t *testing.T) {
	r := newReviewBench(t)
	form := r.Checked(r.wren, "decision.no-change", "yes")
	for _, tt := range []struct {
		who    string
		b      *browser
		status int
	}{
		{"fitter", r.fitter, http.StatusForbidden},
		{"owner", r.As("knot", models.Owner), http.StatusForbidden},
		{"another prosthetist", r.As("rook", models.Prosthetist), http.StatusNotFound},
		{"a fitter who is another's prosthetist", r.As("rail", models.Fitter, models.Prosthetist), http.StatusForbidden},
		{"nobody", r.Browser(), http.StatusSeeOther},
	} {
		for name, a := range map[string]answer{
			"look": tt.b.Get(r.path), "check": tt.b.PostForm(r.path, form), "sign": tt.b.PostForm(r.path+"/sign", with(form, "password", testPassword)),
		} {
			want := tt.status
			if tt.who == "nobody" && name != "look" && a.Status == http.StatusUnauthorized {
				want = http.StatusUnauthorized
			}
			if a.Status != want {
				t.Errorf("%s, %s: status %d, want %d", tt.who, name, a.Status, want)
			}
		}
	}
	if n := len(r.signed()); n != 0 {
		t.Errorf("%d reviews were signed by somebody else", n)
	}
	other := r.BenchClient("K-002")
	r.wren.Get("/clients/"+r.client.ID+"/limbs/"+other.Limb.ID+"/review").Has(t, http.StatusNotFound)
}

// TestNobodySignsForAnother: the deputy signs under their own name, and the form
// of another person's check is no check of one's own.
func TestNobodySignsForAnother(t *testing.T) {
	r := newReviewBench(t)
	rook := r.As("rook", models.Prosthetist)
	wren, err := r.store.PersonBySignIn(t.Context(), "wren")
	if err != nil {
		t.Fatal(err)
	}
	deputy, err := r.store.PersonBySignIn(t.Context(), "rook")
	if err != nil {
		t.Fatal(err)
	}
	r.team(r.client.Client, &deputy, wren)
	form := r.Checked(r.wren, "decision.no-change", "yes")
	rook.PostForm(r.path+"/sign", with(form, "password", testPassword, "username", "wren")).Has(t, http.StatusUnprocessableEntity, "Look at what will be signed first", "Sign as Rook")
	if len(r.signed()) != 0 {
		t.Fatal("somebody signed what was checked by another")
	}
	rook.PostForm(r.path+"/sign", with(form, "password", testPassword, "signed_by", wren.ID)).Has(t, http.StatusSeeOther)
	if signed := r.signed(); len(signed) != 1 || signed[0].SignedBy != deputy.ID || signed[0].SignerName != "Rook" {
		t.Errorf("signed %+v", signed)
	}
}

func TestSignatureNeedsThePassword(t *testing.T) {
	r := newReviewBench(t)
	form := r.Checked(r.wren, "decision.other", "yes", "other_what", "ring on Monday", "note", "keep this")
	r.wren.PostForm(r.path+"/sign", form).Has(t, http.StatusUnprocessableEntity, "ring on Monday", "keep this")
	for range 5 {
		a := r.wren.PostForm(r.path+"/sign", with(form, "password", "wrong"))
		a.Has(t, http.StatusUnprocessableEntity, "ring on Monday", "keep this", `type="password" value=""`)
		if got := a.hidden(); got.Encode() != form.Encode() {
			t.Fatalf("the page carries %v, want %v", got, form)
		}
	}
	r.wren.PostForm(r.path+"/sign", with(form, "password", testPassword)).Has(t, http.StatusTooManyRequests, "keep this")
	if len(r.signed()) != 0 {
		t.Fatal("something was signed without the password")
	}
	r.clock.Pass(20 * time.Minute)
	r.wren.PostForm(r.path+"/sign", with(form, "password", testPassword)).Has(t, http.StatusSeeOther)
	if len(r.signed()) != 1 {
		t.Error("nothing was signed")
	}
}

// TestNothingIsSignedUnseen: a form that was not shown as it is sent is shown
// first.
func TestNothingIsSignedUnseen(t *testing.T) {
	r := newReviewBench(t)
	direct := r.Form(r.wren, "decision.no-change", "yes", "password", testPassword)
	r.wren.PostForm(r.path+"/sign", direct).Has(t, http.StatusUnprocessableEntity, "Look at what will be signed first", "carry on as it is")
	form := r.Checked(r.wren, "decision.no-change", "yes")
	r.wren.PostForm(r.path+"/sign", with(form, "password", testPassword, "note", "added on the way")).
		Has(t, http.StatusUnprocessableEntity, "Look at what will be signed first", "added on the way")
	r.wren.Post(r.path+"/sign", "password", testPassword).Has(t, http.StatusConflict)
	if len(r.signed()) != 0 {
		t.Error("something was signed that nobody saw")
	}
}

// TestStalePageIsNotSigned keeps all that was typed and says what is new.
func TestStalePageIsNotSigned(t *testing.T) {
	r := newReviewBench(t)
	form := r.Checked(r.wren, "decision.adjust", "yes", "adjust_what", "the proximal edge", "note", "kept", "flag."+r.flag, "close", "reason."+r.flag, "kept too")
	r.clock.Pass(time.Minute)
	r.fitter.Visit(r.client, "follow-up", "32.0", "32.2", "30.6")
	for _, path := range []string{r.path, r.path + "/sign"} {
		a := r.wren.PostForm(path, with(form, "password", testPassword))
		a.Has(t, http.StatusConflict, "What is new since you opened this", "Check-in of "+r.today()+", entered by Kit", "New evidence, or another level: ",
			"the proximal edge", "kept", "kept too", `value="close" checked`)
	}
	if len(r.signed()) != 0 {
		t.Fatal("a page that went stale was signed")
	}
	fresh := r.wren.PostForm(r.path, form)
	next := with(form, "shown", fresh.hidden().Get("shown"))
	a := r.wren.PostForm(r.path, next)
	a.Has(t, http.StatusOK, "kept too", "3 check-ins")
	r.wren.PostForm(r.path+"/sign", with(a.hidden(), "password", testPassword)).Has(t, http.StatusSeeOther)
}

func TestTwoProsthetistsAtOnce(t *testing.T) {
	r := newReviewBench(t)
	rook := r.As("rook", models.Prosthetist)
	var team []models.Person
	for _, name := range []string{"wren", "rook"} {
		p, err := r.store.PersonBySignIn(t.Context(), name)
		if err != nil {
			t.Fatal(err)
		}
		team = append(team, p)
	}
	r.team(r.client.Client, nil, team...)
	second := r.Checked(rook, "decision.refer", "yes", "refer_whom", "the clinic", "flag."+r.flag, "close", "reason."+r.flag, "mine")
	first := r.Checked(r.wren, "decision.no-change", "yes", "flag."+r.flag, "close", "reason."+r.flag, "first")
	r.wren.PostForm(r.path+"/sign", with(first, "password", testPassword)).Has(t, http.StatusSeeOther)
	rook.PostForm(r.path+"/sign", with(second, "password", testPassword)).Has(t, http.StatusConflict, "Wren signed review 1.", "the clinic",
		"Wren closed “Limb volume", "You had typed: mine")
	if signed := r.signed(); len(signed) != 1 {
		t.Errorf("%d reviews were signed, want 1", len(signed))
	}
}

// TestReviewsNeverChange sends every changing route a signed review's ids and
// fields, and tells a row that was changed from outside.
func TestReviewsNeverChange(t *testing.T) {
	r := newReviewBench(t)
	form := r.Checked(r.wren, "decision.no-change", "yes")
	r.wren.PostForm(r.path+"/sign", with(form, "password", testPassword)).Has(t, http.StatusSeeOther)
	before := r.signed()[0]
	srv, err := newServer(Deps{Store: r.store, Now: r.clock.Now, Log: discard, Password: &cheapPassword})
	if err != nil {
		t.Fatal(err)
	}
	for _, route := range srv.routes {
		if strings.Contains(route.path, ":review") && route.method != http.MethodGet {
			t.Errorf("%s %s leads to a signed review", route.method, route.path)
		}
		if route.method == http.MethodGet || route.path == "/sign-out" || !strings.Contains(route.path, ":client") {
			continue
		}
		path := strings.NewReplacer(":client", r.client.ID, ":limb", r.client.Limb.ID, ":flag", r.flag, ":cover", r.client.Cover.ID).Replace(route.path)
		for _, b := range []*browser{r.wren, r.fitter} {
			b.PostForm(parameter.ReplaceAllString(path, before.ID), with(form, "id", before.ID, "review", before.ID, "note", "changed", "password", testPassword))
		}
	}
	after, err := r.store.ReviewByID(t.Context(), before.ID)
	if err != nil || followup.ContentHash(after, nil) != before.ContentHash || after.ContentHash != before.ContentHash {
		t.Errorf("the review became %+v (%v)", after, err)
	}

	touched := before
	touched.ID, touched.Number, touched.Note = models.NewID(), len(r.signed())+1, "not what was signed"
	if err := r.store.CreateReview(t.Context(), &touched); err != nil {
		t.Fatal(err)
	}
	r.fitter.Get(signedPath(touched)).Has(t, http.StatusOK, "This is not what was signed", "The review before", before.ContentHash)
	r.fitter.Get(signedPath(before)).Lacks(t, "This is not what was signed")
	other := r.BenchClient("K-002")
	r.fitter.Get("/clients/"+other.ID+"/reviews/"+before.ID).Has(t, http.StatusNotFound)
}
