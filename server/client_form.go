package server

import (
	"slices"
	"strconv"

	"fairlead/models"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
	lang "golang.org/x/text/language"
)

// The rows of contacts that a client can have, and how many stand on a new form.
const (
	mostContacts  = 20
	usualContacts = 2
)

// clientWording are the words of the client form; the care team is in the
// labels of each page.
func (s *server) clientWording(c *gin.Context, people []models.Person) wording {
	w := wording{
		form: "client", labels: map[string]string{}, rows: map[string]string{"contact": "client.contact-row"},
		kinds: map[string]string{
			"still_growing": "tick", "reduced_feeling": "tick", "consent_record": "tick", "consent_contact": "tick",
		},
	}
	for _, p := range people {
		w.labels[teamField(p.ID)] = s.text(c, "client.team") + ": " + p.ShownName()
	}
	return w
}

// teamField is the box of a person in the care team.
func teamField(personID string) string { return "team." + personID }

// typedClient is a client as it stands in the form.
func typedClient(client models.Client) map[string]string {
	typed := map[string]string{
		"code": client.Code, "name": client.Name, "phone": client.Phone, "language": client.Language,
		"guardian": client.Guardian, "still_growing": yes(client.StillGrowing),
		"reduced_feeling": yes(client.ReducedFeeling), "conditions": client.Conditions,
		"consent_record": yes(client.ConsentRecord), "consent_contact": yes(client.ConsentContact),
		"clinic_phone": client.ClinicPhone, "out_of_hours_phone": client.OutOfHoursPhone,
		"emergency_phone": client.EmergencyPhone, "version": version(client.Version), "deputy": "",
	}
	if client.DeputyID != nil {
		typed["deputy"] = *client.DeputyID
	}
	for _, p := range client.CareTeam {
		typed[teamField(p.ID)] = "yes"
	}
	for i, contact := range client.Contacts {
		typed[rowField("contact", i, "name")] = contact.Name
		typed[rowField("contact", i, "relation")] = contact.Relation
		typed[rowField("contact", i, "phone")] = contact.Phone
	}
	typed["contacts"] = strconv.Itoa(min(max(usualContacts, len(client.Contacts)+1), mostContacts))
	return typed
}

// readClient reads the form into a client. people are those who can be on the
// care team; the contacts and the team of before are replaced.
func readClient(r *form.Reader, before models.Client, people []models.Person) models.Client {
	client := before
	client.Code = r.RequiredText("code", 20)
	client.Name = r.RequiredText("name", longestName)
	client.Phone = r.Phone("phone")
	client.Language = languageTag(r, "language")
	client.Guardian = r.Text("guardian", longestLine)
	client.StillGrowing, client.ReducedFeeling = r.Bool("still_growing"), r.Bool("reduced_feeling")
	client.Conditions = r.Note("conditions", longestNote)
	client.ConsentRecord, client.ConsentContact = r.Bool("consent_record"), r.Bool("consent_contact")
	client.ClinicPhone = r.Phone("clinic_phone")
	client.OutOfHoursPhone = r.Phone("out_of_hours_phone")
	client.EmergencyPhone = r.Phone("emergency_phone")
	client.Version = readVersion(r)
	client.CareTeam, client.DeputyID = nil, nil
	ids := make([]string, len(people))
	for i, p := range people {
		ids[i] = p.ID
		if r.Bool(teamField(p.ID)) {
			client.CareTeam = append(client.CareTeam, p)
		}
	}
	if deputy := form.Choice(r, "deputy", ids); deputy != "" {
		client.DeputyID = &deputy
		checkDeputy(r, before, people[slices.Index(ids, deputy)])
	}
	client.Contacts = readContacts(r)
	return client
}

// checkDeputy refuses a deputy who can't review, unless one is named from before, and
// one who is on the care team.
func checkDeputy(r *form.Reader, before models.Client, deputy models.Person) {
	named := before.DeputyID != nil && *before.DeputyID == deputy.ID
	switch {
	case r.Bool(teamField(deputy.ID)):
		r.Add("deputy", "problem.deputy-in-team", map[string]any{"Name": deputy.Name})
	case !deputy.IsProsthetist && !named:
		r.Add("deputy", "problem.deputy-cannot-review", map[string]any{"Name": deputy.Name})
	}
}

// readContacts reads the rows of contacts; an empty row is none.
func readContacts(r *form.Reader) []models.Contact {
	var contacts []models.Contact
	for i := range formRows(r, "contacts", mostContacts) {
		name, relation, phone := rowField("contact", i, "name"), rowField("contact", i, "relation"), rowField("contact", i, "phone")
		if r.Empty(name) && r.Empty(relation) && r.Empty(phone) {
			continue
		}
		contacts = append(contacts, models.Contact{
			Name: r.RequiredText(name, longestName), Relation: r.Text(relation, longestName), Phone: r.Phone(phone),
		})
	}
	return contacts
}

// languageTag reads a BCP 47 language and returns it in its usual spelling.
func languageTag(r *form.Reader, field string) string {
	typed := r.RequiredText(field, 20)
	if typed == "" {
		return ""
	}
	tag, err := lang.Parse(typed)
	if err != nil {
		r.Add(field, "problem.language", nil)
		return ""
	}
	return tag.String()
}
