package units

import "strconv"

// number is a written number as the quotient m/p. Both are whole and exact for up to 15 digits, so that the
// conversion to SI can multiply first and round once.
type number struct{ m, p float64 }

// scanNumber reads the number at the start of text and returns where it ends, 0 when there is none. The forms are
// 12, -0.25, .5, 1e-3, 1/4 and 1 1/2. The lower part of a fraction may be zero and a number infinite: the caller looks.
func scanNumber(text string) (number, int) {
	start := 0
	if text != "" && (text[0] == '-' || text[0] == '+') {
		start = 1
	}
	n, end := scanFraction(text, start)
	if end == 0 {
		n, end = scanDecimal(text, start)
	}
	if end != 0 && text[0] == '-' {
		n.m = -n.m
	}
	return n, end
}

// longestPart is the number of digits that each part of a fraction may have: their products stay exact.
const longestPart = 7

// scanFraction reads "1/4" or "1 1/2"; the end is 0 when no fraction stands there. In "30 1/min" the stroke
// belongs to the unit, and in "1 5/4" the second part is no fraction of one.
func scanFraction(text string, start int) (number, int) {
	end := skipDigits(text, start)
	whole, upper := "", text[start:end]
	if upper == "" || end == len(text) {
		return number{}, 0
	}
	mixed := text[end] == ' '
	if mixed {
		next := skipSpaces(text, end)
		end = skipDigits(text, next)
		whole, upper = upper, text[next:end]
	}
	if upper == "" || end == len(text) || text[end] != '/' {
		return number{}, 0
	}
	lower := text[end+1 : skipDigits(text, end+1)]
	if lower == "" || max(len(whole), len(upper), len(lower)) > longestPart {
		return number{}, 0
	}
	u, p := smallWhole(upper), smallWhole(lower)
	if mixed && p != 0 && u >= p {
		return number{}, 0
	}
	return number{smallWhole(whole)*p + u, p}, end + 1 + len(lower)
}

// exactPowers holds the powers of ten that a float64 holds exactly.
var exactPowers = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// scanDecimal reads digits with a point and an exponent; the end is 0 when there are no digits.
func scanDecimal(text string, start int) (number, int) {
	var m uint64
	digits, significant, places := 0, 0, 0
	point := false
	end := start
	for ; end < len(text); end++ {
		c := text[end]
		if c == '.' && !point {
			point = true
			continue
		}
		if !isDigit(c) {
			break
		}
		digits++
		m = m*10 + uint64(c-'0') // beyond 15 digits m is not used
		if m != 0 {
			significant++
		}
		if point {
			places++
		}
	}
	if digits == 0 {
		return number{}, 0
	}
	exponent, end := scanExponent(text, end)
	exponent -= places
	switch last := len(exactPowers) - 1; {
	case significant > 15 || exponent > last || exponent < -last:
		value, _ := strconv.ParseFloat(text[start:end], 64) // on overflow it is infinite, as the caller expects
		return number{value, 1}, end
	case exponent < 0:
		return number{float64(m), exactPowers[-exponent]}, end
	default:
		return number{float64(m) * exactPowers[exponent], 1}, end
	}
}

// scanExponent reads "e-3"; without digits after the letter it is the start of a unit, and the end stays.
func scanExponent(text string, start int) (exponent, end int) {
	at := start
	if at == len(text) || text[at]|0x20 != 'e' {
		return 0, start
	}
	at++
	sign := 1
	if at < len(text) && (text[at] == '-' || text[at] == '+') {
		if text[at] == '-' {
			sign = -1
		}
		at++
	}
	end = skipDigits(text, at)
	if end == at {
		return 0, start
	}
	for _, c := range text[at:end] {
		exponent = min(exponent*10+int(c-'0'), 9999)
	}
	return sign * exponent, end
}

func smallWhole(digits string) float64 {
	n := 0
	for i := range len(digits) {
		n = n*10 + int(digits[i]-'0')
	}
	return float64(n)
}

func skipDigits(text string, at int) int {
	for at < len(text) && isDigit(text[at]) {
		at++
	}
	return at
}

func skipSpaces(text string, at int) int {
	for at < len(text) && text[at] == ' ' {
		at++
	}
	return at
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }
