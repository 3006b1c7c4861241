package main

import (
	"context"
	"log/slog"
	"time"

	"fairlead/models"
)

// tidyEvery is how often what has expired is removed, and tidyWithin how long
// that may take.
const (
	tidyEvery  = time.Hour
	tidyWithin = 10 * time.Second
)

// tidyUntilDone removes what has expired from the store at once and at each
// tick, until ctx ends. A fault is logged and tried again at the next tick.
func tidyUntilDone(ctx context.Context, store *models.Store, ticks <-chan time.Time, log *slog.Logger) {
	for ctx.Err() == nil {
		tidyOnce(ctx, store, log)
		select {
		case <-ctx.Done():
		case <-ticks:
		}
	}
}

// tidyOnce finishes what it began when ctx ends: a statement that is broken off
// would be logged as a fault.
func tidyOnce(ctx context.Context, store *models.Store, log *slog.Logger) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), tidyWithin)
	defer cancel()
	removed, err := store.Tidy(ctx)
	if err != nil {
		log.Error("tidy", "error", err)
		return
	}
	log.Debug("tidied", "sessions", removed.Sessions, "links", removed.Links, "sign-in-failures", removed.SignInFailures,
		"report-drafts", removed.ReportDrafts)
}
