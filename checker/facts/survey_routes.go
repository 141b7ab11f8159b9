package facts

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/survey"
	"kitgauge/checker/value"
)

// stationTwins compares the routes of the two sides: bundles that are mirror
// images by their names, and the ends of lines to points that are. Where two
// routes mirror each other before and after a stop of each, those two are
// mirror images as well.
func (s *surveyor) stationTwins(of map[*kit.Station]*StationFit) {
	s.astray = map[*kit.Stop]bool{}
	var list []labelled
	for _, b := range s.Kit.Kit.Bundles {
		list = append(list, labelled{b.ID, b.Name})
	}
	for _, p := range pairs(list) {
		s.routeTwins(s.graph.Routes[p.left], s.graph.Routes[p.right], of)
		s.spanTwins(s.graph.Routes[p.left], s.graph.Routes[p.right], of)
	}
	to := map[string]*kit.Route{}
	for i, l := range s.Lines {
		if p := l.Point.To; p != nil {
			to[p.ID.V] = s.graph.Routes[len(s.Kit.Kit.Bundles)+i]
		}
	}
	for _, p := range s.Points {
		a, b := to[p.ID.V], to[p.Twin.V]
		if a == nil || b == nil || !p.Twin.Known || (labelled{p.ID, p.Name}).side() == "right" {
			continue
		}
		s.routeTwins(a, b, of)
	}
}

func (s *surveyor) routeTwins(a, b *kit.Route, of map[*kit.Station]*StationFit) {
	for i := max(1, a.Own); i < len(a.Stops); i++ {
		for k := max(1, b.Own); k < len(b.Stops); k++ {
			st, twin := of[a.Stops[i].Station], of[b.Stops[k].Station]
			if st == nil || twin == nil || mirrorStops(a.Stops[i], b.Stops[k]) || !mirrorAround(a, i, b, k) {
				continue
			}
			s.stationTwin(a, i, b, k, st, twin)
		}
	}
}

// mirrorAround reports whether the stops before and after two are mirror
// images of each other: off the middle, so that they tell the sides apart.
func mirrorAround(a *kit.Route, i int, b *kit.Route, k int) bool {
	if !mirrorStops(a.Stops[i-1], b.Stops[k-1]) {
		return false
	}
	endA, endB := i+1 == len(a.Stops), k+1 == len(b.Stops)
	if endA || endB {
		return endA && endB
	}
	return mirrorStops(a.Stops[i+1], b.Stops[k+1])
}

// mirrorStops reports whether two stops are mirror images.
func mirrorStops(a, b *kit.Stop) bool {
	if !a.Position.Known() || !b.Position.Known() || math.Abs(a.Position.Y.V) < survey.Apart {
		return false
	}
	return r3.Norm(r3.Sub(a.Position.Vec(), survey.Mirror(b.Position.Vec()))) < survey.Flush
}

// stationTwin doubts that of two mirror images to which its route goes the
// longer hop.
func (s *surveyor) stationTwin(a *kit.Route, i int, b *kit.Route, k int, st, twin *StationFit) {
	if !a.Stops[i].Position.Known() || !b.Stops[k].Position.Known() {
		return
	}
	at, other, r, n := a.Stops[i], b.Stops[k], b, k
	if hopsAt(b, k) > hopsAt(a, i) {
		at, other, st, r, n = b.Stops[k], a.Stops[i], twin, a, i
	}
	if long, usual := max(hopsAt(a, i), hopsAt(b, k)), min(hopsAt(a, i), hopsAt(b, k)); long < survey.Stretched*usual {
		return // it was led round something
	}
	p, m := at.Position.Vec(), survey.Mirror(other.Position.Vec())
	names := survey.Differs(p, m, survey.Flush)
	st.Twin, st.TwinOff = value.Known(r.Names[n]), value.Known(kit.Settled(r3.Norm(r3.Sub(p, m))))
	st.TwinNow, st.TwinSays = value.Known(s.coordinates(p, names)), value.Known(s.coordinates(m, names))
	if st.TwinOff.V > s.limit("station_twin") {
		s.astray[at] = true
	}
}

// spanTwins compares what is stated of the free spans of two bundles that are
// mirror images, of spans that end at mirrored places: a slip in one of them is
// told where the other has the number that was meant.
func (s *surveyor) spanTwins(a, b *kit.Route, of map[*kit.Station]*StationFit) {
	for i := max(1, a.Own); i < len(a.Stops); i++ {
		for k := max(1, b.Own); k < len(b.Stops); k++ {
			x, y := of[a.Stops[i].Station], of[b.Stops[k].Station]
			if x == nil || y == nil || !mirrorStops(a.Stops[i], b.Stops[k]) || !mirrorStops(a.Stops[i-1], b.Stops[k-1]) ||
				s.image(a.Stops[i].Body) != b.Stops[k].Body || s.image(a.Stops[i-1].Body) != b.Stops[k-1].Body {
				continue
			}
			x.spanTwin(y, b.Names[k], s)
			y.spanTwin(x, a.Names[i], s)
		}
	}
}

// spanTwin notes which number of a span is a slip of that of its twin: the
// smaller one of two that differ by a factor, the less round one of two with
// transposed digits.
func (t *StationFit) spanTwin(twin *StationFit, name string, s *surveyor) {
	slip := func(own, other value.Number) (value.Text, bool) {
		if !own.Known || !other.Known || own.V <= 0 || other.V <= 0 || own.V == other.V {
			return value.Text{}, false
		}
		_, is := survey.IsSlip(own.V, other.V, survey.Verbatim)
		return value.Known(s.length(other.V)), is && own.V < other.V || survey.Transposed(own.V, other.V, s.inch()) && s.lessRound(own.V, other.V)
	}
	if says, is := slip(t.SagRoom, twin.SagRoom); is {
		t.RoomOfTwin, t.SpanTwin = says, value.Known(name)
	}
	if says, is := slip(t.FreeLength, twin.FreeLength); is {
		t.FreeOfTwin, t.SpanTwin = says, value.Known(name)
	}
}

// lessRound reports whether a length is written in finer steps than another, or
// is the longer one of two in like steps.
func (s *surveyor) lessRound(a, b float64) bool {
	unit := 0.001
	if s.inch() {
		unit = 0.0254
	}
	x, y := survey.Step(a/unit), survey.Step(b/unit)
	return x < y || x == y && a > b
}

// hopsAt is the longer of the hops to a stop and from it, and the way there and
// on with a little weight.
func hopsAt(r *kit.Route, i int) float64 {
	in, on := hopLength(r, i), 0.0
	if i+1 < len(r.Stops) {
		on = hopLength(r, i+1)
	}
	return max(in, on) + (in+on)/100
}

func hopLength(r *kit.Route, i int) float64 {
	a, b := r.Stops[i-1], r.Stops[i]
	if !a.Position.Known() || !b.Position.Known() {
		return 0
	}
	return r3.Norm(r3.Sub(b.Position.Vec(), a.Position.Vec()))
}

// besideUntwinned reports whether a stop beside this one is not where its
// mirror image says: then it is for that that the route turns back.
func (s *surveyor) besideUntwinned(w *kit.Route, i int) bool {
	return s.astray[w.Stops[i-1]] || i+1 < len(w.Stops) && s.astray[w.Stops[i+1]]
}

// freeWithin finds a free length that is stated between two stations of one
// body, where none is needed.
func (s *surveyor) freeWithin(w *kit.Route, i int, st, beside *StationFit) {
	at, before := w.Stops[i], w.Stops[i-1]
	if beside != nil && beside.BodyMeant.Known {
		return
	}
	if at.Body == nil || at.Body != before.Body || at.FreeLength.Node == nil || st.BodyMeant.Known {
		return
	}
	st.Within, st.WithinOf = value.Known(true), value.Known(before.Name)
}

// LineLaid is where a line leaves its bundle and on which side it is laid.
type LineLaid struct {
	LeavesLater value.Text `key:"leaves_later"`     // another station of its bundle, on the body of its point
	LeavesBody  value.Text `key:"leaves_body"`      // the body of the station where it leaves
	TailSide    value.Text `key:"tail_side"`        // on which all its own stations lie, where its point lies on the other
	TailOf      value.Text `key:"tail_of"`          // the line to the mirror image of its point, whose stations they are
	SwappedWith value.Text `key:"swapped_with"`     // the line with whose point each goes better with its own last stop
	SwappedTo   value.Text `key:"swapped_point"`    // that point
	FreeWithin  value.Text `key:"free_within_from"` // the stop on the body of its point from which a free length is stated
	SharedPoint value.Text `key:"point_of_line"`    // the line that ends at its point as well
	PointMeant  value.Text `key:"point_forgotten"`  // the point without a line, by whose name the call-out sheet calls it
}

// linesLaid looks how each line is laid to its point.
func (s *surveyor) linesLaid() {
	at := map[*kit.Line]int{}
	for i, l := range s.Lines {
		at[l.Line] = len(s.Kit.Kit.Bundles) + i
	}
	for _, l := range s.Lines {
		w := s.graph.Routes[at[l.Line]]
		if l.Point.To == nil || len(w.Stops) < 2 {
			continue
		}
		if last, end := w.Stops[len(w.Stops)-2], w.Stops[len(w.Stops)-1]; last.Body != nil && last.Body == end.Body && l.LastFreeLength.Node != nil {
			l.FreeWithin = value.Known(w.Names[len(w.Names)-2])
		}
		s.leavesEarly(l, w)
		s.tailSide(l, w)
		s.pointTaken(l)
	}
	s.pointsSwapped(at)
}

// leavesEarly finds the station at which a line was meant to leave its bundle,
// where it goes from there to a point on another body and states no free
// length: that of a station of its bundle on the point's body, the nearest one.
// A later one is nearer than where it leaves, an earlier one near enough to
// leave there.
func (s *surveyor) leavesEarly(l *Line, w *kit.Route) {
	b, last, end := l.Bundle.To, w.Stops[len(w.Stops)-2], w.Stops[len(w.Stops)-1]
	if b == nil || len(l.Tail) > 0 || last.Station == nil || last.Body == nil || end.Body == nil || end.Body == last.Body || l.LastFreeLength.Node != nil || !last.Position.Known() || !end.Position.Known() {
		return
	}
	far := func(v kit.Vector) float64 { return r3.Norm(r3.Sub(v.Vec(), end.Position.Vec())) }
	past, nearest, tail := false, math.Inf(1), s.options.limit("routing/tail").V
	if l.Point.To.BodyMeant.Known {
		tail = 0 // it is its body that is doubted
	}
	for _, t := range b.Route {
		past = past || t == last.Station
		d := math.Inf(1)
		if t.Body.To == end.Body && t.Position.Known() {
			d = far(t.Position)
		}
		if d < nearest && (d < far(last.Position) || !past && d < tail) {
			l.LeavesLater, l.LeavesBody, nearest = t.ID, value.Known(last.Body.Label()), d
		}
	}
}

// tailSide finds a tail that runs on one side to a point on the other: that of
// the mirror image, copied.
func (s *surveyor) tailSide(l *Line, w *kit.Route) {
	end := w.Stops[len(w.Stops)-1]
	p := l.Point.To
	if len(l.Tail) == 0 || !end.Position.Known() || p == nil || !p.Twin.Known || s.doubtful[p] || math.Abs(end.Position.Y.V) < survey.Apart {
		return
	}
	for _, t := range l.Tail {
		if !t.Position.Known() || t.Position.Y.V*end.Position.Y.V >= 0 || math.Abs(t.Position.Y.V) < survey.Flush {
			return
		}
	}
	for _, o := range s.Lines {
		if o.Point.To == nil || o.Point.To.ID.V != p.Twin.V || len(o.Tail) != len(l.Tail) {
			continue
		}
		for i, t := range o.Tail {
			if !t.Position.Known() || r3.Norm(r3.Sub(t.Position.Vec(), l.Tail[i].Position.Vec())) > survey.Uneven {
				return
			}
		}
		l.TailSide, l.TailOf = value.Known("left"), value.Known(o.Short())
		if end.Position.Y.V > 0 {
			l.TailSide = value.Known("right")
		}
		return
	}
}

// pointTaken tells of a line that ends where another does, and is called in
// the call-out sheet by the name of a point to which none goes.
func (s *surveyor) pointTaken(l *Line) {
	p := l.Point.To
	if p == nil || len(p.Lines) < 2 || !l.Number.Known {
		return
	}
	name := s.rowName(l)
	if name == "" || name == p.Name.V {
		return
	}
	for _, o := range s.Points {
		if o.Name.V == name && len(o.Lines) == 0 {
			l.PointMeant = o.ID
		}
	}
	for _, o := range s.Lines {
		if o != l && o.Point.To == l.Point.To {
			l.SharedPoint = value.Known(o.Short())
		}
	}
}

// rowName is the name by which the call-out sheet calls a line.
func (s *surveyor) rowName(l *Line) string {
	for _, r := range s.Kit.Kit.Documents.CallOutSheet.Rows {
		if r.Line.Known && r.Line.V == l.Number.V {
			return r.Name.V
		}
	}
	return ""
}

// pointsSwapped finds two lines that each state a free length to a point on
// the body of their last stop, or none to one on another, where with their
// points exchanged both would be right.
func (s *surveyor) pointsSwapped(at map[*kit.Line]int) {
	var odd []*Line
	for _, l := range s.Lines {
		if w := s.graph.Routes[at[l.Line]]; l.Point.To != nil && len(w.Stops) > 1 && !l.CrossesWith.Known && oddEnd(w, w.Stops[len(w.Stops)-1]) {
			odd = append(odd, l)
		}
	}
	for i, a := range odd {
		for _, b := range odd[i+1:] {
			wa, wb := s.graph.Routes[at[a.Line]], s.graph.Routes[at[b.Line]]
			endA, endB := wa.Stops[len(wa.Stops)-1], wb.Stops[len(wb.Stops)-1]
			if a.Point.To == b.Point.To || a.SwappedWith.Known || b.SwappedWith.Known || oddEnd(wa, endB) || oddEnd(wb, endA) || endA.Body == endB.Body {
				continue
			}
			if s.rowName(a) != b.Point.To.Name.V || s.rowName(b) != a.Point.To.Name.V {
				continue
			}
			a.LeavesLater, b.LeavesLater, a.FreeWithin, b.FreeWithin = value.Text{}, value.Text{}, value.Text{}, value.Text{}
			a.SwappedWith, a.SwappedTo = value.Known(b.Short()), b.Point.To.ID
			for _, p := range []*Point{a.Point.To, b.Point.To} {
				p.BodyMeant, p.BodyBy = value.Text{}, value.Text{}
			}
		}
	}
}

// oddEnd reports whether a route to a point of that body would state a free
// length that is not needed, or none where it is.
func oddEnd(w *kit.Route, end *kit.Stop) bool {
	last, own := w.Stops[len(w.Stops)-2], w.Stops[len(w.Stops)-1]
	if last.Body == nil || end.Body == nil {
		return false
	}
	return (last.Body != end.Body) != (own.FreeLength.Node != nil)
}
