package terminal

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/rivo/uniseg"
)

// cells is the number of terminal cells that a text takes.
func cells(text string) int { return uniseg.StringWidth(text) }

// wrap breaks a text at its spaces into lines of at most width cells. A word
// that is wider than a line is broken between the characters that a person
// sees. There is always a line, if an empty one.
func wrap(text string, width int) []string {
	var lines []string
	line := ""
	for _, word := range words(text) {
		if candidate := join(line, " ", word); cells(candidate) <= width {
			line = candidate
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		pieces := split(word, width)
		lines = append(lines, pieces[:len(pieces)-1]...)
		line = pieces[len(pieces)-1]
	}
	return append(lines, line)
}

// words splits at spaces, and keeps a number and its unit together.
func words(text string) []string {
	var out []string
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' }) {
		if n := len(out); n > 0 && endsInDigit(out[n-1]) && looksLikeUnit(word) {
			out[n-1] += " " + word
			continue
		}
		out = append(out, word)
	}
	return out
}

func endsInDigit(word string) bool {
	last := word[len(word)-1]
	return '0' <= last && last <= '9'
}

// looksLikeUnit is generous: a short word that stays with its number does no
// harm.
func looksLikeUnit(word string) bool {
	const longest = 5 // "mohm;"
	first, _ := utf8.DecodeRuneInString(word)
	return len(word) <= longest && (unicode.IsLetter(first) || first == '%')
}

// split breaks a word into pieces of at most width cells. A single character
// wider than that stays whole.
func split(word string, width int) []string {
	var pieces []string
	piece := ""
	for state := -1; word != ""; {
		var character string
		character, word, _, state = uniseg.FirstGraphemeClusterInString(word, state)
		if piece != "" && cells(piece+character) > width {
			pieces = append(pieces, piece)
			piece = ""
		}
		piece += character
	}
	return append(pieces, piece)
}

// hang sets in all lines but the first.
func hang(lines []string, by int) []string {
	for i := 1; i < len(lines); i++ {
		lines[i] = spaces(by) + lines[i]
	}
	return lines
}
