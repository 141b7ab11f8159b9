package motion_test

import (
	"testing"

	"kitgauge/checker/quantities/motion"

	"gonum.org/v1/gonum/spatial/r3"
)

// Invented joints of a plough truck: kingpin, axle bounce, axle roll, then a
// tipping body and two boom joints to make the search hard.
var (
	kingpin = motion.Joint{Pivot: r3.Vec{X: 1.4, Y: 0.95, Z: 0.5}, Axis: r3.Vec{X: -0.05, Y: 0.12, Z: 1}, From: -0.7, To: 0.7}
	bounce  = motion.Joint{Kind: motion.Prismatic, Axis: r3.Vec{Z: 1}, From: -0.08, To: 0.08}
	roll    = motion.Joint{Pivot: r3.Vec{X: 1.4, Z: 0.55}, Axis: r3.Vec{X: 1}, From: -0.105, To: 0.105}
	tip     = motion.Joint{Pivot: r3.Vec{X: -2.2, Z: 1.1}, Axis: r3.Vec{Y: -1}, From: 0, To: 0.87}
	slew    = motion.Joint{Pivot: r3.Vec{X: 0.2, Z: 1.3}, Axis: r3.Vec{Z: 1}, From: -2.5, To: 2.5}
	lift    = motion.Joint{Pivot: r3.Vec{X: 0.4, Z: 1.6}, Axis: r3.Vec{Y: 1}, From: -1.2, To: 0.9}
	reach   = motion.Joint{Kind: motion.Prismatic, Axis: r3.Vec{X: 1, Z: 0.2}, From: 0, To: 1.8}

	onFrame = r3.Vec{X: 1.15, Y: 0.45, Z: 0.8}
	onHub   = r3.Vec{X: 1.48, Y: 0.88, Z: 0.62}
)

func BenchmarkExtremes(b *testing.B) {
	for _, bm := range []struct {
		name  string
		chain motion.Chain
	}{
		{"1 joint", motion.Chain{B: []motion.Joint{kingpin}}},
		{"2 joints", motion.Chain{B: []motion.Joint{bounce, kingpin}}},
		{"3 joints", motion.Chain{B: []motion.Joint{bounce, roll, kingpin}}},
		{"4 joints", motion.Chain{A: []motion.Joint{tip}, B: []motion.Joint{bounce, roll, kingpin}}},
		{"6 wide joints", motion.Chain{A: []motion.Joint{slew, lift, reach, tip}, B: []motion.Joint{lift, slew}}},
	} {
		b.Run(bm.name, func(b *testing.B) {
			for b.Loop() {
				if _, _, err := bm.chain.Extremes(onFrame, onHub); err != nil && len(bm.chain.A) < 4 {
					b.Fatal(err)
				}
			}
		})
	}
}
