package dossier_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"golang.org/x/net/html"

	"kitgauge/checker"
	"kitgauge/checker/compare"
	"kitgauge/checker/internal/reporttest"
	"kitgauge/checker/report/dossier"
	"kitgauge/checker/source"
)

// hostile holds texts that would be markup, style, script or links, or that
// try to leave a text, an attribute, a string of CSS or the style sheet.
var hostile = []string{
	`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `' onclick='alert(1)`, `<svg onload=alert(1)>`, `</title><script>x</script>`,
	`</style><style>*{display:none}</style>`, `"}body{display:none}@page{content:"`, `\"}*{color:red}`, `*/ } * { color: red } /*`, `url(https://depot.example/x)`, `@import "https://depot.example/x"`,
	`javascript:alert(1)`, `data:text/html,x`, `https://depot.example`, `<a href="https://depot.example">x</a>`, `<!--`, `-->`, `]]>`, `<![CDATA[`, `&lt;b&gt;`, `&#x202e;`, `{{.Name}}`, `</svg></bdi></table><h1>x</h1>`,
	`<base href=//depot.example>`, `<meta http-equiv=refresh content=0>`, `<form><input name=x>`, "a\n\nb\r\nc\td", "\u2028x\u2029", reporttest.HarmfulText, strings.Repeat("w", 3000), strings.Repeat("م ", 40),
}

// TestHostile: whatever a kit says, the page is built as it is for a kit that
// says "x", and the text stands in it to be read.
func TestHostile(t *testing.T) {
	one := func(text string) []byte { return write(t, harmful(text)) }
	want := skeleton(t, one("x"))
	for _, text := range hostile {
		t.Run(fmt.Sprintf("%.20q", text), func(t *testing.T) {
			page := one(text)
			if diff := cmp.Diff(want, skeleton(t, page)); diff != "" {
				t.Errorf("-want +got:\n%s", diff)
			}
			harmless(t, page)
			if braces(page) != braces(one("x")) {
				t.Error("the style sheet has other rules")
			}
		})
	}
}

// harmful is an input whose every text is the one given.
func harmful(text string) dossier.Input {
	return dossier.Input{
		Run: reporttest.HarmfulWith(text), Files: []checker.Input{{Role: checker.Role(text), Name: text, Text: []byte(text)}}, LeftOut: []string{text},
		Changes: []checker.Change{{Name: text, Was: text, Is: text, Reason: text, Pos: source.Pos{File: text, Line: 1, Column: 1}}},
		Against: &compare.Comparison{
			Old: compare.Title{File: text, Number: text, Revision: text, Title: text, Status: text}, New: compare.Title{File: text, Number: text},
			Changes:  []compare.Change{{Kind: compare.Changed, Section: text, Place: text, Member: text, Text: text}},
			Figures:  []compare.Figure{{Kind: text, Place: text, Name: text, OldWhy: text, NewWhy: text}},
			Findings: []compare.Finding{{Kind: compare.Added, New: &reporttest.HarmfulWith(text).Kits[0].Findings[0], Text: text}},
		},
	}
}

// braces counts the blocks of the style sheet.
func braces(page []byte) int {
	return bytes.Count(styleOf.FindSubmatch(page)[1], []byte("{"))
}

// skeleton lists the elements of a page with the names of their attributes.
func skeleton(t *testing.T, page []byte) []string {
	t.Helper()
	var list []string
	each(t, page, func(tag html.Token) {
		line := tag.Data
		for _, a := range tag.Attr {
			line += " " + a.Key
		}
		list = append(list, line)
	})
	return list
}

// each calls f for every element of a page.
func each(t *testing.T, page []byte, f func(html.Token)) {
	t.Helper()
	z := html.NewTokenizer(bytes.NewReader(page))
	for {
		switch z.Next() {
		case html.ErrorToken:
			if z.Err() != io.EOF {
				t.Fatal(z.Err())
			}
			return
		case html.StartTagToken, html.SelfClosingTagToken:
			f(z.Token())
		case html.CommentToken:
			t.Errorf("there is a comment: %s", z.Token().Data)
		}
	}
}

// The elements and attributes of a dossier.
var (
	elements = strings.Fields(`html head meta title style body a div header p h1 h2 h3 h4 bdi dl dt dd main section nav ol ul li span small b strong svg g path circle rect text desc defs pattern clippath
		table caption thead tbody tr th td code pre article fieldset legend label input figure figcaption wbr`)
	attributes = strings.Fields(`lang charset http-equiv content name class href id tabindex role data-number data-head value type checked scope colspan
		aria-labelledby aria-label aria-hidden focusable viewbox preserveaspectratio xmlns width height x y x1 y1 rx r cx cy d fill stroke stroke-width font-size text-anchor transform patternunits patterntransform clip-path`)
)

// harmless holds a page to the elements and attributes that it is made of, to
// links within itself, and to characters that can be seen.
func harmless(t *testing.T, page []byte) {
	t.Helper()
	each(t, page, func(tag html.Token) {
		if !slices.Contains(elements, tag.Data) {
			t.Errorf("there is an element %s", tag)
		}
		for _, a := range tag.Attr {
			switch {
			case !slices.Contains(attributes, a.Key):
				t.Errorf("there is an attribute %s in %s", a.Key, tag.Data)
			case a.Key == "href" && !strings.HasPrefix(a.Val, "#"):
				t.Errorf("a link leads to %s", a.Val)
			case a.Key == "http-equiv" && a.Val != "Content-Security-Policy":
				t.Errorf("there is a %s", a.Val)
			case strings.Contains(a.Val, "url(") && !strings.HasPrefix(a.Val, "url(#") && a.Key != "aria-label":
				t.Errorf("an attribute leads to %s", a.Val)
			}
		}
	})
	if !utf8.Valid(page) {
		t.Error("not UTF-8")
	}
	for _, r := range string(page) {
		if r != '\n' && (unicode.Is(unicode.Cc, r) || unicode.Is(unicode.Bidi_Control, r) || r == '\u2028' || r == '\u2029') {
			t.Errorf("got %U in the page", r)
			return
		}
	}
}

// free are the members of a kit file that hold free text.
var free = strings.Fields(`number revision title status owner drawn_by checked_by date description datum name access note safety_notice text reason granted_by until place id body parent child point bundle leaves_at pump_marker point_marker part thread`)

// hostileKit is the dossier of a kit that has a hostile text in every member
// that can hold one.
func hostileKit(t testing.TB) []byte {
	t.Helper()
	file, text := readKit(t, "trailer")
	docs, problems := source.Parse(file, text)
	if len(problems) > 0 {
		t.Fatal(problems[0])
	}
	var tree map[string]any
	if err := json.Unmarshal(docs[0].Root.JSON(), &tree); err != nil {
		t.Fatal(err)
	}
	bad := `<img src=x onerror=y>"'}</style><script>` + "\u202e\x07\x1b[2J\u2066" + "ä"
	spoil(tree, bad)
	tree["concessions"] = []any{map[string]any{"rule": "slack/steered", "place": bad, "reason": bad, "granted_by": bad, "until": bad}}
	spoilt, err := json.Marshal(tree)
	if err != nil {
		t.Fatal(err)
	}
	_, in := check(t, newChecker(), file, spoilt)
	return write(t, in)
}

func spoil(v any, bad string) {
	switch v := v.(type) {
	case []any:
		for _, item := range v {
			spoil(item, bad)
		}
	case map[string]any:
		for key, member := range v {
			if text, is := member.(string); is && slices.Contains(free, key) && key != "part" && key != "thread" {
				v[key] = text + bad
			}
			spoil(v[key], bad)
		}
	}
}

// TestHostileKit takes the texts all the way from the file, also into the
// drawings and the sheets.
func TestHostileKit(t *testing.T) {
	page := hostileKit(t)
	harmless(t, page)
	for _, want := range []string{"<h2 id=\"schematic-title\">", "<h2 id=\"sheet-call-out-title\">", "&lt;img src=x onerror=y&gt;"} {
		if !bytes.Contains(page, []byte(want)) {
			t.Errorf("%q is missing", want)
		}
	}
}
