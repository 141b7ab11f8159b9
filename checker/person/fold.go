package person

import (
	"strings"
	"unicode"

	"golang.org/x/text/cases"
	"golang.org/x/text/unicode/norm"
)

// spellings are the ways in which a text may be meant: by its letters without
// their accents, by what they look like in Latin script, and as the mailboxes
// of those who have an umlaut write it.
func spellings(text string) []string {
	text = norm.NFKC.String(strings.Map(visible, text))
	list := []string{fold(text)}
	for _, other := range []string{fold(lookalike.Replace(bare(text))), fold(umlauts.Replace(cases.Fold().String(text)))} {
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

// lookalike writes letters of other scripts as the Latin ones that they cannot
// be told from: Unicode Technical Standard 39, confusables.txt, those of
// Cyrillic and Greek that stand for a single letter of a to z. The capital І
// and Ӏ, there a small l as the capital I is, are an I here, and the small к
// and κ, there a ĸ, a k.
var lookalike = strings.NewReplacer(pairs(
	"аеҽһіјкорԛгсԁѕѵԝѡхуүӏАВСЕԌНІЈКМОРԚЅТѴԜХУҮӀЬ", "aeehijkopqrcdsvwwxyyiABCEGHIJKMOPQSTVWXYYIb",
	"αγικνορσυϳΑΒΕϜΖΗΙͿΚΜϺΝΟΡΤΥΧ", "ayikvopoujABEFZHIJKMMNOPTYX",
)...)

// pairs puts the letters of one text beside those of the next.
func pairs(texts ...string) []string {
	var list []string
	for i := 0; i < len(texts); i += 2 {
		from, to := []rune(texts[i]), []rune(texts[i+1])
		for k := range from {
			list = append(list, string(from[k]), string(to[k]))
		}
	}
	return list
}
