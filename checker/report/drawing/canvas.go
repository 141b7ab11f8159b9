package drawing

import (
	"bytes"
	"cmp"

	"kitgauge/checker/finding"
	"kitgauge/checker/kit"
)

// Canvas is a sheet on which other packages draw what belongs to a kit, with
// the pens, the letters and the title block of the drawings. Lengths are in
// mm, x to the right and y downwards from the corner of the sheet.
type Canvas struct {
	s  *sheet
	in Input
}

// NewCanvas is an empty sheet of a size, with its frame.
func NewCanvas(in Input, w, h float64) *Canvas {
	c := &Canvas{in.sheet(w, h), in}
	c.s.rect(box{bindingMargin, margin, w - margin, h - margin}, 0, "frame")
	return c
}

// Frame is the room within the frame of a sheet.
func Frame(w, h float64) (x0, y0, x1, y1 float64) {
	return bindingMargin, margin, w - margin, h - margin
}

// The size of the title block, which stands in the lower right corner.
const (
	BlockWidth  = blockWidth
	BlockHeight = stripHeight
)

// Lettering is the size of letters whose capitals are 1.8 mm high, the least of
// ISO 3098 (from memory).
const Lettering = small

// Path draws through places; closed joins the last to the first.
func (c *Canvas) Path(class string, closed bool, through ...[2]float64) {
	spots := make([]spot, len(through))
	for i, p := range through {
		spots[i] = spot{p[0], p[1]}
	}
	c.s.path(spots, closed, class)
}

// Circle draws a circle.
func (c *Canvas) Circle(class string, x, y, r float64) { c.s.circle(spot{x, y}, r, class) }

// Rect draws an upright rectangle with rounded corners.
func (c *Canvas) Rect(class string, x0, y0, x1, y1, round float64) {
	c.s.rect(box{x0, y0, x1, y1}, round, class)
}

// Text writes a text whose base line begins at a place, is centred there
// ("middle") or ends there ("end"); class "bold ..." makes it bold.
func (c *Canvas) Text(class string, x, y float64, anchor string, height float64, text string) {
	c.s.text(spot{x, y}, anchor, height, class, text)
}

// Symbol groups what is drawn as one thing with a name.
func (c *Canvas) Symbol(class, name string, draw func()) {
	c.s.element(`<g class="symbol %s"><title>%s</title>`, class, escape(name))
	draw()
	c.s.end()
}

// Sign draws the sign of a finding, as on the schematic, and what is written
// behind it, all as a link to the finding.
func (c *Canvas) Sign(f *finding.Finding, x, y, size, height float64, behind string) {
	c.s.linked(f, func() {
		c.s.sign(spot{x, y}, f, Letter(f)[:1], size, height)
		c.s.text(spot{x + size/2 + 0.8, y + height*0.35}, start, height, "bold", behind)
	})
}

// Block says what stands in the title block beside the header of the kit.
type Block struct{ Kind, Scale, Size, Sheet string }

// TitleBlock draws the title block.
func (c *Canvas) TitleBlock(h *kit.Header, b Block) {
	x1, y1 := c.s.w-margin, c.s.h-margin
	titleBlock(c.s, box{x1 - blockWidth, y1 - stripHeight, x1, y1}, h, titleText{kind: b.Kind, scale: b.Scale, size: b.Size, caution: caution, verdict: c.in.verdict("see the findings"), sheet: cmp.Or(b.Sheet, "1 of 1")})
}

// Bytes is the file, with a title and a description for those who do not see it.
func (c *Canvas) Bytes(title, about string) []byte {
	var out bytes.Buffer
	_ = c.s.write(&out, title, about) // a Buffer takes everything
	return out.Bytes()
}

// TextWidth is the most that a text takes at a height of its letters.
func TextWidth(text string, height float64, bold bool) float64 { return width(text, height, bold) }

// Ordered lists findings as marks are numbered: those that count first, the
// gravest first, and last those that are settled.
func Ordered(list []finding.Finding) []finding.Finding { return ordered(list) }

// CutFields are the fields of the title block that have no room for all of their
// text: their names, each with its text.
func CutFields(h *kit.Header) [][2]string {
	var out [][2]string
	for _, f := range cutFields(h) {
		out = append(out, [2]string{f.name, f.text})
	}
	return out
}
