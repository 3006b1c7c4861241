package main

import (
	"bytes"
	"context"
	"log/slog"
	"sync/atomic"
	"testing"
	"time"

	"fairlead/models"
	"fairlead/models/modelstest"
)

// What expires is removed at the start and at each tick, and the loop ends with
// its context, not before.
func TestTidyUntilDone(t *testing.T) {
	var hours atomic.Int64
	store := modelstest.SQLiteAt(t, func() time.Time { return modelstest.Start.Add(time.Duration(hours.Load()) * time.Hour) })
	commit := func(token string, after time.Duration) {
		t.Helper()
		if err := store.Sessions().Commit(token, []byte("x"), modelstest.Start.Add(after)); err != nil {
			t.Fatal(err)
		}
	}
	commit("before the start", 0)
	commit("before the first tick", time.Hour)
	commit("after it", 3*time.Hour)

	var said bytes.Buffer
	log := slog.New(slog.NewTextHandler(&said, &slog.HandlerOptions{Level: slog.LevelDebug}))
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	ticks, ended := make(chan time.Time), make(chan struct{})
	go func() {
		defer close(ended)
		tidyUntilDone(ctx, store, ticks, log)
	}()
	ticks <- time.Time{} // taken when the start's round is done
	hours.Store(2)
	ticks <- time.Time{}
	ticks <- time.Time{} // taken when the round before it is done
	if got, err := store.Tidy(t.Context()); err != nil || got != (models.Tidied{}) {
		t.Errorf("left %+v to remove, %v; want nothing", got, err)
	}
	stop()
	<-ended
	if n := bytes.Count(said.Bytes(), []byte("sessions=1 ")); n != 2 {
		t.Errorf("%d rounds removed a session each, want 2:\n%s", n, said.String())
	}
	if bytes.Contains(said.Bytes(), []byte("level=ERROR")) {
		t.Errorf("the end was logged as a fault:\n%s", said.String())
	}
}

func TestTidyGoesOnAfterAFault(t *testing.T) {
	store := modelstest.SQLite(t)
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	var said bytes.Buffer
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	ticks, ended := make(chan time.Time), make(chan struct{})
	go func() {
		defer close(ended)
		tidyUntilDone(ctx, store, ticks, slog.New(slog.NewTextHandler(&said, nil)))
	}()
	ticks <- time.Time{}
	ticks <- time.Time{}
	stop()
	<-ended
	if n := bytes.Count(said.Bytes(), []byte("level=ERROR")); n < 2 {
		t.Errorf("%d faults logged, want 2 or 3:\n%s", n, said.String())
	}
}
