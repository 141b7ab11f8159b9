package spelling

import (
	"cmp"
	"strings"
)

// Natural compares two texts as people order them: runs of digits by the number
// that they write, so that outlet 2 comes before outlet 10, and all else as
// text. It is 0 for equal texts only.
func Natural(a, b string) int {
	x, y := a, b
	for x != "" && y != "" {
		nx, ny := digits(x), digits(y)
		if nx > 0 && ny > 0 {
			if c := byNumber(x[:nx], y[:ny]); c != 0 {
				return c
			}
			x, y = x[nx:], y[ny:]
			continue
		}
		if x[0] != y[0] {
			return cmp.Compare(x[0], y[0])
		}
		x, y = x[1:], y[1:]
	}
	return cmp.Or(cmp.Compare(len(x), len(y)), strings.Compare(a, b))
}

// byNumber compares two runs of digits, of any length, as numbers.
func byNumber(a, b string) int {
	a, b = strings.TrimLeft(a, "0"), strings.TrimLeft(b, "0")
	return cmp.Or(cmp.Compare(len(a), len(b)), strings.Compare(a, b))
}

// digits is how many digits a text begins with.
func digits(s string) int {
	return len(s) - len(strings.TrimLeft(s, "0123456789"))
}
