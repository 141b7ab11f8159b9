package dossier_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"path/filepath"
	"strings"
	"testing"

	"kitgauge/checker/golden"
	"kitgauge/checker/report/dossier"
	"kitgauge/checker/report/drawing"
)

// TestGoldenPictures keeps the pictures that the README shows beside the
// example: the first page of its dossier, and its schematic.
func TestGoldenPictures(t *testing.T) {
	file, text := readKit(t, "gritter")
	r, in := check(t, newChecker(), file, text)
	beside := func(name string) string { return filepath.Join(top, "examples", "gritter", name) }
	golden.Compare(t, beside("gritter-dossier.svg"), pictureOf(t, in))
	var b bytes.Buffer
	if err := drawing.Schematic(&b, drawing.Input{Kit: r.Facts, Findings: r.Findings}); err != nil {
		t.Fatal(err)
	}
	golden.Compare(t, beside("gritter-schematic.svg"), b.Bytes())
}

// pictureOf is the first page of a dossier as a picture: the page itself in an
// SVG, so that no browser is needed to make it, and the same kit gives the same
// bytes.
func pictureOf(t *testing.T, in dossier.Input) []byte {
	t.Helper()
	page := string(write(t, in))
	part := func(from, to string) string {
		_, rest, found := strings.Cut(page, from)
		inside, _, ends := strings.Cut(rest, to)
		if !found || !ends {
			t.Fatalf("the page has no %s", from)
		}
		return from + inside + to
	}
	body := part("<header>", "</header>") + "\n<main class=\"frame\">\n" + part(`<section id="verdict"`, "</section>") + "\n</main>"
	body = strings.ReplaceAll(body, "<svg ", `<svg xmlns="http://www.w3.org/2000/svg" `)
	style := strings.TrimSuffix(strings.TrimPrefix(part("<style>", "</style>"), "<style>"), "</style>")
	style, _, _ = strings.Cut(style, ".kit-drawing{") // no drawing is on this page
	picture := `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 860 1120" width="860" height="1120" role="img" aria-labelledby="name">
<title id="name">The first page of the dossier of kit WS-0207</title>
<style><![CDATA[` + style + `
:root{font-size:13px}
body{background:var(--paper);color:var(--ink);height:1120px;overflow:hidden}
]]></style>
<foreignObject x="0" y="0" width="860" height="1120"><body xmlns="http://www.w3.org/1999/xhtml"><div class="sheet">
` + body + `
</div></body></foreignObject>
</svg>
`
	wellFormed(t, picture)
	return []byte(picture)
}

// wellFormed reads a text as XML.
func wellFormed(t *testing.T, text string) {
	t.Helper()
	for d := xml.NewDecoder(strings.NewReader(text)); ; {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Fatal(err)
		}
	}
}
