package followup

import (
	"slices"

	"fairlead/analytics/quantity"
	"fairlead/models"
)

// Reference names the visit that a change is counted from.
type Reference string

// The references that a reader can choose. Any other value is the id of a
// check-in.
const (
	SinceDelivery Reference = "delivery" // of the cover in use
	SinceAccepted Reference = "accepted" // the socket, by the prosthetist
	SinceFirst    Reference = "first"
	SincePrevious Reference = "previous"
)

// References lists the references in the order in which they are offered.
var References = []Reference{SinceDelivery, SinceAccepted, SinceFirst, SincePrevious}

// Offered lists the references that this limb has a visit for.
func (l LimbRecord) Offered() []Reference {
	var offered []Reference
	for _, r := range References {
		if _, ok := l.visitFor(r); ok {
			offered = append(offered, r)
		}
	}
	return offered
}

// Choose returns the reference that was asked for, or the first that there is a
// visit for, and that visit's check-in id. With no visit at all the id is empty.
func (l LimbRecord) Choose(asked Reference) (Reference, string) {
	if v, ok := l.visitFor(asked); ok {
		return asked, v.Checkin.ID
	}
	for _, r := range References {
		if v, ok := l.visitFor(r); ok {
			return r, v.Checkin.ID
		}
	}
	return SinceFirst, ""
}

func (l LimbRecord) visitFor(r Reference) (LimbVisit, bool) {
	switch r {
	case SinceDelivery:
		return l.deliveryVisit()
	case SinceAccepted:
		if l.Prosthesis == nil || l.Prosthesis.SocketAcceptedOn == "" {
			return LimbVisit{}, false
		}
		return l.firstFrom(l.Prosthesis.SocketAcceptedOn, func(LimbVisit) bool { return true })
	case SinceFirst:
		return l.firstFrom("", func(LimbVisit) bool { return true })
	case SincePrevious:
		taped := l.taped()
		if len(taped) < 2 {
			return LimbVisit{}, false
		}
		return taped[len(taped)-2], true
	}
	i := slices.IndexFunc(l.Visits, func(v LimbVisit) bool { return v.Checkin.ID == string(r) })
	if i < 0 {
		return LimbVisit{}, false
	}
	return l.Visits[i], true
}

// deliveryVisit is the delivery of the cover in use: the first that names it.
// Where none does, as in a record that was begun with an older cover, it is the
// first from the day of delivery on; without such a day none is taken for it.
func (l LimbRecord) deliveryVisit() (LimbVisit, bool) {
	if l.Cover == nil {
		return LimbVisit{}, false
	}
	delivery := func(v LimbVisit) bool { return v.Checkin.Kind == models.Delivery }
	named, ok := l.firstFrom("", func(v LimbVisit) bool {
		return delivery(v) && v.Seen.CoverID != nil && *v.Seen.CoverID == l.Cover.ID
	})
	if ok || l.Cover.DeliveredOn == "" {
		return named, ok
	}
	return l.firstFrom(l.Cover.DeliveredOn, delivery)
}

// referenceBefore is the check-in that changes were counted from before the one
// with this id became the reference: the newest delivery before it, or the first
// visit with the accepted socket; empty where there is neither.
func (l LimbRecord) referenceBefore(id string) string {
	i := slices.IndexFunc(l.Visits, func(v LimbVisit) bool { return v.Checkin.ID == id })
	l.Visits = l.Visits[:max(0, i)]
	for _, v := range slices.Backward(l.taped()) {
		if v.Checkin.Kind == models.Delivery {
			return v.Checkin.ID
		}
	}
	accepted, _ := l.visitFor(SinceAccepted)
	return accepted.Checkin.ID
}

// DelayMinutes is how many minutes after the prosthesis came off the limb is to
// be read so that the visit compares with the default reference; own is false
// where that has no such figure of this limb. See assess.History.DelayMinutes.
//
// The error is of readings that can't be pooled.
func (l LimbRecord) DelayMinutes() (minutes float64, own bool, err error) {
	_, referenceID := l.Choose(SinceDelivery)
	h, err := l.History(referenceID)
	if err != nil {
		return 0, false, err
	}
	minutes, own = h.DelayMinutes()
	return minutes, own, nil
}

// firstFrom is the first taped visit from a day on that fits.
func (l LimbRecord) firstFrom(day quantity.Date, fits func(LimbVisit) bool) (LimbVisit, bool) {
	for _, v := range l.taped() {
		if Day(v.Checkin) >= day && fits(v) {
			return v, true
		}
	}
	return LimbVisit{}, false
}

// taped are the visits with readings of the residual limb; where the limb has
// no length to tape, all of them.
func (l LimbRecord) taped() []LimbVisit {
	if !l.Limb.Level.HasCone() {
		return l.Visits
	}
	var taped []LimbVisit
	for _, v := range l.Visits {
		if slices.ContainsFunc(v.Seen.Readings, func(r models.Reading) bool { return r.Part == quantity.Residual }) {
			taped = append(taped, v)
		}
	}
	return taped
}
