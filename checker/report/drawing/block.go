package drawing

import (
	"cmp"

	"kitgauge/checker/kit"
	"kitgauge/checker/report"
	"kitgauge/checker/value"
)

// block draws the title block: the fields of ISO 7200, and beside them scale,
// size of the sheet, and the sign of first-angle projection (ISO 5456-2).
func block(s *sheet, room box, h *kit.Header, about blockText) {
	s.rect(room, 0, "cell")
	x, y := room.x0, room.y0
	cells := func(height float64, fields []field) {
		for _, f := range fields {
			f.draw(s, box{x, y, x + f.width, y + height})
			x += f.width
		}
		x, y = room.x0, y+height
	}
	cells(9, []field{
		{78, "Legal owner", stated(h.Owner), plain},
		{50, "Document type", about.kind, plain},
		{52, "Document status", stated(h.Status), plain},
	})
	cells(11, []field{
		{112, "Title", stated(h.Title), large * 0.9},
		{48, "Identification number", stated(h.Number), large * 0.9},
		{20, "Revision", stated(h.Revision), large * 0.9},
	})
	cells(9, []field{
		{44, "Drawn by", stated(h.DrawnBy), plain},
		{44, "Checked by", stated(h.CheckedBy), plain},
		{30, "Date of issue", stated(h.Date), plain},
		{26, "Scale", about.scale, plain},
		{16, "Size", about.size, plain},
		{20, "Sheet", cmp.Or(about.sheet, "1 of 1"), plain},
	})
	foot := box{room.x0, y, room.x1, room.y1}
	for i, line := range wrap(about.caution, Lettering, foot.width()-26, true, 3) {
		s.text(spot{foot.x0 + 1.5, foot.y0 + 3.2 + float64(i)*3.2}, start, Lettering, "bold", line)
	}
	projection(s, spot{foot.x1 - 13, foot.centre().y})
}

// blockText is what a drawing adds to the header of its kit.
type blockText struct{ kind, scale, size, caution, sheet string }

// field is a cell of the title block.
type field struct {
	width  float64
	name   string
	text   string
	height float64
}

func (f field) draw(s *sheet, room box) {
	s.rect(room, 0, "cell")
	s.text(spot{room.x0 + 1, room.y0 + 2.8}, start, Lettering, "faint", f.name)
	class := "bold"
	if f.text == "" {
		f.text, class = "not stated", "faint"
	}
	text := shown(f.text)
	height := f.height
	for height > Lettering && width(text, height, true) > room.width()-2 {
		height = max(height-0.2, Lettering)
	}
	s.text(spot{room.x0 + 1, room.y1 - 1.3}, start, height, class, fit(text, height, room.width()-2, true))
}

func stated(t value.Text) string {
	if !t.Known {
		return ""
	}
	return t.V
}

// caution is what stands in every title block.
const caution = "Not to be used as an approval. Isolate every energy before work on the vehicle. " + report.Caution

// projection is the sign of first-angle projection: a cut cone, and to the
// right of it the view from its small end.
func projection(s *sheet, at spot) {
	s.path([]spot{at.plus(-6, -1.2), at.plus(0, -2.4), at.plus(0, 2.4), at.plus(-6, 1.2)}, true, "thin")
	s.circle(at.plus(6, 0), 2.4, "thin")
	s.circle(at.plus(6, 0), 1.2, "thin")
	s.line(at.plus(-7.5, 0), at.plus(1.5, 0), "rule")
	s.line(at.plus(2.4, 0), at.plus(9.6, 0), "rule")
	s.line(at.plus(6, -3.6), at.plus(6, 3.6), "rule")
}
