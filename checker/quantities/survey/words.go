package survey

import (
	"strings"
	"unicode"
)

// Words returns the words of a name or an id in lower case; letters and digits
// are words of their own, as in "FL3". Source: identity.
func Words(name string) []string {
	var out []string
	word := []rune{}
	flush := func() {
		if len(word) > 0 {
			out = append(out, string(word))
		}
		word = word[:0]
	}
	for _, r := range name {
		digit, letter := unicode.IsDigit(r), unicode.IsLetter(r)
		if !digit && !letter || len(word) > 0 && digit != unicode.IsDigit(word[0]) {
			flush()
		}
		if digit || letter {
			word = append(word, unicode.ToLower(r))
		}
	}
	flush()
	return out
}

// sides are the words for a side. Near side and off side change with the side
// of the road, and are none.
var sides = map[string]string{
	"left": "left", "lefthand": "left", "lh": "left", "l": "left", "lhs": "left",
	"right": "right", "righthand": "right", "rh": "right", "r": "right", "rhs": "right",
}

// Key returns what remains of a name when the word for its side is taken out,
// and the side: left, right, or "" where it names none or both. Two names of
// one key and of different sides name mirror images.
// Source: common practice, no source.
func Key(name string) (key, side string) {
	words := Words(name)
	for i, w := range words {
		s, is := sides[w]
		if !is {
			continue
		}
		if side != "" && side != s {
			return name, ""
		}
		side, words[i] = s, "*"
	}
	return strings.Join(words, " "), side
}

// IDKey is [Key] for a short id, where a side may also be the last letter of
// two or three: "FL3" and "FR3", "RL" and "RR". On its own such a letter means
// nothing; it counts where the other id is there as well.
// Source: common practice, no source.
func IDKey(id string) (key, side string) {
	if key, side = Key(id); side != "" {
		return key, side
	}
	words := Words(id)
	for i, w := range words {
		if len(w) < 2 || len(w) > 3 {
			continue
		}
		s, is := map[byte]string{'l': "left", 'r': "right"}[w[len(w)-1]]
		if !is {
			continue
		}
		words[i] = w[:len(w)-1] + "*"
		return strings.Join(words, " "), s
	}
	return id, ""
}

// Opposites are pairs of words for opposite places, with what is larger for
// the first of them: a coordinate, or the distance from the middle (w).
type Opposites struct{ More, Less, Of string }

// opposites of names of grease points.
var opposites = [...]Opposites{
	{"upper", "lower", "z"}, {"top", "bottom", "z"}, {"front", "rear", "x"}, {"outer", "inner", "w"},
}

// Opposite is a name with one of a pair of opposite words taken out.
type Opposite struct {
	Opposites
	Key    string // what remains of the name
	IsMore bool   // the word was that of more
}

// Opposed lists the words of a name that have an opposite. Two names of one
// key, one of more and one of less, differ in these words alone.
// Source: common practice, no source.
func Opposed(name string) []Opposite {
	var out []Opposite
	words := Words(name)
	for i, w := range words {
		for _, o := range opposites {
			if w != o.More && w != o.Less {
				continue
			}
			words[i] = o.More + "|" + o.Less
			out = append(out, Opposite{o, strings.Join(words, " "), w == o.More})
			words[i] = w
		}
	}
	return out
}
