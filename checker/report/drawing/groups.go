package drawing

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
)

// Grease points come in clusters: five round a knuckle, eight at a hinge. What
// is that near has a detail of its own, at a larger scale.
const (
	fewest    = 3    // points that are a cluster
	linked    = 0.35 // points as near as this are in one [m]
	mostWide  = 1.1  // no cluster is wider [m]
	roundIt   = 0.06 // what is shown round it [m]
	breakNear = 0.35 // how near a break-out is that is shown with it [m]
)

// group is a cluster of grease points, and what is shown with it.
type group struct {
	letter string
	points []int // of the scene
	box    space
	routes []int // whose points they are, and of the bundles that lead there
	sheet  int   // on which it is enlarged
}

// gatherGroups finds the clusters: the nearest points first, as long as what
// comes of it is not too wide.
func (s *scene) gatherGroups() {
	type pair struct {
		a, b int
		far  float64
	}
	var pairs []pair
	near := s.nearPoints()
	for a := range s.points {
		for _, b := range near(a) {
			if d := r3.Norm(r3.Sub(s.points[a].at, s.points[b].at)); b > a && d <= linked {
				pairs = append(pairs, pair{a, b, fine(d)})
			}
		}
	}
	slices.SortStableFunc(pairs, func(p, q pair) int { return cmp.Compare(p.far, q.far) })
	of := make([]int, len(s.points))
	clusters := make([]*group, len(s.points))
	for i := range of {
		g := &group{points: []int{i}, box: nowhere()}
		g.box.take(s.points[i].at)
		of[i], clusters[i] = i, g
	}
	for _, p := range pairs {
		a, b := clusters[of[p.a]], clusters[of[p.b]]
		if a == b {
			continue
		}
		both := a.box.with(b.box)
		if size := r3.Sub(both.to, both.from); max(size.X, size.Y, size.Z) > mostWide {
			continue
		}
		a.box, a.points = both, append(a.points, b.points...)
		for _, i := range b.points {
			of[i] = of[p.a]
		}
	}
	for i, g := range clusters {
		if of[i] == i && len(g.points) >= fewest {
			slices.Sort(g.points)
			s.groups = append(s.groups, g)
		}
	}
	s.letterGroups()
}

// nearPoints finds the points of the cells round a point.
func (s *scene) nearPoints() func(i int) []int {
	type place [3]int
	cellOf := func(p r3.Vec) place {
		return place{int(p.X/linked + 1e6), int(p.Y/linked + 1e6), int(p.Z/linked + 1e6)}
	}
	cells := map[place][]int{}
	for i, p := range s.points {
		c := cellOf(p.at)
		cells[c] = append(cells[c], i)
	}
	return func(i int) []int {
		c := cellOf(s.points[i].at)
		var out []int
		for x := -1; x <= 1; x++ {
			for y := -1; y <= 1; y++ {
				for z := -1; z <= 1; z++ {
					out = append(out, cells[place{c[0] + x, c[1] + y, c[2] + z}]...)
				}
			}
		}
		return out
	}
}

// letterGroups names the details from the front of the vehicle to its rear,
// and finds what is shown with each.
func (s *scene) letterGroups() {
	slices.SortStableFunc(s.groups, func(a, b *group) int {
		return cmp.Or(cmp.Compare(fine(b.box.to.X), fine(a.box.to.X)), cmp.Compare(fine(b.box.to.Y), fine(a.box.to.Y)), cmp.Compare(a.points[0], b.points[0]))
	})
	for i, g := range s.groups {
		g.letter = letters(i)
		s.include(g)
	}
}

// letters are capital letters in the order of the alphabet, without I and O,
// which look like figures: A to Z, then AA and so on.
func letters(i int) string {
	const all = "ABCDEFGHJKLMNPQRSTUVWXYZ"
	if i < len(all) {
		return all[i : i+1]
	}
	return letters(i/len(all)-1) + all[i%len(all):i%len(all)+1]
}

// include takes the routes to the points of a cluster into it, with the
// break-outs beside it.
func (s *scene) include(g *group) {
	near := g.box.grown(breakNear)
	of := map[int]bool{}
	for _, i := range g.points {
		for _, r := range s.points[i].routes {
			of[r] = true
		}
	}
	for i := range s.routes {
		if r := &s.routes[i]; r.Line != nil && of[i] {
			if b := s.bundleRoute[r.Line.Bundle.To]; r.Line.Bundle.To != nil && b != 0 {
				of[b-1] = true
			}
		}
	}
	for i := range s.routes {
		if !of[i] {
			continue
		}
		g.routes = append(g.routes, i)
		for j := range s.routes[i].Stops {
			stop := &s.routes[i].Stops[j]
			at, ok := s.place(stop.Position)
			if ok && stop.Station != nil && near.has(at) && (s.routes[i].Line != nil && j > 0 || s.serves(g, stop.Leaving)) {
				g.box.take(at)
			}
		}
	}
	g.box = g.box.grown(roundIt)
}

// serves reports whether one of the lines goes to a point of a cluster.
func (s *scene) serves(g *group, lines []string) bool {
	for _, i := range g.points {
		for _, l := range s.points[i].point.Lines {
			if slices.Contains(lines, l) {
				return true
			}
		}
	}
	return false
}

// meets reports whether two spaces have room in common.
func (s space) meets(t space) bool {
	return s.from.X < t.to.X && t.from.X < s.to.X && s.from.Y < t.to.Y && t.from.Y < s.to.Y && s.from.Z < t.to.Z && t.from.Z < s.to.Z
}

func (s space) with(t space) space {
	s.take(t.from)
	s.take(t.to)
	return s
}

func (s space) grown(by float64) space {
	more := r3.Vec{X: by, Y: by, Z: by}
	return space{r3.Sub(s.from, more), r3.Add(s.to, more)}
}

// groupOf is the cluster that a point is in, or nil.
func (s *scene) groupOf(point int) *group {
	for _, g := range s.groups {
		if _, found := slices.BinarySearch(g.points, point); found {
			return g
		}
	}
	return nil
}

// refs are the references of the points of a cluster.
func (s *scene) refs(g *group) []string {
	var out []string
	for _, i := range g.points {
		out = append(out, s.points[i].ref)
	}
	return out
}

// ranges writes numbers in their order, three and more that follow one another
// as the first and the last of them.
func ranges(list []string) string {
	var numbers []int
	var others []string
	for _, text := range list {
		if n, err := strconv.Atoi(text); err == nil {
			numbers = append(numbers, n)
		} else if !slices.Contains(others, text) {
			others = append(others, text)
		}
	}
	slices.Sort(numbers)
	numbers = slices.Compact(numbers)
	var out []string
	for i := 0; i < len(numbers); {
		j := i
		for j+1 < len(numbers) && numbers[j+1] == numbers[j]+1 {
			j++
		}
		if j-i >= 2 {
			out = append(out, itoa(numbers[i])+"–"+itoa(numbers[j]))
		} else {
			for k := i; k <= j; k++ {
				out = append(out, itoa(numbers[k]))
			}
		}
		i = j + 1
	}
	return strings.Join(append(out, others...), ", ")
}

// indexRoutes notes which route belongs to which bundle and point.
func (s *scene) indexRoutes() {
	s.bundleRoute = map[*kit.Bundle]int{}
	pointRoutes := map[*kit.Point][]int{}
	for i := range s.routes {
		switch r := &s.routes[i]; {
		case r.Bundle != nil:
			s.bundleRoute[r.Bundle] = i + 1
		case r.Line != nil && r.Line.Point.To != nil:
			pointRoutes[r.Line.Point.To] = append(pointRoutes[r.Line.Point.To], i)
		}
	}
	for i := range s.points {
		s.points[i].routes = pointRoutes[s.points[i].point.Point]
	}
	s.curves = map[*facts.Span][]r3.Vec{}
	for i := range s.routes {
		around := nowhere()
		for j := range s.routes[i].Stops {
			if at, ok := s.place(s.routes[i].Stops[j].Position); ok {
				around.take(at)
			}
			if span := s.routes[i].Stops[j].Span; span != nil {
				if c, ok := span.AtRest(); ok && s.within(c.Points) {
					s.curves[span] = c.Points
					for _, at := range c.Points {
						around.take(at)
					}
				}
			}
		}
		s.routeBoxes = append(s.routeBoxes, around)
	}
}

func (s *scene) within(places []r3.Vec) bool {
	for _, p := range places {
		if !s.region.has(p) {
			return false
		}
	}
	return true
}
