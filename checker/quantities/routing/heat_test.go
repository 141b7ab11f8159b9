package routing_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"kitgauge/checker/quantities/routing"
)

const zeroC = 273.15 // K

func rod(length, radius float64) routing.Capsule {
	return routing.Capsule{Axis: routing.Segment{B: r3.Vec{X: length}}, Radius: radius}
}

func TestFacing(t *testing.T) {
	for _, tt := range []struct {
		source   string
		zone     routing.Zone
		distance float64
		want     float64
	}{
		{"seen, a published example: a quarter of 2 m x 4 m, 0.5 m from its corner, is 0.0836 of what a small sphere sees (fchart.com, hs305, example); Ω = 4 x 4π x 0.0836, over π²",
			routing.Box{Half: r3.Vec{X: 1, Y: 2, Z: 0.1}}, 0.5, 4 * 4 * 0.0836 / math.Pi},
		{"limit: a sphere far off, (R/c)²·4/π²", rod(0, 0.1), 99.9, 4e-6 / (math.Pi * math.Pi)},
		{"limit: half of all, beside a wall", routing.Box{Half: r3.Vec{X: 1, Y: 1, Z: 1}}, 0, 0.5},
		{"limit: a line has no width", rod(1, 0), 0.5, 0},
	} {
		if got, err := routing.Facing(tt.zone, tt.distance); err != nil || math.Abs(got-tt.want) > 2e-3*tt.want {
			t.Errorf("%s: got %g, %v; want %g", tt.source, got, err, tt.want)
		}
	}
}

// seen is the share of what a thin tube along the direction sees that is the
// zone, by rays in all directions: each weighs as the sine of its angle to the
// tube. A ray hits a zone where a long segment along it does.
func seen(t *testing.T, z routing.Zone, from, along r3.Vec, random *rand.Rand) float64 {
	hit, all := 0.0, 0.0
	for range 4000 {
		d := r3.Unit(r3.Vec{X: random.NormFloat64(), Y: random.NormFloat64(), Z: random.NormFloat64()})
		weight := r3.Norm(r3.Cross(d, along))
		n, err := routing.Distance(routing.Segment{A: from, B: r3.Add(from, r3.Scale(50, d))}, z)
		if err != nil {
			t.Fatal(err)
		}
		if n.Distance == 0 {
			hit += weight
		}
		all += weight
	}
	return hit / all
}

func TestFacingAgainstRays(t *testing.T) {
	// An independent method: rays from the tube, over zones, distances and
	// directions of the tube. The share is never smaller than what they see,
	// but for their own scatter, and not far above it.
	random := rand.New(rand.NewPCG(1, 2))
	worst := 0.0
	for _, length := range []float64{0, 0.3, 1, 3} {
		for _, radius := range []float64{0.04, 0.14} {
			for _, distance := range []float64{0.02, 0.07, 0.15, 0.5} {
				got, err := routing.Facing(rod(length, radius), distance)
				if err != nil {
					t.Fatal(err)
				}
				from := r3.Vec{X: length / 2, Z: radius + distance}
				for _, along := range []r3.Vec{{X: 1}, {Y: 1}} {
					want := seen(t, rod(length, radius), from, along, random)
					scatter := 3 * math.Sqrt(want/4000)
					worst = max(worst, got/want)
					if got < want-scatter || got > 1.7*want+scatter {
						t.Errorf("rod of %g m, radius %g m, %g m away, along %v: got %g, rays see %g", length, radius, distance, along, got, want)
					}
				}
			}
		}
	}
	t.Logf("at most %.2f times what rays see", worst)
}

// churchillChu is the coefficient [W/(m²·K)] of free convection from a long
// cylinder of a diameter [m] in air at 35 °C, at a temperature [K]: Churchill
// and Chu, Int. J. Heat Mass Transfer 18 (1975) 1049-1053, with air at 60 °C
// (from memory: 1.9e-5 m²/s, 2.7e-5 m²/s, 0.0285 W/(m·K)).
func churchillChu(diameter, surface float64) float64 {
	const air, nu, a, k = 35 + zeroC, 1.9e-5, 2.7e-5, 0.0285
	rayleigh := 9.81 / ((surface + air) / 2) * (surface - air) * math.Pow(diameter, 3) / (nu * a)
	x := 0.6 + 0.387*math.Pow(rayleigh, 1.0/6)/math.Pow(1+math.Pow(0.559/(nu/a), 9.0/16), 8.0/27)
	return x * x * k / diameter
}

func TestStillAir(t *testing.T) {
	// The 7.5 W/(m²·K) of the model is no more than tubes and conduits have.
	for _, mm := range []float64{4, 6, 8, 12, 18.5, 22} {
		if got := churchillChu(mm/1000, 90+zeroC); got < 7.5 {
			t.Errorf("%g mm: free convection takes %g W/(m2 K)", mm, got)
		}
	}
}

func TestKeepAgainstPublishedDistances(t *testing.T) {
	// Seen: a body builder manual of a truck maker (12/2009, yumpu.com, document
	// 36152071, table 9-1) keeps nylon air hose 8 in from an exhaust, 3 in where
	// it is shielded. A silencer of 280 mm at 350 °C, tube for 90 °C, air of
	// 35 °C: the model is within 10 %.
	for _, tt := range []struct {
		shielded bool
		want     float64
	}{{false, 8 * 0.0254}, {true, 3 * 0.0254}} {
		h := routing.Heat{Zone: rod(0.6, 0.14), Temperature: 350 + zeroC, Ambient: 35 + zeroC, Shielded: tt.shielded}
		got, err := h.Keep(90 + zeroC)
		if err != nil || math.Abs(got-tt.want) > 0.1*tt.want {
			t.Errorf("shielded %v: got %g m, %v; the manual keeps %g m", tt.shielded, got, err, tt.want)
		}
	}
}

func TestKeep(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := routing.Heat{
			Zone:        rod(rapid.Float64Range(0, 2).Draw(t, "length"), rapid.Float64Range(0.01, 0.3).Draw(t, "radius")),
			Temperature: rapid.Float64Range(340, 1300).Draw(t, "hot"),
			Ambient:     rapid.Float64Range(280, 320).Draw(t, "air"),
			Shielded:    rapid.Bool().Draw(t, "shielded"),
		}
		stands := h.Ambient + rapid.Float64Range(10, 400).Draw(t, "stands")
		keep, err := h.Keep(stands)
		if err != nil {
			t.Fatal(err)
		}
		// Identity: the one is the other the other way round.
		reached, err := h.TubeTemperature(keep)
		if err != nil || reached > stands+1e-6 || keep > 0 && reached < stands-1e-3 {
			t.Errorf("%+v: at %g m it becomes %g K, %v; it stands %g K", h, keep, reached, err, stands)
		}
		nearer, err := h.TubeTemperature(keep / 2)
		if err != nil || nearer < reached || nearer > max(h.Temperature, h.Ambient) {
			t.Errorf("%+v: %g K at %g m and %g K at half of it, %v", h, reached, keep, nearer, err)
		}
		hotter := h
		hotter.Temperature += 100
		if more, err := hotter.Keep(stands); err != nil || more < keep {
			t.Errorf("%+v: %g m, and %g m where it is hotter, %v", h, keep, more, err)
		}
		bare := h
		bare.Shielded = false
		if more, err := bare.Keep(stands); err != nil || more < keep {
			t.Errorf("%+v: %g m, and %g m without a shield, %v", h, keep, more, err)
		}
	})
	// Limit: what stands it all may come as near as it likes.
	h := routing.Heat{Zone: rod(0.6, 0.14), Temperature: 350 + zeroC, Ambient: 35 + zeroC}
	if got, err := h.Keep(400 + zeroC); err != nil || got != 0 {
		t.Errorf("steel: got %g m, %v", got, err)
	}
}

func TestHeatRefuses(t *testing.T) {
	good := routing.Heat{Zone: rod(1, 0.1), Temperature: 600, Ambient: 300}
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		for i := range 3 {
			h, z := good, rod(1, 0.1)
			switch i {
			case 0:
				h.Temperature = bad
			case 1:
				h.Ambient = bad
			case 2:
				if bad == 0 {
					continue // a line
				}
				z.Radius = bad
				h.Zone = z
			}
			if got, err := h.TubeTemperature(0.1); err == nil {
				t.Errorf("%+v: got %g K", h, got)
			}
			if got, err := h.Keep(350); err == nil {
				t.Errorf("%+v: got %g m", h, got)
			}
		}
	}
	if got, err := good.Keep(300); err == nil {
		t.Errorf("a tube that does not stand the air: got %g m", got)
	}
	if got, err := good.TubeTemperature(-1); err == nil {
		t.Errorf("a distance below zero: got %g K", got)
	}
}
