package main

import (
	"fmt"
	"io"
	"os"
	"sync"

	"golang.org/x/term"
)

// progress shows one passing line on a terminal, and nothing elsewhere.
type progress struct {
	w    io.Writer
	mu   sync.Mutex
	last string // what is shown now
}

func newProgress(w io.Writer) *progress {
	if f, ok := w.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		return &progress{w: w}
	}
	return &progress{w: io.Discard}
}

func (p *progress) say(format string, args ...any) {
	p.mu.Lock()
	defer p.mu.Unlock()
	line := fmt.Sprintf(format, args...)
	if line != p.last {
		p.last = line
		fmt.Fprint(p.w, "\r\x1b[K", line)
	}
}

func (p *progress) clear() { p.say("") }
