package report

import (
	"fmt"
	"io"
	"os"
	"sync"

	"golang.org/x/term"
)

// Progress shows one passing line on a terminal, and nothing elsewhere.
type Progress struct {
	w    io.Writer
	mu   sync.Mutex
	last string // what is shown now
}

// NewProgress shows progress on w, if that is a terminal.
func NewProgress(w io.Writer) *Progress {
	if f, ok := w.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		return &Progress{w: w}
	}
	return &Progress{w: io.Discard}
}

// Say shows a line in the place of the last one.
func (p *Progress) Say(format string, args ...any) {
	p.mu.Lock()
	defer p.mu.Unlock()
	line := fmt.Sprintf(format, args...)
	if line != p.last {
		p.last = line
		fmt.Fprint(p.w, "\r\x1b[K", line)
	}
}

// Clear takes the line away.
func (p *Progress) Clear() { p.Say("") }
