package report_test

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"regexp"
	"testing"
	"unicode/utf8"

	"kitgauge/checker"
	"kitgauge/checker/finding"
	"kitgauge/checker/internal/mutation"
	"kitgauge/checker/report"
	"kitgauge/checker/report/dossier"
	"kitgauge/checker/report/drawing"
	"kitgauge/checker/report/sheet"
	"kitgauge/checker/source"
	"kitgauge/examples"
)

// notNumbers is what a number that is none looks like in a report.
var notNumbers = regexp.MustCompile(`\bNaN\b|[+-]Inf\b|%![a-zA-Z]?\(|<nil>`)

// FuzzReports writes in every format what a check finds in an example kit
// after a fuzzer's edits: absurd numbers and names get as far as the drawings.
func FuzzReports(f *testing.F) {
	const file, catalogue = "trailer/trailer.kit.yaml", "parts/winter.parts.yaml"
	shared := checker.OnExamples()
	trees := map[string]any{}
	for _, name := range []string{file, catalogue} {
		text, err := examples.ReadFile("", name)
		if err != nil {
			f.Fatal(err)
		}
		docs, problems := source.Parse(name, text)
		if len(problems) > 0 {
			f.Fatal(problems[0])
		}
		trees[name] = docs[0].Root.Plain()
	}
	f.Add([]byte{})
	f.Add([]byte("\x02\x04\x10\x20\x00\x00\x04\x20\x05\x00"))
	f.Add([]byte("\x00\x04\x31\x06\x00\x02\x04\x50\x2a\x00\x08\x04\x22\x00\x00"))
	f.Fuzz(func(t *testing.T, program []byte) {
		texts := mutation.Edited(trees, program)
		read := func(_, name string) ([]byte, error) {
			if text, found := texts[name]; found {
				return text, nil
			}
			return nil, fs.ErrNotExist
		}
		c := shared.With(checker.Options{ReadFile: read, NoSettings: true, Margins: true, On: "2026-11-25"})
		results, err := c.Check(file, texts[file])
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range results {
			reported(t, r, bytes.Join([][]byte{texts[file], texts[catalogue]}, nil))
		}
	})
}

// reported writes one result in every format.
func reported(t *testing.T, r *checker.Result, text []byte) {
	run := report.Run{Gate: finding.Major, Version: "0", On: "2026-11-25", Kits: []report.Kit{r.Kit}}
	for _, format := range formats {
		written(t, format.name, text, func(w io.Writer) error { return format.write(w, run) })
	}
	if r.Facts == nil {
		return
	}
	written(t, "dossier with drawings", text, func(w io.Writer) error { return dossier.Write(w, dossier.Input{Run: run, Facts: r.Facts}) })
	for i, s := range r.Facts.Spans {
		written(t, fmt.Sprintf("span %d", i+1), text, func(w io.Writer) error {
			return orSays(drawing.Span(w, drawing.Input{Kit: r.Facts, Findings: r.Findings}, s))
		})
	}
	written(t, "schematic", text, func(w io.Writer) error {
		return orSays(drawing.Schematic(w, drawing.Input{Kit: r.Facts, Findings: r.Findings}))
	})
	for _, s := range sheet.Of(r.Facts, sheet.ByLength).Sheets {
		written(t, s.Name, text, func(w io.Writer) error { return sheet.WriteCSV(w, s, sheet.CSV{}) })
	}
}

// orSays takes an error in plain words for an answer: there is nothing to draw.
func orSays(err error) error {
	if err != nil && notNumbers.MatchString(err.Error()) {
		return err
	}
	return nil
}

// written writes a report twice: without an error, the same bytes, UTF-8, of a
// size that has to do with that of the files, and without numbers that are none.
func written(t *testing.T, name string, text []byte, write func(io.Writer) error) {
	t.Helper()
	var first, second bytes.Buffer
	if err := write(&first); err != nil {
		t.Errorf("%s: %v", name, err)
	}
	if err := write(&second); err != nil || !bytes.Equal(first.Bytes(), second.Bytes()) {
		t.Errorf("%s: other bytes a second time (%v)", name, err)
	}
	if !utf8.Valid(first.Bytes()) {
		t.Errorf("%s: not UTF-8", name)
	}
	if most := 4<<20 + 200*len(text); first.Len() > most {
		t.Errorf("%s: %d bytes for %d", name, first.Len(), len(text))
	}
	if m := notNumbers.Find(first.Bytes()); m != nil && !bytes.Contains(text, m) {
		at := notNumbers.FindIndex(first.Bytes())[0]
		t.Errorf("%s holds %q: %s", name, m, first.Bytes()[max(0, at-100):min(first.Len(), at+100)])
	}
}
