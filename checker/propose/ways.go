package propose

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"kitgauge/checker/kit"
)

// lay leads a line to every point: in the bundle of a way and from the station
// from which its own way is the shortest, or alone from the pump where that is
// nearer.
func (p *planner) lay() {
	w := p.survey()
	var used []*way
	for i, point := range p.base.Points {
		l := &line{point: point, tail: w.tails[point.ID.V]}
		from := w.nearest(p, l)
		switch {
		case from.way != nil:
			from.way.last = max(from.way.last, from.station)
			from.way.lines = append(from.way.lines, l)
			l.leaves = from.station
			l.tail = append(from.loose, l.tail...)
			if !slices.Contains(used, from.way) {
				used = append(used, from.way)
			}
			if from.far > p.limit("routing/tail") {
				l.note = "No station of a bundle is nearer to the point; the line goes on alone."
			}
		case from.single:
			l.tail = append(from.loose, l.tail...)
		}
		if from.joints > 0 && len(w.ways) == 0 {
			p.leave("point "+point.ID.Or("?"), pointer("lines", i), "no station leads here")
		}
		p.lines = append(p.lines, l)
	}
	p.bundle(w, used)
}

// bundle makes a bundle of every way that is used, as far as it is used.
func (p *planner) bundle(w *ways, used []*way) {
	for _, way := range w.ways {
		if !slices.Contains(used, way) {
			p.leave("way "+way.name, "", "no point lies near its stations; take them out, or look at their positions")
			continue
		}
		b := &bundle{id: way.name, name: way.called(), route: way.stations[:way.last+1]}
		for i, s := range b.route {
			if s.id == "" || slices.ContainsFunc(b.route[:i], func(o *station) bool { return o.id == s.id }) {
				s.id = fmt.Sprintf("%s-%d", strings.ToLower(way.name), i+1)
			}
		}
		for _, l := range way.lines {
			l.bundle = b
		}
		p.bundles = append(p.bundles, b)
	}
}

// ways are the stations of the survey, as they belong together.
type ways struct {
	ways  []*way
	tails map[string][]*station // the last piece to a point, by its id
	loose []*station
	graph *kit.Graph
}

// way is stations in a row, from the pump outwards.
type way struct {
	name     string
	stations []*station
	last     int // the farthest station at which a line leaves
	lines    []*line
}

// called names a bundle after where it goes, and the side of what it serves.
func (w *way) called() string {
	name := w.stations[w.last].at.Body.To.Label()
	left, right := 0, 0
	for _, l := range w.lines {
		switch y := l.point.Position.Y; {
		case y.V > 0:
			left++
		case y.V < 0:
			right++
		}
	}
	said := strings.Contains(name, "left") || strings.Contains(name, "right")
	switch {
	case left > 0 && right == 0 && !said:
		name += ", left"
	case right > 0 && left == 0 && !said:
		name += ", right"
	}
	return name
}

// survey sorts the stations of the survey by their ways.
func (p *planner) survey() *ways {
	w := &ways{tails: map[string][]*station{}, graph: kit.NewGraph(p.base)}
	points := map[string]bool{}
	for _, point := range p.base.Points {
		points[point.ID.V] = true
	}
	byName := map[string]*way{}
	for i, s := range p.part.Stations {
		at := &station{members: s.Members, at: p.base.Bundles[0].Route[i]}
		at.id = at.at.ID.V
		switch {
		case s.Way == "":
			w.loose = append(w.loose, at)
		case points[s.Way]:
			w.tails[s.Way] = append(w.tails[s.Way], at)
		case byName[s.Way] == nil:
			byName[s.Way] = &way{name: s.Way}
			w.ways = append(w.ways, byName[s.Way])
			fallthrough
		default:
			byName[s.Way].stations = append(byName[s.Way].stations, at)
		}
	}
	return w
}

// start is where a line begins its own way.
type start struct {
	way     *way // nil where it begins at the pump
	station int
	single  bool
	loose   []*station // stations on no way that it passes first
	far     float64    // m, of its own way
	joints  int        // that the first hop crosses
}

// apart is how far a hop goes, and how many joints it crosses; infinitely far
// where a place is not known, or no joint joins the two.
func (w *ways) apart(a, b *kit.Body, p, q kit.Vector) (d float64, joints int) {
	if a == nil || b == nil || !p.Known() || !q.Known() {
		return math.Inf(1), 0
	}
	chain := w.graph.Between(a, b)
	if !chain.Joined {
		return math.Inf(1), 0
	}
	return kit.Distance(p, q), len(chain.All())
}

// joint is by how much a hop over a joint counts as longer [m]: a free span is
// the last thing to want. Common practice, no source.
const joint = 1.0

// nearest is where the way of a line is the shortest.
func (w *ways) nearest(p *planner, l *line) start {
	body, at := l.point.Body.To, l.point.Position
	rest := 0.0
	if len(l.tail) > 0 {
		body, at = l.tail[0].at.Body.To, l.tail[0].at.Position
		rest = w.along(l)
	}
	best, least := start{}, math.Inf(1)
	try := func(s start, from *kit.Body, place kit.Vector, more float64) {
		d, joints := w.apart(from, body, place, at)
		if cost := d + joint*float64(joints) + more; cost < least {
			s.far, s.joints = d+rest, joints
			best, least = s, cost
		}
	}
	for _, way := range w.ways {
		for i, s := range way.stations {
			try(start{way: way, station: i}, s.at.Body.To, s.at.Position, 0)
		}
	}
	if pump := &p.base.Pump; len(l.tail) > 0 || len(w.ways) == 0 {
		try(start{single: true}, pump.Body.To, pump.Position, 0)
	}
	return best
}

// along is the length of the tail of a line, from its first station on.
func (w *ways) along(l *line) float64 {
	sum := 0.0
	for i, s := range l.tail {
		body, at := l.point.Body.To, l.point.Position
		if i+1 < len(l.tail) {
			body, at = l.tail[i+1].at.Body.To, l.tail[i+1].at.Position
		}
		if d, _ := w.apart(s.at.Body.To, body, s.at.Position, at); !math.IsInf(d, 1) {
			sum += d
		}
	}
	return sum
}
