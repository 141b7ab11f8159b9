package survey

import (
	"slices"
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

// sides are the words for a side in English, German, Danish and Norwegian,
// Swedish, Dutch, French, Spanish, Italian and Polish: those that mean nothing
// else in the others. Near side and off side change with the side of the road,
// and are none.
var sides = map[string]string{
	"left": "left", "lefthand": "left", "lh": "left", "l": "left", "lhs": "left",
	"right": "right", "righthand": "right", "rh": "right", "r": "right", "rhs": "right",

	"links": "left", "linke": "left", "linker": "left", "linkes": "left", "linken": "left", "linkerkant": "left",
	"rechts": "right", "rechte": "right", "rechter": "right", "rechtes": "right", "rechten": "right", "rechterkant": "right",
	"venstre": "left", "høyre": "right", "højre": "right",
	"vänster": "left", "vänstra": "left", "höger": "right", "högra": "right",
	"gauche": "left", "droite": "right", "droit": "right",
	"izquierda": "left", "izquierdo": "left", "derecha": "right", "derecho": "right",
	"sinistra": "left", "sinistro": "left", "destra": "right", "destro": "right",
	"lewy": "left", "lewa": "left", "lewe": "left", "prawy": "right", "prawa": "right", "prawe": "right",
}

// linkage are English words before "links", which then names rods and no side.
var linkage = []string{"drag", "steering", "tie", "torque", "track", "radius", "control", "lift", "lower", "upper", "stabiliser", "chain", "the", "rear", "front"}

// Side is the side that a word of a name says, the words being those of
// [Words]: left, right, or "" where it says none.
// Source: common practice, no source.
func Side(words []string, i int) string {
	if words[i] == "links" && i > 0 && slices.Contains(linkage, words[i-1]) {
		return ""
	}
	return sides[words[i]]
}

// Key returns what remains of a name when the word for its side is taken out,
// and the side: left, right, or "" where it names none or both. Two names of
// one key and of different sides name mirror images.
// Source: common practice, no source.
func Key(name string) (key, side string) {
	words := Words(name)
	for i := range words {
		s := Side(words, i)
		if s == "" {
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
