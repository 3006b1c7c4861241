package server

import (
	"encoding/json"
	"slices"
)

// shownField is the hidden field in which a page says what it showed in its
// fields before anybody typed: that tells a field that somebody emptied from one
// that was empty all along, when two people type in one draft.
const shownField = "shown"

// readShown reads the hidden field; nil where a page has none, or has something
// else there.
func readShown(text string) map[string]string {
	var shown map[string]string
	if json.Unmarshal([]byte(text), &shown) != nil {
		return nil
	}
	return shown
}

// writeShown writes the hidden field from those of the fields that are on the
// page. Empty ones need not be told.
func writeShown(fields map[string]string, onPage func(field string) bool) string {
	shown := map[string]string{}
	for field, text := range fields {
		if text != "" && onPage(field) {
			shown[field] = text
		}
	}
	text, _ := json.Marshal(shown) // texts by text: there is nothing that JSON can't say
	return string(text)
}

// shown is what the page of a step shows of a draft.
func (l checkinLayout) shown(st step, typed map[string]string) string {
	return writeShown(typed, func(field string) bool {
		no, name := splitLimb(field)
		onClock := no == st.Limb && (name == "doffed" || name == "first_reading")
		return l.stepOf(field) == st || (st.Kind == residualStep || st.Kind == secondStep) && onClock
	})
}

// nowShown is what a page shows once its form was merged: what was typed, and for
// the fields that differ what other has. Without other they stay untold, as all
// others then must.
func (in sent) nowShown(differ []string, other map[string]string) string {
	if len(differ) > 0 && other == nil {
		return ""
	}
	now := map[string]string{}
	for field, text := range in.typed {
		now[field] = text
		if slices.Contains(differ, field) {
			now[field] = other[field]
		}
	}
	return writeShown(now, func(string) bool { return true })
}
