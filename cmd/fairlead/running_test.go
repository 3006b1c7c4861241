package main

import (
	"bufio"
	"context"
	"io"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"
)

// running is the real program, running in this process.
type running struct {
	t      *testing.T
	stop   context.CancelFunc
	lines  chan string
	status chan int
}

// start runs the program with the given arguments.
func start(t *testing.T, args ...string) *running {
	t.Helper()
	ctx, stop := context.WithCancel(context.Background())
	out, in := io.Pipe()
	p := &running{t: t, stop: stop, lines: make(chan string, 1000), status: make(chan int, 1)}
	go func() {
		status := run(ctx, args, streams{in: strings.NewReader(""), out: in, err: in})
		_ = in.Close()
		p.status <- status
	}()
	go func() {
		defer close(p.lines)
		scanner := bufio.NewScanner(out)
		for scanner.Scan() {
			p.lines <- scanner.Text()
		}
	}()
	t.Cleanup(stop)
	return p
}

// says waits for a line of output that fits and returns its first group.
func (p *running) says(pattern string) string {
	p.t.Helper()
	fits := regexp.MustCompile(pattern)
	timeout := time.After(60 * time.Second)
	var heard []string
	for {
		select {
		case line, open := <-p.lines:
			if !open {
				p.t.Fatalf("the program ended without saying %s; it said:\n%s", pattern, strings.Join(heard, "\n"))
			}
			heard = append(heard, line)
			if m := fits.FindStringSubmatch(line); m != nil {
				return m[len(m)-1]
			}
		case <-timeout:
			p.t.Fatalf("the program did not say %s; it said:\n%s", pattern, strings.Join(heard, "\n"))
		}
	}
}

// ends asks the program to stop and fails the test unless it ends well and has
// logged no error since it was last listened to.
func (p *running) ends() {
	p.t.Helper()
	p.stop()
	for line := range p.lines {
		if strings.Contains(line, "level=ERROR") {
			p.t.Errorf("the program logged %s", line)
		}
	}
	if status := <-p.status; status != exitDone {
		p.t.Errorf("the program ended with status %d, want 0", status)
	}
}

// splitAddress takes an address apart into where the program is and the path.
func splitAddress(t *testing.T, address string) (base, path string) {
	t.Helper()
	u, err := url.Parse(address)
	if err != nil {
		t.Fatal(err)
	}
	return u.Scheme + "://" + u.Host, u.Path
}
