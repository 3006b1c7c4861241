package trial

import "sync/atomic"

// How much work there is in a limb: one simple rule is the unit.
const (
	courseWork = 30
	followWork = 300
	assessWork = 600
)

// teller tells how far a trial has come.
type teller struct {
	tell  func(done, total int)
	total int
	so    atomic.Int64
}

func newTeller(o Options) *teller {
	t := &teller{tell: o.Tell, total: (followWork + assessWork) * o.Limbs}
	for _, c := range candidates() {
		t.total += 3 * c.work * o.Limbs
	}
	return t
}

// steps is how often a trial tells of itself.
const steps = 1000

func (t *teller) done(work int) {
	so := int(t.so.Add(int64(work)))
	if t.tell != nil && so*steps/t.total != (so-work)*steps/t.total {
		t.tell(so, t.total)
	}
}
