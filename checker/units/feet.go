package units

import (
	"fmt"
	"strconv"
	"strings"
)

// primes are the signs for feet, and inchSigns what stands behind inches.
var (
	primes    = []string{"'", "′", "’"}
	inchSigns = []string{"\"", "″", "”", "''", "in", "inch", "inches", "in."}
)

func isInch(unit string) bool {
	for _, s := range inchSigns {
		if strings.EqualFold(unit, s) {
			return true
		}
	}
	return false
}

// feetFault explains feet with inches, such as 5'4.5" or 6'8 in, which is one length: the inches of both together. It is
// nil where text is not so written; rest is what stands behind its first number.
func feetFault(text, rest string, want Dimension) error {
	if want != Length {
		return nil
	}
	behind, sign := afterFeet(rest)
	n, end := scanNumber(behind)
	if end == 0 || behind[0] == '-' || behind[0] == '+' {
		return nil
	}
	unit := strings.TrimSpace(behind[end:])
	if unit != "" && !isInch(unit) {
		return nil
	}
	says := quoted(text) + " is feet and inches"
	written := strings.TrimRight(strings.TrimSuffix(text, rest), " \t")
	total, exact := inTotal(written, n)
	switch {
	case !exact:
		return fmt.Errorf("%s: write one number of inches, 12 for each foot", says)
	case unit == "" && sign:
		return fmt.Errorf("%s has no unit behind the sign for feet: write %s where it is feet and inches", quoted(text), total)
	}
	return misspelt(says, total)
}

// afterFeet is what stands behind a sign for feet; nothing where there is none. It tells whether that is an apostrophe.
func afterFeet(rest string) (behind string, sign bool) {
	for _, p := range primes {
		if b, has := strings.CutPrefix(rest, p); has {
			return strings.TrimLeft(b, " -"), true
		}
	}
	for _, word := range []string{"ft.", "ft", "feet", "foot"} {
		if b, has := strings.CutPrefix(rest, word); has {
			return strings.TrimLeft(b, " ,"), false
		}
	}
	return "", false
}

// inTotal writes whole feet and less than a foot of inches as inches; false where they are not that, or have no
// decimal fraction.
func inTotal(feet string, inches number) (string, bool) {
	minus := strings.HasPrefix(feet, "-")
	digits := strings.TrimLeft(feet, "+-")
	if digits == "" || len(digits) > longestPart || skipDigits(digits, 0) != len(digits) || inches.p == 0 || inches.m >= 12*inches.p {
		return "", false
	}
	over := smallWhole(digits)*12*inches.p + inches.m
	total := strconv.FormatFloat(over/inches.p, 'f', -1, 64)
	if len(total) > 12 { // no decimal fraction of a length that is measured
		return "", false
	}
	if minus {
		total = "-" + total
	}
	return total + " in", true
}

// lookAlikes are letters that are taken for digits.
var lookAlikes = strings.NewReplacer("O", "0", "o", "0", "l", "1", "I", "1", "|", "1", "S", "5", "B", "8", "Z", "2")

// letterFault explains a letter that stands among the digits of a number as one of them: what is meant has to be
// looked up. It is nil where rest, which follows the number at once, does not begin so, or reads no better.
func letterFault(text, rest string, want Dimension) error {
	end := 0
	for end < len(rest) && (isDigit(rest[end]) || strings.IndexByte("OolI|SBZ", rest[end]) >= 0) {
		end++
	}
	for ; end > 0; end-- {
		digits := lookAlikes.Replace(rest[:end])
		meant := strings.TrimSuffix(text, rest) + digits + rest[end:]
		if _, err := parse(meant, want); err == nil {
			return fmt.Errorf("%s has the letter %s beside its digits: write %s if a digit is meant", quoted(text), quoted(rest[:1]), shown(meant))
		}
	}
	return nil
}
