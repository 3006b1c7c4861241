package assess

import (
	"errors"
	"math"
	"slices"

	"fairlead/analytics/clearance"
)

// Room is the change of room in the socket since it was accepted.
type Room struct {
	Levels []clearance.RoomChange
	Mean   clearance.RoomChange
	Since  Visit // the first visit from the day of acceptance on
}

// Beyond tells whether the mean change is beyond measuring error.
func (r Room) Beyond() bool { return r.Mean.LoMM > 0 || r.Mean.HiMM < 0 }

// NoRoom says why the change of room is not known; empty when it is.
type NoRoom string

// The reasons why the change of room is not known.
const (
	NoSocket          NoRoom = "no-socket"
	SocketNotAccepted NoRoom = "socket-not-accepted"
	SocketChanged     NoRoom = "socket-changed" // after it was accepted
	NoEarlierVisit    NoRoom = "no-earlier-visit"
	NotMeasured       NoRoom = "not-measured"
	SocksNotAsked     NoRoom = "socks-not-asked"
	LimbNotComparable NoRoom = "limb-not-comparable"
	LinerNotKnown     NoRoom = "liner-not-known"
)

// NoRooms lists the reasons.
var NoRooms = []NoRoom{
	NoSocket, SocketNotAccepted, SocketChanged, NoEarlierVisit, NotMeasured, SocksNotAsked, LimbNotComparable, LinerNotKnown,
}

// socketEvents change the room in a socket by what nobody measured.
var socketEvents = map[string]bool{"socket-fitted": true, "socket-adjusted": true, "adjuster-moved": true}

// Room returns the change of room in the socket at the newest visit against the
// first visit from the day on which the prosthetist accepted the socket, with
// limb, liner and socks as worn at each. It is not known once the socket itself
// was changed after that day.
func (h History) Room() (Room, NoRoom) {
	newest, ok := h.Newest()
	switch {
	case !ok || !newest.hasVolume() || !h.Limb.Level.HasCone():
		return Room{}, NotMeasured
	case h.Limb.NoSocket:
		return Room{}, NoSocket
	case h.Limb.SocketAcceptedOn == "":
		return Room{}, SocketNotAccepted
	}
	for _, e := range h.Events {
		if socketEvents[e.Kind] && e.On > h.Limb.SocketAcceptedOn && e.On <= newest.On {
			return Room{}, SocketChanged
		}
	}
	earlier := h.earlier()
	first := slices.IndexFunc(earlier, func(v Visit) bool { return v.On >= h.Limb.SocketAcceptedOn && v.hasVolume() })
	if first < 0 {
		return Room{}, NoEarlierVisit
	}
	since := earlier[first]
	if !since.SocksAsked || !newest.SocksAsked {
		return Room{}, SocksNotAsked
	}
	levels, mean, err := clearance.ChangeOfRoom(since.worn(), newest.worn(), h.sigmas())
	switch {
	case errors.Is(err, clearance.ErrUnknownLiner):
		return Room{}, LinerNotKnown
	case err != nil:
		return Room{}, LimbNotComparable
	}
	return Room{Levels: levels, Mean: mean, Since: since}, ""
}

// worn is what fills the socket at a visit.
func (v Visit) worn() clearance.Worn {
	return clearance.Worn{Limb: v.Residual, LinerType: v.LinerType, LinerMM: v.LinerMM, Socks: v.SocksNow}
}

// roomFindings raises a change of room that is beyond measuring error and at or
// beyond the limit that a prosthetist set; without such a limit there is none.
//
// Words: those of a change of a limb.
func roomFindings(h History, v Visit) []Finding {
	room, none := h.Room()
	if none != "" || h.RoomLimit == nil || !room.Beyond() || math.Abs(room.Mean.RoomMM) < h.RoomLimit.MM {
		return nil
	}
	f := newFinding(v, RoomChanged, AboutLimb, Soon, "")
	f.Limit = &LimitUsed{Value: h.RoomLimit.MM, Unit: MM, By: h.RoomLimit.By, On: h.RoomLimit.On}
	f.LookFirst = []string{LookSocks, LookConditions, LookRecentEvents}
	f.AgainstVisitID = room.Since.ID
	f.add(estimated("room", room.Mean.RoomMM, room.Mean.UMM, room.Mean.LoMM, room.Mean.HiMM, MM))
	f.limb(h, room.Since, v)
	return []Finding{f}
}
