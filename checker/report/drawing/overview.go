package drawing

import (
	"fmt"
	"slices"
)

// overview draws both views with their titles, and the foot under them.
func (b *series) overview() {
	p, l := b.pages[0], b.plan
	s := p.s
	room := &placer{within: l.drawing.grown(-1)}
	foot := l.drawing
	foot.y0 = foot.y1 - footRoom
	b.datumCut = !s.scaleBar(b.scene, l, foot)
	room.taken = append(room.taken, foot)
	views := []struct {
		view *view
		rows *placedRows
		text string
		in   box
	}{
		{&l.side, &l.sideRows, "Side view, seen from the right of the vehicle (towards +y)", room.within},
		{&l.top, &l.topRows, "Top view, seen from above (towards −z)", room.within},
	}
	for _, v := range views {
		at := spot{l.drawing.x0 + 3, v.rows.titleY}
		text := v.text + ", forward is to the right, " + ratio(l.scale) + b.pointsNote(v.view)
		for i, line := range wrapWords(text, small, l.drawing.width()-6, true) {
			at := at.plus(0, float64(i)*rowStep)
			s.text(at, start, small, "bold", line)
			room.taken = append(room.taken, textBox(at, start, small, line, true))
		}
	}
	// each view keeps the room of the other
	boundary := (l.side.area.y1 + l.sideRows.below + l.topRows.titleY - 3) / 2
	views[0].in.y1, views[1].in.y0 = boundary, boundary
	for _, v := range views {
		t := &painter{s: s, scene: b.scene, v: v.view, rows: v.rows, marks: b.marks, collapsed: l.collapsed, beside: b.beside(), bare: b.in.bare, room: &placer{quick: b.scene.quick(), within: v.in, taken: slices.Clone(room.taken)}}
		s.open(map[bool]string{true: "side", false: "top"}[v.view.side] + "-view")
		t.paint()
		s.end()
		b.missed(p, map[bool]string{true: "side view", false: "top view"}[v.view.side], t.left)
	}
	p.about = b.about()
}

// mostBeside is how many points have their references beside them where there
// is no room in rows round the views.
const mostBeside = 60

// beside are the points whose references stand beside them: that are in no
// detail, and have no reference in a row.
func (b *series) beside() []int {
	var out []int
	for i := range b.scene.points {
		if b.plan.collapsed && len(b.plan.named) == 0 && b.scene.groupOf(i) == nil {
			out = append(out, i)
		}
	}
	if len(out) > mostBeside {
		return nil
	}
	return out
}

// pointsNote says where the points are named that are not in a view.
func (b *series) pointsNote(v *view) string {
	switch {
	case !b.plan.collapsed:
		return ""
	case b.in.bare && len(b.plan.named) == 0 && len(b.beside()) == 0:
		return map[bool]string{true: "; points are named in the details", false: "; no point has room for its name"}[len(b.scene.groups) > 0]
	case len(b.plan.named) == 0 && len(b.beside()) == 0:
		return "; points are named on the sheets of the bundles and details"
	case len(b.scene.groups) == 0:
		return ""
	case v.side:
		return "; the points of details are named there"
	}
	return "; frames show what details enlarge"
}

// about describes the overview for those who do not see it.
func (b *series) about() string {
	sc, m := b.scene, b.marks
	text := fmt.Sprintf("Side view and top view at %s, positions after ISO 8855: %d grease points, %d bundles, %d lines, %d joints, %d zones.",
		ratio(b.plan.scale), len(sc.points), len(sc.kit.Bundles), len(sc.kit.Lines), len(sc.joints), len(sc.zones))
	if b.in.Plain {
		return text + " Findings are not shown."
	}
	if len(m.list) == 0 && len(m.astray) == 0 {
		return text + " Nothing is found."
	}
	for _, k := range m.list {
		for _, f := range k.findings {
			text += fmt.Sprintf(" Mark %d: %s, %s: %s.", k.number, f.Severity, f.Place, f.Message)
		}
	}
	for _, f := range m.astray {
		text += fmt.Sprintf(" Without a mark: %s, %s: %s.", f.Severity, f.Place, f.Message)
	}
	return text
}
