package command

import (
	"fmt"
	"io"
	"os"
	"strings"

	"kitgauge/checker/report"
	"kitgauge/checker/visible"
)

// standardErr is standard error. All that is written there is made visible, and
// no line of it starts a command of a CI job, so that no message need look at
// what it quotes. A line break that a message quotes is for [say].
type standardErr struct{ w io.Writer }

// Write implements io.Writer.
func (e *standardErr) Write(p []byte) (int, error) {
	var text strings.Builder
	for line := range strings.Lines(string(p)) {
		shown, ended := strings.CutSuffix(line, "\n")
		text.WriteString(visible.Harmless(shown))
		if ended {
			text.WriteByte('\n')
		}
	}
	if _, err := io.WriteString(e.w, text.String()); err != nil {
		return 0, err
	}
	return len(p), nil
}

// say writes one line of standard error, whatever it quotes.
func say(w io.Writer, format string, args ...any) {
	fmt.Fprintf(w, "kitgauge: %s\n", report.Visible(fmt.Sprintf(format, args...)))
}

// file is the file behind a stream of the program; nil where it is none.
func file(w io.Writer) *os.File {
	switch out := w.(type) {
	case *standardOut:
		return file(out.w)
	case *standardErr:
		return file(out.w)
	case *os.File:
		return out
	}
	return nil
}
