package drawing

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/value"
)

// Where the three positions stand on the sheet [mm].
const (
	poseHead   = 9.0  // the title of the sheet
	poseTitle  = 6.0  // of each position
	poseWords  = 13.0 // how the joints stand
	poseMargin = 9.0  // round what is drawn
)

func (d *spanDrawing) draw(s *sheet) {
	l := newLayout(papers[0])
	s.text(spot{l.frame.x0 + 4, l.frame.y0 + 6.5}, start, large, "bold", fit(shown(d.span.Place()), large, l.frame.width()-8, true))
	body := box{l.frame.x0, l.frame.y0 + poseHead, l.frame.x1, l.strip.y0}
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
		s.text(spot{x + 4, body.y0 + 4}, start, 3.4, "bold", p.title)
		for j, line := range wrap(strings.Join(p.joints, ", "), small, third-8, false, 4) {
			s.text(spot{x + 4, body.y0 + 8 + 3.1*float64(j)}, start, small, "", line)
		}
		d.drawPose(s, above, i, x)
		d.drawPlane(s, below, i, x)
	}
	s.line(spot{body.x0, half}, spot{body.x1, half}, "rule")
	s.text(spot{body.x0 + 4, half - 2}, start, small, "faint", "As "+d.seen()+", forward is to the right, "+above.ratio())
	s.text(spot{body.x0 + 4, half + 4}, start, small, "faint", "In the plane of the tube, true length, "+below.ratio())
	s.line(spot{l.strip.x0, l.strip.y0}, spot{l.block.x0, l.strip.y0}, "rule")
	d.words(s, l.strip)
	block(s, l.block, &d.in.Kit.Header, blockText{"Span drawing", "as shown", papers[0].name, caution})
	s.rect(l.frame, 0, "frame")
}

// window is the part of the vehicle that all three positions show.
type window struct {
	view
	denominator float64
}

func (w *window) ratio() string { return (&layout{scale: w.denominator}).ratio() }

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
		if size.X*w.scale <= room.width()-4*poseMargin && high*w.scale <= room.height()-3*poseMargin {
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
	s.line(a, b, "bundle free")
	s.circle(a, 1.1, "stop")
	s.circle(b, 1.1, "stop")
	labels.strokes = append(labels.strokes, stroke{a, b})
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

func (p *plane) ratio() string { return (&layout{scale: p.denominator}).ratio() }

// bow is the tube between its ends in a plane: from end to end of the chord,
// and how deep it hangs.
type bow struct {
	motion.Arc
	wide float64 // the widest extent
	ok   bool
}

func newBow(tube value.Number, chord float64) bow {
	if !tube.Known {
		return bow{wide: chord}
	}
	arc, err := motion.Loop(tube.V, chord)
	if err != nil {
		return bow{wide: chord}
	}
	b := bow{arc, chord, true}
	if arc.HalfAngle > math.Pi/2 {
		b.wide = 2 * arc.Radius
	}
	return b
}

func (d *spanDrawing) newPlane(room box) *plane {
	wide, deep := 0.01, 0.0
	for i := range d.poses {
		b := newBow(d.poses[i].tube, d.poses[i].chord)
		wide, deep = max(wide, b.wide), max(deep, b.Sag)
	}
	if least := d.span.BendRadius; least.Known {
		wide, deep = max(wide, 2*least.V), max(deep, least.V)
	}
	p := &plane{room: room}
	for _, p.denominator = range scales {
		p.k = 1000 / p.denominator
		if wide*p.k <= room.width()-2*poseMargin && deep*p.k <= room.height()-4*poseMargin {
			break
		}
	}
	p.base = room.y0 + 2*poseMargin
	return p
}

// drawPlane draws chord and tube in true length.
func (d *spanDrawing) drawPlane(s *sheet, pl *plane, i int, x float64) {
	p := &d.poses[i]
	mid := spot{x + pl.room.centre().x, pl.base}
	c := p.chord * pl.k / 2
	a, b := mid.plus(-c, 0), mid.plus(c, 0)
	bow := newBow(p.tube, p.chord)
	d.dimension(s, a, b, d.length(p.chord))
	foot := pl.room.y1 - 3
	say := func(class, text string) {
		s.text(spot{mid.x, foot}, middle, plain, class, fit(shown(text), plain, pl.room.width()-8, true))
		foot -= 4.2
	}
	switch {
	case bow.ok && bow.Straight:
		s.line(a, b, "bundle")
		say("bold", "the tube is straight, no slack")
	case bow.ok:
		s.path(bow.path(mid, pl.k), false, "bundle")
		if i == 1 {
			d.limit(s, pl, mid, &bow)
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

// path is the arc of the tube below its chord.
func (b *bow) path(mid spot, k float64) []spot {
	n := int(math.Ceil(b.HalfAngle/(2*math.Pi/180))) + 1
	var out []spot
	for i := -n; i <= n; i++ {
		t := b.HalfAngle * float64(i) / float64(n)
		out = append(out, mid.plus(b.Radius*k*math.Sin(t), b.Radius*k*(math.Cos(t)-math.Cos(b.HalfAngle))))
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

// limit draws radius and depth of the arc, and in its lowest place the
// tightest bend that the tube and its conduit take.
func (d *spanDrawing) limit(s *sheet, pl *plane, mid spot, b *bow) {
	low := mid.plus(0, b.Sag*pl.k)
	least := d.span.BendRadius
	if least.Known && least.V > 0 {
		var bend []spot
		for t := -60; t <= 60; t += 4 {
			sin, cos := math.Sincos(float64(t) * math.Pi / 180)
			bend = append(bend, low.plus(least.V*pl.k*sin, least.V*pl.k*(cos-1)))
		}
		s.path(bend, false, "limit")
	}
	s.text(spot{mid.x, low.y + 4.2}, middle, small, "halo", fmt.Sprintf("radius %s, hangs %s deep", d.length(b.Radius), d.length(b.Sag)))
	if least.Known {
		s.text(spot{mid.x, low.y + 7.6}, middle, small, "halo", fmt.Sprintf("broken: the least bend radius, %s", d.length(least.V)))
	}
}

// words lists the figures of the span, and what is found about it.
func (d *spanDrawing) words(s *sheet, room box) {
	half := room.x0 + room.width()*0.46
	fill(s, box{room.x0 + 2.5, room.y0 + 2, half - 2, room.y1 - 1}, func(l *list) {
		l.title("Figures")
		for _, f := range []struct{ name, text string }{
			{"free length", d.stated(d.span.FreeLength)},
			{"slack at the longest", d.stated(d.span.Slack)},
			{"surplus at the shortest", d.stated(d.span.Surplus)},
			{"radius at the shortest", d.stated(d.span.LoopRadius)},
			{"least bend radius", d.stated(d.span.BendRadius)},
			{"depth of the arc", d.stated(d.span.LoopSag)},
			{"lines", strings.Join(d.span.Members, ", ")},
		} {
			l.pair(f.name, f.text)
		}
	})
	fill(s, box{half + 2, room.y0 + 2, room.x1 - 2, room.y1 - 1}, func(l *list) {
		m := &marks{}
		if !d.in.Plain {
			m.astray = d.concerns()
		}
		l.findings(m, d.in.Plain)
	})
}

// pair writes a name and what it stands for.
func (l *list) pair(name, text string) {
	l.behind("faint", fit(name, l.size, l.room.width()*0.45, false), l.room.width()*0.46, text)
}
