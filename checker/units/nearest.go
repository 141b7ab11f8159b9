package units

import (
	"errors"
	"fmt"
	"strings"

	"kitgauge/checker/spelling"
)

// unknownUnit is the error of a unit that is not in the table. Only where it is certain which one is meant, and that
// the number counts the same in it, the value can be written right; what is merely near is told.
func unknownUnit(text, symbol string, want Dimension) error {
	says := fmt.Sprintf("%s has an unknown unit %s: %s", quoted(text), quoted(symbol), takes(want))
	if meant := certain(symbol, want); meant != "" {
		number := strings.TrimSuffix(text, symbol)
		return &Misspelt{says + " (nearest is " + meant + ")", strings.TrimRight(number, " \t") + " " + meant}
	}
	if isReal(symbol) {
		return fmt.Errorf("%s is in %s, which is not read here: %s; convert the number", quoted(text), quoted(symbol), takes(want))
	}
	if near := nearest(symbol, want); near != "" {
		says += " (nearest is " + near + ")"
	}
	return errors.New(says)
}

// certain is the unit of the wanted dimension that a symbol stands for: it is written with other capitals, as a
// word, or as a word with a letter wrong. "" where that is not certain.
func certain(symbol string, want Dimension) string {
	if s := foldedTo(symbol, want); s != "" {
		return s
	}
	word := plainWord(symbol)
	_, other := prefixed(string(respell(nil, symbol))) // Ml/h is not ml/h
	if e := bySymbol[nicknames[word]]; e != nil && (!other || nicknames[symbol] != "") && e.symbol != "" && e.dim == want {
		return e.symbol
	}
	if isReal(symbol) {
		return ""
	}
	if one, many := strings.CutSuffix(symbol, "s"); many && (bySymbol[one] != nil || isReal(one)) { // "mohms", "kohms"
		if e := bySymbol[one]; e != nil && e.dim == want {
			return e.symbol
		}
		return ""
	}
	return byName(word, want)
}

// foldedTo is the one unit of a dimension that a symbol is but for capitals. A capital M is no slip for the m of a
// thousandth: between a megohm and a milliohm nobody chooses by himself. Only "MM" cannot be anything else.
func foldedTo(symbol string, want Dimension) string {
	written := string(respell(nil, symbol))
	if base, is := prefixed(written); is && base == want {
		return ""
	}
	found := ""
	for s, e := range bySymbol {
		if e.dim != want || s == "" || !strings.EqualFold(s, written) {
			continue
		}
		if found != "" && found != e.symbol {
			return ""
		}
		found = e.symbol
		if _, is := prefixed(s); is && s[0] == 'm' && written[0] == 'M' && !strings.HasPrefix(written, "MM") {
			return ""
		}
	}
	return found
}

// plainWord is a word without capitals and accents.
func plainWord(symbol string) string {
	return accents.Replace(strings.ToLower(string(respell(nil, symbol))))
}

var accents = strings.NewReplacer("à", "a", "á", "a", "â", "a", "ä", "a", "ç", "c", "è", "e", "é", "e", "ê", "e", "ë", "e",
	"ì", "i", "í", "i", "î", "i", "ï", "i", "ò", "o", "ó", "o", "ô", "o", "ö", "o", "ù", "u", "ú", "u", "û", "u", "ü", "u")

// siPrefixes are the prefixes of the SI that somebody may write, with their names.
var siPrefixes = map[string][]string{
	"p": {"pico"}, "n": {"nano"}, "u": {"micro"}, "m": {"milli"}, "c": {"centi"}, "d": {"deci"}, "da": {"deca", "deka"},
	"h": {"hecto"}, "k": {"kilo"}, "M": {"mega"}, "G": {"giga"}, "T": {"tera"},
}

// siNames are the units that take such a prefix and their names.
var siNames = map[string][]string{
	"m": {"metre", "meter"}, "g": {"gram", "gramme"}, "l": {"litre", "liter"}, "s": {"second"}, "A": {"ampere", "amp"}, "V": {"volt"},
	"W": {"watt"}, "ohm": {"ohm"}, "Pa": {"pascal"}, "N": {"newton"}, "bar": {"bar"}, "Hz": {"hertz"}, "J": {"joule"}, "K": {"kelvin"},
}

// others are units that are not read here and take no prefix, or are not in siNames.
var others = map[string]bool{
	"yd": true, "thou": true, "mil": true, "nmi": true, "t": true, "pt": true, "qt": true, "hp": true, "PS": true,
	"bara": true, "barg": true, "bar(g)": true, "bar(a)": true, "psia": true, "psig": true, "kgf": true, "kp": true, "at": true, "atm": true,
	"Torr": true, "mmHg": true, "inHg": true, "Ah": true, "mAh": true, "VA": true, "kVA": true, "Wh": true, "kWh": true, "eV": true,
	"P": true, "St": true, "y": true, "yr": true, "ms": true, "gon": true, "rpm": true, "S": true, "C": true, "F": true, "T": true, "H": true,
}

// prefixed reports whether a symbol is a prefix of the SI before a unit, and what such a unit measures.
func prefixed(symbol string) (Dimension, bool) {
	for p := range siPrefixes {
		rest, has := strings.CutPrefix(symbol, p)
		if e := bySymbol[rest]; has && e != nil && prefixable(rest) {
			return e.dim, true
		}
	}
	return Dimension{}, false
}

// prefixable reports whether a unit begins with one that takes a prefix: "m", "m2", "Pa s", "ohm/m".
func prefixable(symbol string) bool {
	end := strings.IndexAny(symbol, "23/ ")
	if end < 0 {
		end = len(symbol)
	}
	return symbol[:end] == "L" || len(siNames[symbol[:end]]) > 0
}

// isReal reports whether a symbol is made of units that there are, read here or not.
func isReal(symbol string) bool {
	written := string(respell(nil, symbol))
	if bySymbol[strings.ReplaceAll(written, " ", "")] != nil {
		return false // "m m" is a gap
	}
	parts := strings.FieldsFunc(written, func(r rune) bool { return r == '/' || r == ' ' })
	for _, part := range parts {
		base := strings.TrimRight(part, "23")
		_, is := prefixed(base)
		if !is && !others[base] && (bySymbol[base] == nil || base == "") {
			return false
		}
	}
	return len(parts) > 0
}

// nicknames are everyday words for units. They are not accepted, since several mean different units in different
// places (a gallon, an ounce) and a file with one spelling is easier to search; each gets the symbol meant.
// Not here is what counts otherwise than any unit of the table: P and St, a gallon and a fluid ounce without a country.
var nicknames = map[string]string{
	"\"": "in", "inch": "in", "inches": "in", "'": "ft", "foot": "ft", "feet": "ft", "metre": "m", "meter": "m",
	"micron": "um", "microns": "um", "mms": "mm", "cms": "cm", "ins": "in", "kms": "km", "mile": "mi", "miles": "mi", "sqmm": "mm2", "sq mm": "mm2", "sq in": "in2",
	"mls": "ml", "kgs": "kg", "newton metre": "N m", "newton metres": "N m", "newton meter": "N m", "newton meters": "N m",
	"cc": "cm3", "ccm": "cm3", "cu in": "in3", "litre": "l", "liter": "l", "ltr": "l", "litres": "l", "liters": "l",
	"lbs": "lb", "pound": "lb", "pounds": "lb", "ounce": "oz", "ounces": "oz", "gram": "g", "grams": "g", "kilo": "kg",
	"sec": "s", "second": "s", "seconds": "s", "mins": "min", "minute": "min", "minutes": "min",
	"hr": "h", "hrs": "h", "hour": "h", "hours": "h", "day": "d", "days": "d", "week": "wk", "weeks": "wk",
	"degree": "deg", "degrees": "deg", "amp": "A", "amps": "A", "volt": "V", "volts": "V", "watt": "W", "watts": "W",
	"ohms": "ohm", "r": "ohm", "c": "degC", "celsius": "degC", "f": "degF", "fahrenheit": "degF", "kelvin": "K",
	"ft lb": "lbf ft", "lb ft": "lbf ft", "ft-lb": "lbf ft", "lbf-ft": "lbf ft", "ft-lbf": "lbf ft",
	"in lb": "lbf in", "in-lb": "lbf in", "lbf-in": "lbf in", "lb in": "lbf in",
	"gee": "gn", "cc/h": "cm3/h", "cc/min": "cm3/min", "ml/h": "cm3/h", "ml/min": "cm3/min",
	"cp": "mPa s", "kph": "km/h", "kmh": "km/h", "rpm": "1/min", "percent": "%",
}

// guessed are words that may mean a unit, and may mean another: they are told, and never written.
var guessed = map[string]string{
	"gal": "US gal", "gallon": "US gal", "gallons": "US gal", "fl oz": "US fl oz", "floz": "US fl oz",
}

// names maps the full names of units, with prefixes and in the plural, to their symbols, read here or not.
var names = fullNames()

func fullNames() map[string]string {
	list := map[string]string{}
	add := func(symbol string, words []string, before string) {
		for _, w := range words {
			list[before+w], list[before+w+"s"] = symbol, symbol
		}
	}
	for base, words := range siNames {
		add(base, words, "")
		for p, before := range siPrefixes {
			for _, b := range before {
				add(p+base, words, b)
			}
		}
	}
	for word, symbol := range nicknames {
		if len(word) >= shortestName {
			list[word] = symbol
		}
	}
	return list
}

// shortestName is how long a word is that is known again with one letter wrong.
const shortestName = 5

// byName is the unit of the wanted dimension whose name a word is, or is but for one letter where that is no other
// name's; "" where there is none.
func byName(word string, want Dimension) string {
	symbol, known := names[word]
	if !known && len(word) >= shortestName {
		for name, of := range names {
			if spelling.Distance(word, name) > 1 || word[1:] == name {
				continue // a letter before a name may be a prefix
			}
			if e := bySymbol[of]; e != nil && e.dim != want {
				continue // "mitre" is no volume where a length stands
			}
			if symbol != "" && symbol != of {
				return ""
			}
			symbol = of
		}
	}
	if e := bySymbol[symbol]; symbol != "" && e != nil && e.dim == want {
		return e.symbol
	}
	return ""
}

// nearest returns the symbol of the wanted dimension that may be meant, "" when none is near.
func nearest(symbol string, want Dimension) string {
	word := strings.ToLower(string(respell(nil, symbol)))
	if e := bySymbol[guessed[word]]; e != nil && e.dim == want {
		return e.symbol
	}
	best, least := "", min(2, len(word)/2)+1
	for _, s := range Accepted(want) {
		if d := spelling.Distance(word, strings.ToLower(s)); d < least {
			best, least = s, d
		}
	}
	return best
}
