package server

import (
	"net/http"
	"slices"
	"strconv"
	"strings"

	"fairlead/analytics/quantity"
	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// recordPage is what the forms about a client's record share.
type recordPage struct {
	Page
	Heading Heading
	What    string // the heading: what is recorded here
	Typed   map[string]string
	Unit    string // in which lengths are typed
	Differs []difference
}

func (s *server) recordPage(c *gin.Context, what string, h Heading, typed map[string]string) recordPage {
	if h.Limbs == "" {
		h.Limbs = s.text(c, "record.no-limb")
	}
	title := what
	if h.ClientID != "" {
		title = s.clientTitle(c, what, h)
	}
	return recordPage{
		Page: s.page(c, title, "clients"), Heading: h, What: what, Typed: typed, Unit: string(signedIn(c).LengthUnit),
	}
}

// recordReader reads a form about a client. That of an archived client always
// has a problem, so that it is shown again and nothing of it is saved.
func (s *server) recordReader(c *gin.Context, client models.Client, typed map[string]string) *form.Reader {
	r := s.reader(c, typed)
	if client.ArchivedAt != nil {
		r.Add("", "problem.archived", nil)
	}
	return r
}

// refused puts what is wrong with a form on its page.
func (s *server) refused(c *gin.Context, p recordPage, w wording, r *form.Reader) recordPage {
	p.Page = s.withProblems(c, p.Page, r.Problems(), func(field string) string {
		label, _ := s.labelOf(c, w, field)
		return label
	})
	return p
}

// refuseRecord renders the form of a record again, with what was typed and what
// is wrong with it; h is whose record it is.
func (s *server) refuseRecord(c *gin.Context, name string, h Heading, data any) error {
	if h.Archived {
		return s.conflict(c, name, data)
	}
	return s.refuse(c, name, data)
}

// difference is one field in which what is saved now differs from what was
// typed.
type difference struct{ Label, Saved, Typed string }

// wording says how the fields of a form are put into words: the label of a
// field is the text form.field, and kinds names the vocabulary of a choice or
// "tick" for a box. ids are the texts of labels that are called otherwise, rows
// those of the rows of a part, and labels what is no text of the catalogue.
type wording struct {
	form   string
	kinds  map[string]string
	ids    map[string]string
	rows   map[string]string
	labels map[string]string
}

// differences lists what differs between the record as it is saved now and a
// form as it was typed, by field name. Both are forms. What is only typed counts
// where it is a row or a box; other such fields, a reason say, are not kept with
// the record.
func (s *server) differences(c *gin.Context, w wording, saved, typed map[string]string) []difference {
	fields := make([]string, 0, len(saved)+len(typed))
	for field := range saved {
		fields = append(fields, field)
	}
	for field := range typed {
		_, both := saved[field]
		_, ticked := w.labels[field]
		if _, row := column(field); !both && (ticked || row >= 0) {
			fields = append(fields, field)
		}
	}
	slices.Sort(fields)
	var out []difference
	for _, field := range fields {
		label, known := s.labelOf(c, w, field)
		if !known || sameTyped(saved[field], typed[field]) {
			continue
		}
		out = append(out, difference{
			Label: label, Saved: s.sayTyped(c, w, field, saved[field]), Typed: s.sayTyped(c, w, field, typed[field]),
		})
	}
	return out
}

// sameTyped tells whether two texts of a field say the same; 16 and 16,0 do.
func sameTyped(a, b string) bool {
	return slices.EqualFunc(strings.Fields(a), strings.Fields(b), func(x, y string) bool {
		n, errX := strconv.ParseFloat(strings.Replace(x, ",", ".", 1), 64)
		m, errY := strconv.ParseFloat(strings.Replace(y, ",", ".", 1), 64)
		return x == y || errX == nil && errY == nil && n == m
	})
}

// labelOf is the label of a field; one of a row also says which row. Fields
// that only steer the form have none.
func (s *server) labelOf(c *gin.Context, w wording, field string) (string, bool) {
	if label, ok := w.labels[field]; ok {
		return label, true
	}
	column, row := column(field)
	id, ok := w.ids[column]
	if !ok {
		id = w.form + "." + column
	}
	if !s.pages.Catalogue().Has(language, id) {
		return "", false
	}
	if row < 0 {
		return s.text(c, id), true
	}
	part, _, _ := strings.Cut(column, "-")
	return s.text(c, "record.row-label", "Row", s.text(c, w.rows[part], "Number", row+1), "Label", lowerFirst(s.text(c, id))), true
}

func (s *server) sayTyped(c *gin.Context, w wording, field, value string) string {
	column, _ := column(field)
	kind := w.kinds[column]
	if _, named := w.labels[field]; named {
		kind = "tick"
	}
	value = strings.TrimSpace(value)
	switch {
	case kind == "tick" && value != "":
		return s.text(c, "record.ticked")
	case kind == "tick":
		return s.text(c, "record.not-ticked")
	case value == "":
		return s.text(c, "record.empty")
	case kind != "" && s.pages.Catalogue().Has(language, kind+"."+value):
		return s.text(c, kind+"."+value)
	}
	return value
}

// rowField is the name of a field in a row of a form, such as contact-0-name.
func rowField(part string, row int, field string) string {
	return part + "-" + strconv.Itoa(row) + "-" + field
}

// column takes the row out of a field's name: contact-0-name is contact-name in
// row 0. A field outside rows has row -1.
func column(field string) (name string, row int) {
	part, rest, ok := strings.Cut(field, "-")
	number, after, ok2 := strings.Cut(rest, "-")
	row, err := strconv.Atoi(number)
	if !ok || !ok2 || err != nil {
		return field, -1
	}
	return part + "-" + after, row
}

// rowCount is how many rows a typed form has, of a field that the form counts
// them in.
func rowCount(typed map[string]string, field string, most int) int {
	n, err := strconv.Atoi(strings.TrimSpace(typed[field]))
	if err != nil || n < 0 {
		return 0
	}
	return min(n, most)
}

// formRow is a row of a form: its place in the names of fields, and its number
// for a reader.
type formRow struct{ Row, Number int }

// rows are n rows, to range over on a page.
func rows(n int) []formRow {
	out := make([]formRow, n)
	for i := range out {
		out[i] = formRow{Row: i, Number: i + 1}
	}
	return out
}

// presentDate is today's date at the workshop.
func (s *server) presentDate(c *gin.Context) quantity.Date {
	return quantity.DateOf(s.now().In(s.zone(c)))
}

// typedLength is a recorded length as it stands in a field of the person's unit.
func typedLength(who models.Person, l *quantity.Length) string {
	if l == nil {
		return ""
	}
	return form.FormatTyped(*l, who.LengthUnit, who.DecimalComma)
}

// typedLevel is a level as it stands in a list of levels, as short as can be: 3
// rather than 3.0.
func typedLevel(who models.Person, l quantity.Length) string {
	text := form.FormatTyped(l, who.LengthUnit, who.DecimalComma)
	if whole, decimals, ok := strings.Cut(text, "."); ok && strings.Trim(decimals, "0") == "" {
		return whole
	}
	if whole, decimals, ok := strings.Cut(text, ","); ok && strings.Trim(decimals, "0") == "" {
		return whole
	}
	return text
}

// typedMM is a gap or a thickness as it stands in a field of millimetres.
func typedMM(who models.Person, l *quantity.Length) string {
	if l == nil {
		return ""
	}
	return form.FormatTyped(*l, quantity.Millimetre, who.DecimalComma)
}

// clientPath is the address of a client's own page.
func clientPath(client models.Client) string { return "/clients/" + client.ID }

// limbPath is the address below which a limb's forms stand.
func limbPath(l models.Limb) string { return "/clients/" + l.ClientID + "/limbs/" + l.ID }

// conflict renders a form that was typed on top of an older state.
func (s *server) conflict(c *gin.Context, name string, data any) error {
	s.render(c, http.StatusConflict, name, data)
	return nil
}

// limbOf finds client, archived or not, and limb of a path, and the heading that
// says so.
func (s *server) limbOf(c *gin.Context) (models.Client, models.Limb, Heading, error) {
	client, err := s.reach(c)
	if err != nil {
		return client, models.Limb{}, Heading{}, err
	}
	limb, err := s.limb(c, client)
	return client, limb, s.heading(c, client, limb), err
}
