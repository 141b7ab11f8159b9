package propose

import (
	"cmp"
	"math"
	"slices"

	"kitgauge/checker/kit"
)

// byNearness makes ways of stations that are on none: from the pump the tubes
// go to whatever station is next, and on from there, and every end to which
// they come is the end of a way. A hop counts by the square of its length, so
// that many short ones are better than a long one.
func (w *ways) byNearness(p *planner) {
	before := w.tree(p)
	goesOn := map[int]bool{}
	for _, b := range before {
		goesOn[b] = true
	}
	for i := range w.loose {
		if goesOn[i] || before[i] == unreached {
			continue
		}
		var back []*station
		for at := i; at >= 0; at = before[at] {
			beside := *w.loose[at]
			back = append(back, &beside)
		}
		found := &way{name: w.freeName(), near: true}
		for j := len(back) - 1; j >= 0; j-- {
			found.stations = append(found.stations, back[j])
		}
		w.ways = append(w.ways, found)
	}
}

// join lets the lines of a way go with those of another, as far as both pass
// the same stations, and then on alone: the ways of the fewest lines first, each
// with the one along which it goes farthest, as long as a conduit takes them
// and they go to one place.
func (w *ways) join(p *planner) {
	order := slices.Clone(w.ways)
	slices.SortStableFunc(order, func(a, b *way) int { return cmp.Compare(len(a.lines), len(b.lines)) })
	for _, a := range order {
		var with *way
		most := 0
		for _, b := range w.ways {
			if a == b || !a.near || !b.near || len(a.lines) == 0 || len(b.lines) == 0 || len(a.lines)+len(b.lines) > w.most {
				continue
			}
			shared := a.shared(b)
			if 2*shared < a.last+1 || shared <= most || slices.ContainsFunc(a.lines, func(l *line) bool { return b.elsewhere(w, l) }) {
				continue
			}
			with, most = b, shared
		}
		if with != nil {
			a.follow(w, p, with, most)
		}
	}
}

// shared is how many stations two ways have in common from the pump on.
func (w *way) shared(other *way) int {
	n := 0
	for n <= w.last && n <= other.last && w.stations[n].at == other.stations[n].at {
		n++
	}
	return n
}

// follow moves the lines of a way to another with which it has its first
// stations in common.
func (w *way) follow(all *ways, p *planner, other *way, shared int) {
	for _, l := range w.lines {
		if l.leaves >= shared {
			var alone []*station
			for _, s := range w.stations[shared : l.leaves+1] {
				beside := *s
				alone = append(alone, &beside)
			}
			l.leaves, l.tail = shared-1, append(alone, l.tail...)
			first, _ := all.apart(other.stations[shared-1].at.Body.To, alone[0].at.Body.To, other.stations[shared-1].at.Position, alone[0].at.Position)
			if first+all.along(l) > p.limit("routing/tail") {
				l.note = goesAlone
			}
		}
		other.lines = append(other.lines, l)
	}
	w.lines = nil
}

// Where a station is reached from: another station, or one of these.
const (
	fromPump  = -1
	unreached = -2
)

// tree is from which station each is reached, on the shortest way from the
// pump (Dijkstra).
func (w *ways) tree(p *planner) []int {
	n := len(w.loose)
	cost, before, done := make([]float64, n), make([]int, n), make([]bool, n)
	pump := &p.base.Pump
	for i, s := range w.loose {
		cost[i], before[i] = w.hop(pump.Body.To, s.at.Body.To, pump.Position, s.at.Position), fromPump
		if math.IsInf(cost[i], 1) {
			before[i] = unreached
		}
	}
	for range n {
		next := -1
		for i := range n {
			if !done[i] && before[i] != unreached && (next < 0 || cost[i] < cost[next]) {
				next = i
			}
		}
		if next < 0 {
			break
		}
		done[next] = true
		from := w.loose[next].at
		for i, s := range w.loose {
			c := cost[next] + w.hop(from.Body.To, s.at.Body.To, from.Position, s.at.Position)
			if !done[i] && c < cost[i] {
				cost[i], before[i] = c, next
			}
		}
	}
	return before
}

// hop is what it costs to go from one place to the next [m2].
func (w *ways) hop(a, b *kit.Body, p, q kit.Vector) float64 {
	cost, _, _ := w.cost(a, b, p, q)
	return cost * cost
}

// freeName is a letter, or two, that names no way.
func (w *ways) freeName() string {
	for i := 0; ; i++ {
		name := string(rune('A' + i%26))
		if i >= 26 {
			name = string(rune('A'+i/26%26-1)) + name
		}
		if !w.has(name) {
			return name
		}
	}
}

func (w *ways) has(name string) bool {
	for _, way := range w.ways {
		if way.name == name {
			return true
		}
	}
	return w.tails[name] != nil
}
