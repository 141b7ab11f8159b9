package command

import (
	"fmt"
	"io"
)

// progress is a line on the terminal that says how far a long run has come.
// It is shown only on a terminal and only for many kits, and is wiped before
// anything else is printed.
type progress struct {
	w     io.Writer
	total int
	shown bool
}

// many is the number of kits from which progress is shown.
const many = 8

func newProgress(w io.Writer, total int) *progress {
	if _, is := screen(w); !is || total < many {
		return &progress{}
	}
	return &progress{w: w, total: total}
}

func (p *progress) show(done int, file string) {
	if p.w == nil {
		return
	}
	width, _ := screen(p.w)
	line := fmt.Sprintf("checking %d of %d: %s", done+1, p.total, file)
	if len(line) > width-1 {
		line = line[:max(width-1, 0)]
	}
	fmt.Fprintf(p.w, "\r\x1b[K%s", line)
	p.shown = true
}

func (p *progress) clear() {
	if p.shown {
		fmt.Fprint(p.w, "\r\x1b[K")
	}
}
