package main

import (
	"encoding/json"
	"io"

	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
)

// The JSON of the command girths. Keys carry their units; what is not there is
// null; numbers keep the full precision of a double.
type (
	girthsJSON struct {
		Visits  []visitJSON  `json:"visits"`
		Changes []changeJSON `json:"changes"`
		Method  string       `json:"method"`
	}
	visitJSON struct {
		Date     *quantity.Date    `json:"date"`
		Limb     quantity.BodyPart `json:"limb"`
		SpanMM   [2]float64        `json:"span_mm"`
		VolumeML float64           `json:"volume_ml"`
		UML      float64           `json:"volume_u_ml"`
		Segments []segmentJSON     `json:"segments"`
		CapML    *float64          `json:"cap_ml"`
	}
	segmentJSON struct {
		FromMM   float64 `json:"from_mm"`
		ToMM     float64 `json:"to_mm"`
		VolumeML float64 `json:"volume_ml"`
	}
	changeJSON struct {
		Against         string            `json:"against"`
		From            *quantity.Date    `json:"from"`
		To              *quantity.Date    `json:"to"`
		Limb            quantity.BodyPart `json:"limb"`
		SpanMM          *[2]float64       `json:"span_mm"`
		ChangeML        *float64          `json:"change_ml"`
		ChangePercent   *float64          `json:"change_percent"`
		IntervalPercent *[2]float64       `json:"interval_percent"`
		Verdict         volume.Verdict    `json:"verdict"`
		Why             string            `json:"why"`
	}
)

func (r girthsReport) writeJSON(w io.Writer) error {
	object := girthsJSON{Visits: []visitJSON{}, Changes: []changeJSON{}, Method: volume.MethodVersion}
	for _, v := range r.visits {
		visit := visitJSON{
			Date:     knownDate(v.Date),
			Limb:     v.Limb,
			SpanMM:   [2]float64{v.FromMM, v.ToMM},
			VolumeML: v.VolumeML,
			UML:      v.UML,
			CapML:    v.capML,
		}
		for _, s := range v.Segments {
			visit.Segments = append(visit.Segments, segmentJSON(s))
		}
		object.Visits = append(object.Visits, visit)
	}
	for _, c := range r.changes {
		change := changeJSON{
			Against: c.against,
			From:    knownDate(c.from.Date),
			To:      knownDate(c.to.Date),
			Limb:    c.to.Limb,
			Verdict: c.Verdict,
			Why:     c.Why.String(),
		}
		if c.Comparable {
			change.SpanMM = &[2]float64{c.FromMM, c.ToMM}
			change.ChangeML = &c.ChangeML
			change.ChangePercent = &c.ChangePercent
			change.IntervalPercent = &[2]float64{c.LoPercent, c.HiPercent}
		}
		object.Changes = append(object.Changes, change)
	}
	encoder := json.NewEncoder(w)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	return encoder.Encode(object)
}

// knownDate is nil for a date that is not known.
func knownDate(d quantity.Date) *quantity.Date {
	if d == "" {
		return nil
	}
	return &d
}
