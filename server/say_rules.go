package server

import (
	"cmp"
	"strings"

	"fairlead/analytics/assess"
	"fairlead/analytics/quantity"
)

func sayFunctionNo(y sayer, f assess.Finding) (claim string, rest, why []string) {
	return y.text("finding.claim.function-no", "Check", y.word("function-check", f.Words["check"])), nil, nil
}

func saySkinSign(y sayer, f assess.Finding) (claim string, rest, why []string) {
	signs := y.words("skin-sign", f.Words["signs"])
	claim = upperFirst(y.text("finding.claim.skin-sign", "Signs", signs, "Place", f.Words["place"]))
	if f.Words["place"] == "" {
		claim = upperFirst(signs)
	}
	if f.Words["seen-before"] != "" {
		rest = append(rest, y.text("finding.seen-before", "Sign", upperFirst(y.word("skin-sign", f.Words["sign"]))))
	}
	return claim, rest, nil
}

// sayFall puts a fall or injury into words, and what makes it one for today.
func sayFall(y sayer, f assess.Finding) (claim string, rest, why []string) {
	with := f.Words["with"]
	if strings.Contains(with, "skin") {
		rest = append(rest, y.text("finding.fall-skin"))
	}
	if strings.Contains(with, "pain") {
		rest = append(rest, upperFirst(y.rating(f, "worst-pain"))+".")
	}
	return y.text("finding.claim.recent-fall"), rest, nil
}

// rating says one rating of a finding: now, then, and when that was.
func (y sayer) rating(f assess.Finding, item string) string {
	on := quantity.Date(cmp.Or(f.Words[item+"-since"], f.Words["since"]))
	return y.text("finding.rating."+item,
		"Then", int(figure(f, item+"-then")), "Now", int(figure(f, item+"-now")), "On", y.date(on))
}

// sayStation puts what was read or seen at a station into words.
func sayStation(y sayer, f assess.Finding) (claim string, rest, why []string) {
	args := []any{"Station", y.stationOf(f), "Neighbour", y.word("neighbour", f.Words["neighbour"])}
	if gap, ok := f.Value("gap"); ok {
		args = append(args, "Gap", y.gap(gap.Value))
	}
	return y.text("finding.claim."+string(f.Rule), args...), nil, y.readings(f)
}

func sayDrop(y sayer, f assess.Finding) (claim string, rest, why []string) {
	claim, _, why = sayStation(y, f)
	if drop, ok := f.Value("drop"); ok && drop.U != nil {
		rest = append(rest, y.text("finding.drop", "Drop", y.gap(drop.Value), "U", y.half95(*drop.U, 1)))
	}
	return claim, rest, why
}

// readings says how many readings there were, in which shoe, and the first gap
// that can be compared.
func (y sayer) readings(f assess.Finding) []string {
	var said []string
	if gap, ok := f.Value("gap"); ok && gap.U != nil {
		count := int(figure(f, "readings"))
		said = append(said, y.text("finding.readings", "Count", count, "Gap", y.gap(gap.Value), "U", y.half95(*gap.U, 1)))
	}
	if first, ok := f.Value("first-gap"); ok {
		said = append(said, y.text("finding.first-gap", "Gap", y.gap(first.Value), "On", y.date(quantity.Date(f.Words["first-on"]))))
	}
	if f.Words["shoe"] != "" {
		said = append(said, y.text("finding.shoe", "Shoe", f.Words["shoe"]))
	}
	return said
}

func sayAttachment(y sayer, f assess.Finding) (claim string, rest, why []string) {
	state := y.word("attachment-state", f.Words["state"])
	if f.Words["name"] == "" {
		return y.text("finding.claim.attachment-unnamed", "State", state), nil, nil
	}
	return y.text("finding.claim.attachment", "State", state, "Name", f.Words["name"]), nil, nil
}

// sayVolume puts a change of volume into words, resolved or not, since the
// reference or within days.
func sayVolume(y sayer, f assess.Finding) (claim string, rest, why []string) {
	change, _ := f.Value("change")
	since := y.date(quantity.Date(f.Words["since"]))
	id := "finding.claim." + string(f.Rule)
	days, fast := f.Value("days")
	if fast && f.Rule == assess.VolumeUnresolved {
		id += "-fast"
	}
	if fast && days.Value == 0 {
		id += "-same-day"
	}
	claim = y.text(id, "Change", y.percentChange(change.Value), "Since", since, "Count", int(days.Value))
	if change.Lo != nil && change.Hi != nil {
		rest = append(rest, y.text("finding.interval", "Interval", y.interval(*change.Lo, *change.Hi)))
	}
	if then, ok := f.Value("then-volume"); ok {
		why = append(why, y.text("finding.volumes", "Then", y.decimal(then.Value, 0), "Now", y.decimal(figure(f, "now-volume"), 0),
			"From", y.bareLength(figure(f, "from")), "To", y.length(figure(f, "to")), "Since", since))
	}
	if sound, ok := f.Value("sound-change"); ok {
		beside, _ := f.Value("beside-sound")
		why = append(why, y.text("finding.sound", "Sound", y.percentChange(sound.Value), "Beside", y.percentChange(beside.Value)))
	}
	if f.Words["with"] != "" {
		why = append(why, y.text("finding.volume-with."+f.Words["with"]))
	}
	return claim, rest, why
}

// sayCount puts a count of what is worn into words.
func sayCount(name string) saying {
	return func(y sayer, f assess.Finding) (claim string, rest, why []string) {
		return y.text("finding.claim."+string(f.Rule), "Count", int(figure(f, name))), nil, nil
	}
}

func sayRoomChange(y sayer, f assess.Finding) (claim string, rest, why []string) {
	room, _ := f.Value("room")
	claim = y.text("finding.claim.room-change", "Room", y.change(room.Value))
	if room.Lo != nil && room.Hi != nil {
		rest = append(rest, y.text("finding.interval-mm", "Interval", y.interval(*room.Lo, *room.Hi)))
	}
	return claim, rest, nil
}

func sayComfort(y sayer, f assess.Finding) (claim string, rest, why []string) {
	var items []string
	for _, item := range []string{"comfort", "worst-comfort", "worst-pain"} {
		if _, ok := f.Value(item + "-then"); ok {
			items = append(items, y.rating(f, item))
		}
	}
	claim = upperFirst(y.list(items))
	if f.Words["with"] != "" {
		rest = append(rest, y.besideComfort(f))
	}
	return claim, rest, nil
}

// besideComfort says what changed with comfort: over the same time, or since
// another day.
func (y sayer) besideComfort(f assess.Finding) string {
	since := f.Words["with-since"]
	var id string
	switch volume := f.Words["with"] == "volume"; {
	case volume && since == "":
		id = "finding.comfort-volume"
	case volume:
		id = "finding.comfort-volume-since"
	case since == "":
		id = "finding.comfort-room"
	default:
		id = "finding.comfort-room-since"
	}
	return y.text(id, "Change", y.percentChange(figure(f, "change")), "Room", y.change(figure(f, "room")), "Since", y.date(quantity.Date(since)))
}

// sayDisagreement lists the levels at which the passes disagree.
func sayDisagreement(y sayer, f assess.Finding) (claim string, rest, why []string) {
	claim = y.text("finding.claim.readings-disagree", "Count", int(figure(f, "levels")), "Part", y.word("body-part", f.Words["part"]))
	var levels []string
	for i := 0; i+1 < len(f.Values); i++ {
		if f.Values[i].Name == "level" && f.Values[i+1].Name == "spread" {
			levels = append(levels, y.text("finding.spread", "Level", y.length(f.Values[i].Value), "Spread", y.length(f.Values[i+1].Value)))
		}
	}
	if len(levels) > 0 {
		rest = append(rest, upperFirst(y.list(levels))+".")
	}
	return claim, rest, nil
}

func sayNotComparable(y sayer, f assess.Finding) (claim string, rest, why []string) {
	since := y.date(quantity.Date(f.Words["since"]))
	return y.text("finding.claim.not-comparable", "Since", since), []string{y.notComparable(f.Words["why"])}, nil
}

// notComparable says why two visits can't be compared, as a sentence.
func (y sayer) notComparable(code string) string { return y.text("not-comparable." + code) }
