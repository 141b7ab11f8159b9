package propose

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/quantities/routing"
)

// lay leads a line to every point: in the bundle of a way and from the station
// from which its own way is the shortest, or alone from the pump where that is
// nearer.
func (p *planner) lay() {
	w := p.survey()
	for _, point := range p.base.Points {
		p.lines = append(p.lines, &line{point: point, tail: w.tails[point.ID.V]})
	}
	// those with a last piece of their own come second: they go with what is there
	for _, own := range []bool{false, true} {
		for i, l := range p.lines {
			if own == (len(l.tail) > 0) {
				p.lead(w, i, l)
			}
		}
	}
	p.alikeNames(w)
	w.join(p)
	p.bundle(w)
}

// lead leads one line.
func (p *planner) lead(w *ways, i int, l *line) {
	from := w.nearest(p, l)
	switch {
	case from.way != nil:
		from.way.last = max(from.way.last, from.station)
		from.way.lines = append(from.way.lines, l)
		l.leaves = from.station
		if from.far > p.limit("routing/tail") {
			l.note = goesAlone
		}
	case !from.single:
		p.leave(l.called(), pointer("lines", i), "no station leads here: survey some, with their bodies")
	}
}

// goesAlone is the note at a line that goes far on its own.
const goesAlone = "No station of a bundle is nearer to the point; the line goes on alone."

// called names a line that has no number yet by its point.
func (l *line) called() string { return "the line to point " + l.point.ID.Or("?") }

// bundle makes a bundle of every way that is used, as far as it is used.
func (p *planner) bundle(w *ways) {
	for _, way := range w.ways {
		if len(way.lines) == 0 {
			if way.near {
				continue // another leads along the same stations, or none has to
			}
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
	ways   []*way
	tails  map[string][]*station // the last piece to a point, by its id
	loose  []*station
	graph  *kit.Graph
	bend   float64 // m, the least that the tube takes
	most   int     // lines that the widest conduit takes
	search *motion.Budget
}

// way is stations in a row, from the pump outwards.
type way struct {
	name     string
	stations []*station
	near     bool // made by nearness
	last     int  // the farthest station at which a line leaves
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
	w := &ways{tails: map[string][]*station{}, graph: kit.NewGraph(p.base), most: p.mostLines(), search: &motion.Budget{Boxes: mostBoxes}}
	if tube, is := p.entry(p.tube).(*kit.Tube); is {
		w.bend = tube.BendRadius.V
	}
	points := map[string]bool{}
	for _, point := range p.base.Points {
		points[point.ID.V] = true
	}
	byName := map[string]*way{}
	for i, s := range p.part.Stations {
		at := &station{members: s.Members, at: p.base.Bundles[i/mostStations].Route[i%mostStations]}
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
	w.byNearness(p)
	return w
}

// start is where a line begins its own way.
type start struct {
	way     *way // nil where it begins at the pump
	station int
	single  bool
	far     float64 // m, of its own way
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

// cost is how long a hop counts as: over joints that is how far its ends come
// apart, and how much of that is over when they come near.
func (w *ways) cost(a, b *kit.Body, p, q kit.Vector) (cost, d float64, joints int) {
	d, joints = w.apart(a, b, p, q)
	if joints == 0 || math.IsInf(d, 1) {
		return d, d, joints
	}
	far := d + joint*float64(joints)
	const near = 1.0 // m; a free span that is longer at rest is none to want
	if d > near {
		return 2 * far, d, joints
	}
	m, err := w.graph.Between(a, b).Motion().Result()
	if err != nil {
		return far, d, joints
	}
	m.Budget = w.search
	if shortest, longest, err := m.Extremes(p.Vec(), q.Vec()); err == nil {
		far += 2 * (longest.Distance - shortest.Distance)
	}
	return far, d, joints
}

// mostBoxes bounds the search for how far ends come apart, for all hops that
// are looked at.
const mostBoxes = 2_000_000

// joint is by how much a hop over a joint counts as longer [m]: a free span is
// the last thing to want. Common practice, no source.
const joint = 1.0

// kink is by how much a turn that is too tight for the tube counts as a longer
// way [m], and full a way that has as many lines as a conduit takes. Common
// practice, no source.
const (
	kink = 2.0
	full = 0.3
	// across is for a station on the other side of the vehicle than the point.
	across = 0.5
	// fresh is for a way along which nothing lies yet, where no surveyor said
	// that it is one.
	fresh = 0.4
)

// acrossFrom reports whether two places lie on different sides, both away from
// the middle.
func acrossFrom(p, q kit.Vector) bool {
	const middle = 0.1 // m
	return p.Known() && q.Known() && p.Y.V*q.Y.V < 0 && math.Min(math.Abs(p.Y.V), math.Abs(q.Y.V)) > middle
}

// place is a station with its body; the zero place is none.
type place struct {
	body *kit.Body
	at   kit.Vector
}

// before is the place from which a way comes to a station.
func (w *way) before(p *planner, i int) place {
	if i == 0 {
		return place{p.base.Pump.Body.To, p.base.Pump.Position}
	}
	s := w.stations[i-1].at
	return place{s.Body.To, s.Position}
}

// kinks counts the turns that are too tight where a line leaves at a station,
// coming from another: there, and at the next place that it comes to.
func (b place) kinks(w *ways, from *kit.Station, l *line) int {
	run := []place{b, {from.Body.To, from.Position}}
	for _, s := range l.tail[:min(len(l.tail), 2)] {
		run = append(run, place{s.at.Body.To, s.at.Position})
	}
	run = append(run, place{l.point.Body.To, l.point.Position})
	n := 0
	for i := 1; i+1 < min(len(run), 4); i++ {
		if w.tight(run[i-1], run[i], run[i+1]) {
			n++
		}
	}
	return n
}

// tight reports whether a run of three places on one body turns more tightly
// than the tube takes.
func (w *ways) tight(a, b, c place) bool {
	if a.body == nil || a.body != b.body || b.body != c.body || !a.at.Known() || !b.at.Known() || !c.at.Known() {
		return false
	}
	turn, err := routing.CornerRadius(a.at.Vec(), b.at.Vec(), c.at.Vec())
	return err != nil || !turn.Straight && kit.Settled(turn.Radius) < w.bend
}

// other is by how much a way counts as farther off that goes to another place
// [m]: a bundle for two places has to be opened at the one to repair the other.
// Common practice, no source.
const other = 0.3

// elsewhere reports whether the lines of a way go to other places than a line.
func (w *way) elsewhere(all *ways, l *line) bool {
	goal := all.goal(l.point)
	if goal == "" {
		return false
	}
	return slices.ContainsFunc(w.lines, func(o *line) bool {
		there := all.goal(o.point)
		return there != "" && there != goal
	})
}

// goal is what a point is on, seen from the pump: the outermost body that
// moves against the pump's, and of an axle the side; "" on the pump's own body.
func (w *ways) goal(point *kit.Point) string {
	home := w.graph.Kit.Pump.Body.To
	if home == nil || point.Body.To == nil {
		return ""
	}
	joints := w.graph.Between(home, point.Body.To).B
	if len(joints) == 0 || joints[0].Child.To == nil {
		return ""
	}
	name := joints[0].Child.ID.V
	if role := joints[0].Role.V; role == "suspension" || role == "steering" {
		name += fmt.Sprint(point.Position.Y.V > 0)
	}
	return name
}

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
		cost, d, _ := w.cost(from, body, place, at)
		if cost += more; cost < least {
			s.far = d + rest
			best, least = s, cost
		}
	}
	for _, way := range w.ways {
		more := 0.0
		if way.elsewhere(w, l) {
			more = other
		}
		if way.near && len(way.lines) == 0 {
			more += fresh
		}
		if len(way.lines) >= w.most {
			more += full
		}
		for i, s := range way.stations {
			extra := more + kink*float64(way.before(p, i).kinks(w, s.at, l))
			if acrossFrom(s.at.Position, l.point.Position) {
				extra += across
			}
			try(start{way: way, station: i}, s.at.Body.To, s.at.Position, extra)
		}
	}
	if pump := &p.base.Pump; len(l.tail) > 0 || len(w.ways) == 0 {
		kinks := place{}.kinks(w, &kit.Station{Body: pump.Body, Position: pump.Position}, l)
		try(start{single: true}, pump.Body.To, pump.Position, kink*float64(kinks))
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
