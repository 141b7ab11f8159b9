package units

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Misspelt is the error of a value of which it is certain how it is meant.
type Misspelt struct {
	message string
	Meant   string // the value as it is written right
}

// Error says what is wrong, and what would be right.
func (m *Misspelt) Error() string { return m.message }

// tried is the error with what is meant once that is read, with more put right where more is wrong with it; a value
// that cannot be read then is left, and what is wrong with it is told.
func (m *Misspelt) tried(want Dimension, more int) error {
	_, err := parse(m.Meant, want)
	next, is := err.(*Misspelt)
	switch {
	case err == nil:
		return m
	case is && more > 0:
		if next, is = next.tried(want, more-1).(*Misspelt); is {
			return &Misspelt{m.message, next.Meant}
		}
	}
	return errors.New(m.message)
}

// misspelt is an error whose last word is how the value is meant.
func misspelt(says, meant string) error {
	return &Misspelt{says + ": write " + shown(meant), meant}
}

// takes says what a dimension accepts: "a length takes mm, cm, m, in, ft".
func takes(d Dimension) string {
	if list := usual(d); list != "" {
		return d.Phrase() + " takes " + list
	}
	return d.Phrase() + " has no unit of its own here"
}

// usual lists the five most usual units of a dimension.
func usual(d Dimension) string {
	symbols := Accepted(d)
	list := strings.Join(symbols[:min(len(symbols), 5)], ", ")
	if d == Plain {
		return "no unit, or " + list
	}
	return list
}

// quoted puts quotation marks round a piece of the file.
func quoted(text string) string {
	text = shown(text)
	if strings.Contains(text, `"`) {
		return "'" + text + "'"
	}
	return `"` + text + `"`
}

// shown replaces what would upset a terminal or break the line.
func shown(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case !unicode.IsPrint(r):
			return utf8.RuneError
		}
		return r
	}, text)
}

// beginning returns the first characters of a text that is too long to repeat.
func beginning(text string) string {
	cut := 20
	for !utf8.RuneStart(text[cut]) && cut > 16 {
		cut--
	}
	return text[:cut]
}

func missingNumber(text string, want Dimension) error {
	if r := foreignDigit(strings.TrimLeft(text, "+-")); r != 0 {
		return fmt.Errorf("%s has the sign %s: write numbers with the digits 0 to 9", quoted(text), quoted(string(r)))
	}
	if strings.HasPrefix(text, "−") || strings.HasPrefix(text, "–") {
		return fmt.Errorf("%s begins with a dash: write a minus sign as -", quoted(text))
	}
	if find(text) != nil {
		return fmt.Errorf("%s has no number before the unit", quoted(text))
	}
	return fmt.Errorf("%s does not begin with a number: %s", quoted(text), takes(want))
}

// foreignDigit returns the first character of text when it is a digit or a fraction of another script or set.
func foreignDigit(text string) rune {
	r, _ := utf8.DecodeRuneInString(text)
	if r >= utf8.RuneSelf && unicode.IsNumber(r) {
		return r
	}
	return 0
}

func wrongUnit(text string, e *entry, want Dimension) error {
	if e.symbol == "" {
		return fmt.Errorf("%s has no unit: %s", quoted(text), takes(want))
	}
	list := usual(want)
	if list != "" {
		list = ": " + list
	}
	return fmt.Errorf("%s is %s; %s is needed%s", quoted(text), e.dim.Phrase(), want.Phrase(), list)
}

// faultyNumber explains what follows the part of text that reads as a number and is not the start of a unit; nil
// when it may be one.
func faultyNumber(text, rest string, want Dimension) error {
	rest = strings.TrimSpace(rest)
	if err := feetFault(text, rest, want); err != nil {
		return err
	}
	if r := foreignDigit(rest); r != 0 {
		return fmt.Errorf("%s has the sign %s: write numbers with the digits 0 to 9", quoted(text), quoted(string(r)))
	}
	digitFollows := len(rest) > 1 && isDigit(rest[1])
	switch c := rest[0]; {
	case c == ',' && digitFollows:
		return commaFault(text)
	case c == '.':
		return fmt.Errorf("%s has a misplaced decimal point", quoted(text))
	case (c == '\'' || c == '_') && digitFollows:
		return separatorFault(text, rest)
	case c == '/' && digitFollows:
		return fmt.Errorf("%s has an unreadable fraction: write whole numbers of at most %d digits, such as 3/8",
			quoted(text), longestPart)
	case (c == '-' || c == '+') && digitFollows:
		return fmt.Errorf("%s has two numbers: write one, such as 1.5 or 1 1/2", quoted(text))
	case isDigit(c):
		return gapFault(text, rest)
	}
	return nil
}

// TwoWays reports whether a text begins with a number that can be read two ways, a thousand times apart: with one
// separator, one to three digits before it, the first no nought, and three behind it.
func TwoWays(text string, separator byte) bool {
	text = strings.TrimLeft(strings.TrimSpace(text), "+-")
	whole, rest, _ := strings.Cut(text, string(separator))
	if skipDigits(whole, 0) != len(whole) || !leads(whole) || skipDigits(rest, 0) != 3 {
		return false
	}
	rest = strings.TrimLeft(rest[3:], " \t")
	return rest == "" || rest[0] != '.' && rest[0] != ',' && !isDigit(rest[0])
}

// leads reports whether digits can stand before the first separator of thousands.
func leads(digits string) bool { return len(digits) >= 1 && len(digits) <= 3 && digits[0] != '0' }

// grouped reports whether digits are in groups of thousands, each behind one separator.
func grouped(digits string, separator byte) bool {
	groups := strings.Split(digits, string(separator))
	for _, g := range groups[1:] {
		if len(g) != 3 || skipDigits(g, 0) != 3 {
			return false
		}
	}
	return len(groups) > 1 && leads(groups[0]) && skipDigits(groups[0], 0) == len(groups[0])
}

// separatorFault explains an apostrophe or a low line between digits: in groups of three they part thousands, unless
// the unit is of those that an apostrophe goes with.
func separatorFault(text, rest string) error {
	start := len(text) - len(strings.TrimLeft(text, "+-"))
	end := start
	for end < len(text) && (isDigit(text[end]) || text[end] == rest[0]) {
		end++
	}
	unit := strings.TrimLeft(strings.TrimLeft(text[end:], ".0123456789"), " \t")
	feet := rest[0] == '\'' && (isInch(unit) || strings.HasPrefix(unit, "ft"))
	if feet || !grouped(text[start:end], rest[0]) || strings.ContainsAny(text[end:], "'_") {
		return fmt.Errorf("%s has the sign %s in its number: write one number, with a point where its decimals begin", quoted(text), quoted(rest[:1]))
	}
	return misspelt(quoted(text)+" has a thousands separator", text[:start]+strings.ReplaceAll(text[start:end], rest[:1], "")+text[end:])
}

// gapFault explains a second number after a space.
func gapFault(text, rest string) error {
	before := strings.TrimRightFunc(strings.TrimSuffix(text, rest), unicode.IsSpace)
	whole := strings.TrimLeft(before, "+-")
	joined := closeUp(rest)
	if skipDigits(whole, 0) == len(whole) && leads(whole) && skipDigits(rest, 0) == 3 && skipDigits(joined, 0)%3 == 0 {
		return misspelt(quoted(text)+" has a space inside the number", before+joined)
	}
	return fmt.Errorf("%s has two numbers: write one, such as 1.5 or 1 1/2", quoted(text))
}

// closeUp removes the spaces between groups of digits at the start of text: "000 000 mm" gives "000000 mm".
func closeUp(text string) string {
	end := skipDigits(text, 0)
	rest := strings.TrimLeftFunc(text[end:], unicode.IsSpace)
	if rest != "" && len(rest) < len(text)-end && isDigit(rest[0]) && !strings.Contains(rest, "/") {
		return text[:end] + closeUp(rest)
	}
	return text
}

// commaFault explains a comma in the number. A single comma with three digits behind it can be read two ways, and
// the difference is a factor of a thousand: then both are shown.
func commaFault(text string) error {
	start := len(text) - len(strings.TrimLeft(text, "+-"))
	end := start
	for end < len(text) && (isDigit(text[end]) || text[end] == '.' || text[end] == ',') {
		end++
	}
	digits := strings.TrimRight(text[start:end], ".,")
	comma, point := strings.LastIndexByte(digits, ','), strings.LastIndexByte(digits, '.')
	if comma < 0 {
		return fmt.Errorf("%s has a comma in its number", quoted(text))
	}
	with := func(digits string) string { return text[:start] + digits + text[end:] }
	joined := with(strings.ReplaceAll(digits, ",", ""))
	decimal := with(strings.NewReplacer(".", "", ",", "").Replace(digits[:comma]) + "." + digits[comma+1:])
	group := comma <= 3 && digits[0] != '0' && point < 0 && len(digits)-comma == 4
	commas := strings.Count(digits, ",")
	switch thousands, _, _ := strings.Cut(digits, "."); {
	case commas > 1 && point >= 0 && point < comma, (commas > 1 || comma < point) && !grouped(thousands, ','),
		strings.Count(digits, ".") > 1 && comma < point,
		commas == 1 && point >= 0 && point < comma && !grouped(digits[:comma], '.'):
		return fmt.Errorf("%s has commas that are neither decimal nor between thousands: write one number, such as 1234.5", quoted(text))
	case comma < point || commas > 1:
		return misspelt(quoted(text)+" has a thousands separator", joined)
	case group:
		return fmt.Errorf("%s has a comma that can be read two ways: write %s or %s", quoted(text), shown(joined), shown(decimal))
	}
	return misspelt(quoted(text)+" has a decimal comma", decimal)
}
