// Package visible makes text visible that comes from files which nobody vouches
// for: what is printed then shows all that it holds, and steers nothing.
package visible

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Text returns the text with every character that steers a terminal or a
// browser instead of showing something written as YAML escapes it: control
// characters (ESC as \x1b, a line break as \n), marks that turn the direction
// of writing or are invisible (\u202e), and bytes that are not UTF-8 (\xff).
// What a kit file says can then neither move the cursor nor reorder a line.
func Text(text string) string {
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
	switch {
	case r < unicode.MaxASCII:
		return r < ' '
	case r == nonJoiner || r == joiner:
		return false
	case isBlank(r):
		return true
	case unicode.IsPrint(r):
		return false
	}
	return !unicode.Is(unicode.Zs, r) // spaces other than the ASCII one
}

// isBlank tells the characters that count as letters, marks or symbols and show
// nothing: those that Unicode has a renderer ignore (DerivedCoreProperties,
// Default_Ignorable_Code_Point), the Braille pattern without a dot, and the note
// without a head.
func isBlank(r rune) bool {
	return r == '\u2800' || r == '\U0001d159' || unicode.In(r, unicode.Other_Default_Ignorable_Code_Point, unicode.Variation_Selector)
}

// Harmless is [Text] for a line of a log that the runner of a CI job may
// read: the line neither is a command of such a job nor holds one.
func Harmless(line string) string { return NoCommand(Text(line)) }

// NoCommand breaks the signs by which such a runner knows a command: two colons
// where a line begins, and an older one anywhere in it.
func NoCommand(line string) string {
	line = strings.ReplaceAll(line, "##[", `#\x23[`)
	if text := strings.TrimLeftFunc(line, unicode.IsSpace); strings.HasPrefix(text, "::") {
		return line[:len(line)-len(text)] + `\x3a` + text[1:]
	}
	return line
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
