// Package person tells whether two names may be those of one person. It is the
// one test of it, for whoever checks a kit, grants a concession or signs.
package person

import (
	"regexp"
	"slices"
	"strings"
	"unicode"
)

// Same reports whether two texts may name one person: a name as a title block
// has it ("I. Sandvik", "Sandvik, Ingrid", "Dr. Ingrid Sandvik") or the
// address of a mailbox. They may where nothing in them tells two apart:
//
//   - the letters are equal, in either order of first name and surname;
//   - every word of the shorter one stands in the longer one, in full or as
//     an initial, and at least one in full: Sandvik, I. Sandvik, ingrid.sandvik;
//   - one is a single word that is a short form of the other: isandvik,
//     ingrids, sandvik.i, or the initials alone;
//   - each is a number without a letter, and they are equal.
//
// Two first names in full, two surnames, two initials that differ, and a Herr
// beside a Frau are two people, however much is alike.
//
// Case, accents, signs, titles, what stands in brackets, what cannot be seen,
// letters of another alphabet that look the same, and the alphabet, as
// passports turn it into Latin letters, do not matter. Where a text names
// several, any of them counts. Who is taken for another by this must be named
// more fully. A text without a letter or a digit names nobody, and one that is
// longer than any list of names may name anybody.
func Same(a, b string) bool {
	if len(a) > longest || len(b) > longest {
		return Named(a) && Named(b)
	}
	others := names(b)
	for _, n := range names(a) {
		if slices.ContainsFunc(others, n.same) {
			return true
		}
	}
	return false
}

// longest is what is looked through for names, in bytes: those of all who draw
// in a large house.
const longest = 1000

// Named reports whether a text names anybody.
func Named(text string) bool { return len(names(text)) > 0 }

// name is one of those in a text.
type name struct {
	words  []string
	forms  []string // the ways to write them as one word, of which the first have all their letters
	number string   // its digits
	called string   // "he" or "she", where its title tells; "" otherwise
}

// names are those of a text, in each way to spell it. A title is a name where
// there is no other.
func names(text string) []name {
	list := distinct(text, false)
	if len(list) == 0 {
		return distinct(text, true)
	}
	return list
}

func distinct(text string, titled bool) []name {
	var list []name
	seen := map[string]bool{}
	for _, spelling := range spellings(unbracketed(text)) {
		for _, part := range strings.FieldsFunc(several.Replace(spelling), func(r rune) bool { return strings.ContainsRune(";/&+", r) }) {
			for _, n := range people(part, titled) {
				if key := strings.Join(n.words, " ") + "#" + n.number + n.called; !seen[key] {
					seen[key] = true
					n.forms = forms(n.words)
					list = append(list, n)
				}
			}
		}
	}
	return list
}

// unbracketed drops what stands in brackets beside a name: an office, a role.
// Where nothing else is there, it is the name.
func unbracketed(text string) string {
	rest := brackets.ReplaceAllString(text, " ")
	if strings.IndexFunc(rest, func(r rune) bool { return inWord(r) || unicode.IsDigit(r) }) < 0 {
		return text
	}
	return rest
}

var brackets = regexp.MustCompile(`\([^()]*\)|\[[^\[\]]*\]|\{[^{}]*\}|（[^（）]*）`)

var several = strings.NewReplacer(" and ", ";", " und ", ";", " og ", ";", " et ", ";")

// people splits at commas, unless the two parts are the surname and the first
// name of one person: "Sandvik, Ingrid".
func people(text string, titled bool) []name {
	var list []name
	for part := range strings.SplitSeq(text, ",") {
		if n := read(part, titled); len(n.words) > 0 || n.number != "" {
			list = append(list, n)
		}
	}
	if len(list) == 2 && !strings.Contains(text, "@") && min(len(list[0].words), len(list[1].words)) < 2 {
		list = []name{{words: append(list[1].words, list[0].words...), number: list[0].number + list[1].number, called: agreed(list[0].called, list[1].called)}}
	}
	return list
}

// read reads one name; of an address, what stands before the @.
func read(text string, titled bool) name {
	text, _, _ = strings.Cut(text, "@")
	keep := func(of func(rune) bool) func(rune) rune {
		return func(r rune) rune {
			if of(r) {
				return r
			}
			return -1
		}
	}
	var words []string
	called := ""
	for token := range strings.FieldsSeq(text) {
		if titled || !degrees[strings.Map(keep(inWord), token)] {
			words = append(words, strings.FieldsFunc(token, func(r rune) bool { return !inWord(r) })...)
		}
	}
	if !titled {
		words = slices.DeleteFunc(words, func(w string) bool {
			called = agreed(called, address[w])
			return titles[w]
		})
	}
	return name{words: words, number: strings.Map(keep(unicode.IsDigit), text), called: called}
}

// agreed is what two titles tell together; "" where they contradict.
func agreed(a, b string) string {
	switch {
	case a == "" || a == b:
		return b
	case b == "":
		return a
	}
	return ""
}

func inWord(r rune) bool { return unicode.IsLetter(r) || unicode.IsMark(r) }

// titles are not part of a name; degrees are those among them that are written
// with full stops between letters which could be initials.
var (
	titles = set("dr", "prof", "professor", "mr", "mrs", "ms", "miss", "mx", "herr", "frau", "ing", "dipl", "eng",
		"hr", "herrn", "fru", "sir", "madam", "monsieur", "madame", "mme", "mlle")
	degrees = set("beng", "meng", "bsc", "msc", "phd")
	address = map[string]string{"herr": "he", "mr": "he", "frau": "she", "mrs": "she", "ms": "she", "miss": "she"}
)

func set(words ...string) map[string]bool {
	m := map[string]bool{}
	for _, w := range words {
		m[w] = true
	}
	return m
}

func (n name) same(other name) bool {
	x, y := n.words, other.words
	switch {
	case len(x) == 0 || len(y) == 0:
		return len(x) == len(y) && n.number == other.number
	case n.called != "" && other.called != "" && n.called != other.called:
		return false
	case n.shortens(other) || other.shortens(n):
		return true
	}
	return stands(x, y) || stands(y, x) || len(x) <= len(y) && contained(x, y) || len(y) <= len(x) && contained(y, x)
}

// shortens reports whether a name with all its letters is a form of another:
// isandvik, i.sandvik and ingrid.sandvik are of Ingrid Sandvik. Two forms of
// two names, isandvik of Ingrid and of Ivar, say nothing.
func (n name) shortens(other name) bool {
	return slices.ContainsFunc(n.forms[:min(2, len(n.forms))], func(full string) bool { return slices.Contains(other.forms, full) })
}

// forms are the ways to write a name as one word: first those with all its
// letters.
func forms(words []string) []string {
	if len(words) < 2 {
		return words
	}
	first, last := words[0], words[len(words)-1]
	given := initials(words[:len(words)-1])
	return []string{
		strings.Join(words, ""), strings.Join(reversed(words), ""),
		given + last, last + given, initial(first) + last, last + initial(first), first + initial(last),
	}
}

// stands reports whether the few words are nothing but the initials of many.
func stands(few, many []string) bool {
	short := strings.Join(few, "")
	return len(many) > 1 && (short == initials(many) || short == initials(reversed(many)))
}

func initials(words []string) string {
	var b strings.Builder
	for _, w := range words {
		b.WriteString(initial(w))
	}
	return b.String()
}

func initial(word string) string { return string([]rune(word)[:1]) }

func reversed(words []string) []string {
	back := slices.Clone(words)
	slices.Reverse(back)
	return back
}

// contained reports whether every word of few stands for another one of many:
// first those that stand there in full, then the initials.
func contained(few, many []string) bool {
	many = slices.Clone(many)
	var rest []string
	full := false
	for _, w := range few {
		if i := slices.Index(many, w); i >= 0 && len(w) > 1 {
			many = slices.Delete(many, i, i+1)
			full = true
			continue
		}
		rest = append(rest, w)
	}
	for _, w := range rest {
		i := slices.IndexFunc(many, func(m string) bool { return initial(m) == w || initial(w) == m })
		if i < 0 {
			return false
		}
		many = slices.Delete(many, i, i+1)
	}
	return full
}
