package fleet_test

import (
	"fmt"
	"testing"

	"kitgauge/checker/internal/fleet"
)

func BenchmarkNew(b *testing.B) {
	for _, points := range []int{24, 84, fleet.MostPoints} {
		b.Run(fmt.Sprint(points), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				generate(b, 1, points).YAML()
			}
		})
	}
}
