package mounting

import (
	"fmt"
	"math"
	"strings"
)

// Thread is an ISO metric thread. Unit: m.
type Thread struct{ Diameter, Pitch float64 }

// coarse holds the coarse pitch by nominal diameter, both in mm.
// Source: ISO 261 (first choice and the second of M3.5, M14, M18, M22, M27,
// M33 and M39).
var coarse = []struct{ diameter, pitch float64 }{
	{1.6, 0.35}, {2, 0.4}, {2.5, 0.45}, {3, 0.5}, {3.5, 0.6}, {4, 0.7}, {5, 0.8}, {6, 1}, {7, 1}, {8, 1.25},
	{10, 1.5}, {12, 1.75}, {14, 2}, {16, 2}, {18, 2.5}, {20, 2.5}, {22, 2.5}, {24, 3}, {27, 3}, {30, 3.5},
	{33, 3.5}, {36, 4}, {39, 4},
}

// Coarse returns the coarse thread of a nominal diameter [m]: 0.008 gives
// M8 x 1.25. Range: the sizes of ISO 898-1, M1.6 to M39; others are an error.
// Source: ISO 261.
func Coarse(diameter float64) (Thread, error) {
	for _, c := range coarse {
		if math.Abs(diameter-c.diameter/1000) <= 1e-6 {
			return Thread{c.diameter / 1000, c.pitch / 1000}, nil
		}
	}
	return Thread{}, fmt.Errorf("there is no ISO coarse thread of %.5g mm between M1.6 and M39", diameter*1000)
}

// StressArea returns the nominal stress area of a thread [m^2],
//
//	A = pi/4 ((d2 + d3)/2)^2 = pi/4 (d - 0.9382 P)^2,
//
// d2 = d - 3/4 H the pitch diameter, d3 = d - 17/12 H the root diameter and
// H = sqrt(3)/2 P. Quadratic in the size.
//
// Range: d from 1.6 mm to 39 mm, P from 2 % to 30 % of d; else an error.
// Source: ISO 898-1; profile: ISO 68-1, diameters: ISO 724.
func StressArea(t Thread) (float64, error) {
	if !(t.Diameter >= 0.0016-1e-9 && t.Diameter <= 0.039+1e-9) {
		return 0, fmt.Errorf("a bolt of %.5g mm is outside ISO 898-1, which covers M1.6 to M39", t.Diameter*1000)
	}
	if !(t.Pitch >= 0.02*t.Diameter && t.Pitch <= 0.3*t.Diameter) {
		return 0, fmt.Errorf("a pitch of %.5g mm does not belong to a thread of %.5g mm", t.Pitch*1000, t.Diameter*1000)
	}
	h := math.Sqrt(3) / 2 * t.Pitch
	mean := t.Diameter - (3.0/4+17.0/12)/2*h
	return math.Pi / 4 * mean * mean, nil
}

// classes holds the stress under proof load in MPa. Where it changes with the
// size, up to M16 and above; 0 for a size that is not made.
// Source: ISO 898-1, table 3.
var classes = []struct {
	name         string
	small, large float64
}{
	{"4.6", 225, 225}, {"4.8", 310, 310}, {"5.6", 280, 280}, {"5.8", 380, 380}, {"6.8", 440, 440},
	{"8.8", 580, 600}, {"9.8", 650, 0}, {"10.9", 830, 830}, {"12.9", 970, 970},
}

// ProofStress returns the stress under proof load [Pa] of a property class,
// such as "8.8", at a nominal diameter [m]: the most that a bolt of the class
// must stand without lasting stretch.
//
// Range: the classes of ISO 898-1, M1.6 to M39, 9.8 only to M16; others are
// an error. Source: ISO 898-1, table 3.
func ProofStress(class string, diameter float64) (float64, error) {
	if !(diameter >= 0.0016-1e-9 && diameter <= 0.039+1e-9) {
		return 0, fmt.Errorf("a bolt of %.5g mm is outside ISO 898-1, which covers M1.6 to M39", diameter*1000)
	}
	var names []string
	for _, c := range classes {
		if c.name != class {
			names = append(names, c.name)
			continue
		}
		stress := c.small
		if diameter > 0.016+1e-9 {
			stress = c.large
		}
		if stress == 0 {
			return 0, fmt.Errorf("property class %s goes up to M16 only", class)
		}
		return stress * 1e6, nil
	}
	return 0, fmt.Errorf("there is no property class %q; known are %s", class, strings.Join(names, ", "))
}

// ProofLoad returns the proof load [N] of a bolt: its stress area times the
// stress under proof load. Range, errors and source: [StressArea] and
// [ProofStress]. The tables of ISO 898-1 round the area first, so they may
// differ by up to 0.7 %.
func ProofLoad(t Thread, class string) (float64, error) {
	area, err := StressArea(t)
	if err != nil {
		return 0, err
	}
	stress, err := ProofStress(class, t.Diameter)
	if err != nil {
		return 0, err
	}
	return area * stress, nil
}

// Galvanised returns the thread of a hot-dip galvanised bolt as it counts for
// its strength. M8 and M10 are cut undersized to tolerance 6az, so that the zinc
// fits into a nut of ordinary thread: all diameters are less by the deviation
//
//	300 µm + 20 µm P, P the pitch in mm,
//
// which leaves a stress area of 33.2 mm² and 53.6 mm². From M12 on the strength
// is that of ISO 898-1. Where instead the nut is tapped oversize, the bolt keeps
// its thread and the nut of its class carries more than the undersized bolt: the
// less of the two is taken, as a catalogue does not tell which was done.
//
// Range: coarse threads from M8, classes to 10.9, which are those that ISO 10684
// galvanises; others are an error. Source: ISO 10684:2004, scope, clause 7 and
// annex A (nuts and scope seen at boltport.com, the bolts' areas from memory);
// deviation: ISO 965-4 (from memory).
func Galvanised(t Thread, class string) (Thread, error) {
	coarse, err := Coarse(t.Diameter)
	switch {
	case err != nil:
		return Thread{}, err
	case t.Diameter < 0.008-1e-9 || math.Abs(t.Pitch-coarse.Pitch) > 1e-6:
		return Thread{}, fmt.Errorf("ISO 10684 galvanises coarse threads from M8 on; this is M%g x %g", t.Diameter*1000, t.Pitch*1000)
	case class == "12.9":
		return Thread{}, fmt.Errorf("ISO 10684 galvanises up to property class 10.9; this is %s", class)
	case t.Diameter > 0.0105:
		return t, nil
	}
	return Thread{t.Diameter - 300e-6 - 0.02*t.Pitch, t.Pitch}, nil
}

// SafetyFactor returns the proof load over the load, both in N.
// Range: both from 1e-3 to 1e9 N; else an error, as nothing can be compared
// with no load.
func SafetyFactor(proof, load float64) (float64, error) {
	for _, f := range []float64{proof, load} {
		if !(f >= 1e-3 && f <= 1e9) {
			return 0, fmt.Errorf("a bolt load of %g N is out of range; it must lie between 0.001 and 1e9 N", f)
		}
	}
	return proof / load, nil
}
