package quantity

import "slices"

// Side is the side of the body.
type Side string

// The sides of the body.
const (
	Left  Side = "left"
	Right Side = "right"
)

// Sides lists both sides.
var Sides = []Side{Left, Right}

// AmputationLevel is the level of amputation, or of a difference present at
// birth described by the same level, in the words of ISO 8549-4:2020 (read
// down to knee disarticulation; the most proximal lower-limb words are from
// memory, domain notes, section 7).
type AmputationLevel string

// The levels of amputation.
const (
	PartialFoot             AmputationLevel = "partial-foot"
	AnkleDisarticulation    AmputationLevel = "ankle-disarticulation"
	Transtibial             AmputationLevel = "transtibial"
	KneeDisarticulation     AmputationLevel = "knee-disarticulation"
	Transfemoral            AmputationLevel = "transfemoral"
	HipDisarticulation      AmputationLevel = "hip-disarticulation"
	Transpelvic             AmputationLevel = "transpelvic"
	PartialHand             AmputationLevel = "partial-hand"
	WristDisarticulation    AmputationLevel = "wrist-disarticulation"
	Transradial             AmputationLevel = "transradial"
	ElbowDisarticulation    AmputationLevel = "elbow-disarticulation"
	Transhumeral            AmputationLevel = "transhumeral"
	ShoulderDisarticulation AmputationLevel = "shoulder-disarticulation"
	Forequarter             AmputationLevel = "forequarter"
)

// AmputationLevels lists the levels, leg first, from distal to proximal.
var AmputationLevels = []AmputationLevel{
	PartialFoot, AnkleDisarticulation, Transtibial, KneeDisarticulation, Transfemoral, HipDisarticulation, Transpelvic,
	PartialHand, WristDisarticulation, Transradial, ElbowDisarticulation, Transhumeral, ShoulderDisarticulation, Forequarter,
}

// Arm tells whether the level is one of the upper limb.
func (a AmputationLevel) Arm() bool { return slices.Index(AmputationLevels, a) >= 7 }

// HasCone tells whether the residual limb has a length that girths can follow.
// Levels without one (partial foot or hand, hip, pelvis, shoulder, forequarter)
// have no volume; clearance and reports still apply.
func (a AmputationLevel) HasCone() bool {
	switch a {
	case PartialFoot, HipDisarticulation, Transpelvic, PartialHand, ShoulderDisarticulation, Forequarter:
		return false
	}
	return true
}

// Disarticulation tells whether the limb ends at a joint, where the end is
// broad and no distal cap is modelled.
func (a AmputationLevel) Disarticulation() bool {
	switch a {
	case AnkleDisarticulation, KneeDisarticulation, WristDisarticulation, ElbowDisarticulation:
		return true
	}
	return false
}

// BodyPart says which limb a reading was taken on.
type BodyPart string

// The body parts that are measured.
const (
	Residual BodyPart = "residual"
	Sound    BodyPart = "sound"
)

// PassesPerRound is how many passes a round of the tape has at most; see
// girth.PassesPerRound.
const PassesPerRound = 3

// CapKind is the solid that stands for the distal end below the last level.
type CapKind string

// The kinds of distal cap.
const (
	NoCap         CapKind = "none"
	SemiEllipsoid CapKind = "semi-ellipsoid"
	Paraboloid    CapKind = "paraboloid"
	ConeCap       CapKind = "cone"
)

// CapKinds lists the kinds of cap in the order in which they are offered.
var CapKinds = []CapKind{NoCap, SemiEllipsoid, Paraboloid, ConeCap}

// Direction names a side of a cross-section of a limb.
type Direction string

// The directions of a station.
const (
	Anterior  Direction = "anterior"
	Lateral   Direction = "lateral"
	Posterior Direction = "posterior"
	Medial    Direction = "medial"
)

// Directions lists the directions in the fixed order of the walk round a limb.
var Directions = []Direction{Anterior, Lateral, Posterior, Medial}

// Posture is how the client holds the limb while a clearance is read.
type Posture string

// The postures of a leg, then of an arm.
const (
	Standing      Posture = "standing"
	Seated        Posture = "seated"
	Kneeling      Posture = "kneeling"
	FullExtension Posture = "full-extension"
	FullFlexion   Posture = "full-flexion"
	HeelLoaded    Posture = "heel-loaded"
	ToeLoaded     Posture = "toe-loaded"
	Straight      Posture = "straight"
	FullBend      Posture = "full-bend"
	ForearmTurned Posture = "forearm-turned"
	Resting       Posture = "resting"
)

// PosturesOf lists the postures that apply to a level of amputation.
func PosturesOf(a AmputationLevel) []Posture {
	if a.Arm() {
		return []Posture{Straight, FullBend, ForearmTurned, Resting}
	}
	return []Posture{Standing, Seated, Kneeling, FullExtension, FullFlexion, HeelLoaded, ToeLoaded}
}

// Neighbour is the class of thing on the other side of a clearance. It decides
// the starting limits (domain notes, K1–K5).
type Neighbour string

// The classes of neighbour.
const (
	SocketWall  Neighbour = "socket-wall"
	FixedPart   Neighbour = "fixed-part"
	MovingJoint Neighbour = "moving-joint"
	FootOrKeel  Neighbour = "foot-or-keel"
	SkinSurface Neighbour = "skin"
)

// Neighbours lists the classes of neighbour.
var Neighbours = []Neighbour{SocketWall, FixedPart, MovingJoint, FootOrKeel, SkinSurface}

// ClearanceMethod is how a clearance was read.
type ClearanceMethod string

// The ways to read a clearance by hand.
const (
	Feeler       ClearanceMethod = "feeler"
	Putty        ClearanceMethod = "putty"
	WitnessMark  ClearanceMethod = "witness-mark"
	NotReachable ClearanceMethod = "not-reachable"
)

// ClearanceMethods lists the ways to read a clearance.
var ClearanceMethods = []ClearanceMethod{Feeler, Putty, WitnessMark, NotReachable}

// Touch is what a witness mark, or a look, says without a figure.
type Touch string

// What can be seen of a touch. The empty Touch means that a figure was read.
const (
	NoTouch    Touch = ""
	Contact    Touch = "contact"
	NoContact  Touch = "no-contact"
	PolishMark Touch = "polish-mark"
)

// Touches lists what can be seen of a touch.
var Touches = []Touch{Contact, NoContact, PolishMark}
