// Package drawing draws kits as SVG: the schematic, with top view and side
// view to scale from the kit's own coordinates, and single free spans at rest,
// at their shortest and at their longest. What a quality reviewer wants to see
// at a glance, and a fitter on the wall of the workshop, no list of numbers
// shows: which line goes where, what moves, what is hot, and where something
// was found.
//
// A drawing is one file that needs nothing else: no script, no font, no
// picture. It follows the light or dark setting of whoever looks at it and is
// printed black on white. Nothing in it is told apart by colour alone, no text
// lies on another, and the same kit gives the same bytes.
package drawing

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"

	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
)

// Input is what a drawing shows.
type Input struct {
	Kit      *facts.Kit
	Findings []finding.Finding // to be marked at their places
	Plain    bool              // findings are left out, and the sheet says so
	// ID begins the ids of the elements, so that several drawings can stand in
	// one page: letters, digits and hyphens. Empty is "drawing".
	ID string
	// Trimmed leaves out the margins of the sheet round its frame.
	Trimmed bool
	// ViewsOnly leaves out what stands round the two views: lists, legend and
	// title block.
	ViewsOnly bool
	// Link is where the mark of a finding leads to in the page in which the
	// drawing stands, "" for nowhere. Nil leads nowhere. The links are not
	// stops of the keyboard: the page lists them as well.
	Link func(*finding.Finding) string
}

func (in *Input) sheet(w, h float64) *sheet {
	return &sheet{id: in.id(), w: w, h: h, trimmed: in.Trimmed, link: in.Link}
}

func (in *Input) id() string {
	return cmp.Or(in.ID, "drawing")
}

// Mark is a number on the schematic, and the findings that it stands for, the
// gravest first.
type Mark struct {
	Number   int
	Findings []finding.Finding
}

// Marks lists the marks that Schematic draws.
func Marks(in Input) []Mark {
	var out []Mark
	if in.Plain {
		return nil
	}
	for _, m := range newMarks(newScene(in.Kit), in.Findings).list {
		out = append(out, Mark{m.number, m.findings})
	}
	return out
}

// Schematic draws the kit in top view and side view.
func Schematic(w io.Writer, in Input) error {
	sc := newScene(in.Kit)
	l, err := plan(sc)
	if err != nil {
		return err
	}
	s := in.sheet(l.w, l.h)
	if in.ViewsOnly {
		s.crop = l.narrow()
	}
	m := &marks{}
	if !in.Plain {
		m = newMarks(sc, in.Findings)
	}
	s.views(sc, l, m)
	if !in.ViewsOnly {
		s.margins(sc, l, m, in.Plain)
		s.rect(l.frame, 0, "frame")
	}
	h := &in.Kit.Header
	return s.write(w, fmt.Sprintf("Schematic of kit %s, revision %s: %s", h.Number.Or("without a number"), h.Revision.Or("not stated"), h.Title.Or("without a title")),
		about(sc, l, m, in.Plain))
}

// views draws both views with their titles, and the foot under them.
func (s *sheet) views(sc *scene, l *layout, m *marks) {
	room := &placer{within: l.drawing.grown(-1)}
	for _, v := range []struct {
		view *view
		rows *placedRows
		text string
	}{
		{&l.side, &l.sideRows, "Side view, seen from the right of the vehicle (towards +y), forward is to the right"},
		{&l.top, &l.topRows, "Top view, seen from above (towards −z), forward is to the right"},
	} {
		at := spot{l.drawing.x0 + 3, v.rows.titleY}
		text := fmt.Sprintf("%s, %s", v.text, l.ratio())
		text = fit(text, plain, l.drawing.width()-6, true)
		s.text(at, start, plain, "bold", text)
		room.taken = append(room.taken, textBox(at, start, plain, text, true))
	}
	foot := l.drawing
	foot.y0 = foot.y1 - footRoom
	s.scaleBar(sc, l, foot)
	room.taken = append(room.taken, foot)
	// each view keeps the room of the other
	boundary := (l.side.area.y1 + l.sideRows.below + l.topRows.titleY - 3) / 2
	upper, lower := room.within, room.within
	upper.y1, lower.y0 = boundary, boundary
	for _, v := range []struct {
		view *view
		rows *placedRows
		in   box
	}{{&l.side, &l.sideRows, upper}, {&l.top, &l.topRows, lower}} {
		p := &painter{s: s, scene: sc, v: v.view, rows: v.rows, marks: m, room: &placer{within: v.in, taken: slices.Clone(room.taken)}}
		s.open(map[bool]string{true: "side", false: "top"}[v.view.side] + "-view")
		p.paint()
		s.end()
	}
}

// ratio is the scale as it is written.
func (l *layout) ratio() string { return "1:" + strconv.FormatFloat(l.scale, 'f', -1, 64) }

// margins draws what stands round the views.
func (s *sheet) margins(sc *scene, l *layout, m *marks, isPlain bool) {
	s.line(spot{l.column.x0, l.column.y0}, spot{l.column.x0, l.column.y1}, "rule")
	s.line(spot{l.strip.x0, l.strip.y0}, spot{l.block.x0, l.strip.y0}, "rule")
	fill(s, box{l.column.x0 + 2.5, l.column.y0 + 3, l.column.x1 - 2, l.column.y1 - 2}, func(r *list) {
		r.absent(sc.absent)
		r.findings(m, isPlain)
		r.gap()
		r.references(sc)
	})
	legend(s, box{l.strip.x0 + 2, l.strip.y0 + 1, l.strip.x0 + 88, l.strip.y1}, signs)
	fill(s, box{l.strip.x0 + 90, l.strip.y0 + 2, l.strip.x1 - 2, l.strip.y1 - 1}, func(r *list) { r.moving(sc) })
	block(s, l.block, &sc.kit.Header, blockText{kind: "Schematic", scale: l.ratio(), size: l.name, caution: caution})
}

// about describes the drawing for those who do not see it.
func about(sc *scene, l *layout, m *marks, isPlain bool) string {
	text := fmt.Sprintf("Side view and top view at %s, positions after ISO 8855: %d grease points, %d bundles, %d lines, %d joints, %d zones.",
		l.ratio(), len(sc.points), len(sc.kit.Bundles), len(sc.kit.Lines), len(sc.joints), len(sc.zones))
	if isPlain {
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
