package person

import (
	"strings"
	"unicode"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"

	looks "kitgauge/checker/visible"
)

// spellings are the ways in which a text may be meant: by its letters without
// their accents, by what they look like in Latin script, and as the mailboxes
// of those who have an umlaut write it, and in the letters of their passport.
func spellings(text string) []string {
	text = norm.NFKC.String(strings.Map(visible, text))
	list := []string{fold(text)}
	for _, other := range []string{
		fold(looks.Latin(bare(text))),
		fold(strokes(looks.Latin(bare(text)), 'l')),
		fold(strokes(looks.Latin(bare(text)), 'i')),
		fold(umlauts.Replace(cases.Fold().String(text))),
		strings.ReplaceAll(passport.Replace(list[0]), "ь", ""),
	} {
		if other != list[0] {
			list = append(list, other)
		}
	}
	return list
}

// visible drops what cannot be seen: formats, controls, and the letters of no
// width (Unicode: Default_Ignorable_Code_Point).
func visible(r rune) rune {
	switch {
	case unicode.IsSpace(r):
		return ' '
	case unicode.In(r, unicode.Cc, unicode.Cf, unicode.Other_Default_Ignorable_Code_Point, unicode.Variation_Selector):
		return -1
	}
	return r
}

// fold drops case and accents, and writes the letters of Europe that are no
// others with an accent as they stand in the names of mailboxes.
func fold(text string) string { return special.Replace(bare(cases.Fold().String(text))) }

// bare drops the accents. A mark that belongs to one script is a letter of it
// and stays.
func bare(text string) string {
	return norm.NFC.String(strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) && unicode.Is(unicode.Inherited, r) {
			return -1
		}
		return r
	}, norm.NFD.String(text)))
}

var (
	special = strings.NewReplacer("æ", "ae", "œ", "oe", "ø", "o", "ı", "i", "ł", "l", "ð", "d", "đ", "d", "þ", "th", "ħ", "h", "ŧ", "t", "ŋ", "n")
	umlauts = strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "å", "aa", "ø", "oe")
)

// passport writes Cyrillic and Greek letters, in lower case and without
// accents, in Latin ones: ICAO Doc 9303 part 3, section 6, table B of Cyrillic
// (with й as и and ё as е, which lost their accents), and ISO 843 of Greek;
// from memory.
var passport = strings.NewReplacer(strings.Fields(`
	а a б b в v г g д d е e ж zh з z и i і i к k л l м m н n о o п p р r с s т t у u ф f х kh ц ts ч ch ш sh щ shch
	ъ ie ы y э e ю iu я ia є ie ј j љ lj њ nj ђ d ћ c џ dz
	ου ou α a β v γ g δ d ε e ζ z η i θ th ι i κ k λ l μ m ν n ξ x ο o π p ρ r σ s ς s τ t υ y φ f χ ch ψ ps ω o`)...)

// strokes writes what is one stroke, one ring or one bow in many fonts alike: the
// capital I and the digit 1 as the given letter, and the digits 0, 5 and 8 in
// words as O, S and B. In Unicode Technical Standard 39 the stroke is a small l,
// which is what it is read as within a word; where a word begins, it is an I.
func strokes(text string, stroke rune) string {
	runes := []rune(text)
	for i, r := range runes {
		before := i > 0 && unicode.IsLetter(runes[i-1])
		beside := before || i+1 < len(runes) && (unicode.IsLetter(runes[i+1]) || runes[i+1] == '.')
		switch {
		case r == 'I' || r == '|', r == '1' && beside, r == 'l' && !before && stroke == 'i':
			runes[i] = stroke
		case r == '0' && beside:
			runes[i] = 'O'
		case r == '5' && beside:
			runes[i] = 'S'
		case r == '8' && beside:
			runes[i] = 'B'
		}
	}
	return string(runes)
}
