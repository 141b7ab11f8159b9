package circuit_test

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"

	"kitgauge/checker/report/drawing"
)

// drawn is what a test reads back from a file, without help of the package but
// for the width of letters.
type drawn struct {
	width, height float64
	texts         []text
	strokes       []stroke
	wires         []wire
	symbols       []*symbol
	names         map[string]int // of elements
	attributes    []string
}

// text is a text with its room.
type text struct {
	said           string
	size           float64
	x0, y0, x1, y1 float64
}

// stroke is a straight piece of something that is drawn.
type stroke struct{ x0, y0, x1, y1 float64 }

// place is a place to 0.01 mm, so that ends which meet are the same.
type place [2]int

// wire is a conductor, or a line of tube; of is the symbol whose lead it is.
type wire struct {
	ends [2]place
	of   *symbol
}

// symbol is a thing that is drawn, by its kind and its name.
type symbol struct {
	kind, name string
	leads      []place
}

func at(x, y float64) place { return place{int(math.Round(x * 100)), int(math.Round(y * 100))} }

// reader reads a file element by element.
type reader struct {
	*testing.T
	*drawn
	open   []xml.StartElement
	inside []*symbol
	said   strings.Builder
}

func read(t *testing.T, svg []byte) *drawn {
	t.Helper()
	r := &reader{T: t, drawn: &drawn{names: map[string]int{}}}
	for decoder := xml.NewDecoder(strings.NewReader(string(svg))); ; {
		token, err := decoder.Token()
		if err == io.EOF {
			return r.drawn
		}
		if err != nil {
			t.Fatalf("the diagram is not XML: %v", err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			r.start(e.Copy())
		case xml.CharData:
			r.said.Write(e)
		case xml.EndElement:
			r.end()
		}
	}
}

func attr(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func (r *reader) num(e xml.StartElement, name string) float64 {
	r.Helper()
	v, err := strconv.ParseFloat(strings.TrimSuffix(attr(e, name), "mm"), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		r.Fatalf("%s of %s is %q", name, e.Name.Local, attr(e, name))
	}
	return v
}

func (r *reader) start(e xml.StartElement) {
	r.names[e.Name.Local]++
	for _, a := range e.Attr {
		r.attributes = append(r.attributes, a.Name.Local+"="+a.Value)
	}
	r.open = append(r.open, e)
	r.said.Reset()
	class := attr(e, "class")
	switch e.Name.Local {
	case "svg":
		box := strings.Fields(attr(e, "viewBox"))
		r.width, _ = strconv.ParseFloat(box[2], 64)
		r.height, _ = strconv.ParseFloat(box[3], 64)
	case "g":
		var s *symbol
		if kind, is := strings.CutPrefix(class, "symbol "); is {
			s = &symbol{kind: kind}
			r.symbols = append(r.symbols, s)
		}
		r.inside = append(r.inside, s)
	case "path":
		r.path(attr(e, "d"), class)
	case "rect":
		if class != "paper" && class != "balloon" {
			x, y, w, h := r.num(e, "x"), r.num(e, "y"), r.num(e, "width"), r.num(e, "height")
			r.strokes = append(r.strokes, stroke{x, y, x + w, y}, stroke{x + w, y, x + w, y + h}, stroke{x, y + h, x + w, y + h}, stroke{x, y, x, y + h})
		}
	}
}

// path takes the pieces of a path, and the ends of a conductor.
func (r *reader) path(d, class string) {
	if strings.ContainsAny(d, "aAhHvVcCqQ") {
		return // of the hatches
	}
	var through [][2]float64
	for _, pair := range strings.FieldsFunc(d, func(c rune) bool { return strings.ContainsRune("MLZ", c) }) {
		xy := strings.Fields(pair)
		x, _ := strconv.ParseFloat(xy[0], 64)
		y, _ := strconv.ParseFloat(xy[1], 64)
		through = append(through, [2]float64{x, y})
	}
	for i := 1; i < len(through); i++ {
		a, b := through[i-1], through[i]
		r.strokes = append(r.strokes, stroke{a[0], a[1], b[0], b[1]})
	}
	if class != "wire" {
		return
	}
	first, last := through[0], through[len(through)-1]
	w := wire{ends: [2]place{at(first[0], first[1]), at(last[0], last[1])}, of: r.symbol()}
	if w.of != nil {
		w.of.leads = append(w.of.leads, w.ends[0], w.ends[1])
	}
	r.wires = append(r.wires, w)
}

func (r *reader) symbol() *symbol {
	for i := len(r.inside) - 1; i >= 0; i-- {
		if r.inside[i] != nil {
			return r.inside[i]
		}
	}
	return nil
}

func (r *reader) end() {
	e := r.open[len(r.open)-1]
	r.open = r.open[:len(r.open)-1]
	switch e.Name.Local {
	case "g":
		r.inside = r.inside[:len(r.inside)-1]
	case "title":
		if s := r.symbol(); s != nil && s.name == "" {
			s.name = r.said.String()
		}
	case "text":
		r.text(e)
	}
	r.said.Reset()
}

// text takes the room of a text: as high as letters with their feet, as wide as
// the widest face.
func (r *reader) text(e xml.StartElement) {
	said, size := r.said.String(), r.num(e, "font-size")
	w := drawing.TextWidth(said, size, strings.Contains(attr(e, "class"), "bold"))
	x, y := r.num(e, "x"), r.num(e, "y")
	switch attr(e, "text-anchor") {
	case "middle":
		x -= w / 2
	case "end":
		x -= w
	}
	r.texts = append(r.texts, text{said, size, x, y - 0.94*size, x + w, y + 0.24*size})
}

// legible holds a sheet to it that no text leaves the frame, lies on another or
// on a line, or is too small.
func (d *drawn) legible() error {
	const hair = 0.02 // numbers are rounded to 0.01 mm
	for i, a := range d.texts {
		if a.x0 < 20 || a.y0 < 10 || a.x1 > d.width-10+hair || a.y1 > d.height-10 {
			return fmt.Errorf("%q at %.1f, %.1f leaves the frame", a.said, a.x0, a.y0)
		}
		// ISO 3098-1: the least lettering height is 1.8 mm (from memory). The
		// capitals of Liberation Sans are 1409/2048 of the size (its OS/2 table).
		if capitals := a.size * 1409 / 2048; capitals < 1.8 {
			return fmt.Errorf("the capitals of %q are %.2f mm high", a.said, capitals)
		}
		for _, b := range d.texts[:i] {
			if a.x0 < b.x1-hair && b.x0 < a.x1-hair && a.y0 < b.y1-hair && b.y0 < a.y1-hair {
				return fmt.Errorf("%q and %q overlap at %.1f, %.1f", a.said, b.said, a.x0, a.y0)
			}
		}
		for _, s := range d.strokes {
			if s.crosses(a) {
				return fmt.Errorf("%q at %.1f, %.1f lies on a line from %.1f, %.1f to %.1f, %.1f", a.said, a.x0, a.y0, s.x0, s.y0, s.x1, s.y1)
			}
		}
	}
	for _, s := range d.strokes {
		for _, p := range [][2]float64{{s.x0, s.y0}, {s.x1, s.y1}} {
			if p[0] < 19.99 || p[0] > d.width-9.99 || p[1] < 9.99 || p[1] > d.height-9.99 {
				return fmt.Errorf("a line leaves the frame at %.1f, %.1f", p[0], p[1])
			}
		}
	}
	return nil
}

// crosses reports whether the stroke goes through the capitals of a text: what
// goes by under its feet does no harm. It walks along, a tenth of a millimetre
// at a time.
func (s stroke) crosses(t text) bool {
	x0, y0, x1, y1 := t.x0+0.1, t.y1-0.24*t.size-0.72*t.size, t.x1-0.1, t.y1-0.24*t.size
	if max(s.x0, s.x1) < x0 || min(s.x0, s.x1) > x1 || max(s.y0, s.y1) < y0 || min(s.y0, s.y1) > y1 {
		return false
	}
	n := math.Ceil(math.Hypot(s.x1-s.x0, s.y1-s.y0)/0.1) + 1
	for i := range int(n) + 1 {
		x, y := s.x0+(s.x1-s.x0)*float64(i)/n, s.y0+(s.y1-s.y0)*float64(i)/n
		if x0 < x && x < x1 && y0 < y && y < y1 {
			return true
		}
	}
	return false
}
