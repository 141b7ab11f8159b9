package visible

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// Latin writes letters of other scripts as the Latin ones that they cannot be
// told from.
func Latin(text string) string { return lookalikes.Replace(text) }

// Plain is a text as it looks: without what cannot be seen, with ordinary spaces
// and hyphens, and letters that look like Latin ones as those.
func Plain(text string) string {
	text = strings.Map(func(r rune) rune {
		switch {
		case Hidden(r):
			return -1
		case unicode.Is(unicode.Pd, r) || r == '\u2212': // hyphens, dashes and the minus sign
			return '-'
		}
		return r
	}, text)
	return strings.TrimSpace(Latin(norm.NFKC.String(text)))
}

// Hidden reports whether nobody sees a character; the two joiners of [Unseen]
// are none that a word of Latin letters needs.
func Hidden(r rune) bool { return Unseen(r) || r == '\u200c' || r == '\u200d' }

// Odd is the first character of a text that looks like another, or like nothing,
// and its place, from 1. It is none where the text as it looks is none of plain
// letters: then it is written in a script of its own.
func Odd(text string) (odd rune, place int, found bool) {
	if Plain(text) == text || strings.IndexFunc(Plain(text), func(r rune) bool { return r > unicode.MaxASCII }) >= 0 {
		return 0, 0, false
	}
	for _, r := range text {
		if place++; r > unicode.MaxASCII || Hidden(r) {
			return r, place, true
		}
	}
	return 0, 0, false
}

// lookalikes write letters of other scripts as the Latin ones that they cannot
// be told from: Unicode Technical Standard 39, confusables.txt, those of
// Cyrillic, Greek, Cherokee and Armenian that stand for a single letter of a to
// z; from memory. The capital І
// and Ӏ, there a small l as the capital I is, are an I here, and the small к
// and κ, there a ĸ, a k.
var lookalikes = strings.NewReplacer(pairs(
	"аеҽһіјкорԛгсԁѕѵԝѡхуүӏАВСЕԌНІЈКМОРԚЅТѴԜХУҮӀЬ", "aeehijkopqrcdsvwwxyyiABCEGHIJKMOPQSTVWXYYIb",
	"αγικνορσυϳΑΒΕϜΖΗΙͿΚΜϺΝΟΡΤΥΧ", "ayikvopoujABEFZHIJKMMNOPTYX",
	"ᎪᏴᏟᎠᎬᏀᎻᎫᏦᏞᎷᏢᏒᏚᎢᏙᏔᏃ", "ABCDEGHJKLMPRSTVWZ", // Cherokee
	"օոսհցզ", "onuhgq", // Armenian
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
