package demo

import (
	"fairlead/analytics/cohort"
	"fairlead/analytics/quantity"
	"fairlead/models"
)

// The check-ins of a story, in days ago.
var (
	quarterly = []int{700, 610, 517, 426, 335, 244, 153, 62}
	halfYear  = []int{610, 426, 244, 62}
)

// stories are the clients of the workshop, K-001 onwards.
var stories = []story{
	{name: "Alder, A.", tells: "a mature limb that stays as it is", next: 29,
		limbs:  []limbStory{{side: left, level: quantity.Transtibial, months: 96, soundToo: true}},
		visits: quarterly},
	{name: "Birch, M.", tells: "an early limb that shrinks, with socks added and a new socket and cover", next: 14, open: 1,
		limbs: []limbStory{{side: right, level: quantity.Transtibial, months: 4, soundToo: true,
			path: cohort.Path{{Kind: cohort.EarlyShrinkage, Percent: cohort.ShrinkagePercentPerLogWeek, WeeksSince: 17}}}},
		visits: []int{440, 412, 384, 350, 300, 272, 216, 160, 104, 41},
		turns: []turn{
			from(384, wears(1, 1)), from(350, wears(3, 1)), from(272, wears(1)), from(104, wears(1, 1)),
			at(384, both(comfort(6), looser(2), says("Drops deeper into the socket by evening."))),
			from(41, wears(3, 1, 1)), at(41, both(comfort(6), looser(2))),
		},
		events: []event{{320, models.SocketFitted, "New socket made after the first loss", newSocket}, {300, models.CoverRefitted, "New cover for the new socket", newCover}}},
	{name: "Willow, S.", tells: "an upper arm, steady, due this week", next: 2, draft: true,
		limbs: []limbStory{{side: left, level: quantity.Transhumeral, months: 140, soundToo: true}}, visits: quarterly},
	{name: "Juniper, L.", tells: "two-sided, one side followed by its own course, overdue", next: -6,
		limbs: []limbStory{
			{side: left, level: quantity.Transtibial, months: 60},
			{side: right, level: quantity.Transtibial, months: 60, path: cohort.Path{{Kind: cohort.SlowLoss, Percent: 0.3}}}},
		visits: quarterly[2:]},
	{name: "Hazel, B.", tells: "a limb that swells within ten days", next: 5, open: 1,
		limbs: []limbStory{{side: left, level: quantity.Transtibial, months: 52, soundToo: true,
			path: cohort.Path{{Kind: cohort.Step, Percent: 11, StartDay: 335}}}},
		visits: []int{340, 250, 160, 70, 11, 2},
		turns: []turn{at(2, both(measuredTwice, heavier(2600), fluid("new-medicine"), func(o *occasion) { o.looseness = 3 },
			comfort(5), says("Tight since the weekend, hard to put on.")))}},
	{name: "Rowan, M.", tells: "a cover that has come close to the socket behind", next: 20, open: 1,
		limbs: []limbStory{{side: left, level: quantity.Transtibial, months: 70, soundToo: true, seed: 5,
			gaps: map[quantity.Direction]cohort.Gap{back: {AsBuiltMM: 5.6, ClosingMMPerMonth: 0.42}}}},
		visits: []int{280, 210, 140, 69, 5},
		turns:  []turn{from(69, both(polishMark, says("Rubs behind when I sit down.")))},
		afterwards: []afterwards{reports(3, 5, true, models.Said{
			What: []string{"rub", "noise"}, Areas: []string{"calf.posterior"}, Since: "week", Bother: points(6), Wearing: "all-day",
			ComfortAverage: points(6), PainWorst: points(3), Text: "It rubs behind when I sit, and it clicks on the stairs.",
		})}},
	{name: "Aspen, J.", tells: "one sock layer more that has stayed", next: 60, open: 1,
		limbs:  []limbStory{{side: right, level: quantity.Transradial, months: 30, path: cohort.Path{{Kind: cohort.SlowLoss, Percent: 0.15}}}},
		visits: []int{390, 300, 210, 118, 27}, turns: []turn{from(118, wears(1, 1))}},
	{name: "Larch, T.", tells: "open skin on doffing: no mark and no tape there", next: 7, open: 1, numb: true,
		limbs:  []limbStory{{side: right, level: quantity.Transfemoral, months: 26, soundToo: true}},
		visits: []int{420, 330, 240, 148, 59, 1},
		turns: []turn{at(1, both(skin("open-sore", "distal end, lateral"), leftOut("residual", models.OpenSkin), comfort(4),
			says("Wore it all day at a market. Did not feel it.")))}},
	{name: "Sedge, O.", tells: "a difference present at birth", next: 88,
		limbs: []limbStory{{side: left, level: quantity.Transradial, soundToo: true}}, visits: halfYear},
	{name: "Fern, P.", tells: "a child who is still growing, with a plan that had to grow too", next: 40, growing: true, open: 1,
		limbs: []limbStory{{side: right, level: quantity.Transtibial, size: 0.62, soundToo: true,
			path: cohort.Path{{Kind: cohort.Growth, Percent: 9}}}},
		visits: []int{700, 610, 517, 426, 335, 244, 153, 50},
		events: []event{{340, models.SocketFitted, "Socket outgrown, new one made", newSocket}, {335, models.CoverRefitted, "New cover, one size up", newCover}, {335, models.OtherEvent, "Plan made longer with the limb", newPlan}}},
	{name: "Heath, R.", tells: "bone-anchored: no socket, a cover all the same", next: 33,
		limbs: []limbStory{{side: left, level: quantity.Transfemoral, months: 84, anchored: true}}, visits: halfYear},
	{name: "Clover, D.", tells: "part of a foot: volume does not apply", next: 45, outside: true,
		limbs: []limbStory{{side: right, level: quantity.PartialFoot, months: 40}}, visits: halfYear},
	{name: "Thistle, N.", tells: "part of a hand: volume does not apply", next: 51, outside: true,
		limbs: []limbStory{{side: left, level: quantity.PartialHand, months: 22}}, visits: halfYear[1:]},
	{name: "Elder, V.", tells: "the hip: volume does not apply", next: 70, outside: true,
		limbs: []limbStory{{side: left, level: quantity.HipDisarticulation, months: 110}}, visits: halfYear},
	{name: "Yarrow, C.", tells: "the pelvis: volume does not apply", next: 66, outside: true,
		limbs: []limbStory{{side: right, level: quantity.Transpelvic, months: 58}}, visits: halfYear[2:]},
	{name: "Bracken, E.", tells: "the shoulder: volume does not apply", next: 57, outside: true,
		limbs: []limbStory{{side: right, level: quantity.ShoulderDisarticulation, months: 47}}, visits: halfYear[1:]},
	{name: "Gorse, H.", tells: "the whole arm: volume does not apply", next: 80, outside: true,
		limbs: []limbStory{{side: left, level: quantity.Forequarter, months: 35}}, visits: halfYear[2:]},
	{name: "Maple, D.", tells: "a slow loss that has passed its limit", next: 26, open: 2,
		limbs: []limbStory{{side: right, level: quantity.KneeDisarticulation, months: 20, soundToo: true,
			path: cohort.Path{{Kind: cohort.SlowLoss, Percent: 0.75}}}},
		visits: quarterly[1:]},
	{name: "Sorrel, F.", tells: "a large change that the tape can't resolve", next: 12, open: 1,
		limbs: []limbStory{{side: right, level: quantity.AnkleDisarticulation, months: 33, seed: 1,
			path: cohort.Path{{Kind: cohort.Step, Percent: -7, StartDay: 150}}}},
		visits: []int{190, 9}, turns: []turn{at(9, both(bySecond, minutes(20)))}},
	{name: "Cedar, I.", tells: "a wrist, with the seasons", next: 37,
		limbs:  []limbStory{{side: right, level: quantity.WristDisarticulation, months: 75, soundToo: true, path: cohort.Path{{Kind: cohort.Seasonal, Percent: 0.5, StartDay: 90}}}},
		visits: quarterly[3:], turns: []turn{at(335, hotDay)}},
	{name: "Linden, G.", tells: "an elbow, gaps accepted as built", next: 48,
		limbs:  []limbStory{{side: left, level: quantity.ElbowDisarticulation, months: 64, accepted: true, gaps: map[quantity.Direction]cohort.Gap{back: {AsBuiltMM: 2.4}}}},
		visits: halfYear},
	{name: "Rush, K.", tells: "a socket changed half-way; the series goes on", next: 30,
		limbs:  []limbStory{{side: left, level: quantity.Transfemoral, months: 16, soundToo: true, path: cohort.Path{{Kind: cohort.SlowLoss, Percent: 0.8}}}},
		visits: []int{650, 560, 470, 380, 352, 260, 170, 80},
		turns:  []turn{from(470, wears(3, 1)), from(352, wears(1))},
		afterwards: []afterwards{setsLimits(166, models.LimbLimits{
			LossPercent: 8, LossReviewPercent: 12, GainPercent: 5, GainTodayPercent: 10, Room: limit(15),
			Reason: "Second year and still losing, as expected. Below 8 % one sock more is known to do.",
		}, 240, "Seen in the new socket. Looked at all girths since the change of socket.")},
		events: []event{{360, models.SocketFitted, "New socket after a year of loss", newSocket}, {352, models.CoverRefitted, "New cover for the new socket", newCover}}},
	{name: "Poplar, W.", tells: "another shoe: the toe comes near the cover", next: 10, open: 1,
		limbs:  []limbStory{{side: right, level: quantity.Transtibial, months: 88, gaps: map[quantity.Direction]cohort.Gap{front: {AsBuiltMM: 10.5, DropMM: 7, DropDay: 355}}}},
		visits: []int{360, 270, 180, 88, 4}, turns: []turn{at(4, both(afterChange, noted("Walking boots with a higher heel.")))},
		events: []event{{5, models.ShoeChanged, "Walking boots, heel 25 mm", boots}}},
	{name: "Spruce, Q.", tells: "long overdue: nothing flagged is not good news", next: -47,
		limbs: []limbStory{{side: left, level: quantity.Transtibial, months: 120, soundToo: true}}, visits: quarterly[:6]},
	{name: "Ivy, Z.", tells: "a check-in that was corrected, and one typed from paper", next: 6,
		limbs:  []limbStory{{side: left, level: quantity.Transfemoral, months: 54, soundToo: true}},
		visits: quarterly[2:], turns: []turn{at(244, slipOfTheKey), at(153, lateBy(6))}},
	{name: "Holly, U.", tells: "archived", archive: "Moved away; the record was handed over on request.",
		limbs: []limbStory{{side: right, level: quantity.Transtibial, months: 31}}, visits: []int{640, 540, 440}},
	{name: "Myrtle, J.", tells: "measured by a partner clinic in inches", next: 75,
		limbs:  []limbStory{{side: right, level: quantity.Transhumeral, months: 43, soundToo: true}},
		visits: halfYear, turns: []turn{from(610, both(bySecond, lateBy(3)))}},
	{name: "Bramble, T.", tells: "a crack in the cover and a loose clip, and parts left out", next: 3, open: 1,
		limbs:  []limbStory{{side: left, level: quantity.Transtibial, months: 38, soundToo: true}},
		visits: []int{300, 210, 119, 3},
		turns: []turn{at(119, both(leftOut("sound", models.NoTime), leftOut("socks", models.Declined))),
			at(3, both(answersNo("no-crack", "hairline at the distal clip, 12 mm"), looseClip, leftOut("sound", models.NoTime)))}},
	{name: "Teasel, Y.", tells: "delivered last week", next: 24,
		limbs: []limbStory{{side: right, level: quantity.Transtibial, months: 15, soundToo: true}}, visits: []int{8}},
	{name: "Laurel, E.", tells: "no check-in yet", limbs: []limbStory{{side: left, level: quantity.Transradial, months: 12}}},
	{name: "Nettle, R.", tells: "reported open skin last night, and nobody has read it yet", next: 33,
		limbs:  []limbStory{{side: left, level: quantity.Transtibial, months: 49, soundToo: true}},
		visits: []int{320, 230, 141, 52},
		afterwards: []afterwards{reports(1, 7, false, models.Said{
			Safety: []string{"open-skin"}, What: []string{"skin"}, Areas: []string{"knee.anterior"}, Since: "today", Bother: points(7),
			Wearing: "less", Skin: []string{"open-sore"}, Text: "A sore below the kneecap since this afternoon. I have taken the leg off.",
		})}},
	{name: "Sallow, H.", tells: "handed over by letter to a prosthetist who does not sign in; the answer is overdue", next: 19, open: 1, outside: true,
		limbs: []limbStory{{side: right, level: quantity.Transtibial, months: 61, soundToo: true,
			path: cohort.Path{{Kind: cohort.SlowLoss, Percent: 0.9}}}},
		visits: []int{330, 240, 151, 38}, turns: []turn{from(38, both(wears(3), looser(2), comfort(5)))},
		afterwards: []afterwards{handsOver(36, "Invented outside clinic", 21, "Letter with the chart, sent by post.")}},
}

// points is a rating.
func points(n int) *int { return &n }

// limit is a limit in tenths of a millimetre.
func limit(tenths quantity.Length) *quantity.Length { return &tenths }

// Short words for the table.
const (
	left  = quantity.Left
	right = quantity.Right
	back  = quantity.Posterior
	front = quantity.Anterior
)
