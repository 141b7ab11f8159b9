package command

import (
	"fmt"
	"io"
	"strings"

	"kitgauge/checker/visible"
)

// page writes labelled, wrapped text. Each line is made visible as it stands, so
// that none of what it quotes steers a terminal or a CI job.
type page struct {
	w   io.Writer
	err error
}

const (
	pageWidth  = 84
	labelWidth = 15
)

func (p *page) line(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintln(p.w, visible.Harmless(strings.TrimRight(fmt.Sprintf(format, args...), " ")))
	}
}

// text writes lines of the program's own.
func (p *page) text(lines string) {
	for line := range strings.Lines(lines) {
		p.line("%s", strings.TrimSuffix(line, "\n"))
	}
}

// entry writes a label and its text, wrapped beside it.
func (p *page) entry(label, text string) {
	if len(label) >= labelWidth {
		p.line("  %s", label)
		label = ""
	}
	for _, line := range wrap(text, pageWidth-labelWidth-2) {
		p.line("  %-*s%s", labelWidth, label, line)
		label = ""
	}
}

func wrap(text string, width int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && len(line)+1+len(word) > width {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}
