package server

import (
	"errors"
	"net/http"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// language is the one catalogue that is complete.
const language = "en"

// Page is what every page shows around its own content.
type Page struct {
	Lang     string
	Title    string
	SignedIn *Who
	Nav      string // today, clients or setup: the part of the program this page belongs to
	NowCount int    // flags that a person must act on today and nobody has seen yet
	Invented bool   // the demonstration workshop
	Workshop string
	Printed  string // stands on every sheet of paper: whose record, and the day
	Notice   string
	Problems []Problem
}

// Who is the person that a page is made for.
type Who struct {
	ID, Name                         string
	IsFitter, IsProsthetist, IsOwner bool
}

// Problem is what is wrong with one field, in words. Label names the field where
// the message stands away from it; a problem of a whole form has neither.
type Problem struct{ Field, Label, Message string }

// Problem returns what is wrong with a field, or "".
func (p Page) Problem(field string) string {
	for _, problem := range p.Problems {
		if problem.Field == field {
			return problem.Message
		}
	}
	return ""
}

// page fills in the parts that all pages share.
func (s *server) page(c *gin.Context, title, nav string) Page {
	p := Page{Lang: language, Title: title, Nav: nav}
	if who := signedIn(c); who != nil {
		p.SignedIn = &Who{
			ID: who.ID, Name: who.Name,
			IsFitter: who.IsFitter, IsProsthetist: who.IsProsthetist, IsOwner: who.IsOwner,
		}
		p.Notice = s.sessions.PopString(c.Request.Context(), noticeKey)
		p.NowCount = s.unseenNow(c, *who)
	}
	workshop := s.workshop(c)
	p.Workshop, p.Invented = workshop.Name, workshop.Invented
	on := form.FormatDate(s.presentDate(c), language)
	p.Printed = s.text(c, "layout.printed", "Workshop", workshop.Name, "On", on)
	if h, ok := c.Value(headingKey).(Heading); ok {
		id := "layout.printed-client"
		if h.Limbs != "" {
			id = "layout.printed-limb"
		}
		p.Printed = s.text(c, id, "Name", h.Name, "Code", h.Code, "Limbs", h.Limbs, "Workshop", workshop.Name, "On", on)
	}
	return p
}

// withProblems puts what is wrong with a form into words on its page; label
// names a field.
func (s *server) withProblems(c *gin.Context, p Page, problems form.Problems, label func(field string) string) Page {
	for _, problem := range problems {
		said := Problem{Field: problem.Field, Message: s.textArgs(c, problem.Code, problem.Args)}
		if said.Field != "" {
			said.Label = label(said.Field)
		}
		p.Problems = append(p.Problems, said)
	}
	return p
}

// labels names the fields of a form by their texts in the catalogue.
func (s *server) labels(c *gin.Context, ids map[string]string) func(field string) string {
	return func(field string) string {
		if id := ids[field]; id != "" {
			return s.text(c, id)
		}
		return ""
	}
}

// render writes a page. It is made whole before the first byte goes out, so
// that a fault in a template is a clean error page and not half a page. No cache
// keeps it: any page may hold a name, what was typed, or a link's token in its
// address.
func (s *server) render(c *gin.Context, status int, name string, data any) {
	body, err := s.pages.Render(name, language, data)
	if err != nil {
		s.log.Error("render", "request", requestID(c), "page", name, "error", err)
		status, body = http.StatusInternalServerError, []byte(s.text(c, errInternal.text+".say"))
	}
	c.Header("Cache-Control", "no-store")
	c.Data(status, "text/html; charset=utf-8", body)
}

// show renders a page that went well.
func (s *server) show(c *gin.Context, name string, data any) error {
	s.render(c, http.StatusOK, name, data)
	return nil
}

// refuse renders a form again, with what was typed and what is wrong with it.
func (s *server) refuse(c *gin.Context, name string, data any) error {
	s.render(c, http.StatusUnprocessableEntity, name, data)
	return nil
}

const noticeKey = "notice"

// done sends the browser to a page after a change, with a sentence that says
// what was done.
func (s *server) done(c *gin.Context, path, noticeID string, args ...any) error {
	if noticeID != "" {
		s.sessions.Put(c.Request.Context(), noticeKey, s.text(c, noticeID, args...))
	}
	c.Redirect(http.StatusSeeOther, path)
	return nil
}

// text is a sentence of the catalogue; args are names and values in turn. A
// text that is missing is a fault of ours: it is logged, and its id shown, so
// that a page is never lost for a word.
func (s *server) text(c *gin.Context, id string, args ...any) string {
	named := make(map[string]any, len(args)/2)
	for i := 0; i+1 < len(args); i += 2 {
		named[args[i].(string)] = args[i+1]
	}
	return s.textArgs(c, id, named)
}

func (s *server) textArgs(c *gin.Context, id string, args map[string]any) string {
	said, err := s.pages.Say(language, id, args)
	if err != nil {
		s.log.Error("catalogue", "request", requestID(c), "id", id, "error", err)
		return id
	}
	return said
}

// fields returns the form of a request as it was typed. What is wrong with one
// that can't be read is not passed on: it would quote what was sent.
func fields(c *gin.Context) (map[string]string, error) {
	var tooLarge *http.MaxBytesError
	switch err := c.Request.ParseForm(); {
	case errors.As(err, &tooLarge):
		return nil, err
	case err != nil:
		return nil, errMalformed
	}
	return form.FromPost(c.Request.PostForm), nil
}

// reader reads a form in the units and zone of the person who typed it.
func (s *server) reader(c *gin.Context, typed map[string]string) *form.Reader {
	zone := s.zone(c)
	options := form.Options{Unit: quantity.Centimetre, Today: quantity.DateOf(s.now().In(zone)), Zone: zone, Now: s.now()}
	if who := signedIn(c); who != nil {
		options.Unit, options.DecimalComma = who.LengthUnit, who.DecimalComma
	}
	return form.New(typed, options)
}

// unseenNow counts the open flags of level now that nobody has seen yet, among
// those that a person can see.
func (s *server) unseenNow(c *gin.Context, who models.Person) int {
	if !allowed(seeClient, &who) {
		return 0
	}
	n, err := s.store.CountUnseenNow(c.Request.Context(), careTeamOf(who))
	if err != nil {
		s.log.Error("count unseen flags", "request", requestID(c), "error", err)
	}
	return n
}

// careTeamOf limits what a person sees to the clients whose care team they are
// on; nil stands for all clients.
func careTeamOf(who models.Person) *string {
	if who.IsFitter {
		return nil
	}
	return &who.ID
}
