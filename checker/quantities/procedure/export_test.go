package procedure

// graph says for each pair of kinds whether the first must come before the
// second, directly or through others. Rows and columns follow Kinds.
type graph [][]bool

var graphs = [2]graph{newGraph(Conditions{}), newGraph(Conditions{RaisedBody: true})}

func graphFor(c Conditions) graph {
	if c.RaisedBody {
		return graphs[1]
	}
	return graphs[0]
}

// newGraph expands Rules kind by kind and closes it transitively (Warshall).
func newGraph(c Conditions) graph {
	g := make(graph, len(Kinds))
	for i := range g {
		g[i] = make([]bool, len(Kinds))
	}
	for _, r := range Rules {
		if r.Raised && !c.RaisedBody {
			continue
		}
		first := rank[r.First]
		for j, k := range Kinds {
			if r.binds(k, false) {
				g[first][j] = true
			}
			if r.Scope == SinceWork && r.Need == ThenNeedsFirst && k.Work() {
				g[j][first] = true
			}
		}
	}
	for via := range g {
		for i := range g {
			for j := range g {
				g[i][j] = g[i][j] || g[i][via] && g[via][j]
			}
		}
	}
	return g
}

// Precedes reports whether every step of kind first must come before every
// step of kind then within one stretch of work, directly or through other
// kinds. Unknown kinds are bound by nothing.
func Precedes(first, then string, c Conditions) bool {
	i, ok := rank[first]
	j, ok2 := rank[then]
	return ok && ok2 && graphFor(c)[i][j]
}

// Order returns the indexes of the steps in an order that satisfies [Rules]
// and otherwise stays near the given one: at each place comes the earliest
// step that nothing left over must precede. It adds no missing step and
// treats the procedure as one stretch of work, so it does not suit one with a
// temporary restore. Unknown and empty kinds are bound by nothing.
func Order(kinds []string, c Conditions) []int {
	g := graphFor(c)
	left := make([]int, len(Kinds)) // steps still to place, by kind
	for _, name := range kinds {
		if k, ok := rank[name]; ok {
			left[k]++
		}
	}
	order := make([]int, 0, len(kinds))
	placed := make([]bool, len(kinds))
	for len(order) < len(kinds) {
		i := next(kinds, placed, g.held(left))
		placed[i] = true
		order = append(order, i)
		if k, ok := rank[kinds[i]]; ok {
			left[k]--
		}
	}
	return order
}

// held says which kinds have to wait for one that is left.
func (g graph) held(left []int) []bool {
	held := make([]bool, len(g))
	for first, n := range left {
		for then := range held {
			held[then] = held[then] || n > 0 && g[first][then]
		}
	}
	return held
}

// next is the earliest step that is neither placed nor held; since the graph
// has no cycle there is one while a step is left.
func next(kinds []string, placed, held []bool) int {
	for i, name := range kinds {
		k, known := rank[name]
		if !placed[i] && !(known && held[k]) {
			return i
		}
	}
	return -1
}
