package units

import (
	"fmt"
	"math"
	"strings"
)

// longestText bounds the text of a value, in bytes.
const longestText = 64

// A value in SI is zero or has a magnitude in this range. Nothing on a vehicle comes near either end, and products
// of a few such values stay finite.
const (
	smallest = 1e-30
	largest  = 1e30
)

// Parse returns the SI value of a number with its unit, such as "412 mm", "16.2in", "1 1/2 in" or "-30 degC"; a
// plain number has no unit, or %. Spaces around the number and the unit do not count.
//
// Range: a magnitude of 1e-30 to 1e30 in SI, or zero (never minus zero); up to 64 bytes. A value in degC or degF is
// an absolute temperature, so not below absolute zero; one in K may be a difference and negative. The result is
// the nearest float64 for ordinary metric values, and it or its neighbour in the inch family: "412 mm", "41.2 cm"
// and "0.412 m" are one number.
//
// Errors say what is wrong with the text, what to write instead and which units want accepts (the five most usual).
func Parse(text string, want Dimension) (si float64, err error) {
	si, err = parse(text, want)
	if m, is := err.(*Misspelt); is {
		return 0, m.tried(want, 1)
	}
	return si, err
}

func parse(text string, want Dimension) (si float64, err error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return 0, fmt.Errorf("the value is empty: %s", takes(want))
	}
	if len(text) > longestText {
		return 0, fmt.Errorf("%s... is too long: a value has at most %d characters", quoted(beginning(text)), longestText)
	}
	n, end := scanNumber(text)
	if end == 0 {
		return 0, missingNumber(text, want)
	}
	symbol := strings.TrimLeft(text[end:], " \t")
	e := bySymbol[symbol]
	if e == nil {
		if err := faultyNumber(text, symbol, want); err != nil {
			return 0, err
		}
		if e = find(symbol); e == nil {
			if err := letterFault(text, text[end:], want); err != nil {
				return 0, err
			}
			return 0, unknownUnit(text, symbol, want)
		}
	}
	if e.dim != want {
		return 0, wrongUnit(text, e, want)
	}
	if n.p == 0 {
		return 0, fmt.Errorf("%s divides by zero", quoted(text))
	}
	return checked(text, e, n)
}

// unitIn is the unit of a number with its unit, and what is written behind the number; nil where the text is none.
func unitIn(text string) (e *entry, written string) {
	text = strings.TrimSpace(text)
	_, end := scanNumber(text)
	if end == 0 {
		return nil, ""
	}
	return bySymbol[strings.TrimLeft(text[end:], " \t")], text[end:]
}

// checked converts a number and holds the result to its range.
func checked(text string, e *entry, n number) (float64, error) {
	si := e.si(n)
	switch size := math.Abs(si); {
	case e.hundredths != 0 && si < 0:
		return 0, fmt.Errorf("%s is below absolute zero", quoted(text))
	case size > largest:
		return 0, fmt.Errorf("%s is too large to be meant", quoted(text))
	case size < smallest && (size > 0 || n.m == 0 && nonZero(text)):
		return 0, fmt.Errorf("%s is too small to be meant: write 0 for nothing", quoted(text))
	case size == 0:
		return 0, nil // not -0
	}
	return si, nil
}

// si multiplies before it divides: the products are exact for ordinary numbers, and the quotient rounds once.
func (e *entry) si(n number) float64 {
	m, p := n.m, n.p
	if e.hundredths != 0 {
		m, p = m*100+e.hundredths*p, p*100
	}
	return m * e.num / (p * e.den)
}

// nonZero tells whether the number in text was written with a digit other than 0 before its exponent, so that a
// value of 0 has lost what was written.
func nonZero(text string) bool {
	for i := range len(text) {
		switch c := text[i]; {
		case '1' <= c && c <= '9':
			return true
		case !isDigit(c) && c != '.' && c != '-' && c != '+':
			return false
		}
	}
	return false
}
