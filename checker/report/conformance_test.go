package report_test

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"html"
	"io"
	"regexp"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"kitgauge/checker/finding"
	"kitgauge/checker/internal/reporttest"
	"kitgauge/checker/report"
	"kitgauge/checker/report/annotations"
	"kitgauge/checker/report/dossier"
	"kitgauge/checker/report/junit"
	"kitgauge/checker/report/markdown"
	"kitgauge/checker/report/record"
	"kitgauge/checker/report/sarif"
	"kitgauge/checker/report/terminal"
)

// formats are all that there are. Each output is taken to pieces in which a
// finding stands whole: blocks of text, or objects.
var formats = []struct {
	name   string
	write  func(io.Writer, report.Run) error
	pieces func(t *testing.T, out []byte) []string
	at     func(f *finding.Finding) []string // how file and line are written
	sums   bool                              // does not show what is known one by one
}{
	{"terminal", func(w io.Writer, r report.Run) error {
		return terminal.Write(w, r, terminal.Options{Width: 120, Working: true})
	}, blocks, together, false},
	{"json", record.Write, objectsOf("findings", "gone"), apart, false},
	{"sarif", func(w io.Writer, r report.Run) error { return sarif.Write(w, r, sarif.Options{}) }, objectsOf("results"), regions, false},
	{"junit", junit.Write, texts, together, false},
	{"annotations", func(w io.Writer, r report.Run) error { return annotations.Write(w, r, annotations.Options{}) }, lines, properties, true},
	{"dossier", func(w io.Writer, r report.Run) error { // one for each kit
		for i := range r.Kits {
			one := r
			one.Kits = r.Kits[i : i+1]
			if err := dossier.Write(w, dossier.Input{Run: one}); err != nil {
				return err
			}
		}
		return nil
	}, elements, together, false},
	{"markdown", func(w io.Writer, r report.Run) error { return markdown.Write(w, r, markdown.Options{}) }, items, together, false},
}

// small is the fleet without so many findings of one kind that a format may
// sum them up.
func small() report.Run {
	run := reporttest.Fleet()
	var kept []finding.Finding
	for _, f := range run.Kits[0].Findings {
		if f.Rule != "environment/tube-range" && f.Rule != "flow/run-within-tube" {
			kept = append(kept, f)
		}
	}
	run.Kits[0].Findings = kept
	return run
}

// TestConformance feeds the same findings to every format, and wants each
// finding in it: rule, file, line, message, and the place in the trade's
// words, together; of a concession who granted it, why, and until when; and
// the known findings that are gone.
func TestConformance(t *testing.T) {
	run := small()
	for _, format := range formats {
		t.Run(format.name, func(t *testing.T) {
			var b bytes.Buffer
			if err := format.write(&b, run); err != nil {
				t.Fatal(err)
			}
			pieces := format.pieces(t, b.Bytes())
			for i := range run.Kits {
				for j := range run.Kits[i].Findings {
					f := &run.Kits[i].Findings[j]
					if format.sums && f.Status == finding.Known {
						continue
					}
					want := append([]string{f.Rule, f.Message, f.Place, f.Severity.String()}, format.at(f)...)
					if c := f.Concession; c != nil {
						want = append(want, c.Reason, c.GrantedBy, c.Until)
					}
					if f.Status == finding.Violated {
						want = append(want, f.Remedy)
					}
					if format.name == "sarif" && f.Status != finding.NotEvaluated {
						want = append(want, f.Fingerprint)
					}
					if !inOne(pieces, want) {
						t.Errorf("%s at %s: nothing holds %q together", f.Rule, f.Place, want)
					}
				}
			}
			for _, g := range run.Gone {
				if !format.sums && !inOne(pieces, []string{g.Rule, g.Place, g.Kit}) {
					t.Errorf("gone %s is missing", g.Rule)
				}
			}
			if out := flat(b.String()); format.sums && (!strings.Contains(out, "1 known finding does not count") || !strings.Contains(out, "1 known finding is no longer found")) {
				t.Errorf("known findings are not summed up in %s", out)
			}
			shown := string(bytes.ReplaceAll(b.Bytes(), []byte(`\u0027`), []byte("'")))
			if !strings.Contains(strings.ReplaceAll(flat(shown), "&#39;", "'"), report.Caution) {
				t.Error("the caution is missing")
			}
		})
	}
}

// TestJudged wants in every format what settings weaken, and with what name; by
// what the kits were judged; and, but in the dossier of one kit, what was
// passed over.
func TestJudged(t *testing.T) {
	run := small()
	run.Policy, run.Passed = "origin/main", []string{"kits/a.Kit.yaml: the name of a kit is in small letters"}
	for i := range run.Kits {
		run.Kits[i].Weakened = &report.Weakened{Settings: []string{"kits/kitgauge.settings.yaml"}, Says: []string{"1 of 16 packs left out: flow", "gate none"}}
	}
	for _, format := range formats {
		var b bytes.Buffer
		if err := format.write(&b, run); err != nil {
			t.Fatal(err)
		}
		want := []string{"1 of 16 packs left out: flow", "gate none", "kits/kitgauge.settings.yaml", "origin/main"}
		if format.name != "dossier" {
			want = append(want, "kits/a.Kit.yaml")
		}
		for _, text := range want {
			if !strings.Contains(flat(b.String()), text) {
				t.Errorf("%s does not say %q", format.name, text)
			}
		}
	}
}

// hostile is the run of harmful texts, which stand where a kit is judged too.
func hostile(text string) report.Run {
	run := reporttest.HarmfulWith(text)
	run.Policy, run.Passed = text, []string{text}
	for i := range run.Kits {
		run.Kits[i].Weakened = &report.Weakened{Settings: []string{text}, Says: []string{text}}
	}
	return run
}

// TestHostile: what stands in a kit steers nothing, is UTF-8 on the way out,
// and the bytes are the same each time, in every format.
func TestHostile(t *testing.T) {
	for _, text := range []string{reporttest.HarmfulText, "::error::x\n::add-mask::y", "]]></failure>", "`</code><img src=x>", "\",\"a\":\"", "\x00\xff\xfe\u0085\u2029"} {
		for _, format := range formats {
			t.Run(fmt.Sprintf("%s/%q", format.name, text), func(t *testing.T) {
				var b, again bytes.Buffer
				if err := format.write(&b, hostile(text)); err != nil {
					t.Fatal(err)
				}
				if err := format.write(&again, hostile(text)); err != nil || !bytes.Equal(b.Bytes(), again.Bytes()) {
					t.Errorf("written again: got other bytes (%v)", err)
				}
				if !utf8.Valid(b.Bytes()) {
					t.Error("not UTF-8")
				}
				for _, r := range b.String() {
					if r != '\n' && (unicode.Is(unicode.Cc, r) || unicode.Is(unicode.Bidi_Control, r) || r == '\u2028' || r == '\u2029') {
						t.Errorf("got %U in the output", r)
					}
				}
				format.pieces(t, b.Bytes()) // can still be read
			})
		}
	}
}

func flat(text string) string { return strings.Join(strings.Fields(text), " ") }

// inOne reports whether one of the pieces holds all that is wanted.
func inOne(pieces []string, want []string) bool {
	for _, p := range pieces {
		all := true
		for _, w := range want {
			all = all && strings.Contains(strings.ToLower(p), strings.ToLower(flat(w)))
		}
		if all {
			return true
		}
	}
	return false
}

func together(f *finding.Finding) []string { return []string{f.Pos.String()} }

func apart(f *finding.Finding) []string {
	return []string{fmt.Sprintf("file: %s;", f.Pos.File), fmt.Sprintf("line: %d;", f.Pos.Line), fmt.Sprintf("column: %d;", f.Pos.Column)}
}

func regions(f *finding.Finding) []string {
	return []string{fmt.Sprintf("uri: %s;", f.Pos.File), fmt.Sprintf("startLine: %d;", f.Pos.Line), fmt.Sprintf("startColumn: %d;", f.Pos.Column)}
}

func properties(f *finding.Finding) []string {
	return []string{fmt.Sprintf("file=%s,line=%d,col=%d,", f.Pos.File, f.Pos.Line, f.Pos.Column)}
}

// blocks are the parts of a text between empty lines.
func blocks(_ *testing.T, out []byte) []string {
	var list []string
	for _, block := range strings.Split(string(out), "\n\n") {
		list = append(list, flat(block))
	}
	return list
}

// lines are the lines, as a runner reads them.
func lines(_ *testing.T, out []byte) []string {
	return strings.Split(strings.NewReplacer("%3A", ":", "%2C", ",", "%0A", "\n", "%25", "%").Replace(string(out)), "\n")
}

// elements are the articles and the rows of the tables of a page. The rows of
// one table share its caption.
func elements(_ *testing.T, out []byte) []string {
	var list []string
	tags := regexp.MustCompile(`<[^>]*>`)
	for _, article := range strings.Split(string(out), "<article") {
		list = append(list, flat(html.UnescapeString(tags.ReplaceAllString(article, " "))))
	}
	for _, table := range strings.Split(string(out), "<table") {
		caption, rows, _ := strings.Cut(table, "</caption>")
		for _, row := range strings.Split(rows, "<tr") {
			list = append(list, flat(html.UnescapeString(tags.ReplaceAllString(caption+" "+row, " "))))
		}
	}
	return list
}

// items are those of the lists, with their headings.
func items(_ *testing.T, out []byte) []string {
	var list []string
	for _, section := range strings.Split("\n"+string(out), "\n## ") {
		heading, rest, _ := strings.Cut(section, "\n")
		for _, item := range strings.Split(rest, "\n- ") {
			list = append(list, flat(heading+" "+item))
		}
	}
	return list
}

// texts are the texts of the cases, with their names.
func texts(t *testing.T, out []byte) []string {
	var list []string
	name := ""
	d := xml.NewDecoder(bytes.NewReader(out))
	for {
		token, err := d.Token()
		if err == io.EOF {
			return list
		}
		if err != nil {
			t.Fatal(err)
		}
		switch token := token.(type) {
		case xml.StartElement:
			for _, a := range token.Attr {
				if a.Name.Local == "name" {
					name = a.Value
					list = append(list, flat(name))
				}
			}
		case xml.CharData:
			for _, part := range strings.Split(string(token), "\n\n") {
				list = append(list, flat(name+" "+part))
			}
		}
	}
}

// objectsOf are the objects in the lists of some names.
func objectsOf(keys ...string) func(*testing.T, []byte) []string {
	return func(t *testing.T, out []byte) []string {
		var root any
		if err := json.Unmarshal(out, &root); err != nil {
			t.Fatal(err)
		}
		var list []string
		var walk func(v any)
		walk = func(v any) {
			switch v := v.(type) {
			case []any:
				for _, item := range v {
					walk(item)
				}
			case map[string]any:
				for key, member := range v {
					walk(member)
					items, _ := member.([]any)
					for _, wanted := range keys {
						for _, item := range items {
							if key == wanted {
								list = append(list, flat(spell(item)))
							}
						}
					}
				}
			}
		}
		walk(root)
		return list
	}
}

// spell writes a value with its names, each followed by a semicolon.
func spell(v any) string {
	switch v := v.(type) {
	case []any:
		var b strings.Builder
		for _, item := range v {
			b.WriteString(spell(item) + " ")
		}
		return b.String()
	case map[string]any:
		var b strings.Builder
		for key, member := range v {
			b.WriteString(key + ": " + spell(member) + "; ")
		}
		return b.String()
	}
	return fmt.Sprint(v)
}
