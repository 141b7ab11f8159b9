package person_test

import (
	"strings"
	"testing"
	"time"
	"unicode"

	"pgregory.net/rapid"

	"kitgauge/checker/person"
)

// The names are invented. Who is to be taken for whom is the house's own rule,
// told in the comment of Same: common practice, no source, but for what is
// named beside a row.
func TestSame(t *testing.T) {
	for _, tt := range []struct {
		why  string
		a, b string
		want bool
	}{
		{"the very same", "I. Sandvik", "I. Sandvik", true},
		{"an initial for the first name", "I. Sandvik", "Ingrid Sandvik", true},
		{"no full stop, no capitals", "i sandvik", "I.Sandvik", true},
		{"the surname first", "Sandvik, Ingrid", "Ingrid Sandvik", true},
		{"the surname first, with an initial", "Sandvik, I.", "Ingrid Sandvik", true},
		{"the surname first, without a comma", "Sandvik Ingrid", "Ingrid Sandvik", true},
		{"a second first name more", "Ingrid Marie Sandvik", "Ingrid Sandvik", true},
		{"two initials for two first names", "I. M. Sandvik", "Ingrid Marie Sandvik", true},
		{"a hyphen between first names", "Anne-Marie Berg", "Annemarie Berg", true},
		{"the surname alone may be anybody of it", "Sandvik", "Ingrid Sandvik", true},
		{"initials alone", "I.S.", "Ingrid Sandvik", true},
		{"initials alone, as a word", "IS", "Ingrid Sandvik", true},
		{"initials alone, the surname first", "SI", "Sandvik, Ingrid", true},
		{"initials of the short form", "IS", "I. Sandvik", true},
		{"an initial that two share", "S. Sandvik", "sandvik.sven", true},

		{"a mailbox", "I. Sandvik", "i.sandvik@nordhang.example", true},
		{"a mailbox in one word", "I. Sandvik", "isandvik@nordhang.example", true},
		{"a mailbox, the surname first", "I. Sandvik", "sandvik.i@nordhang.example", true},
		{"a mailbox, the initial last", "I. Sandvik", "SandvikI", true},
		{"a mailbox of the full name", "I. Sandvik", "ingrid.sandvik@nordhang.example", true},
		{"a mailbox of the initial", "Ingrid Sandvik", "i.sandvik@nordhang.example", true},
		{"a mailbox of the first name", "Ingrid Sandvik", "ingrids@nordhang.example", true},
		{"a mailbox with an underscore", "Sandvik, Ingrid", "i_sandvik", true},
		{"a mailbox of two initials", "Ingrid Marie Sandvik", "im.sandvik@nordhang.example", true},
		{"a mailbox of two initials in one word", "Ingrid Marie Sandvik", "imsandvik", true},
		{"a mailbox without the second name", "Ingrid Marie Sandvik", "ingrid.sandvik", true},
		{"a mailbox says more", "sandvik", "i.sandvik@nordhang.example", true},
		{"one mailbox in two houses", "i.sandvik@nordhang.example", "i.sandvik@elsewhere.example", true},
		{"a mailbox with a number to tell it from others", "I. Sandvik", "i.sandvik2@nordhang.example", true},
		{"a name beside its address", "Ingrid Sandvik <i.sandvik@nordhang.example>", "I. Sandvik", true},

		{"a title", "Dr. I. Sandvik", "Ingrid Sandvik", true},
		{"a title of two words", "Dipl.-Ing. Ingrid Sandvik", "I. Sandvik", true},
		{"two titles", "Prof. Dr. Sandvik", "Ms Ingrid Sandvik", true},
		{"a title behind the name", "Ingrid Sandvik, B.Eng.", "Mrs. Sandvik", true},
		{"titles of two people do not make them one", "Dr. Ingrid Sandvik", "Dr. Rose Okafor", false},
		{"a title that could be initials", "M.S. Berg", "K. Berg", false},

		{"letters of the north", "Bjørn Ås", "bjorn.as@nordhang.example", true},
		{"letters of the north, spelt out", "Bjørn Ås", "bjoern.aas@nordhang.example", true},
		{"an umlaut spelt out", "Jürgen Groß", "juergen.gross@nordhang.example", true},
		{"an umlaut without its dots", "JÜRGEN GROSS", "Jurgen Groß", true},
		{"an accent as a mark of its own (Unicode NFD)", "Zoe\u0308 Berg", "Zoë Berg", true},
		{"letters that are no others with an accent", "Łukasz Żak", "lukasz.zak", true},
		{"a dotted capital I, as Turkish has it", "İnci Şahin", "inci.sahin", true},
		{"full-width letters (Unicode NFKC)", "Ｉ．　Ｓａｎｄｖｉｋ", "I. Sandvik", true},
		{"mathematical letters (Unicode NFKC)", "𝐈𝐧𝐠𝐫𝐢𝐝 𝐒𝐚𝐧𝐝𝐯𝐢𝐤", "I. Sandvik", true},
		{"Cyrillic letters that look Latin (Unicode TS 39)", "І. Ѕаndvіk", "I. Sandvik", true},
		{"a digit for a letter", "I. 5andvik", "Ingrid Sandvik", true},
		{"a ring for a letter (Unicode TS 39)", "R. 0kaf0r", "Rose Okafor", true},
		{"a stroke for a letter (Unicode TS 39)", "l. Sandvik", "I. Sandvik", true},
		{"a one for a letter (Unicode TS 39)", "1ngrid Sandvik", "Ingrid Sandvik", true},
		{"a Cherokee letter that looks Latin (Unicode TS 39)", "I. \u13daandvik", "I. Sandvik", true},
		{"a stroke for an initial, and a mailbox", "l. Sandv\u03b9k", "i.sandvik@nordhang.example", true},
		{"a digit for a letter, and a mailbox", "I. 5andvik", "i.sandvik@nordhang.example", true},
		{"a form of address", "Hr. Sandvik", "Ingrid Sandvik", true},
		{"two people, one letter apart", "Kari Berg", "Karl Berg", false},
		{"Greek letters that look Latin (Unicode TS 39)", "Ιngrid Sαndνiκ", "I. Sandvik", true},
		{"a name in Cyrillic, in capitals", "В. НИКИТИН", "в. никитин", true},
		{"two names in Cyrillic", "Иван Петров", "Пётр Иванов", false},
		{"two names in Devanagari, told apart by a vowel sign", "दिव्या", "दाव्या", false},
		{"a zero width space within", "Ingrid Sand\u200bvik", "Ingrid Sandvik", true},
		{"a soft hyphen and a joiner within", "In\u00adgrid\u200d Sandvik", "Ingrid Sandvik", true},
		{"a letter without width (U+3164)", "Ingrid\u3164 Sandvik", "Ingrid Sandvik", true},
		{"a space that does not break", "Ingrid\u00a0Sandvik", "Ingrid Sandvik", true},

		{"one of two", "K. Berg / I. Sandvik", "i.sandvik@nordhang.example", true},
		{"one of two, with a word", "K. Berg and I. Sandvik", "i.sandvik@nordhang.example", true},
		{"one of two, with a comma", "K. Berg, I. Sandvik", "Ingrid Sandvik", true},
		{"one of two addresses", "kberg@nordhang.example, isandvik@nordhang.example", "I. Sandvik", true},
		{"neither of two", "K. Berg, I. Sandvik", "R. Okafor", false},
		{"two with a role each", "I. Sandvik, designer", "R. Okafor, inspector", false},
		{"one of two of a house", "I. Sandvik, Nordhang", "R. Okafor, Nordhang", false},

		{"a number of the staff", "10442", "10442@nordhang.example", true},
		{"another number", "10442", "10443@nordhang.example", false},
		{"a number is no name", "I. Sandvik", "10442", false},

		{"another name", "I. Sandvik", "r.okafor@nordhang.example", false},
		{"another initial", "I. Sandvik", "k.sandvik@nordhang.example", false},
		{"another first name", "I. Sandvik", "Kari Sandvik", false},
		{"another first name, the surname first", "Sandvik, Ingrid", "Sandvik, Kari", false},
		{"two first names with one initial", "Ingrid Sandvik", "Ivar Sandvik", false},
		{"two first names with one initial, the surname first", "Sandvik, Ingrid", "Sandvik, Ivar", false},
		{"two first names with one initial, in mailboxes", "ingrid.sandvik@nordhang.example", "ivar.sandvik@nordhang.example", false},
		{"two usual names with one initial", "John Smith", "James Smith", false},
		{"two first names that begin alike", "Karl Berg", "Klaus Berg", false},
		{"two first names, one with a letter of the north", "Anna Berg", "Årne Berg", false},
		{"two second initials", "I. B. Sandvik", "I. C. Sandvik", false},
		{"two second first names", "Ingrid Berit Sandvik", "Ingrid Carla Sandvik", false},
		{"two surnames with one initial", "Anna Meyer", "Anna Meier", false},
		{"two surnames with one initial, both names short", "A. Meyer", "A. Meier", false},
		{"two surnames that begin alike", "Rose Okafor", "Rose Okoro", false},
		{"a surname that goes on", "John Smith", "John Smithson", false},
		{"a Herr and a Frau", "Herr Huber", "Frau Huber", false},
		{"a Mr and a Ms", "Mr. J. Smith", "Ms J. Smith", false},
		{"two forms of address of one", "Mrs. Huber", "Frau Dr. Huber", true},
		{"a form of address and none", "Herr Huber", "Huber, Karl", true},
		{"an office in brackets", "Ingrid Sandvik (design)", "Ingrid Sandvik (quality)", true},
		{"an office in square brackets", "I. Sandvik [design]", "Sandvik, Ingrid", true},
		{"one office of two people", "Ingrid Sandvik (design)", "Rose Okafor (design)", false},
		{"a name in brackets alone", "(I. Sandvik)", "Ingrid Sandvik", true},
		{"a name in Cyrillic and in Latin (ICAO Doc 9303)", "И. Петров", "I. Petrov", true},
		{"a full name in Cyrillic and in Latin (ICAO Doc 9303)", "Щукин, Юрий", "Iurii Shchukin", true},
		{"a name in Greek and in Latin (ISO 843)", "Νίκος Θεοδώρου", "N. Theodorou", true},
		{"two names in Cyrillic and in Latin", "И. Петров", "K. Petrov", false},
		{"an office", "I. Sandvik", "quality@nordhang.example", false},
		{"the same initials, both with a surname", "Bo Li", "b.lindqvist", false},
		{"a single letter", "I. Sandvik", "i", false},
		{"other initials", "RO", "Ingrid Sandvik", false},

		{"nobody and nobody", "", "", false},
		{"nothing but spaces", "  ", "I. Sandvik", false},
		{"nothing that can be seen", "\u200b\u2060", "\u200b\u2060", false},
		{"letters without width", "\u3164", "\u3164", false},
		{"nothing but signs", "-", "-", false},
		{"an address without a name", "@nordhang.example", "@nordhang.example", false},
	} {
		if got := person.Same(tt.a, tt.b); got != tt.want {
			t.Errorf("%s: %q and %q: got one person %t, want %t", tt.why, tt.a, tt.b, got, tt.want)
		}
		if got := person.Same(tt.b, tt.a); got != tt.want {
			t.Errorf("%s: %q and %q: got one person %t, want %t", tt.why, tt.b, tt.a, got, tt.want)
		}
	}
}

func TestNamed(t *testing.T) {
	for text, want := range map[string]bool{
		"": false, " \t": false, "\u200b": false, "\u3164": false, "\u0301": false, "...": false, "@x.example": false, "?": false,
		"I": true, "10442": true, "Dr.": true, "Иван": true, "李": true, "i@x": true,
	} {
		if got := person.Named(text); got != want {
			t.Errorf("%q: got somebody %t, want %t", text, got, want)
		}
	}
}

// someName draws names of a few words, initials and titles, in any order and
// in letters that are easily taken for one another.
func someName(t *rapid.T, label string) string {
	word := rapid.SampledFrom([]string{"Ingrid", "Іngrid", "I.", "Sandvik", "SANDVIK", "Sándvík", "Berg", "B.", "Åse", "Dr.", "Dipl.-Ing.", "Bo", "Li", "7", "\u200b", "王", "दिव्या"})
	join := rapid.SampledFrom([]string{" ", " ", ", ", ".", "-", "_", " and ", " / ", "@"})
	var b strings.Builder
	for i := range rapid.IntRange(1, 4).Draw(t, label+" words") {
		if i > 0 {
			b.WriteString(join.Draw(t, label+" joined by"))
		}
		b.WriteString(word.Draw(t, label+" word"))
	}
	return b.String()
}

// Everybody is himself, in capitals and with titles too, and two are one
// person from both sides.
func TestAnyName(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a, b := someName(rt, "first"), someName(rt, "second")
		if person.Same(a, b) != person.Same(b, a) {
			rt.Fatalf("%q and %q are one person from one side alone", a, b)
		}
		for _, other := range []string{a, strings.ToUpper(a), " " + a + "\u200b", "Dr. " + a} {
			if person.Same(a, other) != person.Named(a) {
				rt.Fatalf("%q and %q: got one person %t, want %t", a, other, person.Same(a, other), person.Named(a))
			}
		}
	})
}

func FuzzSame(f *testing.F) {
	f.Add("I. Sandvik", "Sandvik, Ingrid")
	f.Add("Dipl.-Ing. Bjørn Ås", "bjoern.aas@nordhang.example")
	f.Add("І. Ѕаndvіk", "\u200bIS")
	f.Add("\u3164", "\xff@")
	f.Fuzz(func(t *testing.T, a, b string) {
		if person.Same(a, b) != person.Same(b, a) {
			t.Errorf("%q and %q are one person from one side alone", a, b)
		}
		if person.Same(a, a) != person.Named(a) {
			t.Errorf("%q is not himself", a)
		}
		seen := strings.IndexFunc(a, func(r rune) bool { return unicode.Is(unicode.Latin, r) || '0' <= r && r <= '9' }) >= 0
		if seen && !strings.Contains(a, "@") && !person.Named(a) {
			t.Errorf("%q is nobody", a)
		}
		if person.Same(a, b) && (!person.Named(a) || !person.Named(b)) {
			t.Errorf("%q and %q: nobody is somebody", a, b)
		}
	})
}

// A text that is all names takes no time that anybody would feel.
func TestLongText(t *testing.T) {
	var many strings.Builder
	for i := range 170 {
		many.WriteString(string(rune('a'+i%26)) + string(rune('a'+i/26)) + " x;")
	}
	for _, text := range []string{many.String(), strings.Repeat("a ", 490), strings.Repeat("İ ", 2000), many.String() + many.String()} {
		start := time.Now()
		if !person.Same(text, text) || !person.Same(text, strings.ToUpper(text)) || person.Same(text, "") {
			t.Errorf("%.20s... is not himself", text)
		}
		if took := time.Since(start); took > 2*time.Second {
			t.Errorf("%.20s... took %v", text, took)
		}
	}
}
