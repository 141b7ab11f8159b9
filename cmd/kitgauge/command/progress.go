package command

import (
	"fmt"
	"io"
	"sync"

	"kitgauge/checker/report"
)

// progress is a line on the terminal that says how far a long run has come.
// It is shown only on a terminal and only for many kits, and is wiped before
// anything else is printed. It is safe for use by several goroutines.
type progress struct {
	mu       sync.Mutex
	w        io.Writer // nil where nothing is shown
	finished int
	total    int
}

// many is the number of kits from which progress is shown.
const many = 8

func newProgress(w io.Writer, total int) *progress {
	if _, is := screen(w); !is || total < many {
		return &progress{}
	}
	return &progress{w: file(w), total: total} // which it steers
}

// done counts a kit and names it.
func (p *progress) done(file string) {
	if p.w == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.finished++
	width, _ := screen(p.w)
	line := []rune(fmt.Sprintf("checked %d of %d: %s", p.finished, p.total, report.Visible(file)))
	if len(line) > width-1 {
		line = line[:max(width-1, 0)]
	}
	fmt.Fprintf(p.w, "\r\x1b[K%s", string(line))
}

func (p *progress) clear() {
	if p.w != nil && p.finished > 0 {
		fmt.Fprint(p.w, "\r\x1b[K")
	}
}

// watched does something for so many files, and shows on a terminal how far it
// has come; do calls done after each.
func watched(s Streams, total int, do func(done func(file string)) error) error {
	p := newProgress(s.Err, total)
	defer s.during.onEnd(p.clear)()
	defer p.clear()
	return do(p.done)
}
