package models

import (
	"context"
	"fmt"
	"slices"

	"fairlead/analytics/quantity"
	"gorm.io/gorm/clause"
)

// Answering is an answer to a handover as it is recorded: what it says, the
// document that was attached, and what follows from it.
type Answering struct {
	Answer          *Answer   // HandoverID and all that somebody said are the caller's
	Document        *Document // MediaType and Content are the caller's; nil: none
	HandoverVersion int       // at which the handover was read
	Closings        []AnswerClosing
	AskAgainOn      quantity.Date // for the flags that stay open; empty: they await nothing more
}

// AnswerClosing closes a flag of the handover, read at Version, by the answer.
type AnswerClosing struct {
	FlagID  string
	Version int
	Reason  string
}

// RecordAnswer records an answer with all that follows from it, whole or not at
// all: the document under its hash, the answer, a step at each flag of the
// handover that is still open, and the closings. It fills in the answer and the
// document.
//
// ErrInvalid: a closing or a decision without a letter or its document, a closing without a
// reason or of a flag that is not in the handover; an empty document. ErrStale: the handover or a flag to be closed was changed
// meanwhile, or went to another prosthetist since. ErrConflict: an answer with this ID is there already.
func (s *Store) RecordAnswer(ctx context.Context, r Answering) error {
	if len(r.Closings) > 0 && (r.Document == nil || r.Answer.Means != ByLetter) {
		return fmt.Errorf("record answer: only a letter with its document closes a flag: %w", ErrInvalid)
	}
	if len(r.Answer.Decisions) > 0 && (r.Document == nil || r.Answer.Means != ByLetter) {
		return fmt.Errorf("record answer: only a letter with its document decides: %w", ErrInvalid)
	}
	if r.Document != nil && len(r.Document.Content) == 0 {
		return fmt.Errorf("record answer: an empty document: %w", ErrInvalid)
	}
	return fold("record answer", s.InTx(ctx, func(tx *Store) error {
		h, err := tx.HandoverByID(ctx, r.Answer.HandoverID)
		if err == nil {
			err = tx.keepDocument(ctx, r)
		}
		if err == nil {
			r.Answer.ID, r.Answer.RecordedAt = newIfEmpty(r.Answer.ID), s.clock()
			r.Answer.ClientID, r.Answer.LimbID = h.ClientID, h.LimbID
			err = tx.db.WithContext(ctx).Create(r.Answer).Error
		}
		if err == nil {
			err = tx.changeHandover(ctx, h.ID, r.HandoverVersion, map[string]any{"answered_at": r.Answer.RecordedAt, "ask_again_on": r.AskAgainOn})
		}
		if err == nil {
			err = tx.answerFlags(ctx, h, r)
		}
		return err
	}))
}

// keepDocument keeps the document of an answer, if it has one; the same bytes are
// kept once.
func (s *Store) keepDocument(ctx context.Context, r Answering) error {
	if r.Document == nil {
		r.Answer.DocumentSHA256, r.Answer.DocumentName = nil, ""
		return nil
	}
	r.Document.SHA256, r.Document.CreatedAt = r.Document.Hash(), s.clock()
	r.Answer.DocumentSHA256 = &r.Document.SHA256
	return s.db.WithContext(ctx).Clauses(clause.OnConflict{DoNothing: true}).Create(r.Document).Error
}

// answerFlags adds the answer to the flags of its handover that are open, closes
// those that it closes, and says of the others when to ask again.
func (s *Store) answerFlags(ctx context.Context, h Handover, r Answering) error {
	open, err := s.openFlags(ctx, "id IN ?", h.FlagIDs)
	for i := 0; err == nil && i < len(open); i++ {
		step := FlagStep{FlagID: open[i].ID, Kind: StepAnswered, MadeBy: r.Answer.RecordedBy, HandoverID: &h.ID, AnswerID: &r.Answer.ID}
		if stays(open[i], h, r) {
			step.AskAgainOn = r.AskAgainOn
		}
		err = s.AddFlagStep(ctx, &step, 0)
	}
	if err == nil {
		err = s.loadSteps(ctx, open)
	}
	for i := 0; err == nil && i < len(r.Closings); i++ {
		c := r.Closings[i]
		if slices.ContainsFunc(open, func(f Flag) bool { return f.ID == c.FlagID && f.LastHandover() != h.ID }) {
			return fmt.Errorf("a flag that was handed over to somebody else since: %w", ErrStale)
		}
		if c.Reason == "" || !slices.Contains(h.FlagIDs, c.FlagID) {
			return fmt.Errorf("a closing without a reason, or of a flag elsewhere: %w", ErrInvalid)
		}
		err = s.CloseFlag(ctx, c.FlagID, c.Version, Closing{By: r.Answer.RecordedBy, Reason: c.Reason, AnswerID: &r.Answer.ID})
	}
	if err != nil {
		return err
	}
	await := map[string]any{"handover_id": nil, "ask_again_on": ""}
	if r.AskAgainOn != "" {
		await = map[string]any{"handover_id": h.ID, "ask_again_on": r.AskAgainOn}
	}
	// a flag that went to another prosthetist since stays there
	return s.db.WithContext(ctx).Model(&Flag{}).
		Where("id IN ? AND closed_at IS NULL AND (handover_id IS NULL OR handover_id = ?)", h.FlagIDs, h.ID).
		UpdateColumns(await).Error
}

// stays tells whether an open flag of a handover awaits from it what an answer says
// of the others: it is not closed by the answer, and nobody else has it.
func stays(f Flag, h Handover, r Answering) bool {
	closed := slices.ContainsFunc(r.Closings, func(c AnswerClosing) bool { return c.FlagID == f.ID })
	return !closed && (f.HandoverID == nil || *f.HandoverID == h.ID)
}

// AnswersOf returns the answers of a client, the newest first.
func (s *Store) AnswersOf(ctx context.Context, clientID string) ([]Answer, error) {
	var answers []Answer
	err := s.db.WithContext(ctx).Where("client_id = ?", clientID).Order("recorded_at DESC, id DESC").Find(&answers).Error
	return answers, fold("answers of client", err)
}

// AnswerByID returns one answer, or ErrNotFound.
func (s *Store) AnswerByID(ctx context.Context, id string) (Answer, error) {
	var a Answer
	err := s.db.WithContext(ctx).Where("id = ?", id).Take(&a).Error
	return a, fold("answer by id", err)
}

// DocumentByHash returns the document with a SHA-256 in hexadecimal, or
// ErrNotFound.
func (s *Store) DocumentByHash(ctx context.Context, hash string) (Document, error) {
	var d Document
	err := s.db.WithContext(ctx).Where("sha256 = ?", hash).Take(&d).Error
	return d, fold("document by hash", err)
}
