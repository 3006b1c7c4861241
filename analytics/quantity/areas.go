package quantity

// Segment is a part of a leg or an arm, from the trunk outwards.
type Segment string

// The segments of a leg, then of an arm.
const (
	Hip      Segment = "hip"
	Thigh    Segment = "thigh"
	Knee     Segment = "knee"
	Calf     Segment = "calf"
	Ankle    Segment = "ankle"
	Foot     Segment = "foot"
	Shoulder Segment = "shoulder"
	UpperArm Segment = "upper-arm"
	Elbow    Segment = "elbow"
	Forearm  Segment = "forearm"
	Wrist    Segment = "wrist"
	Hand     Segment = "hand"
)

// Area is a place on a limb with its prosthesis as its wearer can name it: a
// segment and the direction that it faces, such as knee.anterior.
type Area string

// AreaOf is the area of a segment that faces a direction.
func AreaOf(s Segment, d Direction) Area { return Area(string(s) + "." + string(d)) }

// Segments lists, from the trunk outwards, the segments that a limb of the level
// still has or that its prosthesis and cover stand for: from the joint above the
// end of the limb to the foot or the hand. Which to ask about is common
// practice; there is no published source.
func Segments(level AmputationLevel) []Segment {
	leg := []Segment{Hip, Thigh, Knee, Calf, Ankle, Foot}
	arm := []Segment{Shoulder, UpperArm, Elbow, Forearm, Wrist, Hand}
	switch level {
	case HipDisarticulation, Transpelvic, Transfemoral:
		return leg
	case KneeDisarticulation:
		return leg[1:]
	case Transtibial:
		return leg[2:]
	case AnkleDisarticulation:
		return leg[3:]
	case PartialFoot:
		return leg[4:]
	case ShoulderDisarticulation, Forequarter, Transhumeral:
		return arm
	case ElbowDisarticulation:
		return arm[1:]
	case Transradial:
		return arm[2:]
	case WristDisarticulation:
		return arm[3:]
	case PartialHand:
		return arm[4:]
	}
	return nil
}

// Areas lists the areas of a limb of the level, each segment of Segments in all
// four directions. A level that is none of AmputationLevels has no areas.
func Areas(level AmputationLevel) []Area {
	segments := Segments(level)
	areas := make([]Area, 0, len(segments)*len(Directions))
	for _, s := range segments {
		for _, d := range Directions {
			areas = append(areas, AreaOf(s, d))
		}
	}
	return areas
}
