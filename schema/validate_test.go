package schema_test

import (
	"fmt"
	"strings"
	"sync"
	"testing"

	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/schema"
)

// Words of the library and of JSON Schema mean nothing to the reader.
func TestPlainWords(t *testing.T) {
	jargon := []string{"propert", "schema", "enum", "regex", "instance", "oneOf", "anyOf", "allOf", "valid", "object", "array", "boolean", "integer"}
	for _, name := range written {
		for _, s := range samples(t, name) {
			for _, p := range schema.Validate(name, s.root) {
				for _, word := range jargon {
					if strings.Contains(p.Message+p.Remedy, word) {
						t.Errorf("%s: %q is no word of the trade", s.name, p.Error())
					}
				}
			}
		}
	}
}

// Any file can be given to any schema, from several goroutines, and the
// answer is the same each time.
func TestSameAnswer(t *testing.T) {
	var files []*source.Node
	for _, name := range written {
		for _, s := range samples(t, name) {
			files = append(files, s.root)
		}
	}
	answer := func() string {
		var b strings.Builder
		for _, name := range written {
			for _, f := range files {
				b.WriteString(format(schema.Validate(name, f)))
			}
		}
		return b.String()
	}
	want := answer()
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			for range 3 {
				if got := answer(); got != want {
					t.Errorf("the answer changed from %d to %d bytes or in its order", len(want), len(got))
				}
			}
		})
	}
	wg.Wait()
}

func TestUnknownSchema(t *testing.T) {
	defer func() {
		if r := recover(); r == nil {
			t.Error("Validate takes a schema that there is not")
		}
	}()
	schema.Validate("settings.json", parse(t, "kit.yaml", "{}"))
}

func TestManyFaults(t *testing.T) {
	var b strings.Builder
	b.WriteString("header: {number: WS-1, revision: A, title: Yard loader, status: draft}\npump: {part: FG-P12}\npoints: [{id: a}]\nlines:\n")
	for i := range 1000 {
		fmt.Fprintf(&b, "- {number: %d, lenght: 3 m}\n", i+1)
	}
	got := schema.Validate("kit", parse(t, "kit.yaml", b.String()))
	if len(got) != schema.MaxListed+1 {
		t.Fatalf("%d problems; want %d and one for the rest", len(got), schema.MaxListed)
	}
	last := got[schema.MaxListed]
	if want := "there are more faults from here on, which are not listed"; last.Message != want || last.Pos.Line != 205 {
		t.Errorf("last problem is line %d: %s; want line 205: %s", last.Pos.Line, last.Message, want)
	}
}

func TestTooLongList(t *testing.T) {
	text := "header: {number: WS-1, revision: A, title: Yard loader, status: draft}\npump: {part: FG-P12}\npoints: [{id: a}]\nlines:\n" +
		strings.Repeat("- {number: 1}\n", 2001)
	got := format(schema.Validate("kit", parse(t, "kit.yaml", text)))
	if want := "5:1: lines has 2001 items; at most 2000 are possible; leave out what is not needed\n"; got != want {
		t.Errorf("got %q; want %q", got, want)
	}
	limits := "pack: yard\ntitle: T\nrules: []\nlimits:\n"
	for i := range 501 {
		limits += fmt.Sprintf("  a%d: {is: 1, basis: b, about: c}\n", i)
	}
	got = format(schema.Validate("pack", parse(t, "pack.yaml", limits)))
	if want := "5:3: limits has 501 members; at most 500 are possible; leave out what is not needed\n"; got != want {
		t.Errorf("got %q; want %q", got, want)
	}
}

// A value of the wrong kind is one fault, found here and by package kit: the
// place and the words are the same, so that it can be shown once.
func TestWordsOfPackageKit(t *testing.T) {
	for _, s := range samples(t, "kit") {
		words := map[string]bool{}
		for _, p := range schema.Validate("kit", s.root) {
			words[p.Pos.String()+p.Message] = true
		}
		_, problems := kit.Read(s.root.Document())
		for _, p := range problems {
			rule := rulesOf("kit", s.root)[p.Node.Pointer()]
			if rule != nil && schema.Measured(follow(schema.Tree("kit"), rule)) {
				continue // measured
			}
			if strings.Contains(s.name, "absurd") {
				continue // a whole number beyond all bounds: both say so
			}
			if !words[p.Pos.String()+p.Message] {
				t.Errorf("%s: package kit has %s", s.name, p.Error())
			}
		}
	}
}

func FuzzValidate(f *testing.F) {
	for _, name := range written {
		for i, file := range archive(f, name).Files {
			if i%5 == 0 {
				f.Add(string(file.Data))
			}
		}
	}
	f.Fuzz(func(t *testing.T, text string) {
		docs, _ := source.Parse("kit.yaml", []byte(text))
		for _, d := range docs {
			for _, name := range written {
				problems := schema.Validate(name, d.Root)
				for _, p := range problems {
					if p.Message == "" || p.Pos.Line < 1 || p.Pos.Column < 1 || p.Node == nil {
						t.Errorf("%s: incomplete problem %+v", name, p)
					}
				}
				if len(problems) > 0 && schema.FitsShape(name, d.Root.Plain()) {
					t.Errorf("%s: fits, with problems:\n%s", name, format(problems))
				}
				if again := schema.Validate(name, d.Root); format(again) != format(problems) {
					t.Errorf("%s: the answer changed", name)
				}
			}
		}
	})
}

// kitOf24 is a kit of ordinary size: 24 lines in three bundles.
func kitOf24(tb testing.TB) *source.Node {
	tb.Helper()
	var points, lines, outlets, rows strings.Builder
	for i := 1; i <= 24; i++ {
		fmt.Fprintf(&points, "- {id: p%d, name: 'Point %d, left', body: chassis, position: [1 m, %d mm, 500 mm], thread: M10x1, access: free, nipple_removed: true, bearing: {kind: plain, diameter: 40 mm, width: 60 mm}, back_pressure: 10 bar}\n", i, i, i*10)
		fmt.Fprintf(&lines, "- {number: %d, outlet: %d, point: p%d, tube: FG-T4, bundle: b%d, leaves_at: s4, cut_length: 3.42 m, pump_fitting: TH-S6, point_fitting: TH-A10, pump_marker: %d, point_marker: %d, tail: [{body: chassis, position: [1 m, 2 m, 3 m], hold: clip, part: TH-K8, tied_to: frame}]}\n", i, i, i, i%3, i, i)
		fmt.Fprintf(&outlets, "  - {number: %d, element: FG-E25, stroke_volume: 0.25 cm3}\n", i)
		fmt.Fprintf(&rows, "    - {line: %d, name: 'Point %d, left'}\n", i, i)
	}
	text := "header: {number: WS-24, revision: A, title: Plough truck, status: draft, units: metric}\n" +
		"vehicle: {description: Plough truck 3, supply: 24 V, ambient: {from: -30 degC, to: 40 degC}}\n" +
		"bodies:\n- {id: chassis, name: Chassis, sprung: true}\n" +
		"points:\n" + points.String() + "lines:\n" + lines.String() +
		"pump:\n  part: FG-P12\n  body: chassis\n  position: [1 m, 2 m, 3 m]\n  outlets:\n" + outlets.String() +
		"documents:\n  call_out_sheet:\n    number: C\n    revision: A\n    rows:\n" + rows.String() + "bundles:\n"
	for b := range 3 {
		text += fmt.Sprintf("- id: b%d\n  conduit: FG-C10\n  route:\n", b)
		for s := range 8 {
			text += fmt.Sprintf("  - {id: s%d, body: chassis, position: [1 m, 2 m, 3 m], hold: clip, part: TH-K8, tied_to: frame}\n", s)
		}
	}
	return parse(tb, "kit.yaml", text)
}

func BenchmarkValidate(b *testing.B) {
	root := kitOf24(b)
	if problems := schema.Validate("kit", root); len(problems) > 0 {
		b.Fatal(format(problems))
	}
	b.ReportAllocs()
	for b.Loop() {
		schema.Validate("kit", root)
	}
}

func BenchmarkPlain(b *testing.B) {
	root := kitOf24(b)
	b.ReportAllocs()
	for b.Loop() {
		root.Plain()
	}
}

func BenchmarkCompile(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		for _, name := range written {
			schema.Compile(name)
		}
	}
}
