package units

import (
	"regexp"
	"strings"
)

// The pieces of a pattern. They mean the same to Go's regular expressions and to those of ECMA-262, which a JSON
// Schema uses, so that no class depends on what either takes for a space.
const (
	spaces   = "\\t-\\r \u0085\u00a0\u1680\u2000-\u200a\u2028\u2029\u202f\u205f\u3000" // as unicode.IsSpace has them
	anySpace = "[" + spaces + "]*"
	points   = "[.·⋅" + spaces + "]" // what may stand between factors, and behind a unit

	fraction = `[0-9]{1,7}(?: +[0-9]{1,7})?/[0-9]{1,7}` // longestPart digits in each part
	decimal  = `(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?`
)

// Pattern is a regular expression of the texts that [Parse] reads with one of some units, for a JSON Schema. It
// knows how a value is written, and nothing of how large it is: a value out of range, a division by zero, a mixed
// number whose fraction is one or more, and a text that is too long fit it.
func Pattern(takes func(Unit) bool) string {
	var plain, first []string // units, and those that begin with a digit
	none := ""
	for i := range table {
		e := &table[i]
		if !takes(e.unit()) {
			continue
		}
		for _, symbol := range append([]string{e.symbol}, e.otherwise...) {
			switch {
			case symbol == "":
				none = "?"
			case isDigit(symbol[0]): // read as it stands alone: a digit behind a number is a slip otherwise
				first = append(first, regexp.QuoteMeta(symbol))
			default:
				plain = append(plain, spelt(symbol))
			}
		}
	}
	unit := anySpace + "(?:" + strings.Join(plain, "|") + ")" + points + "*"
	if len(first) > 0 {
		unit += "|[ \\t]+(?:" + strings.Join(first, "|") + ")" + anySpace
	}
	return "^" + anySpace + "[+-]?(?:" + fraction + "|" + decimal + ")(?:" + unit + ")" + none + anySpace + "$"
}

// spelt is a pattern of all that [respell] makes one symbol of.
func spelt(symbol string) string {
	spelt := strings.NewReplacer(" ", points+"+", "/", points+"*/"+points+"*", "u", "[uµμ]", "ohm", "(?:ohm|[Ω\u2126])", "deg", "(?:deg|°)",
		"2", `(?:\^?2|²)`, "3", `(?:\^?3|³)`).Replace(symbol)
	return strings.TrimPrefix(spelt, points+"*") // a unit does not begin with a point
}
