package release

import (
	"slices"
	"strings"
	"unicode"
)

// samePerson reports whether the one who drew a kit, as the header names him
// or her, may be the signer. A kit file holds a name ("I. Sandvik") and a
// signer goes by a principal ("i.sandvik@fleet.example"), so it looks for
// reasons to take them for one person, and in doubt it does:
//
//   - the texts are equal, or the parts before the @ are;
//   - the letters are equal, in either order of first name and surname;
//   - one is a short form of the other: isandvik, ingrids, sandvik.i;
//   - every word of the shorter one stands in the longer one, in full or as
//     an initial, and at least one in full: Sandvik, I. Sandvik, ingrid.sandvik.
//
// Case, accents and signs do not matter. Who is taken for the other by this
// must be named more fully, in the header or in the allowed_signers file.
func samePerson(drawn, signer string) bool {
	a, b := fold(drawn), fold(signer)
	if a == b {
		return true
	}
	for _, name := range people(a) {
		if oneName(localPart(name), localPart(b)) {
			return true
		}
	}
	return false
}

// people splits a field that names several, and keeps it whole as well:
// "Sandvik, I." is one person.
func people(text string) []string {
	list := strings.FieldsFunc(strings.ReplaceAll(text, " and ", ","), func(r rune) bool { return strings.ContainsRune(",;/&+", r) })
	return append(list, text)
}

func oneName(a, b string) bool {
	if strings.TrimSpace(a) == strings.TrimSpace(b) {
		return true
	}
	x, y := words(a), words(b)
	if len(x) == 0 || len(y) == 0 {
		return false // a number, which the texts above would have shown
	}
	for _, form := range forms(x) {
		if slices.Contains(forms(y), form) {
			return true
		}
	}
	if len(x) > len(y) {
		x, y = y, x
	}
	return contained(x, y)
}

// forms are the ways to write a name as one word.
func forms(words []string) []string {
	if len(words) == 1 {
		return words
	}
	first, last := words[0], words[len(words)-1]
	reversed := slices.Clone(words)
	slices.Reverse(reversed)
	initials := ""
	for _, w := range words[:len(words)-1] {
		initials += initial(w)
	}
	return []string{
		strings.Join(words, ""), strings.Join(reversed, ""),
		initials + last, last + initials, initial(first) + last, last + initial(first), first + initial(last),
	}
}

func initial(word string) string { return string([]rune(word)[:1]) }

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

func localPart(text string) string {
	local, _, _ := strings.Cut(text, "@")
	return local
}

func words(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return !unicode.IsLetter(r) })
}

// plain writes the letters of the languages of Europe as they stand in the
// names of mailboxes.
var plain = strings.NewReplacer(
	"å", "a", "ä", "a", "á", "a", "à", "a", "â", "a", "ã", "a", "ą", "a", "ă", "a", "æ", "ae",
	"ö", "o", "ø", "o", "ó", "o", "ò", "o", "ô", "o", "õ", "o", "ő", "o", "œ", "oe",
	"ü", "u", "ú", "u", "ù", "u", "û", "u", "ů", "u", "ű", "u",
	"é", "e", "è", "e", "ê", "e", "ë", "e", "ę", "e", "ě", "e", "í", "i", "ì", "i", "î", "i", "ï", "i", "ı", "i",
	"ç", "c", "ć", "c", "č", "c", "ñ", "n", "ń", "n", "ň", "n", "ß", "ss", "ś", "s", "š", "s", "ş", "s", "ș", "s",
	"ł", "l", "ž", "z", "ź", "z", "ż", "z", "ý", "y", "ř", "r", "ť", "t", "ț", "t", "ď", "d", "ð", "d", "đ", "d", "þ", "th", "ğ", "g",
)

// fold drops case, accents (those written as marks of their own too) and the
// space round a text.
func fold(text string) string {
	text = strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return r
	}, strings.ToLower(strings.TrimSpace(text)))
	return plain.Replace(text)
}
