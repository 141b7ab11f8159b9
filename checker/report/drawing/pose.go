package drawing

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/quantities/elastica"
)

// Where the three positions stand on the sheet [mm].
const (
	poseHead   = 9.0  // the title of the sheet
	poseTitle  = 6.0  // of each position
	poseWords  = 13.0 // how the joints stand
	poseMargin = 9.0  // round what is drawn
	poseNarrow = 5.0  // the same where there is little room
	underPlane = 19.0 // what is said below the span in its own plane
)

// overPlane is the room above it, for the chord's length.
func (d *spanDrawing) overPlane() float64 {
	if d.tight() {
		return 13
	}
	return 2 * poseMargin
}

// tight is that there is little room.
func (d *spanDrawing) tight() bool { return d.small || d.in.Paper.size().w < columnFrom }

// margin is what stays free round what is drawn.
func (d *spanDrawing) margin() float64 {
	if d.tight() {
		return poseNarrow
	}
	return poseMargin
}

// draw draws the sheet of a span.
func (d *spanDrawing) draw(s *sheet) {
	l := d.in.Paper.size().frames()
	s.text(spot{l.frame.x0 + 4, l.frame.y0 + 6.5}, start, large, "bold", fit(shown(d.span.Place()), large, l.frame.width()-8, true))
	body := box{l.frame.x0, l.frame.y0 + poseHead, l.frame.x1, l.strip.y0}
	figures, findings := l.strip, l.strip
	if figures.x1 = l.strip.x0 + l.strip.width()*0.46; l.w < columnFrom { // the strip is for the figures alone
		figures = l.strip
		findings = box{l.frame.x0, l.strip.y0 - d.findingsRoom(), l.frame.x1, l.strip.y0}
		body.y1 = findings.y0
		s.line(spot{l.frame.x0, findings.y0}, spot{l.frame.x1, findings.y0}, "rule")
	} else {
		findings.x0 = figures.x1
	}
	d.views(s, body)
	s.line(spot{l.strip.x0, l.strip.y0}, spot{l.block.x0, l.strip.y0}, "rule")
	d.figures(s, figures)
	d.findings(s, findings)
	titleBlock(s, l.block, &d.in.Kit.Header, titleText{"Span drawing", "as shown", l.name, "1 of 1", caution, d.in.verdict("see the findings")})
	s.rect(l.frame, 0, "frame")
}

// views draws the three positions beside each other: above as the vehicle is
// seen, below in the plane of the span.
func (d *spanDrawing) views(s *sheet, body box) {
	third := body.width() / 3
	upper := body.y0 + poseTitle + poseWords
	half := upper + (body.y1-upper)*0.52
	above := d.newWindow(box{0, upper, third, half})
	below := d.newPlane(box{0, half + poseTitle, third, body.y1})
	for i := range d.poses {
		p := &d.poses[i]
		x := body.x0 + third*float64(i)
		if i > 0 {
			s.line(spot{x, body.y0}, spot{x, body.y1}, "rule")
		}
		s.text(spot{x + 4, body.y0 + 4}, start, plain, "bold", p.title)
		for j, line := range wrap(shown(strings.Join(p.joints, ", ")), small, third-8, false, 4) {
			s.text(spot{x + 4, body.y0 + 8 + rowStep*float64(j)}, start, small, "", line)
		}
		d.drawPose(s, above, i, x)
		d.drawPlane(s, below, i, x)
	}
	s.line(spot{body.x0, half}, spot{body.x1, half}, "rule")
	s.text(spot{body.x0 + 4, half - 2}, start, small, "faint", "As "+d.seen()+", forward is to the right, "+above.ratio())
	s.text(spot{body.x0 + 4, half + 4}, start, small, "faint", "At right angles to its largest sag, chord in true length, "+below.ratio())
}

// window is the part of the vehicle that all three positions show.
type window struct {
	view
	denominator float64
}

func (w *window) ratio() string { return ratio(w.denominator) }

// newWindow finds the largest scale at which everything near the span is in
// the room.
func (d *spanDrawing) newWindow(room box) *window {
	in := nowhere()
	for i := range d.poses {
		in.take(d.poses[i].from)
		in.take(d.poses[i].to)
	}
	reach := max(d.poses[2].chord, 0.05)
	for i := range d.poses {
		p := &d.poses[i]
		for _, h := range p.pivots {
			if r3.Norm(r3.Sub(h.at, p.from)) < 1.5*reach || r3.Norm(r3.Sub(h.at, p.to)) < 1.5*reach {
				in.take(h.at)
			}
		}
	}
	w := &window{view: view{side: d.side}}
	size := r3.Sub(in.to, in.from)
	high := size.Y
	middle := r3.Scale(0.5, r3.Add(in.from, in.to))
	up := middle.Y
	if d.side {
		high, up = size.Z, middle.Z
	}
	for _, w.denominator = range scales {
		w.scale = 1000 / w.denominator
		if size.X*w.scale <= room.width()-4*d.margin() && high*w.scale <= room.height()-3*d.margin() {
			break
		}
	}
	w.datum = spot{fine(room.centre().x - middle.X*w.scale), fine(room.centre().y + up*w.scale)}
	w.area = room.grown(-3)
	return w
}

// drawPose draws one position as the vehicle is seen, with the position at
// rest behind it.
func (d *spanDrawing) drawPose(s *sheet, w *window, i int, x float64) {
	at := func(v r3.Vec) spot { return w.at(v).plus(x, 0) }
	p, rest := &d.poses[i], &d.poses[0]
	room := box{w.area.x0 + x, w.area.y0, w.area.x1 + x, w.area.y1}
	labels := &placer{within: room}
	if i > 0 {
		s.line(at(rest.from), at(rest.to), "ghost")
		s.circle(at(rest.from), 0.8, "rule")
		s.circle(at(rest.to), 0.8, "rule")
		for _, way := range p.ways {
			d.drawWay(s, way, at)
		}
	}
	a, b := at(p.from), at(p.to)
	for k, end := range []spot{a, b} {
		if p.stub[k] {
			far := at(p.stubs[k])
			s.line(end, towards(end, far, min(9, distance(end, far))), "bundle")
			labels.strokes = append(labels.strokes, stroke{end, far})
		}
	}
	tube := []spot{a, b}
	if len(p.curve) > 0 {
		tube = tube[:0]
		for _, v := range p.curve {
			tube = append(tube, at(v))
		}
	}
	s.path(tube, false, "bundle free")
	s.circle(a, 1.1, "stop")
	s.circle(b, 1.1, "stop")
	for i := 1; i < len(tube); i++ {
		labels.strokes = append(labels.strokes, stroke{tube[i-1], tube[i]})
	}
	labels.dots = append(labels.dots, a, b)
	write := func(near spot, text string, from float64) {
		text = fit(shown(text), small, 46, false)
		if box, ok := labels.put(near, width(text, small, false)+0.6, small*1.25, from, 40); ok {
			s.centred(box, small, "halo", text)
		}
	}
	for _, h := range p.pivots {
		d.drawPivot(s, w, labels, h, at(h.at))
	}
	write(a, d.span.From.Or("from"), 1.6)
	write(b, d.span.To.Or("to"), 1.6)
	for _, h := range p.pivots {
		if room.has(at(h.at)) {
			write(at(h.at), h.name, 1.6)
		}
	}
}

// drawWay draws how an end gets from rest to where it is.
func (d *spanDrawing) drawWay(s *sheet, way []r3.Vec, at func(r3.Vec) spot) {
	var path []spot
	for _, v := range way {
		path = append(path, at(v))
	}
	if _, length := along(path); length > 2 {
		s.path(path, false, "trace")
	}
}

func (d *spanDrawing) drawPivot(s *sheet, w *window, labels *placer, h pivot, at spot) {
	if !labels.within.has(at) {
		return
	}
	if math.Abs(w.depth(h.axis)) <= 0.7 {
		along := w.at(r3.Add(h.at, h.axis)).plus(at.x-w.at(h.at).x, 0)
		a, b := towards(at, along, 7), towards(at, along, -7)
		s.line(a, b, "axis")
		labels.strokes = append(labels.strokes, stroke{a, b})
	}
	s.circle(at, 1.2, "joint")
	s.circle(at, 0.4, "joint-full")
	labels.dots = append(labels.dots, at)
}

// plane is the room for the span in its own plane.
type plane struct {
	room        box
	k           float64
	denominator float64
	base        float64 // where the chord lies
}

func (p *plane) ratio() string { return ratio(p.denominator) }

// bow is the tube between its ends, as it is seen at right angles to the chord
// and to its largest sag: along the chord from the first end, and beside it.
type bow struct {
	elastica.Curve
	places [][2]float64
	wide   [2]float64 // its extent along the chord
	deep   [2]float64 // and beside it
	ok     bool
}

func newBow(c *elastica.Curve) bow {
	first := c.Points[0]
	along := r3.Unit(r3.Sub(c.Points[len(c.Points)-1], first))
	beside := r3.Vec{}
	for _, p := range c.Points {
		p = r3.Sub(p, first)
		if off := r3.Sub(p, r3.Scale(r3.Dot(p, along), along)); r3.Norm(off) > r3.Norm(beside) {
			beside = off
		}
	}
	if r3.Norm(beside) > 0 {
		beside = r3.Unit(beside)
	}
	b := bow{Curve: *c, ok: true}
	for _, p := range c.Points {
		p = r3.Sub(p, first)
		at := [2]float64{r3.Dot(p, along), r3.Dot(p, beside)}
		b.places = append(b.places, at)
		b.wide[0], b.wide[1] = min(b.wide[0], at[0]), max(b.wide[1], at[0])
		b.deep[0], b.deep[1] = min(b.deep[0], at[1]), max(b.deep[1], at[1])
	}
	return b
}

func (d *spanDrawing) newPlane(room box) *plane {
	wide, deep, above := 0.01, 0.0, 0.0
	for i := range d.poses {
		p := &d.poses[i]
		middle := p.chord / 2
		wide = max(wide, 2*max(middle-p.bow.wide[0], p.bow.wide[1]-middle))
		deep, above = max(deep, p.bow.deep[1]), max(above, -p.bow.deep[0])
	}
	if least := d.span.BendRadius; least.Known {
		wide, deep = max(wide, 2*least.V), max(deep, least.V)
	}
	p := &plane{room: room}
	for _, p.denominator = range scales {
		p.k = 1000 / p.denominator
		if wide*p.k <= room.width()-2*d.margin() && (deep+above)*p.k <= room.height()-d.overPlane()-underPlane {
			break
		}
	}
	p.base = room.y0 + d.overPlane() + above*p.k
	return p
}

// drawPlane draws chord and tube in true length.
func (d *spanDrawing) drawPlane(s *sheet, pl *plane, i int, x float64) {
	p := &d.poses[i]
	mid := spot{x + pl.room.centre().x, pl.base}
	c := p.chord * pl.k / 2
	a, b := mid.plus(-c, 0), mid.plus(c, 0)
	bow := &p.bow
	d.dimension(s, a, b, d.length(p.chord))
	foot := pl.room.y1 - 3
	size, step := plain, 1.3*plain
	if d.tight() {
		size, step = small, rowStep
	}
	say := func(class, text string) {
		lines := wrap(shown(text), size, pl.room.width()-8, true, 3)
		for i, line := range lines {
			s.text(spot{mid.x, foot - step*float64(len(lines)-1-i)}, middle, size, class, line)
		}
	}
	switch {
	case bow.ok && bow.Straight:
		s.line(a, b, "bundle")
		say("bold", "the tube is straight, no slack")
	case bow.ok:
		s.path(bow.path(a, pl.k), false, "bundle")
		if i == 1 {
			d.limit(s, pl, a, bow)
		}
		say("bold", fmt.Sprintf("free length %s, %s more than the chord", d.length(p.tube.V), d.length(p.tube.V-p.chord)))
	case p.tube.Known && p.tube.V < p.chord:
		s.line(a, towards(a, b, 2*c*p.tube.V/p.chord), "bundle")
		s.line(towards(a, b, 2*c*p.tube.V/p.chord), b, "gap")
		say("bold", fmt.Sprintf("too short by %s: free length %s", d.length(p.chord-p.tube.V), d.length(p.tube.V)))
	default:
		s.line(a, b, "ghost")
		say("faint", "free length "+d.stated(p.tube))
	}
	s.circle(a, 1.1, "stop")
	s.circle(b, 1.1, "stop")
}

// path is the tube below its chord, which begins at a place.
func (b *bow) path(from spot, k float64) []spot {
	var out []spot
	for _, p := range b.places {
		out = append(out, from.plus(p[0]*k, p[1]*k))
	}
	return out
}

// dimension draws a length between two places, above them.
func (d *spanDrawing) dimension(s *sheet, a, b spot, text string) {
	const over = 8.0
	s.line(a.plus(0, -1.6), a.plus(0, -over-1), "rule")
	s.line(b.plus(0, -1.6), b.plus(0, -over-1), "rule")
	l, r := a.plus(0, -over), b.plus(0, -over)
	s.line(l, r, "chord")
	s.arrow(r, l, 1.8, "solid")
	s.arrow(l, r, 1.8, "solid")
	s.text(spot{(l.x + r.x) / 2, l.y - 1.2}, middle, plain, "bold halo", text)
}

// limit draws radius and depth of the tube, and where it is tightest the
// tightest bend that the tube and its conduit take.
func (d *spanDrawing) limit(s *sheet, pl *plane, from spot, b *bow) {
	least := d.span.BendRadius
	if least.Known && least.V > 0 {
		s.path(b.bend(from, pl.k, least.V), false, "limit")
	}
	low := from.plus((b.wide[0]+b.wide[1])/2*pl.k, b.deep[1]*pl.k)
	s.text(spot{low.x, low.y + 4.2}, middle, small, "halo", fmt.Sprintf("bent to %s, hangs %s deep", d.length(b.Radius), d.length(b.Sag)))
	if least.Known {
		s.text(spot{low.x, low.y + 4.2 + rowStep}, middle, small, "halo", fmt.Sprintf("dashed line: least bend radius allowed, %s", d.length(least.V)))
	}
}

// bend is an arc of a radius that touches the tube where it is tightest.
func (b *bow) bend(from spot, k, radius float64) []spot {
	path := b.path(from, k)
	gone, whole := 0.0, 0.0
	for i := 1; i < len(path); i++ {
		whole += distance(path[i-1], path[i])
	}
	at := 1
	for at < len(path)-2 && gone+distance(path[at-1], path[at]) < b.At*k*(whole/(b.length()*k)) {
		gone += distance(path[at-1], path[at])
		at++
	}
	p, q, r := path[at-1], path[at], path[at+1]
	along := towards(spot{}, spot{r.x - p.x, r.y - p.y}, 1)
	side := 1.0
	if (q.x-p.x)*(r.y-q.y)-(q.y-p.y)*(r.x-q.x) < 0 {
		side = -1
	}
	var bend []spot
	for t := -60; t <= 60; t += 4 {
		sin, cos := math.Sincos(float64(t) * math.Pi / 180)
		u, v := radius*k*sin, side*radius*k*(1-cos)
		bend = append(bend, q.plus(u*along.x-v*along.y, u*along.y+v*along.x))
	}
	return bend
}

// length is that of the line through the places of the tube.
func (b *bow) length() float64 {
	sum := 0.0
	for i := 1; i < len(b.Points); i++ {
		sum += r3.Norm(r3.Sub(b.Points[i], b.Points[i-1]))
	}
	return sum
}

// findingsRoom is the height of a row with what is found.
func (d *spanDrawing) findingsRoom() float64 {
	if d.in.Plain || len(d.of.concerns(d.span)) == 0 {
		return 11
	}
	return 24
}

// figures lists the figures of the span.
func (d *spanDrawing) figures(s *sheet, room box) {
	fill(s, box{room.x0 + 2.5, room.y0 + 2, room.x1 - 2, room.y1 - 1}, func(l *list) {
		l.title("Figures")
		for _, f := range []struct{ name, text string }{
			{"free length", d.stated(d.span.FreeLength)},
			{"slack at the longest", d.stated(d.span.Slack)},
			{"surplus at the shortest", d.stated(d.span.Surplus)},
			{"least radius of the loop", d.stated(d.span.LoopRadius)},
			{"least bend radius", d.stated(d.span.BendRadius)},
			{"most sag of the loop", d.stated(d.span.LoopSag)},
			{"lines", ranges(d.span.Members)},
		} {
			l.pair(f.name, f.text)
		}
	})
}

// findings lists what is found about it.
func (d *spanDrawing) findings(s *sheet, room box) {
	fill(s, box{room.x0 + 2, room.y0 + 2, room.x1 - 2, room.y1 - 1}, func(l *list) {
		m := &marks{}
		if !d.in.Plain {
			m.astray = d.of.concerns(d.span)
		}
		l.findings(m, d.in.Plain)
	})
}

// pair writes a name and what it stands for.
func (l *list) pair(name, text string) {
	kept := fit(name, l.size, l.room.width()*0.5, false)
	l.cut = l.cut || kept != name
	l.behind("faint", kept, l.room.width()*0.51, text)
}
