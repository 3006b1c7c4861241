package server

import (
	"fairlead/analytics/quantity"
	"fairlead/analytics/volume"
	"fairlead/models"
	"fairlead/server/followup"
	"fairlead/server/form"
	"github.com/gin-gonic/gin"
)

// secondRound stands in the names of fields for the second complete round of the
// residual limb, with the marks made afresh. Its passes count from 1 there.
const secondRound quantity.BodyPart = "second"

// secondOpen is the field that a second round is begun with.
const secondOpen = "second_open"

// roundsFit tells whether the limb can be measured in rounds: plans made before there
// were any may ask for more passes than one has.
func (l limbLayout) roundsFit() bool { return l.taped() && l.Plan.Passes <= quantity.PassesPerRound }

// secondSteps are the pages of a second round: whether to take one, where that is asked
// or was spoken of, and once it is begun a page for each pass. One that was given up
// before anything was read has none.
func (l limbLayout) secondSteps(typed map[string]string) []step {
	if !l.roundsFit() {
		return nil
	}
	why := typed[l.prefix()+notDoneField(secondRound)]
	begun := l.At == secondStep || l.anyReading(secondRound, typed) || why == "" && typed[l.prefix()+secondOpen] != ""
	if !begun && why == "" && l.Again == "" && l.At != askStep {
		return nil
	}
	steps := []step{{Kind: askStep, Limb: l.No}}
	if begun {
		steps = append(steps, l.passSteps(secondStep, l.passes())...)
	}
	return steps
}

// at notes which page of a second round is open, so that it stays until it has been
// sent whatever somebody else types meanwhile.
func (l checkinLayout) at(slug string) {
	for i, limb := range l.Limbs {
		for _, st := range append(limb.passSteps(secondStep, limb.passes()), step{Kind: askStep, Limb: limb.No}) {
			if st.slug() == slug {
				l.Limbs[i].At = st.Kind
			}
		}
	}
}

// withDraft is what is open with a draft as it now stands: it also tells which limbs
// are to be measured a second time. For a correction nobody is asked, as the client has
// gone.
func (s *server) withDraft(c *gin.Context, o opened, d models.Draft) (opened, error) {
	given := o.draft.ID != ""
	o.draft = d
	for i := range o.layout.Limbs {
		o.layout.Limbs[i].Again = ""
		if given { // and the page that was open has been sent
			o.layout.Limbs[i].At = ""
		}
	}
	checkin, _ := s.parseDraft(c, o)
	for i, seen := range checkin.Limbs {
		limb := &o.layout.Limbs[i]
		first, second := seen.Rounds(quantity.Residual, limb.Plan)
		limb.Twice = followup.Complete(first, second)
	}
	if o.layout.Corrects != nil || checkin.MeasuredAt.IsZero() {
		return o, nil
	}
	checkin.ID = d.ID // a place of its own among the others while it has no id
	asked, err := o.layout.Record.With(checkin).MeasureAgain(checkin.ID)
	if err != nil {
		return o, err
	}
	for i, limb := range o.layout.Limbs {
		if limb.roundsFit() {
			o.layout.Limbs[i].Again = asked[limb.Limb.ID]
		}
	}
	return o, nil
}

// askPart asks for a second round of a limb.
type askPart struct {
	Why      string
	Asked    bool
	Twice    bool // it is there already
	OpenSkin bool
	Reasons  []Option
}

func (s *server) askPart(c *gin.Context, l limbLayout, typed map[string]string) askPart {
	return askPart{
		Why: s.sayAgain(c, l), Asked: l.Again != "", Twice: l.Twice, OpenSkin: l.sawOpenSkin(typed),
		Reasons: s.options(c, "not-done", texts(models.NoSecondReasons)),
	}
}

// sayAgain says why a second round is asked for, or that it is not.
func (s *server) sayAgain(c *gin.Context, l limbLayout) string {
	switch {
	case l.Twice:
		return s.text(c, "checkin.again-why.twice")
	case l.Again == "":
		return s.text(c, "checkin.again-why.not-asked")
	}
	return s.text(c, "checkin.again-why."+string(l.Again))
}

// askInResult asks for a second round on the last page, with a way to its page. For a
// correction nobody is asked, but can type what was measured.
func (s *server) askInResult(c *gin.Context, said *limbResult, o opened) {
	for _, limb := range o.layout.Limbs {
		if limb.Limb.ID != said.limbID || !limb.roundsFit() {
			continue
		}
		said.AgainAt = draftPath(o.draft) + "/" + step{Kind: askStep, Limb: limb.No}.slug()
		said.Again = ""
		if limb.Again != "" && said.NoSecond == "" {
			said.Again = s.sayAgain(c, limb)
		}
	}
}

// sayRounds says what the two rounds of a visit come to, and which one counts.
func (s *server) sayRounds(c *gin.Context, r followup.Rounds) []string {
	y := s.sayer(c)
	ml := func(e volume.Estimate) string {
		return form.FormatDecimal(e.VolumeML, 0, y.comma) + narrow + "mL " + y.plusMinus(e.UML, 0)
	}
	said := []string{s.text(c, "checkin.rounds", "First", ml(r.First), "Second", ml(r.Second))}
	if r.Change.Comparable {
		said = append(said, s.text(c, "checkin.rounds-differ", "Change", y.percentChange(r.Change.ChangePercent),
			"Interval", y.interval(r.Change.LoPercent, r.Change.HiPercent)))
	}
	return append(said, s.text(c, "checkin.rounds-count"))
}
