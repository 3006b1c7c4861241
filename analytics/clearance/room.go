package clearance

import (
	"errors"
	"fmt"
	"math"

	"fairlead/analytics/volume"
)

// LinerSigmaMM is the standard uncertainty of the thickness of a liner on the
// limb: its nominal thickness less what it stretches thin (common practice, no
// source).
const LinerSigmaMM = 0.5

var (
	// ErrNotComparable means that the limb of the two days can't be compared;
	// its text says why.
	ErrNotComparable = errors.New("clearance: limb not comparable")
	// ErrUnknownLiner means that the liner changed and a thickness is missing.
	ErrUnknownLiner = errors.New("clearance: liner changed and its thickness is not recorded")
)

// Worn is what fills a socket on one day. LinerMM is the thickness of the
// liner, 0 for none and nil when it was not recorded.
type Worn struct {
	Limb      volume.Visit
	LinerType string
	LinerMM   *float64
	Socks     []Sock
}

// RoomChange is the change of room in the socket in mm of radius at one level:
// positive is more room. Lo and Hi are the central 95 % interval.
type RoomChange struct {
	LevelMM, RoomMM, UMM, LoMM, HiMM float64
}

// ChangeOfRoom returns how the room in one and the same socket has changed from
// the day it was accepted to now, at each level that both days cover and as the
// mean over that span:
//
//	room = −(Δr_limb + Δliner + Δsocks), Δr_limb = ΔC/2π
//
// It is a change only; a socket is often smaller than the bare limb on purpose,
// so no absolute room is given. The mean weighs each level by its girth: it is
// the change of limb volume spread over the surface of the limb between them,
// −ΔV / ∫C dz, less liner and socks, and its LevelMM is the middle of the span.
//
// The uncertainty joins that of the limb (reading, placing, landmark and bias
// of both days; what widens the volume of the pair, such as another fitter,
// widens each level by the same share), of the liner and of the socks. The same
// liner, by type and thickness, adds nothing, and socks worn on both days
// cancel.
//
// Errors: ErrNotComparable with the reason, ErrUnknownLiner.
func ChangeOfRoom(accepted, now Worn, s volume.Sigmas) ([]RoomChange, RoomChange, error) {
	change := volume.Compare(accepted.Limb, now.Limb, s)
	if !change.Comparable {
		return nil, RoomChange{}, fmt.Errorf("%w: %s", ErrNotComparable, change.Why)
	}
	girths, err := volume.GirthChanges(accepted.Limb.Profile, now.Limb.Profile, s)
	if err != nil {
		return nil, RoomChange{}, fmt.Errorf("%w: %w", ErrNotComparable, err)
	}
	linerMM, uLinerMM, err := LinerChange(accepted, now)
	if err != nil {
		return nil, RoomChange{}, err
	}
	socksMM, uSocksMM := StackChange(accepted.Socks, now.Socks)
	fillMM, uFillMM := linerMM+socksMM, math.Hypot(uLinerMM, uSocksMM)

	widening := girthWidening(accepted.Limb, now.Limb, change, s)
	levels := make([]RoomChange, len(girths))
	surface := 0.0 // ∫C dz of the mean of both girths, mm²
	for i, g := range girths {
		u := math.Hypot(g.UMM, widening*g.ThenMM) / (2 * math.Pi)
		levels[i] = roomChange(g.LevelMM, -g.ChangeMM/(2*math.Pi)-fillMM, math.Hypot(u, uFillMM))
		if i > 0 {
			last := girths[i-1]
			surface += (g.LevelMM - last.LevelMM) * (g.ThenMM + g.NowMM + last.ThenMM + last.NowMM) / 4
		}
	}
	const mm3PerML = 1000
	mean := roomChange((change.FromMM+change.ToMM)/2, -change.ChangeML*mm3PerML/surface-fillMM,
		math.Hypot(change.UML*mm3PerML/surface, uFillMM))
	return levels, mean, nil
}

// girthWidening returns, as a fraction of girth, the standard uncertainty that
// Compare found beyond that of two visits by one fitter under equal conditions.
// A fraction of girth is half of a fraction of volume.
func girthWidening(accepted, now volume.Visit, change volume.Change, s volume.Sigmas) float64 {
	accepted.Fitter, now.Fitter = "", ""
	accepted.MinutesOff, now.MinutesOff = nil, nil
	plain := volume.Compare(accepted, now, s)
	extra := change.UML*change.UML - plain.UML*plain.UML
	return math.Sqrt(math.Max(0, extra)) / change.ReferenceML / 2
}

// LinerChange returns how much thicker the liner now is, with its standard
// uncertainty, in mm: 0 for the same liner by type and thickness, and
// LinerSigmaMM for each other one. ErrUnknownLiner: it changed and a thickness
// is missing.
func LinerChange(accepted, now Worn) (changeMM, uMM float64, err error) {
	a, b := accepted.LinerMM, now.LinerMM
	sameType := accepted.LinerType == now.LinerType
	switch {
	case sameType && (a == nil && b == nil || a != nil && b != nil && *a == *b):
		return 0, 0, nil
	case a == nil || b == nil:
		return 0, 0, fmt.Errorf("%w: enter the thickness of the liner of both days", ErrUnknownLiner)
	}
	return *b - *a, math.Hypot(linerSigma(*a), linerSigma(*b)), nil
}

// linerSigma is the uncertainty of a liner's thickness; no liner has none.
func linerSigma(mm float64) float64 {
	if mm == 0 {
		return 0
	}
	return LinerSigmaMM
}

// roomChange adds the 95 % interval.
func roomChange(levelMM, roomMM, uMM float64) RoomChange {
	return RoomChange{LevelMM: levelMM, RoomMM: roomMM, UMM: uMM, LoMM: roomMM - volume.Normal975*uMM, HiMM: roomMM + volume.Normal975*uMM}
}
