package survey

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"kitgauge/checker/document"
	"kitgauge/checker/spelling"
	"kitgauge/checker/units"
)

// fault is what is wrong with a cell, and what would be right.
type fault struct{ message, remedy string }

// value is what a cell says, as the kit file has it. A bare number gets the
// unit of the head. What is wrong is kept as it is written.
func (c *Column) value(text, unit string) (any, *fault) {
	switch {
	case len(c.Words) > 0:
		word := strings.ToLower(text)
		if slices.Contains(c.Words, word) {
			return word, nil
		}
		return text, &fault{fmt.Sprintf("%q is none of the words for %s", text, c.label()) + spelling.Hint(word, c.Words), "write " + oneOf(c.Words)}
	case c.measured() && units.TwoWays(text, ','):
		return text, twoWays(text, ",", "")
	case c.kind == number:
		return c.number(text, unit)
	case c.kind == plain:
		if x, bare := bareNumber(text); bare {
			return document.Bare(x), nil
		}
		return text, &fault{fmt.Sprintf("%q is no number", text), "write a number without a unit, as 0, 1 or -0.1"}
	case c.kind == count:
		if n, bare := bareNumber(text); bare && !strings.ContainsAny(n, ".-") {
			return document.Bare(n), nil
		}
		return text, &fault{fmt.Sprintf("%q is no whole number", text), "write one without a unit"}
	case c.kind == flag:
		return yesNo(text)
	case c.kind == day:
		return date(text)
	}
	return text, nil
}

func oneOf(words []string) string {
	if len(words) == 1 {
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// twoWays is what is wrong with a number whose sign may begin its decimals, or
// part its thousands: either reading is a thousandth of the other. The decimal
// one gets a fourth place, which no group of thousands has.
func twoWays(text, sign, why string) *fault {
	whole := strings.Replace(text, sign, "", 1)
	at := strings.Index(text, sign) + 1
	return &fault{fmt.Sprintf("%q can be read two ways%s", text, why), fmt.Sprintf("write %s or %s.%s0%s", whole, text[:at-1], text[at:at+3], text[at+3:])}
}

// pointed is what is wrong with a number with a point in a sheet that writes
// decimals behind a comma: there it may part thousands.
func pointed(text string) *fault {
	if !units.TwoWays(text, '.') {
		return nil
	}
	return twoWays(text, ".", ", as this sheet writes decimals behind a comma")
}

// bareNumber is a number as the kit file has it: without an exponent, and with
// no more digits than a spreadsheet shows. A comma may stand for the point,
// where it cannot part thousands.
func bareNumber(text string) (string, bool) {
	if units.TwoWays(text, ',') {
		return "", false
	}
	if strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
		text = strings.Replace(text, ",", ".", 1)
	}
	if strings.ContainsAny(text, "xXpP_nNiI") {
		return "", false // what else Go takes for a number
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || math.Abs(x) > 1e12 {
		return "", false
	}
	const shown = 15
	x, _ = strconv.ParseFloat(strconv.FormatFloat(x, 'g', shown, 64), 64)
	return strconv.FormatFloat(x+0, 'f', -1, 64), true
}

func (c *Column) number(text, unit string) (any, *fault) {
	dims := []units.Dimension{c.dim}
	if c.varies {
		dims = []units.Dimension{units.Angle, units.Length}
	}
	if x, bare := bareNumber(text); bare {
		if strings.Contains(unit, " or ") {
			return text, &fault{fmt.Sprintf("it is not known in what %s is measured", text), "state the kind of the joint, or write the unit beside the number, as 38 deg or 80 mm"}
		}
		text = x + " " + unit
	}
	var err error
	for _, dim := range dims {
		if _, err = units.Parse(text, dim); err == nil {
			return text, nil
		}
	}
	remedy := fmt.Sprintf("write the number in %s, or with its unit beside it", unit)
	if strings.Contains(err.Error(), "; ") || strings.Contains(err.Error(), "write") {
		remedy = ""
	}
	return text, &fault{err.Error(), remedy}
}

func yesNo(text string) (any, *fault) {
	switch strings.ToLower(text) {
	case "yes", "y", "x", "true", "1", "✓":
		return document.Flag(true), nil
	case "no", "n", "-", "false", "0":
		return document.Flag(false), nil
	}
	return text, &fault{fmt.Sprintf("%q is neither yes nor no", text), "write yes or no"}
}

// date is a day as the kit file has it. A spreadsheet may hold it as the number
// of days since the end of 1899 (ISO/IEC 29500-1, 18.17.4.1).
func date(text string) (any, *fault) {
	if _, err := time.Parse(time.DateOnly, text); err == nil {
		return text, nil
	}
	const first, last = 36526, 73050 // the years 2000 to 2099
	if n, err := strconv.Atoi(text); err == nil && n >= first && n <= last {
		return time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC).AddDate(0, 0, n).Format(time.DateOnly), nil
	}
	return text, &fault{fmt.Sprintf("%q is no day", text), "write year, month and day, as 2026-11-02"}
}
