package drawing

import (
	"strings"

	"kitgauge/checker/report"
)

// capitals is the height of capital letters as a share of the size of the
// font: the least of the faces that the style names (measured: Liberation Sans
// 0.688, Arial 0.716, DejaVu Sans 0.729).
const capitals = 0.688

// Letter sizes [mm] whose capitals measure 1.8, 2.5 and 3.5 mm, the first
// three lettering heights of ISO 3098 (from memory). Nothing is smaller.
const (
	small = 2.62
	plain = 3.64
	large = 5.09
)

// The height of a line of text above and below its base line, in letter
// heights.
const (
	above = 0.94
	below = 0.24
)

// advances are the widths of the printable ASCII characters in hundredths of
// the letter height: of each the wider of two sans-serif faces in common use,
// so that text is seldom wider than it is taken to be (measured, DejaVu Sans
// and Liberation Sans).
var advances = [...]uint8{
	32, 41, 46, 84, 64, 96, 78, 28, 40, 40, 50, 84, 32, 37, 32, 34, // to /
	64, 64, 64, 64, 64, 64, 64, 64, 64, 64, 34, 34, 84, 84, 84, 56, // to ?
	102, 69, 69, 73, 78, 67, 62, 78, 76, 30, 50, 67, 56, 87, 75, 79, // to O
	67, 79, 73, 67, 62, 74, 69, 99, 69, 67, 69, 40, 34, 40, 84, 56, // to _
	50, 62, 64, 55, 64, 62, 36, 64, 64, 28, 28, 58, 28, 98, 64, 62, // to o
	64, 64, 42, 53, 40, 64, 60, 82, 60, 60, 53, 64, 34, 64, 84, // to ~
}

// advance is the width of one character at height 1.
func advance(r rune, bold bool) float64 {
	w := 1.45
	switch {
	case r >= ' ' && int(r-' ') < len(advances):
		w = float64(advances[r-' ']) / 100
	case r < 0x180:
		w = 1.05
	case r < 0x2200 && r >= 0x2010:
		w = 1
	}
	if bold {
		w = 1.1*w + 0.05
	}
	return w
}

// width is the most that a text takes at a letter height.
func width(text string, height float64, bold bool) float64 {
	w := 0.0
	for _, r := range text {
		w += advance(r, bold)
	}
	return w * height
}

// shown makes the text of a kit file fit to be shown.
func shown(text string) string { return strings.TrimSpace(report.Visible(text)) }

// fit cuts a text to a width, with an ellipsis where something is missing.
func fit(text string, height, room float64, bold bool) string {
	if width(text, height, bold) <= room {
		return text
	}
	w := advance('…', bold) * height
	for i, r := range text {
		w += advance(r, bold) * height
		if w > room {
			return strings.TrimRight(text[:i], " ") + "…"
		}
	}
	return text
}

// wrap breaks a text into lines of a width. What does not fit on the last
// line is cut.
func wrap(text string, height, room float64, bold bool, lines int) []string {
	var out []string
	line := ""
	words := strings.Fields(text)
	for i, word := range words {
		longer := strings.TrimSpace(line + " " + word)
		if line == "" || width(longer, height, bold) <= room {
			line = longer
			continue
		}
		if len(out) == lines-1 {
			return append(out, fit(line+" "+strings.Join(words[i:], " "), height, room, bold))
		}
		out = append(out, fit(line, height, room, bold))
		line = word
	}
	return append(out, fit(line, height, room, bold))
}

// wrapWords breaks a text into as many lines of a width as it takes. A word
// that is wider is broken as well.
func wrapWords(text string, height, room float64, bold bool) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(text) {
		for {
			longer := strings.TrimSpace(line + " " + word)
			if width(longer, height, bold) <= room {
				line = longer
				break
			}
			if line != "" {
				out, line = append(out, line), ""
				continue
			}
			n := fitting(word, height, room, bold)
			if n == len(word) {
				line = word
				break
			}
			out, word = append(out, word[:n]), word[n:]
		}
	}
	return append(out, line)
}

// fitting is how many bytes of a word have room: at least one character.
func fitting(word string, height, room float64, bold bool) int {
	w := 0.0
	for i, r := range word {
		if w += advance(r, bold) * height; w > room && i > 0 {
			return i
		}
	}
	return len(word)
}
