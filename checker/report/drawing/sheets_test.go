package drawing_test

import (
	"flag"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/internal/fleet"
	"kitgauge/checker/report/drawing"
)

var full = flag.Bool("full", false, "draw 200 generated kits on every paper, not a few")

// leastCapitals is the least lettering height of ISO 3098 [mm] (from memory),
// and capitalShare the height of capitals as a share of the size of the font,
// of the face of those in the style that has the lowest (Liberation Sans 2.1:
// its OS/2 table states 1409 of 2048).
const (
	leastCapitals = 1.8
	capitalShare  = 1409.0 / 2048
)

// TestSheets holds the sheets of kits to it that everything is named, that no
// letters are too small, and that no text lies on another or leaves the frame:
// of the examples on every paper, and of generated kits of all sizes.
func TestSheets(t *testing.T) {
	for name, r := range examples(t) {
		for i, paper := range drawing.Papers() {
			if !*full && i != len(name)%3 {
				continue
			}
			list := drawing.Sheets(drawing.Input{Kit: r.Facts, Findings: r.Findings, Paper: paper})
			for _, err := range faults(t, r, list) {
				t.Errorf("%s, %s: %v", name, paper, err)
			}
		}
	}
	c := checker.New(checker.Options{ReadFile: fleet.ReadFile, NoSettings: true, Packs: []string{}})
	seeds := []uint64{5, 30}
	if *full {
		seeds = nil
		for seed := range uint64(200) {
			seeds = append(seeds, seed)
		}
	}
	for i, seed := range seeds {
		r := made(t, c, seed, 4+int(seed*29%81))
		for j, paper := range drawing.Papers() {
			if !*full && j != i%3 {
				continue
			}
			for _, err := range faults(t, r, drawing.Sheets(drawing.Input{Kit: r.Facts, Paper: paper})) {
				t.Errorf("seed %d, %d points, %s: %v", seed, len(r.Facts.Points), paper, err)
			}
		}
	}
}

// faults are what is wrong with the sheets of a kit.
func faults(t testing.TB, r *checker.Result, list []drawing.Sheet) []error {
	t.Helper()
	var out []error
	var texts []string
	for i, s := range list {
		d := read(t, s.SVG)
		if err := d.legible(); err != nil {
			out = append(out, fmt.Errorf("sheet %d: %w", s.Number, err))
		}
		if d.width != s.Width || d.height != s.Height || s.Number != i+1 || s.Of != len(list) {
			out = append(out, fmt.Errorf("sheet %d of %d is %g x %g, want %d of %d, %g x %g", s.Number, s.Of, d.width, d.height, i+1, len(list), s.Width, s.Height))
		}
		for _, m := range fontSize.FindAllSubmatch(s.SVG, -1) {
			if size := number(t, string(m[1])); size*capitalShare < leastCapitals {
				out = append(out, fmt.Errorf("sheet %d: letters of %g mm have capitals of %.2f mm, want %g", s.Number, size, size*capitalShare, leastCapitals))
				break
			}
		}
		for _, x := range d.texts {
			texts = append(texts, x.said)
			if strings.HasSuffix(x.said, "…") {
				out = append(out, fmt.Errorf("sheet %d: %q is cut", s.Number, x.said))
			}
		}
	}
	return append(out, unnamed(r, texts)...)
}

var fontSize = regexp.MustCompile(`font-size="([0-9.]+)"`)

// unnamed are the members of a kit that no text of its sheets names.
func unnamed(r *checker.Result, texts []string) []error {
	words := map[string]bool{}
	whole := " " + strings.Join(texts, " ") + " "
	for _, text := range texts {
		for _, w := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" ,:;/", r) }) {
			words[w] = true
		}
	}
	var out []error
	want := func(kind, name string) {
		if !words[name] && !(strings.Contains(name, " ") && strings.Contains(whole, name)) {
			out = append(out, fmt.Errorf("%s %q is named on no sheet", kind, name))
		}
	}
	k := r.Facts
	for _, route := range k.Routes() {
		for _, stop := range route.Stops {
			if stop.Station != nil && stop.Station.ID.Known {
				want("station", stop.Station.ID.V)
			}
			if len(stop.Leaving) > 0 && !slices.ContainsFunc(texts, func(text string) bool { return strings.HasPrefix(text, stop.Station.ID.V+" →") }) {
				out = append(out, fmt.Errorf("the break-out %s is not named at the drawing", stop.Station.ID.V))
			}
		}
	}
	for _, p := range k.Points {
		want("point", p.ID.V)
	}
	for _, l := range k.Lines {
		want("line", l.Short())
		want("tube", l.Tube.ID.V)
	}
	for _, b := range k.Bundles {
		want("bundle", b.ID.V)
		want("conduit", b.Conduit.ID.V)
	}
	for _, o := range k.Outlets {
		if o.Number.Known && o.Listed.V {
			want("outlet", fmt.Sprint(o.Number.V))
		}
	}
	for i, z := range k.Kit.Zones {
		want("zone", fmt.Sprintf("Z%d", i+1))
		want("zone", z.Name.V)
	}
	for i, j := range k.Joints {
		want("joint", fmt.Sprintf("J%d", i+1))
		want("joint", j.Name.V)
	}
	return out
}
