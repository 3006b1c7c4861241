package assess

import (
	"slices"

	"fairlead/analytics/clearance"
)

// Limits of what is worn between limb and socket. S1: one layer more, lasting,
// is asked about; two, or a thick sock more, are mentioned to the prosthetist
// (common practice). S2: three thick socks or more (patient leaflet of North
// Cumbria NHS). S3: more than ten ply in all (stated on a patient page; weak).
const (
	layersAsk     = 1
	layersSoon    = 2
	thickMore     = 1
	thickSocks    = 3
	plyAltogether = 10
)

// sockEvents start the series of socks anew: what is worn since then says
// nothing about what was worn before.
var sockEvents = map[string]bool{
	"socket-fitted": true, "socket-accepted": true, "socket-adjusted": true, "liner-changed": true,
}

// sockFindings judges what is worn between limb and socket. Ply are shown, and
// counted for S3 only; thickness is an estimate per sock. None of it says what
// to wear.
//
// Words: those of a change of a limb, "thick" when it is a thick sock more,
// "lasting" when one layer more was worn at the visit before as well, and the
// stacks compared, "socks-then" and "socks-now" (clearance.StackCode).
func sockFindings(h History, v Visit) []Finding {
	if !v.SocksAsked || h.Limb.NoSocket {
		return nil
	}
	var findings []Finding
	raise := func(rule Rule, level Level, limit float64, values ...Value) *Finding {
		f := newFinding(v, rule, AboutLimb, level, "")
		f.Limit = &LimitUsed{Value: limit, Unit: Count, Fixed: true}
		f.LookFirst = []string{LookSocks, LookRecentEvents}
		f.add(values...)
		findings = append(findings, f)
		return &findings[len(findings)-1]
	}
	if n := max(clearance.CountThick(v.SocksNow), clearance.CountThick(v.SocksMost)); n >= thickSocks {
		raise(SocksThick, Soon, thickSocks, exact("thick-socks", float64(n), Count)).expected(h, v)
	}
	if n := max(ply(v.SocksNow), ply(v.SocksMost)); n > plyAltogether {
		raise(SocksPly, Soon, plyAltogether, exact("ply", float64(n), Count)).expected(h, v)
	}

	base, before, ok := h.socksBefore()
	if !ok {
		return findings
	}
	more := len(v.SocksNow) - len(base.SocksNow)
	thicker := clearance.CountThick(v.SocksNow) - clearance.CountThick(base.SocksNow)
	lasting := more >= layersAsk && len(before.SocksNow)-len(base.SocksNow) >= layersAsk
	var f *Finding
	switch {
	case more >= layersSoon:
		f = raise(SockLayers, Soon, layersSoon)
	case thicker >= thickMore:
		f = raise(SockLayers, Soon, thickMore)
		f.say("thick", "yes")
	case lasting:
		f = raise(SockLayers, Watch, layersAsk)
		f.say("lasting", "yes")
	default:
		return findings
	}
	f.AgainstVisitID = base.ID
	f.stack("then", base.SocksNow)
	f.stack("now", v.SocksNow)
	f.limb(h, base, v)
	return findings
}

// stack adds the figures of a stack of socks.
func (f *Finding) stack(when string, socks []clearance.Sock) {
	f.say("socks-"+when, clearance.StackCode(socks))
	mm, u := clearance.SockStack(socks)
	f.add(
		exact("layers-"+when, float64(len(socks)), Count),
		measured("thickness-"+when, mm, u, MM),
		exact("ply-"+when, float64(ply(socks)), Count),
	)
}

// socksBefore returns the visit that the socks are compared with, and the last
// one before the newest; both asked about them. The first is the first from the
// day the socket was accepted or the last event that started the series anew,
// or from the visit that the newest is judged against when there is neither.
func (h History) socksBefore() (base, before Visit, ok bool) {
	newest, _ := h.Newest()
	from := h.Limb.SocketAcceptedOn
	for _, e := range h.Events {
		if sockEvents[e.Kind] && e.On <= newest.On {
			from = max(from, e.On)
		}
	}
	if base, ok := h.base(); from == "" && ok {
		from = base.On
	}
	asked := slices.DeleteFunc(slices.Clone(h.earlier()), func(v Visit) bool { return !v.SocksAsked || v.On < from })
	if len(asked) == 0 {
		return Visit{}, Visit{}, false
	}
	return asked[0], asked[len(asked)-1], true
}

// ply adds up the ply of a stack, for display and S3.
func ply(socks []clearance.Sock) int {
	n := 0
	for _, s := range socks {
		n += s.Ply
	}
	return n
}
