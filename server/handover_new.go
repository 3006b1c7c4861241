package server

import (
	"slices"

	"fairlead/analytics/assess"
	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// After how many days somebody asks again, unless they say otherwise.
const (
	askAgainAfter    = 14
	askAgainAfterNow = 1 // of a flag that a person must act on today
)

// handoverNewPage is the form that hands flags of a limb over.
type handoverNewPage struct {
	recordPage
	Action, Back string
	Flags        []flagToHand
	Names        []string // to whom was handed over before, for this client
	Means        []Option
	Today        bool // a letter is too late for a flag among these
}

// flagToHand is an open flag to tick.
type flagToHand struct {
	Field, Link string
	Said        saidFinding
	Awaiting    string // that it was handed over already, or empty
	Chosen      bool
}

// handoverWording are the words of the forms of handovers.
var handoverWording = wording{form: "handover", kinds: map[string]string{"means": "handed-by", "answer_means": "handed-by"}, ids: answerLabels()}

// handoverBasis is what the form of a handover is made from.
type handoverBasis struct {
	client models.Client
	limb   models.Limb
	open   []models.Flag // of the limb
	before []models.Handover
}

func (s *server) handoverBasis(c *gin.Context) (handoverBasis, error) {
	client, limb, _, err := s.limbOf(c)
	if err != nil {
		return handoverBasis{}, err
	}
	flags, err := s.store.FlagsOf(c.Request.Context(), client.ID)
	if err != nil {
		return handoverBasis{}, err
	}
	open := slices.DeleteFunc(openFlags(flags), func(f models.Flag) bool { return f.LimbID != limb.ID })
	before, err := s.store.HandoversOf(c.Request.Context(), client.ID)
	return handoverBasis{client, limb, open, before}, err
}

// shown tells one state of the flags from another, as to what each says and to
// whom it was handed over.
func (b handoverBasis) shown() string {
	state := map[string]string{}
	for _, f := range b.open {
		state[f.ID] = version(f.Version)
		if f.HandoverID != nil {
			state[f.ID] += " " + *f.HandoverID
		}
	}
	return digest(state)
}

// newHandover shows the form. What is the prosthetist's and with nobody yet is
// ticked.
func (s *server) newHandover(c *gin.Context) error {
	b, err := s.handoverBasis(c)
	if err != nil {
		return err
	}
	today := s.presentDate(c)
	means, after := models.ByLetter, askAgainAfter
	typed := map[string]string{"id": models.NewID(), "shown": b.shown(), "handed_on": string(today)}
	for _, f := range b.open {
		if assess.About(f.About).ClosedBy() != assess.Prosthetist || f.HandoverID != nil {
			continue
		}
		typed[flagField(f)] = "yes"
		if isNow(f) {
			means, after = models.ByPhone, askAgainAfterNow
		}
	}
	typed["means"], typed["ask_again_on"] = string(means), string(today.AddDays(after))
	return s.show(c, "handover-new", s.handoverNewPage(c, b, typed))
}

// isNow tells whether a flag is open and one that a person must act on today.
func isNow(f models.Flag) bool { return f.ClosedAt == nil && f.Level == string(assess.Now) }

// flagField is the name of the box of a flag.
func flagField(f models.Flag) string { return "flag." + f.ID }

func (s *server) handoverNewPage(c *gin.Context, b handoverBasis, typed map[string]string) handoverNewPage {
	y, today := s.sayer(c), s.presentDate(c)
	p := handoverNewPage{
		recordPage: s.recordPage(c, s.text(c, "handover.new"), s.heading(c, b.client, b.limb), typed),
		Action:     limbPath(b.limb) + "/handovers", Back: clientPath(b.client) + "?limb=" + b.limb.ID,
		Means: s.options(c, "handed-by", texts(models.AllMeans)),
	}
	handovers := map[string]models.Handover{}
	for _, h := range b.before {
		handovers[h.ID] = h
		if !slices.Contains(p.Names, h.ToWhom) {
			p.Names = append(p.Names, h.ToWhom)
		}
	}
	for _, f := range b.open {
		p.Today = p.Today || isNow(f) && (f.HandoverID == nil || typed[flagField(f)] != "")
		p.Flags = append(p.Flags, flagToHand{
			Field: flagField(f), Link: flagPath(f), Said: y.flag(f), Chosen: typed[flagField(f)] != "",
			Awaiting: y.awaiting("flag.awaiting.", f, handovers, today),
		})
	}
	return p
}

// handoverOf is the handover of a path below its client, with what became of it.
func (s *server) handoverOf(c *gin.Context) (models.Client, followup.Handover, error) {
	client, err := s.reach(c)
	if err != nil {
		return client, followup.Handover{}, err
	}
	flags, err := s.store.FlagsOf(c.Request.Context(), client.ID)
	if err != nil {
		return client, followup.Handover{}, err
	}
	all, err := followup.Handovers(c.Request.Context(), s.store, client.ID, flags)
	if err != nil {
		return client, followup.Handover{}, err
	}
	i := slices.IndexFunc(all, func(h followup.Handover) bool { return h.ID == c.Param("handover") })
	if i < 0 {
		return client, followup.Handover{}, errNotFound
	}
	return client, all[i], nil
}
