package assess

import (
	"cmp"
	"slices"

	"fairlead/analytics/clearance"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
)

// History is everything that is known of one limb and the cover on it.
type History struct {
	Limb Limb
	// Visits are the current versions of the check-ins that saw this limb, in
	// any order.
	Visits []Visit
	// Stations are those of the cover in use.
	Stations []Station
	Events   []Event
	// Reports are what the client said of this limb by a private link, in any
	// order.
	Reports []Report
	// Sigmas are the uncertainties of the tape; the zero value stands for
	// volume.DefaultSigmas.
	Sigmas volume.Sigmas
	// SigmasID names where they come from, such as a study of the workshop; empty
	// for the defaults. It goes into every finding that rests on them.
	SigmasID string
	// SourcePercent is the SD of what fitters differ by lastingly, in percent of a
	// volume; 0 stands for trend.DefaultSourceSD.
	SourcePercent float64
	// ReferenceID is the visit that volume and comfort are compared with, such
	// as the delivery of the cover. Empty, or not among the visits: the first
	// visit that has a volume.
	ReferenceID string
	// EarlierReferenceID is the reference before that one. It judges the visit
	// that is the reference itself, such as the delivery of a second cover. Empty,
	// or not among the visits before: the first of them that has a volume.
	EarlierReferenceID string
	// VolumeLimits are the limits of a change of volume; what is 0 stands at
	// its value in StartingVolumeLimits.
	VolumeLimits VolumeLimits
	// RoomLimit is the largest change of room in the socket that the
	// prosthetist accepts, either way; nil where none has been set.
	RoomLimit *RoomLimit
}

// Limb is what the rules need to know of the limb and the person.
type Limb struct {
	ID               string
	Level            quantity.AmputationLevel
	PresentAtBirth   bool
	AmputatedOn      quantity.Date
	RevisedOn        quantity.Date
	NoSocket         bool // bone-anchored
	SocketAcceptedOn quantity.Date
	StillGrowing     bool
	ReducedFeeling   bool // steps every skin sign up one level, as diabetes does
}

// Visit is one check-in of the limb.
type Visit struct {
	ID          string
	On          quantity.Date // at the place of measurement
	At          int64         // Unix seconds; orders the visits
	MinuteOfDay *int          // local minutes after midnight, nil when not known
	Kind        string        // delivery, follow-up, after-change; told, not judged by
	// Residual is the round that two-visit figures count: the second complete one where
	// there is one, asked for because the first could not be trusted alone. Its profile
	// is empty when the limb was not measured.
	Residual volume.Visit
	// ResidualFirst is the first of two rounds; its profile is empty when there was one
	// round only.
	ResidualFirst volume.Visit
	Sound         volume.Visit
	// SocksAsked tells an empty stack from one that nobody asked about.
	SocksAsked   bool
	SocksNow     []clearance.Sock
	SocksMost    []clearance.Sock // the most worn at a time today
	LinerType    string
	LinerMM      *float64
	Shoe         string
	Comfort      *int // average of the last 7 days, 0–10
	WorstComfort *int
	WorstPain    *int
	Looseness    *int     // −5 too loose … 0 … +5 too tight
	Fluid        []string // conditions that were ticked, in the codes of the record
	Clearances   []Clearance
	Functions    []Function
	Skin         []Skin
	Attachments  []AttachmentSeen
}

// Clearance is one gap reading, or what was seen of a touch.
type Clearance struct {
	StationID string
	GapMM     *float64
	Method    quantity.ClearanceMethod
	Touch     quantity.Touch
	Shoe      string // empty: the shoe of the visit
}

// Function is an answered function check; Answer is yes, no or not-checked.
type Function struct{ Check, Answer string }

// Skin is a sign seen on the skin, in the words of the pick list, and where.
type Skin struct{ Place, Sign string }

// AttachmentSeen is how an attachment point was found: ok, loose or missing.
type AttachmentSeen struct{ ID, Name, State string }

// Station is one place of the clearance walk.
type Station struct {
	ID        string
	LevelMM   float64
	Direction quantity.Direction
	Posture   quantity.Posture
	Neighbour quantity.Neighbour
	WarnMM    *float64 // nil: the starting value of the neighbour
	ActMM     *float64
	LimitBy   string
	LimitOn   quantity.Date
	AsBuiltMM *float64 // the gap accepted at delivery
	AsBuiltBy string
	AsBuiltOn quantity.Date
}

// Limits returns the limits of the station: those that were set, and the
// starting values of its neighbour for what was not.
func (s Station) Limits() clearance.Limits {
	l := clearance.StartingLimits(s.Neighbour)
	if s.WarnMM != nil {
		l.WarnMM = *s.WarnMM
	}
	if s.ActMM != nil {
		l.ActMM = *s.ActMM
	}
	return l
}

// Event is a dated change of limb, prosthesis or cover; Kind is a code such as
// "realignment".
type Event struct {
	Kind string
	On   quantity.Date
}

// VolumeLimits are the sizes of a change of limb volume, in percent of the
// reference, all positive, at which a change that is beyond measuring error is
// mentioned to the prosthetist and at which a review is due. By and On tell who
// set them.
type VolumeLimits struct {
	LossPercent       float64 // mention at the next contact
	LossReviewPercent float64 // arrange a review soon
	GainPercent       float64 // see within the week
	GainTodayPercent  float64 // see today
	By                string
	On                quantity.Date
}

// StartingVolumeLimits are rows V6, V7 and V8 of the domain notes: 5 % is about
// one sock (Jarl 2003; Jasken and Hall 2018), 10 % two to three; the steps
// themselves are common practice.
var StartingVolumeLimits = VolumeLimits{LossPercent: 5, LossReviewPercent: 10, GainPercent: 5, GainTodayPercent: 10}

// RoomLimit is a limit of the change of room in the socket, set by a person.
type RoomLimit struct {
	MM float64
	By string
	On quantity.Date
}

// ascending returns the visits in order of time, ties by id. They are those of the
// history itself where they are in order already, so nobody may change them.
func (h History) ascending() []Visit {
	if slices.IsSortedFunc(h.Visits, byTime) {
		return h.Visits
	}
	visits := slices.Clone(h.Visits)
	slices.SortFunc(visits, byTime)
	return visits
}

func byTime(a, b Visit) int {
	return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(a.ID, b.ID))
}

// Newest returns the newest visit.
func (h History) Newest() (Visit, bool) {
	visits := h.ascending()
	if len(visits) == 0 {
		return Visit{}, false
	}
	return visits[len(visits)-1], true
}

// earlier returns the visits before the newest, in order of time.
func (h History) earlier() []Visit {
	visits := h.ascending()
	return visits[:max(0, len(visits)-1)]
}

// Reference returns the visit that volume and comfort are compared with: the
// chosen one, or the first that has a volume, or the first.
func (h History) Reference() (Visit, bool) {
	visits := h.ascending()
	if i := slices.IndexFunc(visits, func(v Visit) bool { return v.ID == h.ReferenceID }); i >= 0 {
		return visits[i], true
	}
	if i := slices.IndexFunc(visits, Visit.hasVolume); i >= 0 {
		return visits[i], true
	}
	if len(visits) > 0 {
		return visits[0], true
	}
	return Visit{}, false
}

// base returns the visit that the newest is judged against: the reference, or,
// where the newest is the reference itself, the one before it. ok is false when
// there is none.
func (h History) base() (Visit, bool) {
	reference, ok := h.Reference()
	if newest, _ := h.Newest(); !ok || reference.ID != newest.ID {
		return reference, ok
	}
	h.Visits, h.ReferenceID = h.earlier(), h.EarlierReferenceID
	return h.Reference()
}

// hasVolume tells whether the residual limb was measured at two levels or more.
func (v Visit) hasVolume() bool { return measurable(v.Residual.Profile) }

// eventsSince lists the kinds of event from the day of the earlier visit to the
// day of the later one, each once, in the order of the alphabet.
func (h History) eventsSince(earlier, later Visit) []string {
	var kinds []string
	for _, e := range h.Events {
		if e.On != "" && e.On >= earlier.On && e.On <= later.On {
			kinds = append(kinds, e.Kind)
		}
	}
	slices.Sort(kinds)
	return slices.Compact(kinds)
}
