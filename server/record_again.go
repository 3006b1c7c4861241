package server

import (
	"regexp"

	"fairlead/models"
	"fairlead/server/form"
)

var canonicalUUID = regexp.MustCompile(`^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$`)

// recordID is the id of a record that a form is about to make. The form carries
// it, so that the same form sent twice makes one record; a form that carries no
// UUID gets a new one.
func recordID(typed map[string]string) string {
	if id := typed["id"]; canonicalUUID.MatchString(id) {
		return id
	}
	return models.NewID()
}

// sentBefore tells whether a form for a new record whose id is there already
// said the same then. Where it was typed over since, it becomes a form for a
// further record, and that is a problem to look at before it is sent again.
func sentBefore(r *form.Reader, typed, saved, sent map[string]string) bool {
	if sameForm(saved, sent) {
		return true
	}
	r.Add("", "problem.saved-before", nil)
	typed["id"] = models.NewID()
	return false
}

// sameForm tells whether two records say the same, each as it stands in the
// form. Ids and versions are not typed.
func sameForm(a, b map[string]string) bool {
	return saysAll(a, b) && saysAll(b, a)
}

// saysAll tells whether everything that b says stands in a.
func saysAll(a, b map[string]string) bool {
	for field, value := range b {
		switch name, _ := column(field); name {
		case "version", "number", "attachment-id", "station-id":
			continue
		}
		if a[field] != value {
			return false
		}
	}
	return true
}
