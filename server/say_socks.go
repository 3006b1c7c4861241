package server

import (
	"slices"
	"strings"

	"fairlead/analytics/assess"
	"fairlead/analytics/clearance"
	"fairlead/analytics/quantity"
)

// socksSince says a stack of socks beside that of an earlier day; then is nil when
// nobody asked on that day. The same socks in another order are the same. It
// doesn't say what to wear.
func (y sayer) socksSince(then, now []clearance.Sock, on quantity.Date) string {
	now = slices.SortedFunc(slices.Values(now), clearance.CompareSocks)
	if then == nil {
		return upperFirst(y.text("socks.then-not-asked", "Now", y.stack(now, false), "On", y.date(on)))
	}
	then = slices.SortedFunc(slices.Values(then), clearance.CompareSocks)
	if slices.Equal(then, now) {
		return upperFirst(y.text("socks.same", "Now", y.stack(now, false), "On", y.date(on)))
	}
	inFull := y.plies(then, false) == y.plies(now, false) // the plies alone don't tell them apart
	return y.socksChanged(y.stack(then, inFull), y.stack(now, inFull), on)
}

func (y sayer) socksChanged(then, now string, on quantity.Date) string {
	return upperFirst(y.text("socks.changed", "Now", now, "Then", then, "On", y.date(on)))
}

// stack says the socks worn at a time, thin ones first: "one 3-ply sock",
// "two socks (1 ply + 3 ply)", in full with material and wear. Plies are never
// added up: they are makers' numbers.
func (y sayer) stack(socks []clearance.Sock, inFull bool) string {
	switch {
	case len(socks) == 0:
		return y.text("socks.none")
	case len(socks) == 1 && !inFull:
		return y.text("socks.one", "Ply", socks[0].Ply)
	}
	return y.text("socks.stack", "Count", len(socks), "Number", y.count(len(socks)), "Socks", y.plies(socks, inFull))
}

// plies lists the socks of a stack: "1 ply + 3 ply".
func (y sayer) plies(socks []clearance.Sock, inFull bool) string {
	said := make([]string, len(socks))
	for i, s := range socks {
		words := []string{y.text("working.sock", "Ply", s.Ply)}
		switch {
		case !inFull:
		case s.Material == "":
			words = append(words, y.text("socks.material-not-told"))
		default:
			words = append(words, y.word("sock-material", s.Material))
		}
		if inFull && s.WornThin {
			words = append(words, y.text("working.sock.worn"))
		}
		said[i] = strings.Join(words, ", ")
	}
	return strings.Join(said, " + ")
}

func saySockLayers(y sayer, f assess.Finding) (claim string, rest, why []string) {
	since := quantity.Date(f.Words["since"])
	then, knownThen := foundStack(f, "then")
	now, knownNow := foundStack(f, "now")
	if knownThen && knownNow {
		claim = y.socksSince(then, now, since)
	} else {
		claim = y.socksChanged(y.foundSocks(f, "then"), y.foundSocks(f, "now"), since)
	}
	more := y.layersMore(int(figure(f, "layers-now") - figure(f, "layers-then")))
	if f.Words["thick"] != "" {
		more = y.text("socks.more-thick-some")
		if knownThen && knownNow {
			more = y.thickMore(clearance.CountThick(now) - clearance.CountThick(then))
		}
		why = append(why, y.text("socks.thick", "Ply", clearance.ThickPly))
	}
	claim = y.text("socks.claim", "Socks", claim, "More", more)
	if f.Words["lasting"] != "" {
		rest = append(rest, y.text("finding.lasting"))
	}
	thin, _ := f.Value("thickness-then")
	thick, ok := f.Value("thickness-now")
	if ok && thick.U != nil && thin.U != nil {
		why = append(why, y.text("finding.thickness", "Then", y.gap(thin.Value), "UThen", y.half95(*thin.U, 1),
			"Now", y.gap(thick.Value), "UNow", y.half95(*thick.U, 1)))
	}
	return claim, rest, why
}

func (y sayer) layersMore(n int) string {
	return y.text("socks.more-layers", "Count", n, "Number", y.count(n))
}

func (y sayer) thickMore(n int) string {
	return y.text("socks.more-thick", "Count", n, "Number", y.count(n))
}

// foundStack is the stack that a finding counted, "then" or "now"; false when it
// was kept without, and can't be told from its figures.
func foundStack(f assess.Finding, when string) ([]clearance.Sock, bool) {
	if socks, ok := clearance.ParseStack(f.Words["socks-"+when]); ok {
		return append([]clearance.Sock{}, socks...), true
	}
	layers, ok := f.Value("layers-" + when)
	switch {
	case ok && layers.Value == 0:
		return []clearance.Sock{}, true
	case ok && layers.Value == 1:
		return []clearance.Sock{{Ply: int(figure(f, "ply-"+when))}}, true
	}
	return nil, false
}

// foundSocks says the stack that a finding counted, as far as it was kept.
func (y sayer) foundSocks(f assess.Finding, when string) string {
	if socks, ok := foundStack(f, when); ok {
		return y.stack(socks, false)
	}
	layers := int(figure(f, "layers-"+when))
	in := y.text("socks.in-all", "Ply", int(figure(f, "ply-"+when)))
	return y.text("socks.stack", "Count", layers, "Number", y.count(layers), "Socks", in)
}
