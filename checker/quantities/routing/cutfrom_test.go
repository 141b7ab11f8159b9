package routing_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/quantities/routing"
)

// TestCutFrom finds a place from its distances to three stations, by triangles
// of whole sides (3-4-5, 5-12-13, 8-15-17: Euclid, Elements X, lemma to 29), and
// none from which every station is nearer than the stations are apart.
func TestCutFrom(t *testing.T) {
	at := r3.Vec{X: 3, Y: 3}
	stations := []r3.Vec{{}, {X: 3}, {Y: 4}}
	far := []float64{5, 4, 3} // from (3, 4)
	differences := make([]float64, len(far))
	for i, s := range stations {
		differences[i] = far[i] - r3.Norm(r3.Sub(at, s))
	}
	got, ok := routing.CutFrom(at, stations, differences, 1e-6)
	if want := (r3.Vec{X: 3, Y: 4}); !ok || math.Abs(got.X-want.X) > 1e-5 || math.Abs(got.Y-want.Y) > 1e-5 || math.Abs(got.Z) > 1e-2 {
		t.Errorf("got %v, %v; want %v", got, ok, want)
	}
	apart := []r3.Vec{{}, {X: 5}}
	if _, ok := routing.CutFrom(r3.Vec{X: 2}, apart, []float64{-0.5, -0.5}, 1e-3); ok {
		t.Error("two stations 5 m apart are 1.5 m and 2.5 m from no place")
	}
	if _, ok := routing.CutFrom(at, nil, nil, 1); ok {
		t.Error("a place was found from nothing")
	}
}
