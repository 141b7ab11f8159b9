package drawing

import (
	"bytes"
	"fmt"
	"io"
	"strconv"
	"strings"

	"kitgauge/checker/report"
	"kitgauge/checker/spelling"
)

// Sheet is one sheet of the drawings of a kit.
type Sheet struct {
	Number, Of    int    // "2 of 4"
	Name          string // a word, the same for the same kit: overview, bundles-1, details-1, tables-1
	Title         string
	Shows         []string // the bundles, by their ids, and the details, by their letters
	Width, Height float64  // of the paper [mm]
	SVG           []byte
}

// Sheets draws a kit on as many sheets as it takes: the overview first, then
// the bundles, the details at a larger scale, and what stands in tables. What
// has no room in one place stands in another, and nothing is left out.
func Sheets(in Input) []Sheet {
	b := newSeries(in)
	b.bundles()
	b.details()
	for _, p := range b.pages[1:] {
		p.draw()
	}
	b.overview()
	b.tables()
	b.margins()
	var out []Sheet
	for i, p := range b.pages {
		out = append(out, Sheet{Number: i + 1, Of: len(b.pages), Name: p.name, Title: p.title, Shows: p.shows, Width: b.paper.w, Height: b.paper.h, SVG: b.finish(i)})
	}
	return out
}

// views draws the views of the overview alone.
func (b *series) views(w io.Writer) error {
	for _, g := range b.scene.groups {
		g.sheet = 0
	}
	p := b.pages[0]
	p.s.crop = b.plan.narrow()
	b.overview()
	return p.s.write(w, b.title(), p.about)
}

// FindSheet finds sheets by what they are called: a number, a name, the id of a
// bundle or the letter of a detail; "" is the overview.
func FindSheet(list []Sheet, name string) (*Sheet, error) {
	var names []string
	for i := range list {
		s := &list[i]
		if name == "" || name == s.Name || name == fmt.Sprint(s.Number) {
			return s, nil
		}
		names = append(append(names, s.Name), s.Shows...)
	}
	for i := range list {
		for _, shown := range list[i].Shows {
			if name == shown {
				return &list[i], nil
			}
		}
	}
	_, err := strconv.Atoi(name)
	if n := spelling.Nearest(name, names); n != "" && err != nil {
		return nil, fmt.Errorf("there is no sheet %q; nearest is %q", report.Visible(name), report.Visible(n))
	}
	if len(list) == 1 {
		return nil, fmt.Errorf("there is no sheet %q: there is %s", report.Visible(name), list[0].Name)
	}
	return nil, fmt.Errorf("there is no sheet %q: there are 1 to %d, from %s to %s", report.Visible(name), len(list), list[0].Name, list[len(list)-1].Name)
}

// series are the sheets while they are made.
type series struct {
	in           Input
	scene        *scene
	marks        *marks
	paper        paper
	pages        []*page
	left         []row          // what has no room in the views
	at           map[string]int // on which sheet a table stands
	plan         *layout
	datumCut     bool     // the overview has no room for the datum
	free         []box    // columns that the last sheet of details leaves
	column, rest []*table // that stand on the overview, and that do not
}

// page is one sheet.
type page struct {
	frames
	s                  *sheet
	name, title, scale string
	about              string
	shows              []string
	blocks             []*block
	draw               func()
}

func newSeries(in Input) *series {
	b := &series{in: in, scene: newScene(in.Kit), marks: &marks{}, paper: in.Paper.size(), at: map[string]int{}}
	if !in.Plain {
		b.marks = newMarks(b.scene, in.Findings)
	}
	for _, g := range b.scene.groups {
		g.sheet = 88 // as wide as it will be
	}
	b.plan = plan(b.scene, b.paper)
	b.page("overview", "Overview").scale = ratio(b.plan.scale)
	return b
}

// page begins another sheet.
func (b *series) page(name, title string) *page {
	id := b.in.id()
	if n := len(b.pages); n > 0 {
		id += "-" + itoa(n+1)
	}
	p := &page{frames: b.paper.frames(), name: name, title: title, scale: "as shown"}
	p.s = &sheet{id: id, w: b.paper.w, h: b.paper.h, trimmed: b.in.Trimmed, link: b.in.Link, enlarged: b.in.Enlarged}
	b.pages = append(b.pages, p)
	return p
}

// sheetOf is the number of a page.
func (b *series) sheetOf(p *page) int {
	for i := range b.pages {
		if b.pages[i] == p {
			return i + 1
		}
	}
	return 0
}

// missed notes what has no room in the views of a page.
func (b *series) missed(p *page, where string, left []*label) {
	for _, l := range left {
		b.left = append(b.left, row{cells: []string{"sheet " + itoa(b.sheetOf(p)), where + ": " + l.name}})
	}
}

// kind is what stands as the type of the document: what the sheet shows, where
// there is room for it.
func (p *page) kind() string {
	kind := "Schematic: " + strings.ToLower(p.title[:1]) + p.title[1:]
	if width(shown(kind), small, true) > kindWidth-2 {
		kind, _, _ = strings.Cut(p.name, "-")
		return "Schematic: " + kind
	}
	return kind
}

// title names the drawing.
func (b *series) title() string {
	h := &b.in.Kit.Header
	return fmt.Sprintf("Schematic of kit %s, revision %s: %s", h.Number.Or("without a number"), h.Revision.Or("not stated"), h.Title.Or("without a title"))
}

// findingsAt says where the findings are listed, on a sheet.
func (b *series) findingsAt(sheet int) string {
	if n, elsewhere := b.at["Findings"]; elsewhere && n != sheet {
		return "see the findings, sheet " + itoa(n)
	} else if !elsewhere && sheet > 1 {
		return "see the findings, sheet 1"
	}
	return "see the findings on this sheet"
}

// finish writes a sheet, when it is known how many there are.
func (b *series) finish(i int) []byte {
	p := b.pages[i]
	h := &b.in.Kit.Header
	titleBlock(p.s, p.block, h, titleText{p.kind(), p.scale, b.paper.name, fmt.Sprintf("%d of %d", i+1, len(b.pages)), caution, b.in.verdict(b.findingsAt(i + 1))})
	p.s.rect(p.frame, 0, "frame")
	var out bytes.Buffer
	title := b.title()
	if i > 0 {
		title = fmt.Sprintf("%s, sheet %d of %d: %s", title, i+1, len(b.pages), p.title)
	}
	_ = p.s.write(&out, title, p.about) // a buffer takes everything
	return out.Bytes()
}
