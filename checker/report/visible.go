package report

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Visible returns the text with every character that steers a terminal or a
// browser instead of showing something written as YAML escapes it: control
// characters (ESC as \x1b, a line break as \n), marks that turn the direction
// of writing or are invisible (\u202e), and bytes that are not UTF-8 (\xff).
// What a kit file says can then neither move the cursor nor reorder a line.
func Visible(text string) string {
	if strings.IndexFunc(text, Unseen) < 0 && utf8.ValidString(text) {
		return text
	}
	var b strings.Builder
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRuneInString(text[i:])
		switch {
		case r == utf8.RuneError && size == 1:
			fmt.Fprintf(&b, `\x%02x`, text[i])
		case Unseen(r):
			b.WriteString(escape(r))
		default:
			b.WriteRune(r)
		}
		i += size
	}
	return b.String()
}

// Unseen reports whether a character must not be written raw. The two joiners
// that several scripts need to be spelt right are let through.
func Unseen(r rune) bool {
	const nonJoiner, joiner = '\u200c', '\u200d'
	if unicode.IsPrint(r) || r == nonJoiner || r == joiner {
		return false
	}
	return !unicode.Is(unicode.Zs, r) // spaces other than the ASCII one
}

func escape(r rune) string {
	switch {
	case r == '\n':
		return `\n`
	case r == '\r':
		return `\r`
	case r == '\t':
		return `\t`
	case r < 0x80:
		return fmt.Sprintf(`\x%02x`, r)
	case r < 0x10000:
		return fmt.Sprintf(`\u%04x`, r)
	}
	return fmt.Sprintf(`\U%08x`, r)
}
