package drawing

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"kitgauge/checker/finding"
)

// sheet gathers the elements of a drawing. What is drawn later lies on top.
type sheet struct {
	id     string // begins the ids of elements, so that drawings can share a page
	w, h   float64
	body   bytes.Buffer
	labels []box // of every text
	clips  int

	trimmed  bool // the margins are left out
	crop     box  // all else is left out; empty for nothing
	link     func(*finding.Finding) string
	enlarged func(letter string) string
}

// num writes a length on the paper, to 0.01 mm.
func num(v float64) string {
	v = math.Round(v*100) / 100
	if v == 0 {
		v = 0 // never -0
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// escape makes a text of a kit file fit to stand in the file.
func escape(text string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(shown(text))) // a Builder takes everything
	return b.String()
}

func (s *sheet) element(format string, args ...any) { fmt.Fprintf(&s.body, format+"\n", args...) }

// linked draws what leads to a finding.
func (s *sheet) linked(f *finding.Finding, draw func()) {
	to := ""
	if s.link != nil {
		to = s.link(f)
	}
	s.leading(to, draw)
}

// enlarging draws what leads to a detail.
func (s *sheet) enlarging(g *group, draw func()) {
	to := ""
	if s.enlarged != nil {
		to = s.enlarged(g.letter)
	}
	s.leading(to, draw)
}

func (s *sheet) leading(to string, draw func()) {
	if to == "" {
		draw()
		return
	}
	s.element(`<a href="%s" tabindex="-1">`, escape(to))
	draw()
	s.element(`</a>`)
}

func (s *sheet) open(class string) { s.element(`<g class="%s">`, class) }
func (s *sheet) end()              { s.element(`</g>`) }

// clipped draws what is shown within a box alone.
func (s *sheet) clipped(within box, draw func()) {
	s.clips++
	id := fmt.Sprintf("%s-clip-%d", s.id, s.clips)
	s.element(`<clipPath id="%s"><rect x="%s" y="%s" width="%s" height="%s"/></clipPath>`, id, num(within.x0), num(within.y0), num(within.width()), num(within.height()))
	s.element(`<g clip-path="url(#%s)">`, id)
	draw()
	s.end()
}

func (s *sheet) line(a, b spot, class string) {
	s.element(`<path class="%s" d="M%s %sL%s %s"/>`, class, num(a.x), num(a.y), num(b.x), num(b.y))
}

// path draws through the places; closed joins the last to the first.
func (s *sheet) path(through []spot, closed bool, class string) {
	if len(through) < 2 {
		return
	}
	var d strings.Builder
	for i, p := range through {
		d.WriteString(map[bool]string{true: "M", false: "L"}[i == 0] + num(p.x) + " " + num(p.y))
	}
	if closed {
		d.WriteString("Z")
	}
	s.element(`<path class="%s" d="%s"/>`, class, d.String())
}

func (s *sheet) rect(b box, round float64, class string) {
	corner := ""
	if round > 0 {
		corner = fmt.Sprintf(` rx="%s"`, num(round))
	}
	s.element(`<rect class="%s" x="%s" y="%s" width="%s" height="%s"%s/>`, class, num(b.x0), num(b.y0), num(b.width()), num(b.height()), corner)
}

func (s *sheet) circle(c spot, r float64, class string) {
	s.element(`<circle class="%s" cx="%s" cy="%s" r="%s"/>`, class, num(c.x), num(c.y), num(r))
}

// arrow draws the head of an arrow that comes from a to its tip b.
func (s *sheet) arrow(a, b spot, size float64, class string) {
	l := distance(a, b)
	if l == 0 {
		return
	}
	dx, dy := (b.x-a.x)/l*size, (b.y-a.y)/l*size
	s.path([]spot{b, b.plus(-dx-dy*0.32, -dy+dx*0.32), b.plus(-dx+dy*0.32, -dy-dx*0.32)}, true, class)
}

// anchors of texts.
const (
	start  = "start"
	middle = "middle"
	finish = "end"
)

// textBox is the room of a text whose base line begins, is centred or ends at
// p. It is rather too large than too small.
func textBox(p spot, anchor string, height float64, text string, bold bool) box {
	w := width(text, height, bold)
	switch anchor {
	case middle:
		p.x -= w / 2
	case finish:
		p.x -= w
	}
	return box{p.x, p.y - above*height, p.x + w, p.y + below*height}
}

// text writes a text; class "bold ..." makes it bold.
func (s *sheet) text(p spot, anchor string, height float64, class, text string) {
	text = shown(text)
	if text == "" {
		return
	}
	s.labels = append(s.labels, textBox(p, anchor, height, text, strings.Contains(class, "bold")))
	where := ""
	if anchor != start {
		where = fmt.Sprintf(` text-anchor="%s"`, anchor)
	}
	s.element(`<text class="%s" x="%s" y="%s" font-size="%s"%s>%s</text>`, class, num(p.x), num(p.y), num(height), where, escape(text))
}

// centred writes a text in the middle of a box.
func (s *sheet) centred(b box, height float64, class, text string) {
	s.text(spot{b.centre().x, b.centre().y + height*0.35}, middle, height, class, text)
}

// write writes the whole file.
func (s *sheet) write(w io.Writer, title, about string) error {
	var out bytes.Buffer
	all := box{0, 0, s.w, s.h}
	if s.crop != (box{}) {
		all = s.crop
	} else if s.trimmed {
		all = box{bindingMargin, margin, s.w - margin, s.h - margin}.grown(1)
	}
	role := "img" // which nothing in it is to be reached behind
	if bytes.Contains(s.body.Bytes(), []byte("<a ")) {
		role = "group"
	}
	fmt.Fprintf(&out, `<svg xmlns="http://www.w3.org/2000/svg" class="kit-drawing" role="%s" aria-labelledby="%s-title %s-desc" width="%smm" height="%smm" viewBox="%s %s %s %s">`+"\n",
		role, s.id, s.id, num(all.width()), num(all.height()), num(all.x0), num(all.y0), num(all.width()), num(all.height()))
	fmt.Fprintf(&out, "<title id=\"%s-title\">%s</title>\n<desc id=\"%s-desc\">%s</desc>\n", s.id, escape(title), s.id, escape(about))
	out.WriteString(style())
	out.WriteString(hatches(s.id))
	fmt.Fprintf(&out, `<rect class="paper" x="0" y="0" width="%s" height="%s"/>`+"\n", num(s.w), num(s.h))
	out.Write(s.body.Bytes())
	out.WriteString("</svg>\n")
	_, err := w.Write(out.Bytes())
	return err
}
