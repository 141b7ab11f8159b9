package drawing

import (
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
	"kitgauge/checker/units"
)

// block is a part of a sheet: the views of a pane, with a title and a table.
type block struct {
	key, title, sub string
	pane            *pane
	table           *table
	among           []float64 // the scales
	height          float64
	room            box
}

// iso are the denominators of ISO 5455, for details.
var iso = []float64{0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 20000, 50000, 100000}

// head is the height of the title of a block [mm].
func (k *block) head(w float64) float64 {
	return plain*1.4*float64(len(k.titleRows(w))) + float64(len(wrapWords(shown(k.sub), small, w-4, false)))*rowStep + 1
}

func (k *block) titleRows(w float64) []string {
	return wrapWords(shown(k.title), plain, w-4, true)
}

// heading writes the title of a block.
func (k *block) heading(s *sheet, title string) {
	r := k.room
	y := r.y0 + 1 - plain*1.4 + plain*above
	for _, line := range wrapWords(shown(title), plain, r.width()-4, true) {
		y += plain * 1.4
		s.text(spot{r.x0 + 2, y}, start, plain, "bold", line)
	}
	for _, line := range wrapWords(shown(k.sub), small, r.width()-4, false) {
		y += rowStep
		s.text(spot{r.x0 + 2, y}, start, small, "", line)
	}
}

// tableWidth is that of the table beside the views of a bundle.
func (b *series) tableWidth() float64 {
	if b.paper.w >= columnFrom {
		return 124
	}
	return 100
}

// bundles plans the sheets with the bundles, and with the lines that are in
// none.
func (b *series) bundles() {
	var list []*block
	for i := range b.scene.routes {
		if r := &b.scene.routes[i]; r.Bundle != nil {
			list = append(list, b.bundleBlock(r, i))
		}
	}
	if single := b.singleBlock(); single != nil {
		list = append(list, single)
	}
	body := b.pages[0].body
	third := body.height() / float64(max(2, int(body.height()/76)))
	for _, k := range list {
		k.plan(b, body, third)
	}
	var p *page
	left, n := 0.0, 0
	for _, k := range list {
		if p == nil || k.height > left {
			n++
			p = b.page("bundles-"+itoa(n), "Bundles")
			left = body.height()
			p.draw = b.drawBlocks(p)
		}
		p.blocks = append(p.blocks, k)
		p.shows = append(p.shows, k.key)
		left -= k.height
	}
	for _, p := range b.pages[1:] {
		p.title = bundlesTitle(p.shows)
		p.about = p.title + " in top view and side view, with stations, lines and free lengths."
	}
}

// alone is what a sheet shows that has the lines in no bundle.
const alone = "single"

func bundlesTitle(shows []string) string {
	ids := slices.DeleteFunc(slices.Clone(shows), func(s string) bool { return s == alone })
	switch {
	case len(ids) == 0:
		return "Lines in no bundle"
	case len(ids) < len(shows):
		return named("Bundle", "Bundles", ids) + ", lines in none"
	}
	return named("Bundle", "Bundles", ids)
}

func named(one, many string, list []string) string {
	if len(list) == 1 {
		return one + " " + list[0]
	}
	return many + " " + strings.Join(list, ", ")
}

// plan finds the height that a block takes: about a share of the sheet, all of
// it where the views would be too small or not everything had room.
func (k *block) plan(b *series, body box, share float64) {
	head := k.head(body.width())
	taken, ok := fits(box{0, 0, b.tableWidth() - 4, body.height() - head - 2}, k.table)
	if !ok {
		k.table = &table{title: "Lines", empty: "see the table of all lines"}
		taken = 20
	}
	for _, h := range []float64{share, body.height() / 2, body.height()} {
		if h < taken+head+2 && h < body.height() {
			continue
		}
		k.height = h
		if h == body.height() {
			return
		}
		try := *k
		try.room = box{body.x0, body.y0, body.x1, body.y0 + h}
		at, ok := k.pane.fit(try.views(b), k.among)
		if !ok || at.scale > smallestBundle {
			continue
		}
		if b.scene.quick() {
			return
		}
		if _, left := try.draw(&sheet{}, b); len(left) == 0 {
			return
		}
	}
}

func (b *series) bundleBlock(r *facts.Route, at int) *block {
	routes := []int{at}
	var lines []*facts.Line
	var members []*kit.Line
	for i := range b.scene.routes {
		if l := b.scene.routes[i].Line; l != nil && l.Bundle.To == r.Bundle {
			routes = append(routes, i)
			members = append(members, l)
		}
	}
	for _, l := range b.in.Kit.Lines {
		if l.Line.Bundle.To == r.Bundle {
			lines = append(lines, l)
		}
	}
	id := r.Bundle.ID.Or("without an id")
	return &block{
		key:   id,
		title: strings.TrimSuffix("Bundle "+id+": "+r.Bundle.Name.Or(""), ": "),
		sub:   fmt.Sprintf("conduit %s; tubes %s; %s", r.Bundle.Conduit.ID.Or("none stated"), tubesOr(members), b.spread(lines)),
		pane:  b.scene.bundlePane(routes, b.marks),
		table: b.lineTable(lines),
		among: scales,
	}
}

func tubesOr(lines []*kit.Line) string {
	if len(lines) == 0 {
		return "none"
	}
	return tubes(lines)
}

// spread says which lines and outlets there are.
func (b *series) spread(lines []*facts.Line) string {
	var numbers, outlets []string
	for _, l := range lines {
		numbers = append(numbers, l.Short())
		if l.Outlet.Known {
			outlets = append(outlets, fmt.Sprint(l.Outlet.V))
		}
	}
	if len(lines) == 0 {
		return "no lines"
	}
	return "lines " + ranges(numbers) + "; outlets " + ranges(outlets)
}

func (b *series) singleBlock() *block {
	var routes []int
	var lines []*facts.Line
	var members []*kit.Line
	for i := range b.scene.routes {
		if l := b.scene.routes[i].Line; l != nil && l.Bundle.To == nil {
			routes = append(routes, i)
			members = append(members, l)
		}
	}
	if len(routes) == 0 {
		return nil
	}
	for _, l := range b.in.Kit.Lines {
		if l.Line.Bundle.To == nil {
			lines = append(lines, l)
		}
	}
	return &block{
		key: alone, title: "Lines in no bundle", sub: fmt.Sprintf("tubes %s; %s", tubes(members), b.spread(lines)),
		pane: b.scene.bundlePane(routes, b.marks), table: b.lineTable(lines), among: scales,
	}
}

// lineTable lists lines with their outlets, tubes and points.
func (b *series) lineTable(lines []*facts.Line) *table {
	t := &table{title: "Lines", heads: []string{"Line", "Outlet", "Tube", "Cut to", "Leaves at", "Point"}, widths: []float64{10, 12.5, 16, 20, 17}, empty: "none"}
	for _, l := range lines {
		cut, leaves, outlet := "–", l.LeavesAt.Or("–"), "–"
		if l.CutLength.Known {
			cut = units.Format(l.CutLength.V, units.Length, b.in.Kit.Family())
		}
		if l.Outlet.Known {
			outlet = fmt.Sprint(l.Outlet.V)
		}
		point := l.Line.Point.ID.Or("")
		if to := l.Point.To; to != nil && (b.paper.w >= columnFrom || point == "") {
			point = strings.TrimSpace(point + " " + to.Name.Or(""))
		}
		t.rows = append(t.rows, row{cells: []string{l.Short(), outlet, l.Tube.ID.Or("–"), cut, leaves, point}})
	}
	return t
}

// drawBlocks draws the blocks of a page, which share what is left of it.
func (b *series) drawBlocks(p *page) func() {
	return func() {
		spare := p.body.height()
		for _, k := range p.blocks {
			spare -= k.height
		}
		y := p.body.y0
		for i, k := range p.blocks {
			k.room = box{p.body.x0, y, p.body.x1, y + k.height + spare/float64(len(p.blocks))}
			y = k.room.y1
			if i > 0 {
				p.s.line(spot{p.body.x0, k.room.y0}, spot{p.body.x1, k.room.y0}, "rule")
			}
			_, left := k.draw(p.s, b)
			b.missed(p, k.title, left)
		}
	}
}

// smallestBundle is the denominator up to which a bundle is large enough.
const smallestBundle = 60

// views is the room of a block for its views.
func (k *block) views(b *series) box {
	r := k.room
	return box{r.x0, r.y0 + k.head(r.width()), r.x1 - b.tableWidth(), r.y1}
}

// draw draws a block with its table at the right.
func (k *block) draw(s *sheet, b *series) (scale float64, left []*label) {
	r := k.room
	k.heading(s, k.title)
	views := k.views(b)
	f := newFlow(s, []box{{views.x1 + 2, views.y0 + 1, r.x1 - 2, r.y1}}, nil)
	f.table(k.table)
	at, ok := k.pane.fit(views, k.among)
	if !ok {
		return 0, []*label{{name: "everything: it is too large for the sheet"}}
	}
	return at.scale, at.draw(s)
}
