package elastica_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/quantities/elastica"
)

// turned is a span in space with the second clip turned.
func turned(a float64) elastica.Span {
	sin, cos := math.Sincos(a)
	return elastica.Span{
		Length: 0.33, To: r3.Vec{X: 0.18 + 0.05*cos, Y: 0.03 * sin, Z: 0.02},
		Start:  elastica.End{Hold: elastica.Clamped, Direction: r3.Vec{X: 0.4, Z: 1}},
		Finish: elastica.End{Hold: elastica.Clamped, Direction: r3.Vec{X: cos, Y: sin, Z: -0.3}},
	}
}

func BenchmarkSolve(b *testing.B) {
	b.Run("afresh", func(b *testing.B) {
		for i := range b.N {
			if _, err := elastica.Solve(turned(0.1 * float64(i%9))); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("from the one before", func(b *testing.B) {
		var s elastica.Solver
		for i := range b.N {
			if _, err := s.Solve(turned(0.1 * float64(i%9))); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("roughly, from the one before", func(b *testing.B) {
		s := elastica.Solver{Rough: true}
		for i := range b.N {
			if _, err := s.Solve(turned(0.1 * float64(i%9))); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("free to swivel", func(b *testing.B) {
		for range b.N {
			s := turned(0)
			s.Start, s.Finish = elastica.End{}, elastica.End{}
			if _, err := elastica.Solve(s); err != nil {
				b.Fatal(err)
			}
		}
	})
}
