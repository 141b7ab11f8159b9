package survey

import (
	"regexp"
	"slices"
	"strconv"
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

// Metals of which tubes are rigid, and the words beside them with which that
// is a hose.
var (
	metals = []string{"steel", "stainless", "copper", "brass", "aluminium", "aluminum", "cunifer", "cupronickel", "bundy", "metal"}
	hoses  = []string{"braid", "braided", "braiding", "wire", "rubber", "hose", "spiral", "corrugated", "flexible", "sheathed", "armoured", "polyamide", "ptfe", "nylon", "polyurethane", "polyethylene", "pa", "pe", "pu"}
)

// Rigid reports whether a tube of this material is a rigid one: of metal, and
// no hose with metal in its wall.
// Source: common practice, no source.
func Rigid(material string) bool {
	has := func(list []string) bool {
		return slices.ContainsFunc(Words(material), func(w string) bool { return slices.Contains(list, w) })
	}
	return has(metals) && !has(hoses)
}

// axleParts are parts that belong to an axle.
var axleParts = []string{"spring", "springs", "axle", "brake", "slack", "kingpin", "tie", "wheel", "hub", "shackle", "knuckle", "stabiliser", "stabilizer", "suspension", "drag", "track", "camshaft"}

// OfAxle reports whether a word of a name is one for a part of an axle.
// Source: common practice, no source.
func OfAxle(word string) bool { return slices.Contains(axleParts, word) }

// Numbers of axles in words, and the wheels of a vehicle: 6x4 has six, on three
// axles. A vehicle is described by them at the beginning: what stands behind
// may be a bogie, what is driven, or another vehicle.
var (
	axlesInWords = map[string]int{"single": 1, "one": 1, "1": 1, "two": 2, "twin": 2, "tandem": 2, "2": 2, "three": 3, "tri": 3, "3": 3, "four": 4, "4": 4, "five": 5, "5": 5}
	saysAxles    = regexp.MustCompile(`(?i)\b(single|one|two|twin|tandem|three|tri|four|five|[1-5])[- ]axle[sd]?\b`)
	saysWheels   = regexp.MustCompile(`(?i)\b(4|6|8|10) ?[x×] ?(?:2|4|6|8|10)(?:[/*][0-9])?\b`)
	isOfAxles    = regexp.MustCompile(`(?i)^((?:\p{L}+ ){0,2})(?:single|one|two|twin|tandem|three|tri|four|five|[1-5])[- ]axled? ((?:\p{L}+ ){0,2})(?:trailer|semitrailer|truck|lorry|gritter|tipper|vehicle|spreader)\b(?:$|[ ,;.])`)
	isOfWheels   = regexp.MustCompile(`(?i)^((?:\p{L}+ ){0,2})(?:4|6|8|10) ?[x×] ?(?:2|4|6|8|10)(?:[/*][0-9])?(?:$|[ ,;.])`)
	notItself    = regexp.MustCompile(`(?i)\b(?:of|for|with|behind|to|from|by|and|drive|driven|drives|bogie|group|lift|steered|steering|towing)\b`)
	towed        = regexp.MustCompile(`(?i)\b(?:semi-?)?trailers?\b|\bdoll(?:y|ies)\b`)
)

// AxlesSaid returns how many axles a text says that the vehicle has, with its
// words for it: "two-axle trailer", or the wheel formula, at its beginning. It
// is 0 where it does not say so plainly, says more than one number, or speaks of
// a truck and a trailer.
// Source: common practice, no source.
func AxlesSaid(text string) (n int, word string) {
	axles, wheels := isOfAxles.FindStringSubmatch(text), isOfWheels.FindStringSubmatch(text)
	switch {
	case axles != nil && !notItself.MatchString(axles[1]+axles[2]):
		if tows := len(towed.FindAllString(text, -1)); tows > 1 || tows == 1 && !towed.MatchString(axles[0]) {
			return 0, ""
		}
	case wheels == nil || notItself.MatchString(wheels[1]) || towed.MatchString(text):
		return 0, ""
	}
	add := func(axles int, as string) bool {
		if n != 0 && n != axles {
			return false
		}
		n, word = axles, as
		return true
	}
	for _, m := range saysAxles.FindAllStringSubmatch(text, -1) {
		if !add(axlesInWords[strings.ToLower(m[1])], m[0]) {
			return 0, ""
		}
	}
	for _, m := range saysWheels.FindAllStringSubmatch(text, -1) {
		if wheels, err := strconv.Atoi(m[1]); err != nil || !add(wheels/2, m[0]) {
			return 0, ""
		}
	}
	return n, word
}
