package followup

import (
	"math"
	"slices"

	"fairlead/analytics/assess"
	"fairlead/models"
)

// Working is how the figures of a finding follow from what was read, so that
// they can be worked out again by hand: figures and codes, no words. One of its
// parts is there, or none for a rule that takes no arithmetic.
type Working struct {
	// Missing says why the working can't be shown; no part is there then.
	Missing MissingWorking
	Volume  *VolumeWorking
	Course  *CourseWorking
	Room    *RoomWorking
	Gap     *GapWorking
	Socks   *SockWorking
	Pairs   []PassPair // of readings-disagree
}

// MissingWorking says why a working can't be shown.
type MissingWorking string

// Why a working can't be shown.
const (
	// WorkingNotFound: a check-in that the finding names is not in the record.
	WorkingNotFound MissingWorking = "not-found"
	// WorkingDiffers: the record gives other figures than the finding has, as
	// when the limb or the plan was changed, or the method of another version of
	// this program made them.
	WorkingDiffers MissingWorking = "differs"
)

// MissingWorkings lists the reasons.
var MissingWorkings = []MissingWorking{WorkingNotFound, WorkingDiffers}

// Working works out again what a finding about a limb says, from the very
// versions of the check-ins that it names, corrected since or not, and with the
// uncertainties of the tape that held then. What does not
// come to the figures of the finding is not shown: see Missing.
func (r ClientRecord) Working(limbID string, f assess.Finding) Working {
	l, _ := r.Limb(limbID)
	var known bool
	if l.Tape, known = r.tapeOf(f); !known {
		return Working{Missing: WorkingDiffers}
	}
	if f.ReportID != "" {
		return r.workReport(l, f)
	}
	work := workers[f.Rule]
	if f.Words["by"] == "course" {
		work = workCourse
	}
	if work == nil {
		return Working{}
	}
	pair := visitPair{limb: l, finding: f, others: []string{r.currentID(f.VisitID), r.currentID(f.AgainstVisitID)}}
	var missing MissingWorking
	if pair.now, missing = r.visitOf(l, f.VisitID); missing != "" {
		return Working{Missing: missing}
	}
	if f.AgainstVisitID != "" {
		if pair.then, missing = r.visitOf(l, f.AgainstVisitID); missing != "" {
			return Working{Missing: missing}
		}
	}
	working, same := work(pair)
	if !same {
		return Working{Missing: WorkingDiffers}
	}
	return working
}

// visitPair is what a finding was worked out from; then is empty for one that
// compares with nothing.
type visitPair struct {
	limb      LimbRecord
	finding   assess.Finding
	now, then Visit
	others    []string // ids of the current versions of both
}

// workers are the rules that take arithmetic. Each reports false for a working
// that does not come to the figures of the finding.
var workers = map[assess.Rule]func(visitPair) (Working, bool){
	assess.VolumeFast:       workVolume,
	assess.VolumeChange:     workVolume,
	assess.VolumeUnresolved: workVolume,
	assess.RoomChanged:      workRoom,
	assess.ClearanceBelow:   workGap,
	assess.ClearanceUnsure:  workGap,
	assess.AsBuiltDrop:      workGap,
	assess.SocksThick:       workSocks,
	assess.SocksPly:         workSocks,
	assess.SockLayers:       workSocks,
	assess.ReadingsDisagree: workPairs,
	assess.MeasureAgainRule: workCourse,
}

// visitOf finds the part of a check-in, superseded or not, that is about a limb,
// or tells why it can't be used.
func (r ClientRecord) visitOf(l LimbRecord, id string) (Visit, MissingWorking) {
	c, ok := r.version(func(c models.Checkin) bool { return c.ID == id })
	visits := visitsOf(l.Limb.ID, []models.Checkin{c})
	if !ok || len(visits) == 0 {
		return Visit{}, WorkingNotFound
	}
	assessed, err := l.assessVisit(visits[0])
	if err != nil { // of readings that can't be pooled
		return Visit{}, WorkingDiffers
	}
	local, _ := localTime(c)
	return Visit{LimbVisit: visits[0], Assessed: assessed, Local: local}, ""
}

// sameFigure is how close two figures are to be the same. Figures of a finding are worked out again by the same
// steps, so that anything above the last bits of a double is another figure.
const sameFigure = 1e-6

// expected is a figure that the finding must have, with its standard
// uncertainty where u is not nil.
type expected struct {
	name  string
	value float64
	u     *float64
}

// has tells whether the finding has these very figures.
func (p visitPair) has(figures ...expected) bool {
	return !slices.ContainsFunc(figures, func(want expected) bool {
		got, ok := p.finding.Value(want.name)
		if !ok || !same(got.Value, want.value) {
			return true
		}
		return want.u != nil && (got.U == nil || !same(*got.U, *want.u))
	})
}

func same(a, b float64) bool {
	return math.Abs(a-b) <= sameFigure*math.Max(1, math.Abs(b))
}
