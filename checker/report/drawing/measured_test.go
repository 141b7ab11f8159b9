package drawing_test

import (
	"flag"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/internal/fleet"
	"kitgauge/checker/report/drawing"
)

var measureAll = flag.Bool("measure", false, "measure on every paper, and write testdata/measured/drawings.md")

// TestMeasured holds the sheets at 34 and 84 points to it that leaders are short
// and seldom cross; with -measure also at 200, for testdata/measured/drawings.md.
func TestMeasured(t *testing.T) {
	ex := examples(t)
	kits, papers := []*checker.Result{ex["gritter.kit.yaml"], ex["large.kit.yaml"]}, drawing.Papers()[:1]
	if *measureAll {
		c := checker.New(checker.Options{ReadFile: fleet.ReadFile, NoSettings: true, Packs: []string{}})
		kits, papers = append(kits, made(t, c, 1, 200)), drawing.Papers()
	}
	page := measuredHead
	for _, r := range kits {
		for _, paper := range papers {
			m := measure(t, r, paper)
			page += fmt.Sprintf("| %d | %s | %d | %d | %d | %.0f | %d | %d | %d | %d |\n", len(r.Facts.Points), paper, m.sheets, m.leaders, m.crossings, m.longest, m.overlaps, m.missing, m.cut, m.kilobytes)
			if m.overlaps+m.missing+m.cut > 0 {
				t.Errorf("%d points, %s: %d overlaps, %d names missing, %d cut; want none", len(r.Facts.Points), paper, m.overlaps, m.missing, m.cut)
			}
			if share := float64(m.crossings) / float64(m.leaders); share > 0.06 || m.longest > 65 {
				t.Errorf("%d points, %s: %d of %d leaders cross, the longest is %.0f mm; want at most 6 %% and 65 mm", len(r.Facts.Points), paper, m.crossings, m.leaders, m.longest)
			}
		}
	}
	if *measureAll {
		if err := os.WriteFile("../../../testdata/measured/drawings.md", []byte(page), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

const measuredHead = `# The sheets of drawings

Leaders are the lines from a name, a reference or a mark to its place; a pair
that crosses counts once. Names are those of stations, points, lines, outlets,
bundles, zones and joints. The kits are examples/gritter, testdata/kits/large.kit.yaml
and a generated one (checker/internal/fleet, seed 1). Letters are at least 1.8 mm
high (capitals, ISO 3098) on every sheet. "go test ./checker/report/drawing -run
Measured -measure" writes the page; "... -run Sheets -full" holds 200 generated
kits on every paper to it that nothing is missing, cut, too small or overlaps.

Before there were several sheets, on one of A3 (letters of 1.2 mm and more):

| points | leaders | crossings | longest [mm] | overlaps | stations without a name | break-outs without | names cut |
| ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |
| 34 | 55 | 1 | 57 | 0 | 4 of 54 | 4 of 16 | 0 |
| 84 | 171 | 23 | 136 | 0 | 87 of 256 | 13 of 18 | 3 |
| 200 | 170 | 271 | 112 | 0 | 264 of 264 | 32 of 32 | 0 |

Now, all sheets together:

| points | paper | sheets | leaders | crossings | longest [mm] | overlaps | names missing | names cut | kB |
| ---: | --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |
`

// measured is what is counted on the sheets of a kit.
type measured struct {
	sheets, leaders, crossings, overlaps, missing, cut, kilobytes int
	longest                                                       float64
}

func measure(t testing.TB, r *checker.Result, paper drawing.Paper) (m measured) {
	t.Helper()
	var texts []string
	for _, s := range drawing.Sheets(drawing.Input{Kit: r.Facts, Findings: r.Findings, Paper: paper}) {
		d := read(t, s.SVG)
		m.sheets++
		m.kilobytes += len(s.SVG)
		if d.legible() != nil {
			m.overlaps++
		}
		leaders := d.leaders()
		for i, l := range leaders {
			m.longest = max(m.longest, math.Hypot(l[0][0]-l[1][0], l[0][1]-l[1][1]))
			for _, other := range leaders[:i] {
				if cross(l, other) {
					m.crossings++
				}
			}
		}
		m.leaders += len(leaders)
		for _, x := range d.texts {
			texts = append(texts, x.said)
			if strings.HasSuffix(x.said, "…") {
				m.cut++
			}
		}
	}
	m.kilobytes /= 1000
	m.missing = len(unnamed(r, texts))
	return m
}

// leaders are the lines from names to their places.
func (d *drawn) leaders() (out [][2][2]float64) {
	for _, s := range d.shapes {
		switch s.class {
		case "reference", "leader", "mark-leader":
			if len(s.path) == 2 {
				out = append(out, [2][2]float64{s.path[0], s.path[1]})
			}
		}
	}
	return out
}
