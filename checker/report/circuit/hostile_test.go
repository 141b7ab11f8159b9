package circuit_test

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"

	"kitgauge/checker"
	"kitgauge/checker/report/circuit"
	"kitgauge/checker/report/drawing"
)

// nasty are texts that would be markup, scripts, control characters, that turn
// the direction of writing, or are longer than any sheet.
var nasty = []string{
	`<script>alert(1)</script>"'&]]>--><style>*{}</style>`,
	"\u202eabc\u2066\u200fdef",
	"\x07\x1b[31m\x00 \u2028end\ufffe",
	"שלום עולם مرحبا بالعالم",
	strings.Repeat("W", 400),
	strings.Repeat("long name ", 400),
	"漢字とかな混じりの長い名前",
	"e\u0301\u0302\u0303\u0304\u0305\u0306\u0307\u0308\u0309",
	"—",
}

// told are the members of the trailer that say something on the diagrams.
var told = []string{
	"title: Salt trailer, 8 points", "number: WS-0311\n", "name: \"Spring pin, left\"", "name: \"Brake camshaft, left\"", "name: axle,",
	"name: axle left\n", "- id: L\n", "bundle: L\n", "name: at the pump", "name: at the trailer socket", "name: front wall of the towing vehicle's cab",
	"fuse: FG-S4\n", "cable: FG-W25\n", "take_off: ignition", "return: cable", "tube: FG-T4", "element: FG-E15", "conduit: FG-C14", "part: FG-P12\n", "part: FG-K67", "id: A2,",
}

// TestHostile puts hostile texts into a kit: they stay texts, within the frame,
// and whatever of the kit can still be drawn is.
func TestHostile(t *testing.T) {
	plain := string(kitText(t, kits[0]))
	used := 0
	for _, member := range told {
		if strings.Contains(plain, member) {
			used++
		}
	}
	if used < len(told)*3/4 {
		t.Fatalf("the example holds %d of the %d members", used, len(told))
	}
	for seed := range tries(24) {
		r := rand.New(rand.NewPCG(seed, 1))
		text := plain
		for range 1 + r.IntN(6) {
			member := told[r.IntN(len(told))]
			key, rest, _ := strings.Cut(member, ": ")
			end := rest[len(strings.TrimRight(rest, ",\n")):]
			text = strings.ReplaceAll(text, member, fmt.Sprintf("%s: %q%s", key, nasty[r.IntN(len(nasty))], end))
		}
		results, err := ruled().Check(filepath.Join("../../..", kits[0]), []byte(text))
		if err != nil || results[0].Facts == nil {
			continue
		}
		if err := sound(t, results[0], drawing.Papers()[seed%3]); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
	}
}

// TestHostileShown holds hostile texts to be shown, and what is left out of one to
// be told.
func TestHostileShown(t *testing.T) {
	text := strings.Replace(string(kitText(t, kits[0])), `name: "Spring pin, left"`, fmt.Sprintf("name: %q", nasty[0]), 1)
	text = strings.Replace(text, `name: "Brake camshaft, left"`, fmt.Sprintf("name: %q", nasty[4]), 1)
	r := check(t, ruled(), filepath.Join("../../..", kits[0]), []byte(text))
	said := words(sheets(t, circuit.Hydraulic, r, drawing.PaperA4))
	if !strings.Contains(said, `<script>alert(1)</script>`) {
		t.Error("the hostile name is not shown")
	}
	if n := strings.Count(said, "W"); n < 200 {
		t.Errorf("%d letters of the long name are shown", n)
	}
	if !strings.Contains(strings.ReplaceAll(said, " ", ""), "(and200morecharacters)") {
		t.Error("what is left out of the long name is not told")
	}
}

// tries are the seeds of a test; with -full ten times as many.
func tries(n uint64) uint64 {
	if *full {
		n *= 10
	}
	return n
}

// TestBroken takes lines out of kits: whatever is left is drawn, legibly.
func TestBroken(t *testing.T) {
	sources := [][]string{strings.Split(string(kitText(t, kits[0])), "\n"), strings.Split(string(kitText(t, kits[3])), "\n")}
	for seed := range tries(24) {
		r := rand.New(rand.NewPCG(seed, 2))
		lines := slices.Clone(sources[seed%2])
		for range 1 + r.IntN(12) {
			i, n := r.IntN(len(lines)), 1+r.IntN(4)
			lines = append(lines[:i], lines[min(i+n, len(lines)):]...)
		}
		results, err := bareOnDisk().Check(filepath.Join("../../..", kits[0]), []byte(strings.Join(lines, "\n")))
		if err != nil || results[0].Facts == nil {
			continue
		}
		if err := sound(t, results[0], drawing.PaperA4); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
	}
}

// sound draws both diagrams and holds them to be legible and harmless.
func sound(t *testing.T, r *checker.Result, paper drawing.Paper) error {
	for _, draw := range diagrams {
		for _, s := range draw(drawing.Input{Kit: r.Facts, Findings: r.Findings, Paper: paper}) {
			d := read(t, s.SVG)
			if err := d.legible(); err != nil {
				return fmt.Errorf("%s: %w", s.Title, err)
			}
			if err := d.harmless(s.SVG); err != nil {
				return fmt.Errorf("%s: %w", s.Title, err)
			}
		}
	}
	return nil
}

// harmless holds a sheet to the few elements that it is made of.
func (d *drawn) harmless(svg []byte) error {
	for name := range d.names {
		switch name {
		case "svg", "title", "desc", "style", "defs", "pattern", "g", "path", "rect", "circle", "text":
		default:
			return fmt.Errorf("there is an element %q", name)
		}
	}
	if d.names["style"] != 1 || d.names["svg"] != 1 {
		return fmt.Errorf("there are %d styles", d.names["style"])
	}
	for _, a := range d.attributes {
		name, value, _ := strings.Cut(a, "=")
		if strings.HasPrefix(name, "on") || strings.Contains(name, "href") || strings.Contains(value, "url(") && !strings.HasPrefix(value, "url(#") {
			return fmt.Errorf("there is an attribute %s", a)
		}
	}
	for _, r := range string(svg) {
		if r != '\n' && !unicode.IsPrint(r) {
			return fmt.Errorf("there is a character %U", r)
		}
	}
	return nil
}
