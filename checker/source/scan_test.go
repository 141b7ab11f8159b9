package source_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/source"
)

// same holds the scan of a text, where it did not give up, to the reading of
// the YAML library. It reports whether the scan read the text.
func same(t interface{ Fatalf(string, ...any) }, line int, text []byte) bool {
	got, _ := source.ScanJSON("kit.json", line, text)
	if got == nil {
		return false
	}
	if !json.Valid(text) {
		t.Fatalf("%q: read, and is not JSON", text)
	}
	docs, problems := source.ParseYAML("kit.json", line, text)
	if len(problems) > 0 {
		if surrogates.Match(text) {
			return true // the library takes \ud83d\ude00 for two characters that there are not
		}
		t.Fatalf("%q: read; the library says %v", text, problems[0])
	}
	if len(docs) != 1 {
		t.Fatalf("%q: one document; the library reads %d", text, len(docs))
	}
	if why := source.Differ(got.Root, docs[0].Root); why != "" {
		t.Fatalf("%q: scan and library: %s", text, why)
	}
	if got, want := got.Line(line), docs[0].Line(line); got != want {
		t.Fatalf("%q: line %d is %q, want %q", text, line, got, want)
	}
	return true
}

var surrogates = regexp.MustCompile(`\\u[dD][89abAB]`)

// The library of reference is go.yaml.in/yaml/v4; the texts are valid JSON
// after RFC 8259, and some are not.
func TestScanTable(t *testing.T) {
	long := strings.Repeat("a", source.MaxScalar)
	tests := []struct {
		name, text string
		read       bool
	}{
		{"empty group", `{}`, true},
		{"empty list", `[]`, true},
		{"empty within", `{"a":{},"b":[]}`, true},
		{"numbers", `[0,-0,1,-1.5,1e5,1E+5,0.1e-7,123456789012345678901234567890,1e-999]`, true},
		{"words", `[true,false,null]`, true},
		{"words at the end of a line", "[true\n,false\r\n,null ]", true},
		{"escapes", `{"a\"\\\/\b\f\n\r\t":"\u00e9\u2028\u0000\u0085"}`, true},
		{"umlauts move columns", `{"ä":"öü","b":[1]}`, true},
		{"beyond the basic plane", `{"a":"😀","b":1}`, true},
		{"spread over lines", "\n {\n  \"a\" : 1 ,\r\n  \"b\": [\n1 , 2\n]\n}\n\n", true},
		{"pair of surrogates", `{"a":"\ud83d\ude00"}`, true},
		{"merge key in quotes", `{"<<":{"b":1}}`, true},
		{"text like a number", `["1","true","null","2026-10-02",""]`, true},
		{"as deep as allowed", strings.Repeat("[", source.MaxDepth) + strings.Repeat("]", source.MaxDepth), true},
		{"longest text", `["` + long + `"]`, true},

		{"too deep", strings.Repeat("[", source.MaxDepth+2) + strings.Repeat("]", source.MaxDepth+2), false},
		{"text too long", `["` + long + `b"]`, false},
		{"key too long", `{"` + strings.Repeat("a", 1100) + `":1}`, false},
		{"key twice", `{"a":1,"b":2,"a":3}`, false},
		{"lone surrogate", `["\ud83d"]`, false},
		{"two high surrogates", `["\ud83d\ud83d"]`, false},
		{"number too large", `[1e400]`, false},
		{"tab", "{\t\"a\":1}", false},
		{"carriage return alone", "[1,\r2]", false},
		{"byte order mark", "\ufeff{}", false},
		{"line separator", "[\"a\u2028b\"]", false},
		{"next line", "[\"a\u0085b\"]", false},
		{"delete", "[\"\x7f\"]", false},
		{"colon on the next line", "{\"a\"\n:1}", false},
		{"comma at the end", `[1,]`, false},
		{"comma alone", `[,]`, false},
		{"comma at the end of a group", `{"a":1,}`, false},
		{"no comma", `[1 2]`, false},
		{"no colon", `{"a" 1}`, false},
		{"bare key", `{a:1}`, false},
		{"bare text", `[a]`, false},
		{"number with a nought in front", `[01]`, false},
		{"number with a plus", `[+1]`, false},
		{"number without digits", `[-]`, false},
		{"point at the end", `[1.]`, false},
		{"hexadecimal", `[0x1F]`, false},
		{"longer word", `[nullx]`, false},
		{"line end in a text", "[\"a\nb\"]", false},
		{"unknown escape", `["\x41"]`, false},
		{"cut escape", `["\u00`, false},
		{"cut", `{"a":`, false},
		{"cut text", `["a`, false},
		{"two values", `{} {}`, false},
		{"scalar", `1`, false},
		{"nothing", ``, false},
		{"spaces", ` `, false},
		{"comment", "{} # a", false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			for _, line := range []int{1, 7} {
				if got := same(t, line, []byte(tt.text)); got != tt.read {
					t.Errorf("from line %d: read: %v, want %v", line, got, tt.read)
				}
			}
		})
	}
}

// genJSON draws a list or a group with so many levels below it, with space
// where RFC 8259, section 2, allows it.
func genJSON(t *rapid.T, depth int) string {
	space := func() string {
		return rapid.SampledFrom([]string{"", "", "", " ", "  ", "\n", "\r\n "}).Draw(t, "space")
	}
	var b strings.Builder
	group := rapid.Bool().Draw(t, "group")
	ends := map[bool]string{false: "[]", true: "{}"}[group]
	b.WriteString(ends[:1])
	for i := range rapid.IntRange(0, 5).Draw(t, "items") {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString(space())
		if group {
			fmt.Fprintf(&b, `"%d%s:`, i, genText(t)[1:])
			b.WriteString(space())
		}
		if depth > 0 && rapid.IntRange(0, 2).Draw(t, "deeper") == 0 {
			b.WriteString(genJSON(t, depth-1))
		} else {
			b.WriteString(genScalar(t))
		}
		b.WriteString(space())
	}
	return b.String() + ends[1:]
}

func genScalar(t *rapid.T) string {
	switch rapid.IntRange(0, 4).Draw(t, "kind") {
	case 0:
		return rapid.SampledFrom([]string{"true", "false", "null"}).Draw(t, "word")
	case 1, 2:
		return genText(t)
	}
	return rapid.StringMatching(`-?(0|[1-9][0-9]{0,20})(\.[0-9]{1,5})?([eE][+-]?[0-9]{1,2})?`).Draw(t, "number")
}

func genText(t *rapid.T) string {
	pieces := rapid.SliceOfN(rapid.OneOf(
		rapid.StringMatching(`[ -!#-\[\]-~äöÅ漢😀]{0,6}`),
		rapid.StringMatching(`\\(["\\/bfnrt]|u[0-9A-Ca-c][0-9A-Fa-f]{3})`),
		rapid.SampledFrom([]string{": ", " #", "- ", "---", "...", "%", "&a", "*a", "!!str", "<<", "|", ">", "@", "`", "{", "}", ",", "[", "]"}),
	), 0, 6).Draw(t, "text")
	return `"` + strings.Join(pieces, "") + `"`
}

// TestScanProperty: the scan reads every ordinary JSON text, and as the
// library does.
func TestScanProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SampledFrom([]string{"", "\n", "  "}).Draw(t, "before") + genJSON(t, 3) + rapid.SampledFrom([]string{"", "\n", " \r\n"}).Draw(t, "after")
		if !same(t, rapid.IntRange(1, 3).Draw(t, "line"), []byte(text)) {
			t.Fatalf("%q: not read", text)
		}
	})
}

// TestScanBroken: a byte put in, taken out or changed is never read otherwise
// than by the library.
func TestScanBroken(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := []byte(genJSON(t, 3))
		i := rapid.IntRange(0, len(text)-1).Draw(t, "at")
		c := rapid.SampledFrom([]byte(" \t\r\n\"'\\{}[],:-+.#&*!|>%0129eutfna\x7f\xc3")).Draw(t, "byte")
		switch rapid.IntRange(0, 2).Draw(t, "how") {
		case 0:
			text = append(text[:i:i], append([]byte{c}, text[i:]...)...)
		case 1:
			text = append(text[:i:i], text[i+1:]...)
		case 2:
			text[i] = c
		}
		docs, _ := source.Parse("kit.json", text) // which looks at the bytes first
		if len(docs) > 0 {
			same(t, 1, text)
		}
	})
}

// TestScanKit: an example kit, and a catalogue, written as JSON.
func TestScanKit(t *testing.T) {
	for _, file := range []string{"../../examples/trailer/trailer.kit.yaml", "../../examples/parts/winter.parts.yaml"} {
		text := asJSON(t, file)
		if !same(t, 1, text) {
			t.Errorf("%s as JSON: not read by the scan", file)
		}
		var indented bytes.Buffer
		if err := json.Indent(&indented, text, "", "  "); err != nil {
			t.Fatal(err)
		}
		if !same(t, 3, indented.Bytes()) {
			t.Errorf("%s as indented JSON: not read by the scan", file)
		}
	}
}

func asJSON(t testing.TB, file string) []byte {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	docs, problems := source.Parse(file, text)
	if len(problems) > 0 || len(docs) != 1 {
		t.Fatalf("%s: %v", file, problems)
	}
	return docs[0].Root.JSON()
}

// TestParseAt: every place is that in the whole stream, also of a problem.
func TestParseAt(t *testing.T) {
	tests := []struct{ name, text, want string }{
		{"byte that is no text", "{\"a\":\"\xff\"}", "kits:41:7: the byte 0xff is not UTF-8 text"},
		{"key twice", `{"a":1,"a":2}`, `kits:41:8: the key "a" was already given on line 41`},
		{"cut", `{"a":`, "kits:41:"},
		{"not finite", `{"a":.inf}`, "kits:41:6: .inf is not a finite number"},
		{"cut on the next line", "{\n\"a\":[", "kits:42:"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, problems := source.ParseAt("kits", 41, []byte(tt.text))
			if len(problems) == 0 {
				t.Fatal("got no problem")
			}
			if got := problems[0].Error(); !strings.HasPrefix(got, tt.want) {
				t.Errorf("got %s, want %s", got, tt.want)
			}
		})
	}
	docs, _ := source.ParseAt("kits", 41, []byte(`{a: 'b'}`)) // not JSON: read by the library
	if got, want := docs[0].Root.Get("a").Pos().String(), "kits:41:5"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if got, want := docs[0].Line(41), `{a: 'b'}`; got != want {
		t.Errorf("line 41: got %q, want %q", got, want)
	}
}

func FuzzScan(f *testing.F) {
	f.Add([]byte(`{"a":[1,-2.5e3,true,null],"b":{"ä":"x\n\u00e9"}}`))
	f.Add([]byte("{\n \"a\" : \"b\" ,\r\n\"c\":[]}"))
	f.Fuzz(func(t *testing.T, text []byte) {
		if docs, _ := source.Parse("kit.json", text); len(docs) > 0 {
			same(t, 1, text)
		}
	})
}

// BenchmarkJSON compares the scan with the library on the same kit.
func BenchmarkJSON(b *testing.B) {
	text := asJSON(b, "../../examples/trailer/trailer.kit.yaml")
	b.Run("scan", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		b.ReportAllocs()
		for b.Loop() {
			source.Parse("kit.json", text)
		}
	})
	b.Run("library", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		b.ReportAllocs()
		for b.Loop() {
			source.ParseYAML("kit.json", 1, text)
		}
	})
}

// A group of many members that another takes over is read in one go, and a
// text with more values than are accepted is not read a second time.
func TestLargeTexts(t *testing.T) {
	const many = 100_000
	var b strings.Builder
	b.WriteString("a: &a {")
	for i := range many {
		fmt.Fprintf(&b, "x%d: 1,", i)
	}
	b.WriteString("}\nk: {<<: *a}\n")
	docs, problems := source.Parse("kit.yaml", []byte(b.String()))
	if len(problems) > 0 || len(docs) != 1 || len(docs[0].Root.Get("k").Members) != many {
		t.Errorf("%d documents, problems %v; want %d members taken over", len(docs), problems, many)
	}
	text := []byte(`{"a": [` + strings.Repeat(`{"b": {"c": {"d": []}}},`, source.MaxNodes/4) + `1]}`)
	if doc, crowded := source.ScanJSON("kit.json", 1, text); doc != nil || !crowded {
		t.Errorf("a text of more than %d values: crowded is %t", source.MaxNodes, crowded)
	}
}
