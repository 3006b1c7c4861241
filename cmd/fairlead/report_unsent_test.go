package main

import (
	"database/sql"
	"path/filepath"
	"testing"
	"time"

	_ "modernc.org/sqlite"
)

// TestUnsentSafetyAnswerIsTold: a client ticks a sign and puts the phone away. After a
// quarter of an hour, which passes in the record, it stands in Today until somebody
// has called.
func TestUnsentSafetyAnswerIsTold(t *testing.T) {
	folder := t.TempDir()
	p := start(t, "demo", "--data", folder, "--addr", "127.0.0.1:0", "--log-level", "error")
	base := p.says(`(http://127\.0\.0\.1:\d+)`)
	h := house{running: p, link: p.says(`(/r/\S+)`), door: newVisitor(t, base)}
	axe := axeSource(t)
	fitter := h.comes("fitter")
	phone := h.door.somebodyElse().onPhone()
	phone.visit(h.link)
	phone.tapOn("Start")
	phone.tap("You", "Open, bleeding or blistered skin")
	phone.tapOn("Continue")
	phone.onStep("now")
	fitter.open("/today")
	fitter.lacks("has not sent it")

	record, err := sql.Open("sqlite", filepath.Join(folder, databaseFile)+"?_pragma=busy_timeout(5000)")
	if err != nil {
		t.Fatal(err)
	}
	defer record.Close()
	changed, err := record.Exec("UPDATE report_drafts SET told_at = ? WHERE told_at IS NOT NULL", time.Now().UTC().Add(-20*time.Minute))
	if err != nil {
		t.Fatal(err)
	}
	if n, err := changed.RowsAffected(); n != 1 || err != nil {
		t.Fatalf("%d drafts with a sign (%v), want 1", n, err)
	}
	fitter.open("/today")
	fitter.sees("I have called", "has not sent it: phone them. Ticked: open or bleeding skin.")
	fitter.everyScreen(axe, "today-unsent")
	fitter.submit("I have called")
	fitter.open("/today")
	fitter.lacks("I have called")
	h.ends()
}
