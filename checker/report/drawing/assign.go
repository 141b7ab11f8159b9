package drawing

import "math"

// assign gives every place a slot of its own so that the sum of the straight
// distances is least; there are at least as many slots as places.
//
// Straight leaders to a row of slots drawn so do not cross: two that did could
// change slots, and by the triangle inequality both together would be shorter.
//
// Source: the Hungarian method with potentials, in the form of shortest
// augmenting paths (Kuhn 1955, Jonker and Volgenant 1987; from memory). The
// cost is cubic in the number of slots.
func assign(places, slots []spot) []int {
	n, m := len(places), len(slots)
	cost := func(i, j int) float64 { // rounded, so that ties fall the same way everywhere
		return math.Round(distance(places[i], slots[j])*1e6) / 1e6
	}
	u, v := make([]float64, n+1), make([]float64, m+1)
	holder := make([]int, m+1) // the place, from 1, that has the slot
	way := make([]int, m+1)
	for i := 1; i <= n; i++ {
		holder[0] = i
		least := make([]float64, m+1)
		for j := range least {
			least[j] = math.Inf(1)
		}
		used := make([]bool, m+1)
		at := 0
		for holder[at] != 0 {
			at = relax(cost, u, v, holder, way, least, used, at)
		}
		for at != 0 {
			holder[at] = holder[way[at]]
			at = way[at]
		}
	}
	out := make([]int, n)
	for j := 1; j <= m; j++ {
		if holder[j] > 0 {
			out[holder[j]-1] = j - 1
		}
	}
	return out
}

// relax looks from one slot at all that are not yet used, shifts the
// potentials by the least that is left, and returns the slot where that is.
func relax(cost func(i, j int) float64, u, v []float64, holder, way []int, least []float64, used []bool, at int) int {
	used[at] = true
	i, delta, next := holder[at], math.Inf(1), 0
	for j := 1; j < len(v); j++ {
		if used[j] {
			continue
		}
		if c := cost(i-1, j-1) - u[i] - v[j]; c < least[j] {
			least[j], way[j] = c, at
		}
		if least[j] < delta {
			delta, next = least[j], j
		}
	}
	for j := range v {
		if used[j] {
			u[holder[j]] += delta
			v[j] -= delta
		} else {
			least[j] -= delta
		}
	}
	return next
}
