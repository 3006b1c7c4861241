package main

import (
	"io"
	"os"
	"sync"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
)

// progress is a bar on the terminal; nothing where standard error is not one, so
// that no file of messages fills with it.
type progress struct {
	mu  sync.Mutex
	bar *progressbar.ProgressBar // nil without a terminal
	so  int
}

func newProgress(to io.Writer) *progress {
	f, ok := to.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return &progress{}
	}
	return &progress{bar: progressbar.NewOptions(1,
		progressbar.OptionSetWriter(f),
		progressbar.OptionSetWidth(40),
		progressbar.OptionThrottle(100*time.Millisecond),
		progressbar.OptionSetPredictTime(true),
		progressbar.OptionClearOnFinish(),
	)}
}

// tell shows how far it has come; it may be called from anywhere.
func (p *progress) tell(done, total int) {
	if p.bar == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if done <= p.so {
		return // an earlier one that comes late
	}
	p.so = done
	p.bar.ChangeMax(total)
	_ = p.bar.Set(done) // a terminal that can't be written to shows no bar
}

// clear takes the bar away.
func (p *progress) clear() {
	if p.bar != nil {
		_ = p.bar.Clear() // the same
	}
}
