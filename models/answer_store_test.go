package models_test

import (
	"slices"
	"testing"

	"fairlead/models"
	"fairlead/models/modelstest"
)

// answer is what was answered to a handover, without a document.
func (b workbench) answer(h models.Handover) models.Answering {
	return models.Answering{HandoverVersion: h.Version, Answer: &models.Answer{
		HandoverID: h.ID, FromWhom: "I. Invented", Means: models.ByLetter, AnsweredOn: "2026-03-20", Said: "wear it on", RecordedBy: b.fitter.ID,
	}}
}

// withDocument attaches a document.
func withDocument(r models.Answering, content string) models.Answering {
	r.Document, r.Answer.DocumentName = &models.Document{MediaType: "application/pdf", Content: []byte(content)}, "letter.pdf"
	return r
}

func TestAnswerWithItsDocumentCloses(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		closing, staying, moved := b.raised(t, s, "limb", "a", "soon"), b.raised(t, s, "skin", "b", "now"), b.raised(t, s, "limb", "c", "soon")
		h := b.handed(t, s, closing, staying, moved)
		later := b.handed(t, s, moved)
		r := withDocument(b.answer(h), "%PDF-1.7 one")
		r.Closings, r.AskAgainOn = []models.AnswerClosing{{FlagID: closing.ID, Version: closing.Version, Reason: "as written"}}, "2026-04-20"
		must(t, s.RecordAnswer(ctx, r))

		f := flag(t, s, closing.ID)
		if f.ClosedAt == nil || f.ClosedAnswerID == nil || *f.ClosedAnswerID != r.Answer.ID || f.ClosedBy != b.fitter.ID || f.CloseReason != "as written" || f.HandoverID != nil {
			t.Errorf("got %+v, want it closed by the answer", f)
		}
		if got := stepKinds(f); !slices.Equal(got, []models.FlagStepKind{models.StepHandedOver, models.StepAnswered}) {
			t.Errorf("got steps %v", got)
		}
		if f := flag(t, s, staying.ID); f.ClosedAt != nil || f.HandoverID == nil || *f.HandoverID != h.ID || f.AskAgainOn != "2026-04-20" || len(f.Steps) != 2 {
			t.Errorf("got %+v, want it waiting for more", f)
		}
		if f := flag(t, s, moved.ID); *f.HandoverID != later.ID || f.AskAgainOn != later.AskAgainOn {
			t.Errorf("got %+v, want it with whom it went to since", f)
		}
		if got, err := s.HandoverByID(ctx, h.ID); err != nil || got.AnsweredAt == nil || got.AskAgainOn != "2026-04-20" || got.Version != 2 {
			t.Errorf("got %+v, %v", got, err)
		}
		got, err := s.AnswerByID(ctx, r.Answer.ID)
		must(t, err)
		if got.ClientID != b.client.ID || got.LimbID != b.limb.ID || got.DocumentName != "letter.pdf" || got.DocumentSHA256 == nil {
			t.Errorf("got %+v", got)
		}
		if d, err := s.DocumentByHash(ctx, *got.DocumentSHA256); err != nil || string(d.Content) != "%PDF-1.7 one" || d.MediaType != "application/pdf" {
			t.Errorf("got %+v, %v", d, err)
		}
	})
}

func TestAnswerWithoutADocumentClosesNothing(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		f := b.raised(t, s, "limb", "a", "soon")
		h := b.handed(t, s, f)
		r := b.answer(h)
		r.Answer.DocumentSHA256 = new("an invented hash")
		r.Closings = []models.AnswerClosing{{FlagID: f.ID, Version: f.Version, Reason: "said so"}}
		wantErr(t, s.RecordAnswer(ctx, r), models.ErrInvalid)
		r.Closings = nil
		must(t, s.RecordAnswer(ctx, r))
		got := flag(t, s, f.ID)
		if got.ClosedAt != nil || got.HandoverID != nil || got.AskAgainOn != "" || len(got.Steps) != 2 {
			t.Errorf("got %+v, want it open, waiting for nothing", got)
		}
		if a, err := s.AnswerByID(ctx, r.Answer.ID); err != nil || a.DocumentSHA256 != nil {
			t.Errorf("got %+v, %v; want no document", a, err)
		}

		// the letter that follows the call still closes
		r = withDocument(b.answer(h), "%PDF-1.7")
		r.HandoverVersion, r.Closings = 2, []models.AnswerClosing{{FlagID: f.ID, Version: f.Version, Reason: "as written"}}
		must(t, s.RecordAnswer(ctx, r))
		if got := flag(t, s, f.ID); got.ClosedAt == nil {
			t.Error("the letter closed nothing")
		}
		all, err := s.AnswersOf(ctx, b.client.ID)
		must(t, err)
		if len(all) != 2 {
			t.Errorf("got %d answers", len(all))
		}
	})
}

func TestAnswerThatIsRefusedLeavesNothing(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		f, other := b.raised(t, s, "limb", "a", "soon"), b.raised(t, s, "limb", "b", "soon")
		h := b.handed(t, s, f)
		for name, tt := range map[string]struct {
			closing models.AnswerClosing
			want    error
		}{
			"a flag elsewhere":    {models.AnswerClosing{FlagID: other.ID, Version: other.Version, Reason: "x"}, models.ErrInvalid},
			"no reason":           {models.AnswerClosing{FlagID: f.ID, Version: f.Version}, models.ErrInvalid},
			"a flag that changed": {models.AnswerClosing{FlagID: f.ID, Version: f.Version + 1, Reason: "x"}, models.ErrStale},
		} {
			r := withDocument(b.answer(h), name)
			r.Closings = []models.AnswerClosing{tt.closing}
			wantErr(t, s.RecordAnswer(ctx, r), tt.want)
			_, err := s.DocumentByHash(ctx, r.Document.SHA256)
			wantErr(t, err, models.ErrNotFound)
		}
		wantErr(t, s.RecordAnswer(ctx, withDocument(b.answer(h), "")), models.ErrInvalid)
		called := withDocument(b.answer(h), "%PDF-1.7 notes of a call")
		called.Answer.Means, called.Closings = models.ByPhone, []models.AnswerClosing{{FlagID: f.ID, Version: f.Version, Reason: "as said"}}
		wantErr(t, s.RecordAnswer(ctx, called), models.ErrInvalid)
		r := b.answer(h)
		r.HandoverVersion++
		wantErr(t, s.RecordAnswer(ctx, r), models.ErrStale)
		if got := flag(t, s, f.ID); got.ClosedAt != nil || len(got.Steps) != 1 {
			t.Errorf("got %+v, want it as it was", got)
		}
		if all, err := s.AnswersOf(ctx, b.client.ID); err != nil || len(all) != 0 {
			t.Errorf("got %+v, %v", all, err)
		}
	})
}

// TestTheSameDocumentAtOnceIsKeptOnce, and the same answer sent twice at once is one.
func TestTheSameDocumentAtOnceIsKeptOnce(t *testing.T) {
	modelstest.Each(t, func(t *testing.T, s *models.Store) {
		b := bench(t, s, "K-001")
		h := b.handed(t, s, b.raised(t, s, "limb", "a", "soon"))
		first := withDocument(b.answer(h), "%PDF-1.7 same")
		must(t, s.RecordAnswer(ctx, first))
		second := withDocument(b.answer(h), "%PDF-1.7 same")
		second.HandoverVersion = 2
		must(t, s.RecordAnswer(ctx, second))
		if first.Document.SHA256 != second.Document.SHA256 {
			t.Error("the same bytes have two hashes")
		}

		const many = 8
		id, results := models.NewID(), make(chan error, many)
		for range many {
			go func() {
				r := withDocument(b.answer(h), "%PDF-1.7 same")
				r.Answer.ID, r.HandoverVersion = id, 3
				results <- s.RecordAnswer(ctx, r)
			}()
		}
		kept := 0
		for range many {
			if err := <-results; err == nil {
				kept++
			} else {
				wantErr(t, err, models.ErrConflict)
			}
		}
		if kept != 1 {
			t.Errorf("%d of %d were kept, want 1", kept, many)
		}
	})
}
