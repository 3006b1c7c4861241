package server

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"fairlead/analytics/assess"
	"fairlead/models"
)

// tampered is a form that says whatever might close a flag.
func tampered(flags []models.Flag) url.Values {
	form := values("version", "1", "reason", "trimmed", "close", "yes", "cover_action", "trimmed", "gap_after", "4", "act_note", "x",
		"about", "cover", "level", "watch", "closed_by", flags[0].ClientID, "closed_at", "2026-01-05", "review_id", models.NewID(),
		"answer_id", models.NewID(), "closed_review_id", models.NewID(), "closed_answer_id", models.NewID(), "outcome", "reached",
		"present_password", testPassword, "password", testPassword, "signature", "yes", "number", "0", "kind", "no-change", "decision", "no-change",
		"means", "letter", "to_whom", "R. Alder", "from_whom", "R. Alder", "said", "close it", "answered_on", "2026-01-05", "handed_on", "2026-01-05",
		"ask_again_on", "2026-12-24", "sign", "yes", "do", "sign", "is_prosthetist", "yes")
	for i, f := range flags {
		for _, name := range []string{"flag", "flags", "close_flag", "flag." + f.ID, "close." + f.ID, "flag-" + f.ID, "close-" + f.ID, "reason." + f.ID, "reason-" + f.ID} {
			form.Add(name, []string{f.ID, "yes"}[i%2])
		}
	}
	return form
}

// TestNobodyElseClosesWhatIsTheProsthetists sends every changing route below a client,
// with everything in it that might close a flag, as everybody who may not: no flag
// about limb, socket or skin is ever closed, and none is about something else then.
func TestNobodyElseClosesWhatIsTheProsthetists(t *testing.T) {
	srv := func(site *site) *server {
		s, err := newServer(Deps{Store: site.store, Now: site.clock.Now, Log: discard, Password: &cheapPassword})
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	for _, who := range []struct {
		name  string
		roles []models.Role
	}{
		{"nobody", nil}, {"fitter", []models.Role{models.Fitter}}, {"owner", []models.Role{models.Owner}},
		{"owner who fits", []models.Role{models.Owner, models.Fitter}}, {"prosthetist of another client", []models.Role{models.Prosthetist}},
	} {
		t.Run(who.name, func(t *testing.T) {
			site := newSite(t)
			client := site.BenchClient("K-014")
			checkin := site.As("kit", models.Fitter).Visit(client, "delivery", "33.4", "33.7", "32.1")
			for rule, about := range map[assess.Rule]assess.About{
				assess.VolumeChange: assess.AboutLimb, assess.RoomChanged: assess.AboutLimb, assess.SkinSign: assess.AboutSkin, assess.FunctionNo: assess.AboutSkin,
			} {
				site.raise(client, checkin, rule, about)
			}
			flags, err := site.store.FlagsOf(t.Context(), client.ID)
			if err != nil || len(flags) != 4 {
				t.Fatalf("%d flags, %v", len(flags), err)
			}
			b := site.Browser()
			if who.roles != nil {
				b = site.As("rowan", who.roles...)
			}
			check := func(route string, a answer) {
				t.Helper()
				if a.Status == http.StatusInternalServerError {
					t.Errorf("%s: a fault of ours\n%s", route, site.log.String())
				}
				now, err := site.store.FlagsOf(t.Context(), client.ID)
				if err != nil {
					t.Fatal(err)
				}
				for _, f := range flags {
					i := slices.IndexFunc(now, func(n models.Flag) bool { return n.ID == f.ID })
					if i < 0 || now[i].ClosedAt != nil || now[i].ClosedBy != "" || now[i].About != f.About || now[i].Level != f.Level {
						t.Fatalf("%s made of the flag about %s %+v", route, f.About, now)
					}
				}
			}
			routes := slices.DeleteFunc(srv(site).routes, func(r route) bool { return r.method == http.MethodGet || !strings.Contains(r.path, ":client") })
			// the one that ends all others comes last
			slices.SortStableFunc(routes, func(x, y route) int { return strings.Compare(archiving(x), archiving(y)) })
			for _, r := range routes {
				for _, f := range flags {
					path := strings.NewReplacer(":client", client.ID, ":limb", client.Limb.ID, ":flag", f.ID, ":cover", client.Cover.ID,
						":checkin", checkin[strings.LastIndexByte(checkin, '/')+1:]).Replace(r.path)
					path = parameter.ReplaceAllString(path, f.ID)
					check(r.path, b.PostForm(path, tampered(flags)))
					if !strings.Contains(r.path, ":flag") {
						break
					}
				}
			}
		})
	}
}

func archiving(r route) string {
	if strings.HasSuffix(r.path, "/archive") {
		return "last"
	}
	return "first"
}

// TestProsthetistClosesByAReviewAlone: not even the client's own prosthetist closes a
// flag about the limb by what the fitter does, nor one about the cover.
func TestProsthetistClosesByAReviewAlone(t *testing.T) {
	site := newSite(t)
	client := site.BenchClient("K-014")
	checkin := site.As("kit", models.Fitter).Visit(client, "delivery", "33.4", "33.7", "32.1")
	wren := site.As("wren", models.Prosthetist)
	p, err := site.store.PersonBySignIn(t.Context(), "wren")
	if err != nil {
		t.Fatal(err)
	}
	now, err := site.store.ClientByID(t.Context(), client.ID)
	if err != nil {
		t.Fatal(err)
	}
	now.CareTeam = []models.Person{p}
	if err := site.store.UpdateClient(t.Context(), &now); err != nil {
		t.Fatal(err)
	}
	for rule, about := range map[assess.Rule]assess.About{
		assess.VolumeChange: assess.AboutLimb, assess.SkinSign: assess.AboutSkin, assess.ClearanceBelow: assess.AboutCover, assess.ReadingsDisagree: assess.AboutData,
	} {
		flag := site.raise(client, checkin, rule, about)
		for _, way := range []string{"/close", "/act"} {
			wren.PostForm(flag+way, tampered([]models.Flag{site.flagAt(flag)})).Has(t, http.StatusForbidden)
		}
		wren.Post(flag+"/seen", "version", "1").Has(t, http.StatusSeeOther)
		wren.Post(flag+"/called", "outcome", "reached").Has(t, http.StatusSeeOther)
		if f := site.flagAt(flag); f.ClosedAt != nil || len(f.Steps) != 2 {
			t.Errorf("a flag about %s became %+v", about, f)
		}
		page := wren.Get(flag)
		if about.ClosedBy() == assess.Fitter {
			page.Has(t, http.StatusOK, "closed by the fitter, with the action taken")
		} else {
			page.Has(t, http.StatusOK, "closed by the prosthetist only")
		}
		page.Lacks(t, `name="cover_action"`, `name="reason"`)
	}
}
