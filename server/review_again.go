package server

import (
	"maps"
	"reflect"
	"slices"

	"fairlead/models"
	"fairlead/server/followup"
	"github.com/gin-gonic/gin"
)

// signedBefore finds the review that this very form has become already, as when
// it is sent twice. A form that was typed over since gets an id of its own: it is
// a further review.
func (s *server) signedBefore(c *gin.Context, f reviewForm) (models.Review, bool) {
	i := slices.IndexFunc(f.basis.Reviews, func(r models.Review) bool { return r.ID == f.typed["id"] })
	if i < 0 {
		return models.Review{}, false
	}
	review := f.basis.Reviews[i]
	set, _ := f.basis.Limb.LimitsOf(review.ID)
	said := readReview(s.reader(c, f.typed), beforeReview(f.basis, review), dateIn(review.SignedAt, s.zone(c)), f.signing.MayClose)
	closed := map[string]string{}
	for _, flag := range review.Saw.Flags {
		if flag.Closed {
			closed[flag.ID] = flag.Reason
		}
	}
	same := review.SignedBy == f.signing.By.ID && review.Note == said.Note && reflect.DeepEqual(review.Decisions, said.Decisions) &&
		maps.Equal(closed, said.Close) && (set == nil) == (said.Limits == nil)
	if same && set != nil {
		same = sameLimits(*set, *said.Limits) && set.Reason == said.Limits.Reason
	}
	if !same {
		f.typed["id"] = models.NewID()
	}
	return review, same
}

// beforeReview is what lay there when a review was signed, as far as its form is
// read on it: the limits of then, and open flags at their level of then.
func beforeReview(b followup.ReviewBasis, r models.Review) followup.ReviewBasis {
	if set, _ := b.Limb.LimitsOf(r.ID); set != nil {
		b.Limb.Limits = b.Limb.Limits[:set.Number-1]
	}
	b.Flags = slices.Clone(b.Flags)
	for i := range b.Flags {
		for _, seen := range r.Saw.Flags {
			if seen.ID == b.Flags[i].ID {
				b.Flags[i].ClosedAt, b.Flags[i].Level = nil, seen.Level
			}
		}
	}
	return b
}
