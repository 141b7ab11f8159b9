package drawing

import (
	"kitgauge/checker/kit"
	"kitgauge/checker/report"
	"kitgauge/checker/value"
)

// titleBlock draws the fields of ISO 7200, and beside them scale, size and
// number of the sheet, and the sign of first-angle projection (ISO 5456-2).
func titleBlock(s *sheet, room box, h *kit.Header, about titleText) {
	s.rect(room, 0, "cell")
	x, y := room.x0, room.y0
	cells := func(height float64, fields []field) {
		for _, f := range fields {
			f.draw(s, box{x, y, x + f.width, y + height})
			x += f.width
		}
		x, y = room.x0, y+height
	}
	for _, r := range fields(h, about) {
		cells(r.height, r.fields)
	}
	foot := box{room.x0, y, room.x1, room.y1}
	for i, line := range wrap(about.caution, small, foot.width()-26, true, 2) {
		s.text(spot{foot.x0 + 1.5, foot.y0 + 3.3 + float64(i)*rowStep}, start, small, "bold", line)
	}
	if about.verdict != "" {
		s.text(spot{foot.x0 + 1.5, foot.y1 - 1.2}, start, small, "bold", fit(about.verdict, small, foot.width()-26, true))
	}
	projection(s, spot{foot.x1 - 13, foot.centre().y})
}

// kindWidth is the width of the field with the type of the document [mm].
const kindWidth = 78

// blockRow is a row of the title block.
type blockRow struct {
	height float64
	fields []field
}

func fields(h *kit.Header, about titleText) []blockRow {
	return []blockRow{
		{9, []field{
			{62, "Legal owner", stated(h.Owner), plain},
			{kindWidth, "Document type", about.kind, plain},
			{40, "Document status", stated(h.Status), plain},
		}},
		{11, []field{
			{112, "Title", stated(h.Title), large * 0.9},
			{48, "Identification number", stated(h.Number), large * 0.9},
			{20, "Revision", stated(h.Revision), large * 0.9},
		}},
		{9, []field{
			{42, "Drawn by", stated(h.DrawnBy), plain},
			{42, "Checked by", stated(h.CheckedBy), plain},
			{30, "Date of issue", stated(h.Date), plain},
			{26, "Scale", about.scale, plain},
			{16, "Size", about.size, plain},
			{24, "Sheet", about.sheet, plain},
		}},
	}
}

// cutFields are those whose text is longer than its field.
func cutFields(h *kit.Header) []field {
	var out []field
	for _, r := range fields(h, titleText{}) {
		for _, f := range r.fields {
			if text := shown(f.text); len(wrapWords(text, small, f.width-2, true)) > r.lines() {
				out = append(out, f)
			}
		}
	}
	return out
}

// titleText is what a drawing adds to the header of its kit.
type titleText struct{ kind, scale, size, sheet, caution, verdict string }

// field is a cell of the title block.
type field struct {
	width  float64
	name   string
	text   string
	height float64
}

func (f field) draw(s *sheet, room box) {
	s.rect(room, 0, "cell")
	s.text(spot{room.x0 + 1, room.y0 + 2.5}, start, small, "faint", f.name)
	class := "bold"
	if f.text == "" {
		f.text, class = "not stated", "faint"
	}
	text := shown(f.text)
	for _, height := range []float64{f.height, plain, small} {
		if height <= f.height && width(text, height, true) <= room.width()-2 {
			s.text(spot{room.x0 + 1, room.y1 - 1.3}, start, height, class, text)
			return
		}
	}
	lines := wrap(text, small, room.width()-2, true, max(int((room.height()-3)/rowStep), 1))
	for i, line := range lines {
		s.text(spot{room.x0 + 1, room.y1 - 1.0 - rowStep*float64(len(lines)-1-i)}, start, small, class, line)
	}
}

// lines is how many lines of the smallest letters a field of a row has.
func (r *blockRow) lines() int { return max(int((r.height-3)/rowStep), 1) }

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
