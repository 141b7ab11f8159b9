package booklet

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/quantities/procedure"
)

// TestWords: every language has every word, every kind of step has its own, and
// no word is there that nothing uses.
func TestWords(t *testing.T) {
	w := OwnWords()
	if got := w.Languages(); !slices.Equal(got, []string{"de", "en"}) {
		t.Errorf("got the languages %v", got)
	}
	for _, k := range procedure.Kinds {
		if !slices.Contains(w.keys, "step_"+k.Name) {
			t.Errorf("steps %s have no heading", k.Name)
		}
	}
	source := ""
	for _, file := range []string{"page.tmpl", "booklet.go", "lay.go", "steps.go", "needs.go", "amounts.go"} {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		source += string(text)
	}
	for _, key := range w.keys {
		family, _, _ := strings.Cut(key, "_")
		if !strings.Contains(source, `"`+key+`"`) && !strings.Contains(source, `"`+key[:strings.LastIndex(key, "_")+1]+`"`) && !strings.Contains(source, `"`+family+`_"`) {
			t.Errorf("nothing uses the word %s", key)
		}
	}
	for _, m := range regexp.MustCompile(`(?:m\.t\(|\{t |t )"([a-z_]+)"`).FindAllStringSubmatch(source, -1) {
		if !slices.Contains(w.keys, m[1]) && !strings.HasSuffix(m[1], "_") {
			t.Errorf("the table lacks the word %s", m[1])
		}
	}
}

// TestReadWords: a file of words is taken whole, or refused with its place.
func TestReadWords(t *testing.T) {
	whole := swedish(t)
	w, err := ReadWords("sv.yaml", []byte(whole))
	if err != nil {
		t.Fatal(err)
	}
	l, err := w.Language("sv")
	if err != nil || l.Decimal != "," {
		t.Errorf("got %+v, %v", l, err)
	}
	if _, err := w.Language("de"); err != nil {
		t.Error("the program's own languages are gone")
	}
	for _, tt := range []struct{ name, old, new, want string }{
		{"missing", `  booklet: {sv: "x"}` + "\n", "", "language sv lacks 1 of"},
		{"unknown", "  booklet:", "  bookle:", `the booklet has no word "bookle"; nearest is "booklet"`},
		{"language", "booklet: {sv:", "booklet: {nn:", "in nn, which is not among the languages"},
		{"blank", `{number}`, `{numer}`, "has to be filled in with {number}, and in sv it is with {numer}"},
		{"decimal", `decimal: ","`, `decimal: ";"`, "needs a decimal sign"},
		{"code", "  sv: {name", "  SV?: {name", "is no code of a language"},
		{"name", "name: Svenska, ", "", "language sv has no name"},
		{"group", "words:", "word:", `there is no group "words"`},
		{"syntax", "words:", "words: [", "sv.yaml:"},
	} {
		if !strings.Contains(whole, tt.old) {
			t.Fatalf("%s: the file does not hold %q", tt.name, tt.old)
		}
		_, err := ReadWords("sv.yaml", []byte(strings.Replace(whole, tt.old, tt.new, 1)))
		if err == nil || !strings.Contains(err.Error(), tt.want) || !strings.HasPrefix(err.Error(), "sv.yaml:") {
			t.Errorf("%s: got %v, want something that says %q with its place", tt.name, err, tt.want)
		}
	}
}

// swedish is a file of words that has every word with its blanks.
func swedish(t *testing.T) string {
	t.Helper()
	english, err := OwnWords().Language("en")
	if err != nil {
		t.Fatal(err)
	}
	text := "languages:\n  sv: {name: Svenska, decimal: \",\"}\nwords:\n"
	for _, key := range OwnWords().keys {
		text += "  " + key + `: {sv: "x` + strings.Join(blanks(english.words[key]), "") + "\"}\n"
	}
	return text
}

// TestNumbers: a decimal comma never makes thousands of a fraction.
func TestNumbers(t *testing.T) {
	german, _ := OwnWords().Language("de")
	english, _ := OwnWords().Language("en")
	for _, tt := range []struct{ text, de string }{
		{"3.8 l", "3,8 l"}, {"1.234 l", "1,2340 l"}, {"0.125 l", "0,125 l"}, {"12.3456 m", "12,3456 m"}, {"1234.567 m", "1234,567 m"},
		{"-0.5 mm", "-0,5 mm"}, {"20 min", "20 min"}, {"10 3/8 in", "10 3/8 in"},
	} {
		if got := german.number(tt.text); got != tt.de {
			t.Errorf("%s: got %s, want %s", tt.text, got, tt.de)
		}
		if got := english.number(tt.text); got != tt.text {
			t.Errorf("%s: got %s in English", tt.text, got)
		}
	}
}
