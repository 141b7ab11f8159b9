package terminal

import (
	"io"
	"strconv"
	"strings"

	"kitgauge/checker/report"
	"kitgauge/checker/visible"
)

// The margin is the column of names with the gap behind it.
const (
	nameWidth = 8
	margin    = nameWidth + 2
)

// sheet gathers the lines of the output.
type sheet struct {
	text    strings.Builder
	width   int
	working bool
	unfold  bool
	palette *palette
}

// write writes what was gathered. No line of it is a command to a CI job.
func (s *sheet) write(w io.Writer) error {
	var text strings.Builder
	for line := range strings.Lines(s.text.String()) {
		text.WriteString(visible.NoCommand(line))
	}
	_, err := io.WriteString(w, text.String())
	return err
}

func (s *sheet) blank() { s.text.WriteByte('\n') }

func (s *sheet) dashes() { s.line(s.palette.label, strings.Repeat("-", min(s.width, usualWidth))) }

// line writes one line; spaces in front stay outside of the colour.
func (s *sheet) line(of style, text string) {
	text = strings.TrimRight(text, " ")
	inner := strings.TrimLeft(text, " ")
	s.text.WriteString(text[:len(text)-len(inner)])
	s.text.WriteString(of.paint(inner))
	s.text.WriteByte('\n')
}

// paragraph writes text from the left edge, nothing where it is empty.
func (s *sheet) paragraph(of style, text string) {
	if strings.Trim(text, " ") == "" {
		return
	}
	const set = 2
	for _, line := range hang(wrap(report.Visible(text), s.width-set), set) {
		s.line(of, line)
	}
}

// row writes a name with the text that belongs to it, nothing where it is
// empty.
func (s *sheet) row(name string, of style, text string) {
	if strings.Trim(text, " ") != "" {
		s.rows(name, of, wrap(report.Visible(text), s.width-margin))
	}
}

// rows writes a name with lines that keep to the width already.
func (s *sheet) rows(name string, of style, lines []string) {
	s.name(name, s.palette.label)
	for i, line := range lines {
		if i > 0 {
			s.text.WriteString(spaces(margin))
		}
		s.line(of, line)
	}
}

// name writes into the column of names, at its right edge.
func (s *sheet) name(name string, of style) {
	s.text.WriteString(spaces(nameWidth - len(name)))
	s.text.WriteString(of.paint(name))
	s.text.WriteString(spaces(margin - max(len(name), nameWidth)))
}

// stamp writes into the column of names, at its left edge, where a finding
// begins.
func (s *sheet) stamp(word string, of style) {
	s.text.WriteString(of.paint(word))
	s.text.WriteString(spaces(margin - len(word)))
}

// field is a short text that stands beside others.
type field struct {
	text  string
	style style
	whole bool // not to be broken, even where it is too wide
}

// fields writes as many fields beside each other as fit, behind a name that
// stands already.
func (s *sheet) fields(list ...field) {
	const gap = 2
	width, used := s.width-margin, -1 // nothing stands there yet
	for _, f := range list {
		text := strings.Trim(report.Visible(f.text), " ")
		if text == "" {
			continue
		}
		wide := cells(text)
		if used >= 0 && used+gap+wide <= width {
			s.text.WriteString(spaces(gap))
			s.text.WriteString(f.style.paint(text))
			used += gap + wide
			continue
		}
		lines := []string{text}
		if !f.whole {
			lines = wrap(text, width)
		}
		for _, line := range lines {
			if used >= 0 {
				s.text.WriteString("\n" + spaces(margin))
			}
			s.text.WriteString(f.style.paint(line))
			used = cells(line)
		}
	}
	s.blank()
}

func number(n int) string { return strconv.Itoa(n) }

func spaces(n int) string { return strings.Repeat(" ", max(n, 0)) }

// join puts the separator between two texts that are not empty.
func join(a, separator, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + separator + b
}
