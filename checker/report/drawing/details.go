package drawing

// columns of a sheet with details.
const columns = 3

// details plans the sheets with the details: in columns, each as wide and as
// high as it needs to be.
func (b *series) details() {
	body := b.pages[0].body
	var p *page
	at, y, n := columns, body.y1, 0
	for _, g := range b.scene.groups {
		k := b.detailBlock(g)
		wide := k.planDetail(body)
		if y+k.height > body.y1+1e-9 || wide > 1 && y > body.y0 {
			at, y = at+1, body.y0
		}
		if at+wide > columns {
			n++
			p = b.page("details-"+itoa(n), "Details")
			p.draw = b.drawDetails(p)
			at, y = 0, body.y0
		}
		w := body.width() / columns
		x := body.x0 + w*float64(at)
		k.room = box{x, y, x + w*float64(wide), y + k.height}
		y += k.height
		at += wide - 1
		p.blocks = append(p.blocks, k)
		p.shows = append(p.shows, g.letter)
		p.title = named("Detail", "Details", p.shows)
		p.about = p.title + " in top view and side view, with points, stations and free lengths."
		g.sheet = len(b.pages)
	}
	b.freeColumns(at + 1)
}

// leastTable is the width of a column that tables are written into [mm].
const leastTable = 110.0

// freeColumns notes what the last sheet of details leaves for tables.
func (b *series) freeColumns(from int) {
	body := b.pages[0].body
	w := body.width() / columns
	wide := 1
	for w*float64(wide) < leastTable {
		wide++
	}
	for at := from; len(b.scene.groups) > 0 && at+wide <= columns; at += wide {
		x := body.x0 + w*float64(at)
		b.free = append(b.free, box{x + 2.5, body.y0 + 2, x + w*float64(wide) - 2.5, body.y1 - 1})
	}
}

func (b *series) detailBlock(g *group) *block {
	var bundles []string
	for _, i := range g.routes {
		if r := &b.scene.routes[i]; r.Bundle != nil {
			bundles = append(bundles, r.Bundle.ID.Or("without an id"))
		}
	}
	sub := "lines " + ranges(b.scene.refs(g))
	if len(bundles) > 0 {
		sub += "; " + named("bundle", "bundles", bundles)
	}
	return &block{key: g.letter, title: g.letter, sub: sub, pane: b.scene.detailPane(g, b.marks), among: iso}
}

// smallest is the denominator up to which a detail is large enough.
const smallest = 10

// planDetail finds the least room in which everything is named at a scale
// that is large enough, and returns how many columns it is wide.
func (k *block) planDetail(body box) (wide int) {
	for _, share := range []struct {
		wide int
		high float64
	}{{1, 0.5}, {1, 1}, {2, 1}, {columns, 1}} {
		k.height = body.height() * share.high
		k.room = box{0, 0, body.width() / columns * float64(share.wide), k.height}
		wide = share.wide
		if wide == columns {
			break
		}
		at, ok := k.pane.fit(k.detailViews(), k.among)
		if !ok || at.scale > smallest {
			continue
		}
		if k.pane.scene.quick() {
			break
		}
		if _, left := k.drawDetail(&sheet{}); len(left) == 0 {
			break
		}
	}
	return wide
}

func (b *series) drawDetails(p *page) func() {
	return func() {
		for _, k := range p.blocks {
			p.s.rect(k.room, 0, "rule")
			_, left := k.drawDetail(p.s)
			b.missed(p, "detail "+k.key, left)
		}
	}
}

func (k *block) detailViews() box {
	r := k.room
	return box{r.x0 + 0.5, r.y0 + k.head(r.width()), r.x1 - 0.5, r.y1 - 0.5}
}

// drawDetail draws a detail under its letter and scale (ISO 128-3, from
// memory).
func (k *block) drawDetail(s *sheet) (scale float64, left []*label) {
	at, ok := k.pane.fit(k.detailViews(), k.among)
	if !ok {
		return 0, []*label{{name: "everything: it is too large for the sheet"}}
	}
	k.heading(s, k.title+" ("+ratio(at.scale)+")")
	return at.scale, at.draw(s)
}
