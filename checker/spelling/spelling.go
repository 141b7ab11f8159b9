// Package spelling finds the known word nearest to a misspelt one.
package spelling

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"kitgauge/checker/visible"
)

// longest bounds the words that are compared, in bytes.
const longest = 64

// Nearest returns the candidate with the smallest edit distance to the word,
// capitals aside, or "" when none is near enough to be what was meant: more
// than a third of the longer word would have to change. Of those that are as
// near, the one that begins like the word for longest is meant rather, then the
// first in the order of their numbers.
func Nearest(word string, candidates []string) string {
	best, _ := nearest(word, candidates, none)
	return best
}

// Only is Nearest where no other candidate is as near; "" where one is, or where
// it is the candidate that holds a character which is not what it looks like. What
// is written without asking anybody has to be certain.
func Only(word string, candidates []string) string {
	best, alone := nearest(word, candidates, none)
	if _, _, odd := visible.Odd(best); !alone || odd {
		return ""
	}
	return best
}

func none(string) bool { return false }

// nearest prefers, of candidates that are as near and begin alike, one that is
// rather meant.
func nearest(word string, candidates []string, rather func(string) bool) (best string, alone bool) {
	sorted := slices.Clone(candidates)
	slices.Sort(sorted)
	sorted = slices.Compact(sorted)
	slices.SortStableFunc(sorted, Natural)
	lower, plain := strings.ToLower(word), visible.Plain(word)
	var least rank
	for _, c := range sorted {
		if len(c) > longest || len(word) > longest {
			continue
		}
		d := Distance(lower, strings.ToLower(c))
		if plain == visible.Plain(c) {
			d = 0 // they look alike
		}
		if d > (max(len(word), len(c))+2)/3 {
			continue
		}
		is := rank{distance: d, unlike: -common(lower, strings.ToLower(c))}
		if !rather(c) {
			is.other = 1
		}
		alone = best == "" || d < least.distance || d > least.distance && alone
		if best == "" || is.before(least) {
			best, least = c, is
		}
	}
	return best, alone
}

// rank orders candidates: the nearer first, then those that begin alike for
// longer, then those that are rather meant.
type rank struct{ distance, unlike, other int }

func (r rank) before(o rank) bool {
	return cmp.Or(cmp.Compare(r.distance, o.distance), cmp.Compare(r.unlike, o.unlike), cmp.Compare(r.other, o.other)) < 0
}

// common is with how many bytes two words begin alike.
func common(a, b string) int {
	n := 0
	for n < min(len(a), len(b)) && a[n] == b[n] {
		n++
	}
	return n
}

// Hint is "; nearest is ..." for the end of a sentence about a word that is not
// known, "" where none is near.
func Hint(word string, candidates []string) string { return HintRather(word, candidates, none) }

// HintRather is Hint, and prefers of candidates that are as near and begin alike
// one that is rather meant. A character of either word that is not what it looks
// like is named: the two may look the same.
func HintRather(word string, candidates []string, rather func(string) bool) string {
	n, _ := nearest(word, candidates, rather)
	if n == "" {
		return named(word, true)
	}
	return named(word, true) + hint + strconv.Quote(n) + named(n, false)
}

// named is "; its character 1 is U+0410 (cyrillic capital letter a)"; "" where all
// characters are what they look like.
func named(word string, own bool) string {
	odd, place, found := visible.Odd(word)
	switch {
	case !found:
		return ""
	case own:
		return fmt.Sprintf("; its character %d is %s", place, visible.Named(odd))
	}
	return fmt.Sprintf("; character %d of that is %s", place, visible.Named(odd))
}

const hint = "; nearest is "

// Hinted is the name that a Hint at the end of a sentence says is nearest; ""
// where there is no Hint.
func Hinted(sentence string) string {
	if i := strings.LastIndex(sentence, hint); i >= 0 {
		quoted, _ := strconv.QuotedPrefix(sentence[i+len(hint):])
		name, _ := strconv.Unquote(quoted)
		return name
	}
	return ""
}

// Distance is the edit distance between two words: the least number of
// letters to write, take out or change, and of neighbours to exchange, where
// what was exchanged is not edited again (optimal string alignment; the four
// errors are those of Damerau, Communications of the ACM 7, 1964, 171-176).
func Distance(a, b string) int {
	from, to := []rune(a), []rune(b)
	before, last, row := make([]int, len(to)+1), make([]int, len(to)+1), make([]int, len(to)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(from); i++ {
		row[0] = i
		for j := 1; j <= len(to); j++ {
			cost := 1
			if from[i-1] == to[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && from[i-1] == to[j-2] && from[i-2] == to[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(to)]
}

// Near reports whether a word is another written wrongly, and no word of its
// own: one letter is wrong, two of eight or more, or what stands between them.
// What tells things apart is no slip: a digit, l or r, f or r.
func Near(word, other string) bool {
	if word != other && visible.Plain(word) == visible.Plain(other) {
		return true
	}
	a, b := strings.ToLower(word), strings.ToLower(other)
	if kept(a, unicode.IsDigit) != kept(b, unicode.IsDigit) || len(a) > longest || len(b) > longest {
		return false
	}
	if kept(a, alphanumeric) == kept(b, alphanumeric) {
		return true
	}
	most := 1
	if len(b) >= 8 {
		most = 2
	}
	return len(b) >= 4 && Distance(a, b) <= most && !sides(a, b)
}

func kept(s string, of func(rune) bool) string {
	return strings.Map(func(r rune) rune {
		if of(r) {
			return r
		}
		return -1
	}, s)
}

func alphanumeric(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }

// sides reports whether two words of one length differ in a letter that stands
// for a side.
func sides(a, b string) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range len(a) {
		switch string([]byte{min(a[i], b[i]), max(a[i], b[i])}) {
		case "lr", "fr":
			return true
		}
	}
	return false
}
