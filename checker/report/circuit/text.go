package circuit

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"kitgauge/checker/report"
	"kitgauge/checker/report/drawing"
)

// The heights of letters, and of a row of text [mm].
const (
	letters  = drawing.Lettering
	title    = 3.6
	step     = 3.3
	rise     = 0.94 * letters // of a row above its base line
	fall     = 0.24 * letters // and below it
	notKnown = "not stated"
)

// most is how many characters of a text are shown: names and labels have fewer.
const most = 200

// clean makes a text of the kit fit to be shown, and says what it leaves out of
// one that is longer than any name.
func clean(text string) string { return cleanTo(text, most) }

func cleanTo(text string, most int) string {
	text = strings.TrimSpace(report.Visible(text))
	n := utf8.RuneCountInString(text)
	if n <= most {
		return text
	}
	return fmt.Sprintf("%s… (and %d more characters)", string([]rune(text)[:most]), n-most)
}

// wrap breaks a text into rows of a width. A word that is wider is broken too:
// nothing is left out.
func wrap(text string, room float64, bold bool) []string {
	var rows []string
	row := ""
	for _, word := range strings.Fields(text) {
		if row != "" && wide(row+" "+word, bold) <= room {
			row += " " + word
			continue
		}
		if row != "" {
			rows = append(rows, row)
		}
		for row = word; wide(row, bold) > room; {
			n := fitting(row, room, bold)
			rows = append(rows, row[:n])
			row = row[n:]
		}
	}
	if row != "" {
		rows = append(rows, row)
	}
	return rows
}

// fitting is how many bytes of a word a room holds: one character at least.
func fitting(word string, room float64, bold bool) int {
	n := 0
	for i, r := range word {
		next := i + utf8.RuneLen(r)
		if n > 0 && wide(word[:next], bold) > room {
			break
		}
		n = next
	}
	return n
}

func wide(text string, bold bool) float64 { return drawing.TextWidth(text, letters, bold) }

// or is a text, or that it is not stated.
func or(text string) string {
	if text == "" {
		return notKnown
	}
	return text
}

// joined joins what is not empty.
func joined(separator string, parts ...string) string {
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	return strings.Join(out, separator)
}
