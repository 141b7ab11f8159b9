package booklet

import (
	_ "embed"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"sync"

	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
)

//go:embed words.yaml
var ownWords []byte

// Words is the table of the words of the booklet, in one or several languages.
type Words struct {
	languages map[string]*Language
	keys      []string // in the order of the table
}

// Language is one column of the table.
type Language struct {
	Code    string // of the language (BCP 47): "de"
	Name    string // in itself: "Deutsch"
	Decimal string // the sign of its numbers: "." or ","
	words   map[string]string
}

// own is the table that is part of the program. It is read when it is first
// asked for.
var own = sync.OnceValue(func() *Words {
	w, err := readWords("words.yaml", ownWords, nil)
	if err != nil {
		panic(err) // a test holds it
	}
	return w
})

// OwnWords are the words that are part of the program.
func OwnWords() *Words { return own() }

// ReadWords reads a table of the same form, whose languages come beside those
// of the program, or in their place. It has to have every word.
func ReadWords(file string, text []byte) (*Words, error) { return readWords(file, text, own()) }

// Languages lists the codes, sorted.
func (w *Words) Languages() []string { return slices.Sorted(maps.Keys(w.languages)) }

// Language is the one of a code.
func (w *Words) Language(code string) (*Language, error) {
	if l := w.languages[code]; l != nil {
		return l, nil
	}
	return nil, fmt.Errorf("there is no language %q: there is %s", code, strings.Join(w.Languages(), ", "))
}

// readWords reads a table. With base it has no words of its own, and every
// language needs those of base.
func readWords(file string, text []byte, base *Words) (*Words, error) {
	docs, problems := source.Parse(file, text)
	if len(problems) > 0 {
		return nil, problems[0]
	}
	if len(docs) != 1 {
		return nil, fmt.Errorf("%s holds no table of words", file)
	}
	r := &wordReader{file: file, into: &Words{languages: map[string]*Language{}}, base: base}
	r.read(docs[0].Root)
	if r.err != nil {
		return nil, r.err
	}
	if base != nil {
		for code, l := range base.languages {
			if r.into.languages[code] == nil {
				r.into.languages[code] = l
			}
		}
	}
	return r.into, nil
}

// wordReader keeps the first thing that is wrong.
type wordReader struct {
	file string
	into *Words
	base *Words
	err  error
}

func (r *wordReader) fail(n *source.Node, format string, args ...any) {
	if r.err == nil {
		r.err = fmt.Errorf("%s: %s", n.Pos(), fmt.Sprintf(format, args...))
	}
}

func (r *wordReader) read(root *source.Node) {
	languages, words := r.group(root, "languages"), r.group(root, "words")
	if r.err != nil {
		return
	}
	for i, m := range languages.Members {
		r.language(m.Key, languages.Items[i])
	}
	for i, m := range words.Members {
		r.word(m.Key, words.Items[i])
	}
	if r.err != nil {
		return
	}
	if r.base != nil {
		r.into.keys = r.base.keys
	}
	for _, code := range r.into.Languages() {
		var missing []string
		for _, key := range r.into.keys {
			if r.into.languages[code].words[key] == "" {
				missing = append(missing, key)
			}
		}
		if len(missing) > 0 {
			r.fail(words, "language %s lacks %d of %d words: %s", code, len(missing), len(r.into.keys), strings.Join(missing, ", "))
		}
	}
}

// group is a member that is a group of members.
func (r *wordReader) group(n *source.Node, key string) *source.Node {
	m := n.Get(key)
	if n.Kind != source.Map || m == nil || m.Kind != source.Map {
		r.fail(n, "there is no group %q: a table of words has languages and words", key)
		return nil
	}
	return m
}

func (r *wordReader) language(code string, n *source.Node) {
	name, decimal := n.Get("name"), n.Get("decimal")
	switch {
	case !languageCode.MatchString(code):
		r.fail(n, "%q is no code of a language: write it as in BCP 47: sv, pt-BR", code)
	case name == nil || name.Scalar == "":
		r.fail(n, "language %s has no name", code)
	case decimal == nil || decimal.Scalar != "." && decimal.Scalar != ",":
		r.fail(n, `language %s needs a decimal sign: decimal: "." or decimal: ","`, code)
	default:
		r.into.languages[code] = &Language{Code: code, Name: name.Scalar, Decimal: decimal.Scalar, words: map[string]string{}}
	}
}

var languageCode = regexp.MustCompile(`^[a-z]{2,3}(-[A-Za-z0-9]{2,8})*$`)

func (r *wordReader) word(key string, n *source.Node) {
	if r.base == nil {
		r.into.keys = append(r.into.keys, key)
	} else if !slices.Contains(r.base.keys, key) {
		says := fmt.Sprintf("the booklet has no word %q", key)
		if near := spelling.Nearest(key, r.base.keys); near != "" {
			says += fmt.Sprintf("; nearest is %q", near)
		}
		r.fail(n, "%s", says)
		return
	}
	if n.Kind != source.Map {
		r.fail(n, "word %s needs a text in each language: {en: ..., de: ...}", key)
		return
	}
	for i, m := range n.Members {
		l := r.into.languages[m.Key]
		if l == nil {
			r.fail(n.Items[i], "word %s has a text in %s, which is not among the languages", key, m.Key)
			return
		}
		l.words[key] = n.Items[i].Scalar
		if want, got := r.filled(key, n), blanks(l.words[key]); !slices.Equal(want, got) {
			r.fail(n.Items[i], "word %s has to be filled in with %s, and in %s it is with %s", key, listed(want), m.Key, listed(got))
		}
	}
}

// filled are the blanks that a word has: in the program's own English, or else
// in the first language.
func (r *wordReader) filled(key string, n *source.Node) []string {
	if r.base != nil {
		return blanks(r.base.languages["en"].words[key])
	}
	return blanks(n.Items[0].Scalar)
}

var blank = regexp.MustCompile(`\{[a-z]+\}`)

// blanks lists what is to be filled in, sorted.
func blanks(text string) []string {
	found := blank.FindAllString(text, -1)
	slices.Sort(found)
	return found
}

func listed(blanks []string) string {
	if len(blanks) == 0 {
		return "nothing"
	}
	return strings.Join(blanks, " ")
}

// word is a word of the language with its blanks filled in: name and text in
// turns. What the table lacks is an error of the program.
func (l *Language) word(key string, fill ...string) (string, error) {
	text := l.words[key]
	if text == "" {
		return "", fmt.Errorf("the table of words has no %q", key)
	}
	for i := 0; i+1 < len(fill); i += 2 {
		fill[i] = "{" + fill[i] + "}"
	}
	return strings.NewReplacer(fill...).Replace(text), nil
}

var decimalPoint = regexp.MustCompile(`(\d+)\.(\d+)`)

// number writes the numbers of a computed text with the language's decimal
// sign. With a comma three decimals could be read as thousands, so a nought
// follows them.
func (l *Language) number(text string) string {
	if l.Decimal == "." {
		return text
	}
	return decimalPoint.ReplaceAllStringFunc(text, func(n string) string {
		whole, part, _ := strings.Cut(n, ".")
		if len(part) == 3 && len(whole) <= 3 && whole != "0" {
			part += "0"
		}
		return whole + l.Decimal + part
	})
}
