package server

import (
	"errors"
	"net/http"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// checkinPage is one page of a check-in being typed.
type checkinPage struct {
	Page
	Heading  Heading
	What     string // the heading
	Base     string // address of the draft
	Slug     string
	Steps    []stepLink
	Next     string // what the main button says
	First    bool
	Version  int
	Shown    string // what the fields hold, to tell later what was typed
	Saved    string // when the draft was kept last
	Meta     []string
	Zone     string
	Unit     string
	Comma    bool
	Prefix   string // of the limb's fields
	Typed    map[string]string
	Corrects string // the day of the check-in that is corrected
	NewPlan  bool   // the measuring plan has changed since the draft was begun
	Part     any    // what the page is about
}

// stepLink leads to another page of the same check-in.
type stepLink struct {
	Slug, Title, Short string
	Here               bool
}

// N is the full name of a field of the page's limb.
func (p checkinPage) N(name string) string { return p.Prefix + name }

// V is what was typed into a field of the page's limb.
func (p checkinPage) V(name string) string { return p.Typed[p.Prefix+name] }

// The buttons of a page, beside the names of other pages.
const (
	goNext  = "next"
	goBack  = "back"
	goLeave = "leave"
	goStay  = "stay" // keep what was typed and show the page anew, with more rows

	goWalkAll  = "walk-all"  // show every station of the walk
	goOpenSkin = "skin"      // leave the residual limb, or a second round of it, out because of open skin
	goSecond   = "again-now" // measure the residual limb a second time
)

// showStep shows one page of a draft.
func (s *server) showStep(c *gin.Context) error {
	o, err := s.open(c)
	if err != nil {
		return s.orSaved(c, o, err)
	}
	steps := o.layout.steps(o.draft.Fields)
	i := find(steps, c.Param("step"))
	if i < 0 {
		return errNotFound
	}
	page, err := s.stepPage(c, o, steps, i)
	if err != nil {
		return err
	}
	return s.show(c, pageOf(steps[i]), page)
}

// pageOf is the template of a step.
func pageOf(st step) string {
	if st.Kind == soundStep || st.Kind == residualStep || st.Kind == secondStep {
		return "checkin-girths"
	}
	return "checkin-" + string(st.Kind)
}

// saveStep keeps what was typed on a page and goes on. Going on is held up only
// by what can't be read on this page; going back, elsewhere or away never is.
func (s *server) saveStep(c *gin.Context) error {
	o, err := s.open(c)
	if err != nil {
		return s.orSaved(c, o, err)
	}
	at := find(o.layout.steps(o.draft.Fields), c.Param("step"))
	if at < 0 {
		return errNotFound
	}
	in, err := posted(c)
	if err != nil {
		return err
	}
	in.button = press(in.button, o.layout.steps(o.draft.Fields)[at], in.typed)
	d, differ, err := s.merge(c, o.draft, in)
	if errors.Is(err, models.ErrConflict) {
		return s.orSaved(c, opened{draft: d}, errSaved)
	}
	if err != nil {
		return err
	}
	before := o.layout.steps(o.draft.Fields)[at:]
	if o, err = s.withDraft(c, o, d); err != nil {
		return err
	}
	if len(differ) > 0 {
		return s.showVersions(c, o, in, differ)
	}
	return s.goOn(c, o, before, in.button)
}

// press does what a button means beyond going somewhere, as if it had been
// typed, and returns where it goes.
func press(button string, at step, typed map[string]string) string {
	switch button {
	case goWalkAll:
		typed[limbPrefix(at.Limb)+"walk"] = walkAll
		return goStay
	case goOpenSkin:
		part := quantity.Residual
		if at.Kind == secondStep {
			part = secondRound
		}
		typed[limbPrefix(at.Limb)+notDoneField(part)] = string(models.OpenSkin)
		return goNext
	case goSecond:
		typed[limbPrefix(at.Limb)+secondOpen] = "yes"
		typed[limbPrefix(at.Limb)+notDoneField(secondRound)] = ""
		return step{Kind: secondStep, Limb: at.Limb, Pass: 1}.slug()
	}
	return button
}

// goOn answers a page that has been kept. before are that page and those that
// followed it before it was.
func (s *server) goOn(c *gin.Context, o opened, before []step, button string) error {
	steps := o.layout.steps(o.draft.Fields)
	i := find(steps, before[0].slug())
	gone := i < 0 // what was typed made this page fall away
	if gone {
		i = lastBefore(steps, before[1:])
	}
	to := i
	switch button {
	case goLeave:
		return s.done(c, "/clients/"+o.draft.ClientID, "checkin.kept")
	case goBack:
		if !gone {
			to = max(0, i-1)
		}
	case goStay:
	case goNext, "":
		_, problems := s.parseDraft(c, o)
		if problems = o.layout.problemsOf(problems, before[0]); problems.Any() && !gone {
			page, err := s.stepPage(c, o, steps, i)
			if err != nil {
				return err
			}
			page.Page = s.withProblems(c, page.Page, problems, s.draftLabel(c, o))
			return s.refuse(c, pageOf(steps[i]), page)
		}
		to = min(i+1, len(steps)-1)
	default:
		if to = find(steps, button); to < 0 {
			return errNotFound
		}
	}
	c.Redirect(http.StatusSeeOther, draftPath(o.draft)+"/"+steps[to].slug())
	return nil
}

// lastBefore is the place of the step before the first of later ones that is still
// there; the first where none is.
func lastBefore(steps, later []step) int {
	for _, st := range later {
		if i := find(steps, st.slug()); i >= 0 {
			return max(0, i-1)
		}
	}
	return 0
}

// parseDraft reads a whole draft as it stands.
func (s *server) parseDraft(c *gin.Context, o opened) (models.Checkin, form.Problems) {
	r := s.draftReader(c, o)
	checkin := parseCheckin(r, o.layout, s.presentDate(c))
	checkin.DraftID, checkin.EnteredBy = o.draft.ID, signedIn(c).ID
	return checkin, r.Problems()
}

// draftReader reads a draft in the unit that it is typed in.
func (s *server) draftReader(c *gin.Context, o opened) *form.Reader {
	return form.New(o.draft.Fields, form.Options{
		Unit: o.layout.Unit, DecimalComma: o.layout.Comma, Now: s.now(), Zone: o.layout.place(),
	})
}

// problemsOf are the problems with fields of one page.
func (l checkinLayout) problemsOf(problems form.Problems, st step) form.Problems {
	var here form.Problems
	for _, p := range problems {
		if l.stepOf(p.Field) == st {
			here = append(here, p)
		}
	}
	return here
}

// stepPage makes the page of a step from the draft.
func (s *server) stepPage(c *gin.Context, o opened, steps []step, i int) (checkinPage, error) {
	st := steps[i]
	limb, hasLimb := o.layout.limb(st)
	h := s.heading(c, o.layout.Client, o.layout.limbs()...)
	if hasLimb {
		h = s.heading(c, o.layout.Client, limb.Limb)
	}
	what := s.stepTitle(c, st)
	page := checkinPage{
		Page: s.page(c, s.clientTitle(c, what, h), "clients"), Heading: h, What: what,
		Base: draftPath(o.draft), Slug: st.slug(), First: i == 0,
		Version: o.draft.Version, Shown: o.layout.shown(st, o.draft.Fields), Saved: form.FormatClock(o.draft.UpdatedAt, s.zone(c)), Zone: o.layout.Zone,
		Unit: string(o.layout.Unit), Comma: o.layout.Comma, Typed: o.draft.Fields,
	}
	if hasLimb {
		page.Prefix, page.NewPlan = limb.prefix(), limb.NewerPlan != nil
		page.Meta = s.benchMeta(c, st, limb, o.draft.Fields)
	}
	if o.layout.Corrects != nil {
		page.Corrects = s.checkinDay(*o.layout.Corrects)
	}
	for j, other := range steps {
		page.Steps = append(page.Steps, stepLink{
			Slug: other.slug(), Title: s.stepNamed(c, o.layout, other), Short: s.stepShort(c, o.layout, other), Here: i == j,
		})
	}
	if i+1 < len(steps) {
		page.Next = s.text(c, "checkin.next", "Title", lowerFirst(s.stepNamed(c, o.layout, steps[i+1])))
	}
	var err error
	page.Part, err = s.stepPart(c, o, st, limb)
	return page, err
}

// stepTitle is the heading of a page.
func (s *server) stepTitle(c *gin.Context, st step) string {
	if st.Pass > 0 {
		return s.text(c, "checkin.taped."+string(st.Kind), "Pass", s.passName(c, st.Pass))
	}
	return s.text(c, "checkin.step."+string(st.Kind))
}

// stepShort is a page in the row of all pages.
func (s *server) stepShort(c *gin.Context, l checkinLayout, st step) string {
	short := s.text(c, "checkin.short."+string(st.Kind))
	switch {
	case st.Kind == secondStep:
		short = s.text(c, "checkin.short-second", "Pass", st.Pass)
	case st.Pass > 0:
		short += " " + version(st.Pass)
	}
	if limb, ok := l.limb(st); ok && len(l.Limbs) > 1 {
		return s.text(c, "checkin.of-limb", "Limb", s.text(c, "side."+string(limb.Limb.Side)), "Field", short)
	}
	return short
}

// stepNamed is the title of a page where it could be of another limb.
func (s *server) stepNamed(c *gin.Context, l checkinLayout, st step) string {
	title := s.stepTitle(c, st)
	if limb, ok := l.limb(st); ok && len(l.Limbs) > 1 {
		return s.text(c, "checkin.of-limb", "Limb", s.limbName(c, limb.Limb), "Field", title)
	}
	return title
}

// passName is the pass in words.
func (s *server) passName(c *gin.Context, pass int) string {
	return s.text(c, "checkin.pass."+version(min(pass, mostOldPasses)))
}

// benchMeta is what a fitter has to keep in mind while taping: since when the
// prosthesis is off, the posture, that the skin was looked at.
func (s *server) benchMeta(c *gin.Context, st step, l limbLayout, typed map[string]string) []string {
	if st.Pass == 0 {
		return nil
	}
	p := l.prefix()
	var meta []string
	if off := typed[p+"doffed"]; off != "" {
		meta = append(meta, s.text(c, "checkin.meta-off", "Time", off))
	}
	if (st.Kind == residualStep && st.Pass > 1 || st.Kind == secondStep) && typed[p+"posture"] != "" {
		meta = append(meta, typed[p+"posture"])
	}
	if typed[p+"skin_none"] != "" {
		meta = append(meta, s.text(c, "checkin.meta-skin"))
	}
	return meta
}
