package drawing

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/kit"
)

// overviewTables are those that stand on the overview where they have room
// there, the first first.
func (b *series) overviewTables() []*table {
	return []*table{b.findingTable(), b.pointTable(), b.movingTable(), b.bundleTable()}
}

// tables decides where the tables stand, and writes those that do not stand on
// the overview on sheets of their own.
func (b *series) tables() {
	var rest []*table
	room := b.columnRoom()
	for _, t := range b.overviewTables() {
		taken, ok := fits(room, t)
		if !ok || room.width() < 60 {
			rest = append(rest, t)
			continue
		}
		b.column = append(b.column, t)
		room.y0 += taken + 2.5
	}
	rest = append(rest, b.outletTable(), b.mountingTable())
	for _, t := range []*table{b.notesTable(), b.absentTable(), b.leftTable(), b.cutTable()} {
		if len(t.rows) > 0 {
			rest = append(rest, t)
		}
	}
	b.rest = rest
	b.flow(rest)
}

// columnRoom is the room beside the views of the overview, without that of the
// words that lead to other sheets.
func (b *series) columnRoom() box {
	c := b.plan.column
	return box{c.x0 + 2.5, c.y0 + 2, c.x1 - 2, c.y1 - 2 - 4*rowStep}
}

// flow writes tables on sheets of their own.
func (b *series) flow(list []*table) {
	var p *page
	n := 0
	more := func() (*sheet, []box) {
		n++
		p = b.page("tables-"+itoa(n), "Tables")
		p.about = "Tables of the kit."
		p.scale = "–"
		count := max(int(p.body.width()/120), 1)
		w := p.body.width() / float64(count)
		var out []box
		for i := range count {
			x := p.body.x0 + w*float64(i)
			out = append(out, box{x + 2.5, p.body.y0 + 2, x + w - 2.5, p.body.y1 - 1})
			if i > 0 {
				p.s.line(spot{x, p.body.y0}, spot{x, p.body.y1}, "rule")
			}
		}
		return p.s, out
	}
	var f *flow
	if len(b.free) > 0 {
		p = b.pages[len(b.pages)-1]
		p.title += ", tables"
		f = newFlow(p.s, b.free, more)
	} else {
		s, columns := more()
		f = newFlow(s, columns, more)
	}
	f.began = func(t *table) { b.at[t.title] = len(b.pages) }
	for _, t := range list {
		f.table(t)
	}
	if height := float64((len(signs)+1)/2) * legendStep; b.paper.w < columnFrom {
		if f.left() < height+plain*2 {
			f.next()
		}
		f.head(&table{}, "Signs")
		c := f.column()
		legend(f.s, box{c.x0, f.y + 0.5, c.x1, c.y1}, signs, 2)
		b.at["Signs"] = len(b.pages)
	}
}

// margins draws what stands round the views of the overview, and in the strip
// at the foot of every sheet.
func (b *series) margins() {
	p, c := b.pages[0], b.plan.column
	if len(b.column) > 0 {
		p.s.line(spot{c.x0, c.y0}, spot{c.x0, c.y1}, "rule")
		room := b.columnRoom()
		room.y1 = c.y1 - 1
		f := newFlow(p.s, []box{room}, nil)
		for _, t := range b.column {
			f.table(t)
		}
		f.y += 2
		for _, t := range b.rest {
			if f.left() >= rowStep {
				p.s.text(spot{room.x0, f.y + small*above}, start, small, "faint", t.title+": sheet "+itoa(b.at[t.title]))
				f.y += rowStep
			}
		}
	}
	for _, p := range b.pages {
		p.s.line(spot{p.strip.x0, p.strip.y0}, spot{p.block.x0, p.strip.y0}, "rule")
		if b.paper.w >= columnFrom {
			legend(p.s, box{p.strip.x0 + 2, p.strip.y0 + 1, p.strip.x1, p.strip.y1}, signs, 3)
			continue
		}
		b.contents(p)
	}
}

// contents lists the sheets at the foot of each, as far as there is room; the
// first that are left out are the bundles one by one.
func (b *series) contents(p *page) {
	room := box{p.strip.x0 + 2, p.strip.y0 + 1.5, p.strip.x1 - 2, p.strip.y1 - 1}
	t := &table{title: "Sheets", widths: []float64{16}}
	for i := 0; i < len(b.pages); {
		j := i
		kind, _, _ := strings.Cut(b.pages[i].name, "-")
		for j+1 < len(b.pages) && strings.HasPrefix(b.pages[j+1].name, kind+"-") {
			j++
		}
		number := itoa(i + 1)
		if j > i {
			number += "–" + itoa(j+1)
		}
		t.rows = append(t.rows, row{cells: []string{number, map[string]string{"overview": "overview", "bundles": "bundles", "details": "details", "tables": "tables and signs"}[kind]}})
		i = j + 1
	}
	newFlow(p.s, []box{room}, nil).table(t)
}

func (b *series) findingTable() *table {
	t := &table{title: "Findings", widths: []float64{markSize + 6}, empty: "none"}
	if b.in.Plain {
		t.empty = "not shown on this drawing"
	}
	add := func(number string, f *finding.Finding) {
		t.rows = append(t.rows, row{
			cells: []string{"", f.Place + ": " + f.Message + " [" + f.Rule + "]"},
			link:  f,
			sign: func(s *sheet, at spot) {
				s.mark(at.plus(markSize/2, 0), f)
				s.text(at.plus(markSize+0.5, small*0.35), start, small, "bold", number)
			},
		})
	}
	for i := range b.marks.list {
		m := &b.marks.list[i]
		for j := range m.findings {
			add(itoa(m.number), &m.findings[j])
		}
	}
	for i := range b.marks.astray {
		add("–", &b.marks.astray[i])
	}
	return t
}

// pointTable lists the points by their references.
func (b *series) pointTable() *table {
	t := &table{title: "Lines and points", heads: []string{"Line", "Outlet", "Bundle", "Point"}, widths: []float64{11, 12.5, 16}, empty: "none"}
	outlet, bundle := map[string]string{}, map[string]string{}
	for _, l := range b.in.Kit.Lines {
		if l.Outlet.Known {
			outlet[l.Short()] = fmt.Sprint(l.Outlet.V)
		}
		bundle[l.Short()] = l.Line.Bundle.ID.Or("–")
	}
	for _, p := range b.scene.listed() {
		ref := strings.Join(p.Lines, "/")
		of := func(m map[string]string) string {
			var out []string
			for _, n := range p.Lines {
				out = append(out, cmp.Or(m[n], "–"))
			}
			return cmp.Or(strings.Join(out, "/"), "–")
		}
		t.rows = append(t.rows, row{cells: []string{cmp.Or(ref, "none"), of(outlet), of(bundle), strings.TrimSpace(p.ID.Or("") + " " + p.Name.Or(""))}})
	}
	for _, l := range b.in.Kit.Lines {
		if l.Point.To == nil {
			t.rows = append(t.rows, row{cells: []string{l.Short(), cmp.Or(outlet[l.Short()], "–"), bundle[l.Short()], "point not known: " + l.Line.Point.ID.Or("not stated")}})
		}
	}
	return t
}

// listed are the points in the order of their lines, those without last.
func (s *scene) listed() []*facts.Point {
	points := slices.Clone(s.kit.Points)
	number := func(p *facts.Point) int {
		if len(p.Lines) == 0 {
			return 1 << 30
		}
		n, err := strconv.Atoi(p.Lines[0])
		if err != nil {
			return 1<<30 - 1
		}
		return n
	}
	slices.SortStableFunc(points, func(a, b *facts.Point) int { return cmp.Compare(number(a), number(b)) })
	return points
}

func (b *series) movingTable() *table {
	t := &table{title: "Joints and zones", widths: []float64{9, 31}, empty: "none"}
	for i := range b.scene.joints {
		j := &b.scene.joints[i]
		name := j.joint.Name.Or(j.joint.ID.Or("without a name"))
		if to := j.joint.Child.To; to != nil && !strings.Contains(name, to.Name.Or(to.ID.Or(""))) {
			name += ", moves " + to.Name.Or(to.ID.Or(""))
		}
		t.rows = append(t.rows, row{cells: []string{j.tag, j.sweep(b.in.Kit.Family()), name}})
	}
	for i, z := range b.in.Kit.Kit.Zones {
		t.rows = append(t.rows, row{cells: []string{"Z" + itoa(i+1), "zone: " + z.Kind.Or("kind not stated"), z.Name.Or(z.ID.Or("without a name"))}})
	}
	return t
}

func (b *series) bundleTable() *table {
	t := &table{title: "Bundles", heads: []string{"Bundle", "Conduit", "Tubes", "Lines", "Name"}, widths: []float64{14, 17, 24, 22}, empty: "none"}
	for _, one := range b.in.Kit.Bundles {
		var members []*kit.Line
		for _, l := range b.in.Kit.Kit.Lines {
			if l.Bundle.To == one.Bundle {
				members = append(members, l)
			}
		}
		t.rows = append(t.rows, row{cells: []string{one.ID.Or("–"), one.Conduit.ID.Or("–"), tubesOr(members), cmp.Or(ranges(one.Lines), "none"), one.Name.Or("")}})
	}
	return t
}

// outletTable lists the outlets of the pump.
func (b *series) outletTable() *table {
	t := &table{title: strings.TrimSpace("Outlets of the pump " + b.in.Kit.Kit.Pump.Part.ID.Or("")), heads: []string{"Outlet", "Element", "Line", "To"}, widths: []float64{14, 20, 14}, empty: "none"}
	points := map[string]string{}
	for _, l := range b.in.Kit.Lines {
		points[l.Short()] = strings.TrimSpace(l.Line.Point.ID.Or("") + " " + bundleWord(l))
	}
	for _, o := range b.in.Kit.Outlets {
		if !o.Number.Known {
			continue
		}
		element, to := o.Element.ID.Or("–"), ""
		switch {
		case len(o.Lines) > 0:
			var list []string
			for _, n := range o.Lines {
				list = append(list, points[n])
			}
			to = strings.Join(list, "; ")
		case o.BlankedOff.V:
			to = "blanked off"
		default:
			to = "no line"
		}
		t.rows = append(t.rows, row{cells: []string{fmt.Sprint(o.Number.V), element, cmp.Or(strings.Join(o.Lines, ", "), "–"), to}})
	}
	return t
}

func bundleWord(l *facts.Line) string {
	if id := l.Line.Bundle.ID.Or(""); id != "" {
		return "by bundle " + id
	}
	return "alone"
}

func (b *series) absentTable() *table {
	t := &table{title: "Not drawn: position not known or too far away", empty: "none"}
	for _, name := range slices.Compact(slices.Clone(b.scene.absent)) {
		t.rows = append(t.rows, row{cells: []string{name}})
	}
	return t
}

func (b *series) leftTable() *table {
	return &table{title: "No room for the name in a view", widths: []float64{20}, rows: b.left}
}

// cutTable gives in full what the title block may have no room for.
func (b *series) cutTable() *table {
	t := &table{title: "In full", widths: []float64{34}}
	if b.datumCut {
		t.rows = append(t.rows, row{cells: []string{"Datum", datumText(b.scene, false)}})
	}
	for _, f := range cutFields(&b.in.Kit.Header) {
		t.rows = append(t.rows, row{cells: []string{f.name, f.text}})
	}
	return t
}
