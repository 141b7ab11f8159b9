package booklet

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
	"kitgauge/checker/report"
)

// A picture is as wide as a column of the page; lengths in it are its own
// millimetres, which are a little more on A4 [mm]. Letters of that height have
// capitals of 1.8 mm at the least on paper (ISO 3098).
const (
	pictureWidth = 130.0
	pictureSide  = 6.0  // free at both sides
	pictureBand  = 8.5  // for names, above and below a view
	mostViews    = 58.0 // the height of both views
	leastRegion  = 0.4  // of the vehicle [m]
	letterHeight = 2.7
	letterWidth  = 0.56 // of the height, on the average
)

// spot is a place in a picture, with y downwards.
type spot struct{ x, y float64 }

func (s spot) plus(x, y float64) spot { return spot{s.x + x, s.y + y} }

// box is a part of a picture.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) meets(c box) bool    { return b.x0 < c.x1 && c.x0 < b.x1 && b.y0 < c.y1 && c.y0 < b.y1 }
func (b box) within(c box) bool   { return b.x0 >= c.x0 && b.x1 <= c.x1 && b.y0 >= c.y0 && b.y1 <= c.y1 }
func (b box) grown(d float64) box { return box{b.x0 - d, b.y0 - d, b.x1 + d, b.y1 + d} }

// picture shows a part of the vehicle from the right and from above.
type picture struct {
	kit    *facts.Kit
	id     string
	show   []facts.Route     // what it is about
	names  map[r3.Vec]string // what is named, by its place
	order  []r3.Vec          // of the names
	from   r3.Vec            // the region
	to     r3.Vec
	body   strings.Builder
	height float64
	missed []string // names without room
}

// view is one projection of the region.
type view struct {
	side bool
	k    float64 // mm for a metre
	zero spot    // where the region's rear lower corner lies
	from r3.Vec
	area box // what is drawn
	room box // with the bands for names
}

func (v *view) at(p r3.Vec) spot {
	up := p.Y - v.from.Y
	if v.side {
		up = p.Z - v.from.Z
	}
	return spot{v.zero.x + (p.X-v.from.X)*v.k, v.zero.y - up*v.k}
}

// newPicture makes a picture of some routes; nil where none of their places is
// known.
func newPicture(k *facts.Kit, id string, show []facts.Route) *picture {
	p := &picture{kit: k, id: id, show: show, names: map[r3.Vec]string{}}
	first := true
	for _, r := range show {
		for _, s := range r.Stops {
			if !s.Position.Known() {
				continue
			}
			at := s.Position.Vec()
			if first {
				p.from, p.to, first = at, at, false
			}
			p.from = r3.Vec{X: min(p.from.X, at.X), Y: min(p.from.Y, at.Y), Z: min(p.from.Z, at.Z)}
			p.to = r3.Vec{X: max(p.to.X, at.X), Y: max(p.to.Y, at.Y), Z: max(p.to.Z, at.Z)}
		}
	}
	if first {
		return nil
	}
	return p
}

// name gives a place a name in the picture; several of one place stand beside
// each other.
func (p *picture) name(at r3.Vec, text string) {
	switch was, named := p.names[at]; {
	case !named:
		p.order = append(p.order, at)
		p.names[at] = text
	case !strings.Contains(", "+was+", ", ", "+text+", "):
		p.names[at] = was + ", " + text
	}
}

// nameStops names the stations of routes.
func (p *picture) nameStops(list []facts.Route) {
	for _, r := range list {
		for _, s := range r.Stops {
			if s.Station != nil && s.Station.ID.Known && s.Position.Known() {
				p.name(s.Position.Vec(), s.Station.ID.V)
			}
		}
	}
}

// svg writes the picture. The texts of both views are words of the language.
func (p *picture) svg(title, side, top string) string {
	wide, deep, high := p.to.X-p.from.X, p.to.Y-p.from.Y, p.to.Z-p.from.Z
	k := (pictureWidth - 2*pictureSide) / max(wide, leastRegion)
	k = min(k, mostViews/max(deep+high, leastRegion))
	y := 0.0
	for _, v := range []struct {
		side bool
		h    float64
		text string
	}{{true, high, side}, {false, deep, top}} {
		p.text(spot{1, y + 4}, letterHeight, "start", "faint", v.text)
		y += 6 + pictureBand
		zero := spot{(pictureWidth - wide*k) / 2, y + v.h*k}
		area := box{1, y - 4, pictureWidth - 1, y + v.h*k + 4}
		one := &view{side: v.side, k: k, zero: zero, from: p.from, area: area, room: box{0.5, y - pictureBand, pictureWidth - 0.5, y + v.h*k + pictureBand}}
		p.view(one)
		y += v.h*k + pictureBand + 1
	}
	p.height = y
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" class="picture" role="img" aria-labelledby="%s-title" viewBox="0 0 %s %s"><title id="%s-title">%s</title>%s</svg>`,
		p.id, num(pictureWidth), num(p.height), p.id, escape(title), p.body.String())
}

// view draws one view with its names.
func (p *picture) view(v *view) {
	clip := p.id + map[bool]string{true: "-side", false: "-top"}[v.side]
	p.add(`<clipPath id="%s"><rect x="%s" y="%s" width="%s" height="%s"/></clipPath><g clip-path="url(#%s)">`,
		clip, num(v.area.x0), num(v.area.y0), num(v.area.x1-v.area.x0), num(v.area.y1-v.area.y0), clip)
	p.outline(v)
	for _, z := range p.kit.Zones {
		p.zone(v, z)
	}
	shown := map[string]bool{}
	for _, r := range p.show {
		shown[r.Place] = true
	}
	for _, r := range p.kit.Routes() {
		if !shown[r.Place] {
			p.path(v, r.Stops, "other")
		}
	}
	var ways []box
	for _, r := range p.show {
		p.path(v, r.Stops, map[bool]string{true: "bundle", false: "tail"}[r.Bundle != nil])
		ways = append(ways, along(v, r.Stops)...)
	}
	for _, r := range p.show {
		for _, s := range r.Stops {
			p.stop(v, s)
		}
	}
	p.add(`</g>`)
	p.labels(v, ways)
}

// outline draws the box round the vehicle.
func (p *picture) outline(v *view) {
	o := p.kit.Vehicle.Outline
	if o.From.Known() && o.To.Known() {
		p.rect(v.at(o.From.Vec()), v.at(o.To.Vec()), "outline")
	}
}

// zone draws a place to keep away from.
func (p *picture) zone(v *view, z *kit.Zone) {
	if !z.From.Known() || !z.To.Known() {
		return
	}
	a, b := v.at(z.From.Vec()), v.at(z.To.Vec())
	if !z.Radius.Known {
		p.rect(a, b, "zone")
		return
	}
	const nothing = 0.01
	if math.Hypot(a.x-b.x, a.y-b.y) < nothing {
		p.add(`<circle class="zone" cx="%s" cy="%s" r="%s"/>`, num(a.x), num(a.y), num(z.Radius.V*v.k))
		return
	}
	r := z.Radius.V * v.k
	dx, dy := b.x-a.x, b.y-a.y
	l := math.Hypot(dx, dy)
	nx, ny := -dy/l*r, dx/l*r
	p.add(`<path class="zone" d="M%s %sL%s %sA%s %s 0 0 0 %s %sL%s %sA%s %s 0 0 0 %s %sZ"/>`,
		num(a.x+nx), num(a.y+ny), num(b.x+nx), num(b.y+ny), num(r), num(r), num(b.x-nx), num(b.y-ny), num(a.x-nx), num(a.y-ny), num(r), num(r), num(a.x+nx), num(a.y+ny))
}

// path draws a route as far as its places are known, a free span broken.
func (p *picture) path(v *view, stops []facts.Stop, class string) {
	for i := 1; i < len(stops); i++ {
		if !stops[i-1].Position.Known() || !stops[i].Position.Known() {
			continue
		}
		a, b := v.at(stops[i-1].Position.Vec()), v.at(stops[i].Position.Vec())
		free := ""
		if stops[i].Span != nil {
			free = " free"
		}
		p.add(`<path class="%s%s" d="M%s %sL%s %s"/>`, class, free, num(a.x), num(a.y), num(b.x), num(b.y))
	}
}

// stop draws a station by what holds there, a point or the pump.
func (p *picture) stop(v *view, s facts.Stop) {
	if !s.Position.Known() {
		return
	}
	at := v.at(s.Position.Vec())
	switch {
	case s.Station == nil:
		p.rect(at.plus(-1.2, -1.2), at.plus(1.2, 1.2), "end")
	case s.Station.Hold.V == "none":
		p.add(`<circle class="loose" cx="%s" cy="%s" r="0.8"/>`, num(at.x), num(at.y))
	case s.Station.Hold.V == "grommet":
		p.add(`<circle class="loose" cx="%s" cy="%s" r="1.3"/>`, num(at.x), num(at.y))
		p.add(`<circle class="held" cx="%s" cy="%s" r="0.5"/>`, num(at.x), num(at.y))
	default:
		p.add(`<circle class="held" cx="%s" cy="%s" r="1"/>`, num(at.x), num(at.y))
	}
}

// along covers the ways in a view with small boxes, so that names keep clear.
func along(v *view, stops []facts.Stop) []box {
	const step = 2.0
	var list []box
	for i := 1; i < len(stops); i++ {
		if !stops[i-1].Position.Known() || !stops[i].Position.Known() {
			continue
		}
		a, b := v.at(stops[i-1].Position.Vec()), v.at(stops[i].Position.Vec())
		n := math.Ceil(math.Hypot(b.x-a.x, b.y-a.y)/step) + 1
		for t := 0.0; t <= n; t++ {
			at := spot{a.x + (b.x-a.x)*t/n, a.y + (b.y-a.y)*t/n}
			list = append(list, box{at.x, at.y, at.x, at.y}.grown(0.6))
		}
	}
	return list
}

// labels writes the names of a view: as near as there is room, clear of the
// ways where that can be, and never one on another.
func (p *picture) labels(v *view, ways []box) {
	var taken []box
	for _, at := range p.order {
		dot := v.at(at)
		taken = append(taken, box{dot.x, dot.y, dot.x, dot.y}.grown(1))
	}
	for _, at := range p.order {
		text := p.names[at]
		b, found := place(v.at(at), text, v.room, taken, ways)
		if !found {
			b, found = place(v.at(at), text, v.room, taken, nil)
		}
		if !found {
			p.missed = append(p.missed, text)
			continue
		}
		taken = append(taken, b)
		p.lead(v.at(at), b)
		p.text(spot{(b.x0 + b.x1) / 2, b.y1 - 0.75}, letterHeight, "middle", "halo", text)
	}
}

// place looks for room for a text near a place.
func place(at spot, text string, room box, taken, ways []box) (box, bool) {
	w, h := textWidth(text, letterHeight), letterHeight*1.2
	for _, r := range []float64{1.4, 3, 5, 7.5, 10, 13, 17, 22, 28, 35} {
		for turn := range 16 {
			sin, cos := math.Sincos(math.Pi/2 + float64(turn/2)*math.Pi/8*float64(1-2*(turn%2)))
			c := at.plus(cos*(r+w/2), -sin*(r+h/2))
			b := box{c.x - w/2, c.y - h/2, c.x + w/2, c.y + h/2}
			if b.within(room) && free(b, taken) && free(b, ways) {
				return b, true
			}
		}
	}
	return box{}, false
}

func free(b box, taken []box) bool {
	for _, t := range taken {
		if b.meets(t) {
			return false
		}
	}
	return true
}

// lead draws a line from a place to its name where that is not beside it.
func (p *picture) lead(at spot, b box) {
	to := spot{min(max(at.x, b.x0), b.x1), min(max(at.y, b.y0), b.y1)}
	const beside = 2.2
	if math.Hypot(to.x-at.x, to.y-at.y) > beside {
		p.add(`<path class="lead" d="M%s %sL%s %s"/>`, num(at.x), num(at.y), num(to.x), num(to.y))
	}
}

func (p *picture) rect(a, b spot, class string) {
	p.add(`<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`, class, num(min(a.x, b.x)), num(min(a.y, b.y)), num(math.Abs(a.x-b.x)), num(math.Abs(a.y-b.y)))
}

func (p *picture) text(at spot, height float64, anchor, class, text string) {
	p.add(`<text class="%s" x="%s" y="%s" font-size="%s" text-anchor="%s">%s</text>`, class, num(at.x), num(at.y), num(height), anchor, escape(text))
}

func (p *picture) add(format string, args ...any) { fmt.Fprintf(&p.body, format, args...) }

// textWidth is about how wide a text is.
func textWidth(text string, height float64) float64 {
	return float64(len([]rune(text)))*letterWidth*height + 0.8
}

// num writes a length to 0.01 mm.
func num(v float64) string {
	v = math.Round(v*100) / 100
	return strconv.FormatFloat(v+0, 'f', -1, 64) // -0 becomes 0
}

func escape(text string) string { return html.EscapeString(report.Visible(text)) }
