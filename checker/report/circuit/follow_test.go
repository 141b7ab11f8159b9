package circuit_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/facts"
)

// net is what conductors join: the tests follow it in the drawing alone.
type net struct {
	to      map[node]node
	symbols map[node][]*symbol
	list    []*symbol
	leads   map[*symbol][]node
}

// node is a place on a sheet.
type node struct {
	sheet int
	at    place
}

// joined joins the ends of all conductors that meet on the sheets, and what goes
// on elsewhere under the same name with where it comes from.
func joined(list []*drawn) *net {
	n := &net{to: map[node]node{}, symbols: map[node][]*symbol{}, leads: map[*symbol][]node{}}
	open := map[string]node{}
	for i, d := range list {
		for _, w := range d.wires {
			if w.of == nil {
				n.join(node{i, w.ends[0]}, node{i, w.ends[1]})
			}
		}
		for _, s := range d.symbols {
			if len(s.leads) == 0 {
				continue
			}
			switch s.kind {
			case "junction": // conductors meet at it
				for _, p := range s.leads[1:] {
					n.join(node{i, s.leads[0]}, node{i, p})
				}
			case "continuation":
				for _, p := range s.leads[1:] {
					n.join(node{i, s.leads[0]}, node{i, p})
				}
				end := node{i, s.leads[0]}
				if before, goes := open[s.name]; goes {
					n.join(before, end)
					delete(open, s.name)
				} else {
					open[s.name] = end
				}
			}
		}
	}
	for i, d := range list {
		for _, s := range d.symbols {
			n.list = append(n.list, s)
			for _, p := range s.leads {
				at := n.root(node{i, p})
				if !slices.Contains(n.symbols[at], s) {
					n.symbols[at] = append(n.symbols[at], s)
					n.leads[s] = append(n.leads[s], at)
				}
			}
		}
	}
	return n
}

func (n *net) root(p node) node {
	for {
		up, found := n.to[p]
		if !found || up == p {
			return p
		}
		p = up
	}
}

func (n *net) join(a, b node) {
	if a, b = n.root(a), n.root(b); a != b {
		n.to[a] = b
	}
}

// beside lists the symbols that share a conductor with one.
func (n *net) beside(s *symbol, kind string) []*symbol {
	var out []*symbol
	for _, at := range n.leads[s] {
		for _, o := range n.symbols[at] {
			if o != s && o.kind == kind && !slices.Contains(out, o) {
				out = append(out, o)
			}
		}
	}
	return out
}

func (n *net) all(kind string) []*symbol {
	var out []*symbol
	for _, s := range n.list {
		if s.kind == kind {
			out = append(out, s)
		}
	}
	return out
}

// other lists where a symbol is joined to more than what the way came from.
func (n *net) other(s *symbol, from node) []node {
	var out []node
	for _, at := range n.leads[s] {
		if at != from && len(n.symbols[at]) > 1 {
			out = append(out, at)
		}
	}
	return out
}

// passed are the kinds of symbols that current passes through.
var passed = []string{"switch", "fuse", "terminal", "connector", "unknown"}

// loop follows the current from the battery through everything to the motor and
// back, over the ends of conductors alone.
func loop(list []*drawn, back string) error {
	n := joined(list)
	batteries := n.all("battery")
	if len(batteries) != 1 || len(n.leads[batteries[0]]) < 2 {
		return errors.New("there is not one battery with two poles")
	}
	b := batteries[0]
	for _, start := range n.leads[b] {
		way, end := n.follow(b, start)
		if end == nil || end.kind != "motor" || !slices.Contains(way, "fuse F1 fuse of the feed") {
			continue
		}
		if !inOrder(way, "terminal X0 source of the feed", "fuse F1 fuse of the feed") {
			return fmt.Errorf("the source does not come before the fuse: %s", strings.Join(way, ", "))
		}
		if len(n.all("switch")) > 0 && !inOrder(way, "switch S1 ignition switch", "fuse F1 fuse of the feed") {
			return fmt.Errorf("the switch is not on the way: %s", strings.Join(way, ", "))
		}
		return n.back(b, end, start, back)
	}
	return errors.New("no way leads from the battery through the fuse to the motor")
}

// back follows the return, from the other terminal of the motor.
func (n *net) back(b, motor *symbol, start node, back string) error {
	for _, at := range n.leads[motor] {
		_, end := n.follow(motor, at)
		switch {
		case back == "cable" && end == b && at != start:
			if slices.Contains(n.leads[b], start) && n.root(at) != n.root(start) {
				return nil
			}
		case back == "chassis" && end != nil && end.kind == "chassis":
			if len(n.beside(b, "chassis")) == 1 {
				return nil
			}
		}
	}
	if back == "" {
		return nil
	}
	return fmt.Errorf("the return through the %s does not lead back", back)
}

// follow goes along from one symbol, through all that has two ends, to what has
// not.
func (n *net) follow(from *symbol, at node) (way []string, end *symbol) {
	seen := []*symbol{from}
	for {
		var next *symbol
		for _, s := range n.symbols[at] {
			if !slices.Contains(seen, s) && s.kind != "junction" && s.kind != "continuation" {
				next = s
			}
		}
		if next == nil {
			for _, s := range n.symbols[at] {
				if s == from && len(seen) > 1 {
					return way, s
				}
			}
			return way, nil
		}
		way = append(way, next.kind+" "+next.name)
		seen = append(seen, next)
		if !slices.Contains(passed, next.kind) {
			return way, next
		}
		others := n.other(next, at)
		if len(others) != 1 {
			return way, nil
		}
		at = others[0]
	}
}

func inOrder(way []string, a, b string) bool {
	i, j := slices.Index(way, a), slices.Index(way, b)
	return i >= 0 && j >= 0 && i < j
}

// served follows every outlet through its element and line to its point, and
// back to the pump.
func served(k *facts.Kit, list []*drawn) (errs []error) {
	n := joined(list)
	pumps := n.all("pump")
	if len(pumps) != 1 {
		return []error{fmt.Errorf("there are %d pumps", len(pumps))}
	}
	ways := map[string]string{}
	for _, o := range n.all("outlet") {
		if len(n.beside(o, "pump")) != 1 {
			errs = append(errs, fmt.Errorf("%s is not on the pump", o.name))
		}
		for _, e := range n.beside(o, "element") {
			for _, l := range n.beside(e, "line") {
				for _, p := range n.beside(l, "point") {
					ways[l.name] = o.name + ", " + p.name
				}
			}
		}
	}
	for _, l := range k.Lines {
		want := l.OutletFit.To.Place() + ", " + l.Point.To.Place()
		if ways[l.Place()] != want {
			errs = append(errs, fmt.Errorf("%s leads from %q, want %q", l.Place(), ways[l.Place()], want))
		}
	}
	return errs
}
