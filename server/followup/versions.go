package followup

import (
	"cmp"
	"slices"

	"fairlead/models"
)

// Current returns the version that stands now of a check-in of the record, and
// whether that is another one than id names, which was corrected then.
func (r ClientRecord) Current(id string) (current models.Checkin, corrected, ok bool) {
	current, ok = r.version(func(c models.Checkin) bool { return c.ID == id })
	for next, more := current, ok; more; {
		current = next
		next, more = r.version(func(c models.Checkin) bool { return c.ReplacesID != nil && *c.ReplacesID == current.ID })
	}
	return current, ok && current.ID != id, ok
}

// first is the version that a check-in was entered as before it was corrected.
func (r ClientRecord) first(c models.Checkin) models.Checkin {
	for before, more := c, true; more; {
		c = before
		before, more = r.version(func(v models.Checkin) bool { return c.ReplacesID != nil && *c.ReplacesID == v.ID })
	}
	return c
}

// Version returns the version of a check-in with an id, current or superseded.
func (r ClientRecord) Version(id string) (models.Checkin, bool) {
	return r.version(func(c models.Checkin) bool { return c.ID == id })
}

// version finds a version of a check-in, current or superseded.
func (r ClientRecord) version(is func(models.Checkin) bool) (models.Checkin, bool) {
	for _, versions := range [][]models.Checkin{r.Checkins, r.Superseded} {
		if i := slices.IndexFunc(versions, is); i >= 0 {
			return versions[i], true
		}
	}
	return models.Checkin{}, false
}

// late tells whether a check-in was entered, or corrected, when a newer visit of
// the limb had been entered already. One that is not saved yet is entered now.
func (r ClientRecord) late(l LimbRecord, c models.Checkin) bool {
	for _, newer := range l.Visits[len(l.upTo(c.ID).Visits):] {
		first := r.first(newer.Checkin)
		if c.EnteredAt.IsZero() || cmp.Or(first.EnteredAt.Compare(c.EnteredAt), cmp.Compare(first.ID, c.ID)) < 0 {
			return true
		}
	}
	return false
}
