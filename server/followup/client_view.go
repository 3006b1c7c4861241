package followup

import (
	"time"

	"fairlead/analytics/assess"
	"fairlead/analytics/clearance"
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
	"fairlead/models"
)

// LimbView is everything that is worked out of one limb for its page: figures
// and codes, no words. Nil stands for what is not known.
type LimbView struct {
	Record  LimbRecord
	History assess.History
	Offered []Reference // references that there is a visit for
	Since   Reference   // the one in force
	Visits  []VisitView // oldest first

	Last      *VisitView // the newest visit
	Reference *VisitView // the visit that changes are counted from
	Taped     *VisitView // the newest visit with a volume of the residual limb

	Before   *volume.Change       // of Taped since the visit before, where that is not the reference
	Course   *CourseView          // nil: nothing to follow
	Control  *volume.Control      // the change of Taped less that of the sound limb
	Differs  []string             // conditions in which Taped and the reference differ
	Girths   []volume.LevelChange // of Taped
	Segments []SegmentChange

	Room   assess.Room // at the newest visit with girths
	NoRoom assess.NoRoom

	Stations []StationView // in the order of the walk
	Sections []SectionView // worst first
}

// VisitView is what one visit says by itself and against the reference.
type VisitView struct {
	Visit
	IsReference bool
	OtherFitter bool             // than at the reference; false where either is not known
	Volume      *volume.Estimate // of the residual limb
	SoundVolume *volume.Estimate
	CapML       *float64
	Change      *volume.Change // since the reference; nil at the reference itself
	SoundChange *volume.Change
	Girths      []volume.LevelChange // since the reference, of the newest GirthVisits that are comparable
	SocksAsked  bool
	SockMM      float64 // what is worn now
	USockMM     float64
	Gaps        []assess.Gap
	Points      []VolumePoint // of the residual limb, one for each round that can be compared
}

// Visit joins a visit of the record with what the rules see of it.
type Visit struct {
	LimbVisit
	Assessed assess.Visit
	Local    time.Time // by the clock of the place of measurement
}

// SegmentChange is the volume between two levels, then and now.
type SegmentChange struct {
	FromMM, ToMM   float64
	ThenML, NowML  float64
	ChangePercent  float64 // of ThenML
	ShareOfPercent float64 // of the reference volume
}

// View works out a limb's page, with changes counted from the visit that is
// asked for or the first of References that there is one for.
//
// The error is of readings that can't be pooled.
func (l LimbRecord) View(asked Reference) (LimbView, error) {
	since, referenceID := l.Choose(asked)
	h, err := l.History(referenceID)
	if err != nil {
		return LimbView{}, err
	}
	v := LimbView{Record: l, History: h, Offered: l.Offered(), Since: since, NoRoom: assess.NotMeasured}
	for i, known := range l.Visits {
		local, _ := localTime(known.Checkin)
		v.Visits = append(v.Visits, v.visit(Visit{LimbVisit: known, Assessed: h.Visits[i], Local: local}))
	}
	for i := range v.Visits {
		at := &v.Visits[i]
		v.Last = at
		if at.Checkin.ID == referenceID {
			at.IsReference, v.Reference = true, at
		}
		if at.Volume != nil {
			v.Taped = at
		}
	}
	v.compare()
	v.follow()
	v.Stations = v.stations()
	v.Sections = v.sections()
	return v, nil
}

// visit works out what a visit says by itself.
func (v *LimbView) visit(at Visit) VisitView {
	view := VisitView{Visit: at, SocksAsked: at.Assessed.SocksAsked, Gaps: v.History.Gaps(at.Assessed)}
	view.SockMM, view.USockMM = clearance.SockStack(at.Assessed.SocksNow)
	if !v.History.Limb.Level.HasCone() {
		return view
	}
	view.Volume = estimateOf(at.Assessed.Residual, v.History.Sigmas)
	view.SoundVolume = estimateOf(at.Assessed.Sound, v.History.Sigmas)
	series := at.Assessed.Residual.Series
	if view.Volume != nil && series.CapKind != "" && series.CapKind != quantity.NoCap {
		girths := at.Assessed.Residual.Profile.Girths()
		if ml, err := volume.Cap(series.CapKind, girths[len(girths)-1], series.CapDepthMM); err == nil {
			view.CapML = &ml
		}
	}
	return view
}

func estimateOf(m volume.Visit, s volume.Sigmas) *volume.Estimate {
	estimate, err := volume.Measure(m.Profile, s)
	if err != nil {
		return nil
	}
	return &estimate
}

// GirthVisits is how many visits have their girths compared level by level: the
// errors of interpolated girths take their time, and no page shows more.
const GirthVisits = 8

// compare counts every visit from the reference, and the newest taped one from
// the one before it.
func (v *LimbView) compare() {
	if v.Reference != nil && v.Reference.Volume != nil {
		left := GirthVisits
		for i := len(v.Visits) - 1; i >= 0; i-- {
			at := &v.Visits[i]
			v.against(at)
			if left > 0 && at.Change != nil && at.Change.Comparable {
				at.Girths = v.girthsOf(at)
				left--
			}
		}
	}
	if v.Taped == nil {
		return
	}
	if before := v.tapedBefore(v.Taped); before != nil && !before.IsReference {
		change := volume.Compare(before.Assessed.Residual, v.Taped.Assessed.Residual, v.History.Sigmas)
		v.Before = &change
	}
	v.Room, v.NoRoom = v.upToTaped().Room()
	if v.Taped.Change == nil || !v.Taped.Change.Comparable {
		return
	}
	v.Differs = assess.ConditionsDiffer(v.History.Limb.Level, v.Reference.Assessed, v.Taped.Assessed)
	if v.Taped.SoundChange != nil {
		if control, ok := volume.CompareToSound(*v.Taped.Change, *v.Taped.SoundChange); ok {
			v.Control = &control
		}
	}
	v.Girths = v.Taped.Girths
	v.Segments = segmentChanges(v.Girths)
}

// against compares one visit with the reference.
func (v *LimbView) against(at *VisitView) {
	if at.Volume == nil || at == v.Reference {
		return
	}
	ref := v.Reference.Assessed
	at.OtherFitter = ref.Residual.OtherFitter(at.Assessed.Residual)
	change := volume.Compare(ref.Residual, at.Assessed.Residual, v.History.Sigmas)
	at.Change = &change
	if v.Reference.SoundVolume != nil && at.SoundVolume != nil {
		sound := volume.Compare(ref.Sound, at.Assessed.Sound, v.History.Sigmas)
		at.SoundChange = &sound
	}
}

// girthsOf compares the girths of a visit with those of the reference.
func (v *LimbView) girthsOf(at *VisitView) []volume.LevelChange {
	sigmas := v.History.Sigmas.Between(at.OtherFitter)
	girths, err := volume.GirthChanges(v.Reference.Assessed.Residual.Profile, at.Assessed.Residual.Profile, sigmas)
	if err != nil {
		return nil
	}
	return girths
}

// tapedBefore is the last visit with a volume before another, or nil.
func (v *LimbView) tapedBefore(at *VisitView) *VisitView {
	var before *VisitView
	for i := range v.Visits {
		if &v.Visits[i] == at {
			break
		}
		if v.Visits[i].Volume != nil {
			before = &v.Visits[i]
		}
	}
	return before
}

// segmentChanges are the volumes between the levels that both visits share.
func segmentChanges(levels []volume.LevelChange) []SegmentChange {
	var segments []SegmentChange
	total := 0.0
	for i := 0; i+1 < len(levels); i++ {
		a, b := levels[i], levels[i+1]
		height := b.LevelMM - a.LevelMM
		s := SegmentChange{
			FromMM: a.LevelMM, ToMM: b.LevelMM,
			ThenML: volume.Frustum(a.ThenMM, b.ThenMM, height), NowML: volume.Frustum(a.NowMM, b.NowMM, height),
		}
		s.ChangePercent = 100 * (s.NowML - s.ThenML) / s.ThenML
		total += s.ThenML
		segments = append(segments, s)
	}
	for i := range segments {
		segments[i].ShareOfPercent = 100 * (segments[i].NowML - segments[i].ThenML) / total
	}
	return segments
}

// Delivered tells whether a visit delivered a cover.
func (v VisitView) Delivered() bool { return v.Checkin.Kind == models.Delivery }
