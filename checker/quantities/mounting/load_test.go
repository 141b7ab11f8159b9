package mounting_test

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"kitgauge/checker/quantities/mounting"
)

func near(got, want float64) bool { return math.Abs(got-want) <= 1e-9*max(1, math.Abs(want)) }

// All rows are statics by hand; no published table gives them.
func TestLoads(t *testing.T) {
	rectangle := []mounting.Place{{-0.05, -0.04}, {0.05, -0.04}, {-0.05, 0.04}, {0.05, 0.04}}
	pair := []mounting.Place{{-0.05, 0}, {0.05, 0}}
	tests := []struct {
		name, source string
		m            mounting.Mount
		a            mounting.Acceleration
		tension      []float64
		shear        []float64
	}{
		{
			"pulled straight off", "limit: 300 N over four",
			mounting.Mount{Mass: 6, Overhang: 0.12, Bolts: rectangle},
			mounting.Acceleration{Normal: 50},
			[]float64{75, 75, 75, 75}, []float64{0, 0, 0, 0},
		},
		{
			// 300 N at 0.12 m is 36 N m, over rows 0.08 m apart 450 N a row.
			"tipped over two rows", "recomputed: m a h / s for each row",
			mounting.Mount{Mass: 6, Overhang: 0.12, Bolts: rectangle},
			mounting.Acceleration{V: 50},
			[]float64{225, 225, -225, -225}, []float64{75, 75, 75, 75},
		},
		{
			"tipped the other way", "recomputed: m a h / s for each row",
			mounting.Mount{Mass: 6, Overhang: 0.12, Bolts: rectangle},
			mounting.Acceleration{U: -50},
			[]float64{-180, 180, -180, 180}, []float64{75, 75, 75, 75},
		},
		{
			"no overhang, no tipping", "limit",
			mounting.Mount{Mass: 6, Bolts: rectangle},
			mounting.Acceleration{U: 30, V: 40},
			[]float64{0, 0, 0, 0}, []float64{75, 75, 75, 75},
		},
		{
			"pulled at one bolt of two", "limit: that bolt takes it all",
			mounting.Mount{Mass: 2, Bolts: pair, Centre: mounting.Place{U: 0.05}, Foot: 0.03},
			mounting.Acceleration{Normal: 100},
			[]float64{0, 200}, []float64{0, 0},
		},
		{
			"pushed along the face at one bolt of two", "limit: that bolt takes it all",
			mounting.Mount{Mass: 2, Bolts: pair, Centre: mounting.Place{U: 0.05}, Foot: 0.03},
			mounting.Acceleration{V: 100},
			[]float64{0, 0}, []float64{0, 200},
		},
		{
			// 200 N at 0.06 m is 12 N m; bolts 0.03 m from the edge: 400 N.
			"two bolts in a line, tipped across it", "recomputed: m a h over the reach of the face",
			mounting.Mount{Mass: 2, Overhang: 0.06, Bolts: pair, Foot: 0.03},
			mounting.Acceleration{V: -100},
			[]float64{200, 200}, []float64{100, 100},
		},
		{
			"two bolts in a line, tipped along it", "recomputed: m a h / s",
			mounting.Mount{Mass: 2, Overhang: 0.06, Bolts: pair, Foot: 0.03},
			mounting.Acceleration{U: 100},
			[]float64{120, -120}, []float64{100, 100},
		},
		{
			"off-centre by a quarter", "recomputed: 1/2 and 1/4 + 1/4 of a lever",
			mounting.Mount{Mass: 4, Centre: mounting.Place{U: 0.025}, Bolts: rectangle},
			mounting.Acceleration{Normal: 10},
			[]float64{5, 15, 5, 15}, []float64{0, 0, 0, 0},
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			loads, err := mounting.Loads(tt.m, tt.a)
			if err != nil {
				t.Fatal(err)
			}
			for i, l := range loads {
				if l.Bolt != i || !near(l.Tension, tt.tension[i]) || !near(l.Shear, tt.shear[i]) {
					t.Errorf("bolt %d: got %+v, want tension %g and shear %g (%s)", i, l, tt.tension[i], tt.shear[i], tt.source)
				}
				if want := math.Sqrt(l.Tension*l.Tension + 3*l.Shear*l.Shear); !near(l.Equivalent, want) {
					t.Errorf("bolt %d: equivalent load %g, want %g (von Mises)", i, l.Equivalent, want)
				}
			}
		})
	}
}

func drawMount(t *rapid.T) mounting.Mount {
	place := func(name string) mounting.Place {
		g := rapid.Float64Range(-0.2, 0.2)
		return mounting.Place{U: g.Draw(t, name+" u"), V: g.Draw(t, name+" v")}
	}
	m := mounting.Mount{
		Mass:     rapid.Float64Range(0.5, 40).Draw(t, "mass"),
		Overhang: rapid.Float64Range(0, 0.5).Draw(t, "overhang"),
		Foot:     rapid.Float64Range(0.01, 0.1).Draw(t, "foot"),
		Centre:   place("centre"),
	}
	for range rapid.IntRange(2, 8).Draw(t, "bolts") {
		m.Bolts = append(m.Bolts, place("bolt"))
	}
	return m
}

// Law: the bolts balance the pump. Only patterns of some width, where the
// edge of the face has no part.
func TestBoltsBalanceThePump(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMount(t)
		m.Bolts = append(m.Bolts, mounting.Place{U: -0.1, V: -0.1}, mounting.Place{U: 0.1, V: -0.1}, mounting.Place{V: 0.1})
		g := rapid.Float64Range(-200, 200)
		a := mounting.Acceleration{Normal: g.Draw(t, "normal"), U: g.Draw(t, "u"), V: g.Draw(t, "v")}
		loads, err := mounting.Loads(m, a)
		if err != nil {
			t.Fatal(err)
		}
		var force, momentU, momentV float64
		for i, l := range loads {
			force += l.Tension
			momentU += l.Tension * m.Bolts[i].U
			momentV += l.Tension * m.Bolts[i].V
		}
		wantU := m.Mass * (a.Normal*m.Centre.U - m.Overhang*a.U)
		wantV := m.Mass * (a.Normal*m.Centre.V - m.Overhang*a.V)
		for _, c := range [][2]float64{{force, m.Mass * a.Normal}, {momentU, wantU}, {momentV, wantV}} {
			if math.Abs(c[0]-c[1]) > 1e-7*(1+math.Abs(c[1])) {
				t.Fatalf("%+v under %+v: bolts give %g, the pump needs %g", m, a, c[0], c[1])
			}
		}
	})
}

// The reference is gonum's symmetric eigensolver, on the quadratic form that
// Loads itself spans: q(a+b) = q(a) + q(b) + 2 B(a,b).
func TestWorstIsTheLargestEigenvalue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMount(t)
		m.Bolts = append(m.Bolts, mounting.Place{U: -0.1, V: -0.1}, mounting.Place{U: 0.1, V: -0.1}, mounting.Place{V: 0.1})
		squares := func(x, y, z float64) []float64 {
			loads, err := mounting.Loads(m, mounting.Acceleration{Normal: x, U: y, V: z})
			if err != nil {
				t.Fatal(err)
			}
			var q []float64
			for _, l := range loads {
				q = append(q, l.Equivalent*l.Equivalent)
			}
			return q
		}
		x, y, z := squares(1, 0, 0), squares(0, 1, 0), squares(0, 0, 1)
		xy, xz, yz := squares(1, 1, 0), squares(1, 0, 1), squares(0, 1, 1)
		want := 0.0
		for i := range m.Bolts {
			var e mat.EigenSym
			b, c, d := (xy[i]-x[i]-y[i])/2, (xz[i]-x[i]-z[i])/2, (yz[i]-y[i]-z[i])/2
			if !e.Factorize(mat.NewSymDense(3, []float64{x[i], b, c, b, y[i], d, c, d, z[i]}), false) {
				t.Fatal("no eigenvalues")
			}
			want = max(want, e.Values(nil)[2])
		}
		got, err := mounting.Worst(m, 50)
		if err != nil || math.Abs(got.Equivalent-50*math.Sqrt(want)) > 1e-6*got.Equivalent {
			t.Fatalf("%+v: Worst = %+v, %v; want %g", m, got, err, 50*math.Sqrt(want))
		}
	})
}

// Bolts in one line as well: no direction on a dense sphere is worse, and one
// is nearly as bad.
func TestWorstAgainstDirections(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMount(t)
		if rapid.Bool().Draw(t, "one line") {
			m.Bolts = []mounting.Place{{-0.06, -0.03}, {0, 0}, {0.06, 0.03}}
		}
		worst, err := mounting.Worst(m, 30)
		if err != nil {
			t.Skip(err)
		}
		least := 0.0
		const n = 4000
		for k := range n {
			z, turn := 1-2*(float64(k)+0.5)/n, float64(k)*math.Pi*(3-math.Sqrt(5))
			r := math.Sqrt(1 - z*z)
			loads, err := mounting.Loads(m, mounting.Acceleration{Normal: 30 * z, U: 30 * r * math.Cos(turn), V: 30 * r * math.Sin(turn)})
			if err != nil {
				t.Fatal(err)
			}
			for _, l := range loads {
				least = max(least, l.Equivalent)
			}
		}
		if worst.Equivalent < least*(1-1e-9) || worst.Equivalent > least*1.01 {
			t.Fatalf("%+v: Worst = %+v, the worst of %d directions is %g", m, worst, n, least)
		}
	})
}

func TestWorstByHand(t *testing.T) {
	// 300 N, rows 0.08 m apart, overhang 0.12 m: 225 N of tension and 75 N of
	// shear along V, 75 N of tension outwards, as in TestLoads. The columns are
	// so far apart that tipping along U adds next to nothing.
	m := mounting.Mount{Mass: 6, Overhang: 0.12, Bolts: []mounting.Place{{-10, -0.04}, {10, -0.04}, {-10, 0.04}, {10, 0.04}}}
	// The form is [75^2, 75 225; 75 225, 225^2 + 3 75^2] over outwards and V;
	// its larger eigenvalue is 75^2 (13 + sqrt(157)) / 2.
	want := 75 * math.Sqrt((13+math.Sqrt(157))/2)
	got, err := mounting.Worst(m, 50)
	if err != nil || math.Abs(got.Equivalent-want) > 1e-4*want || got.Tension < 0 {
		t.Errorf("Worst = %+v, %v; want %g in tension", got, err, want)
	}
	if got, err := mounting.Worst(m, 0); err != nil || got.Equivalent != 0 {
		t.Errorf("Worst without acceleration = %+v, %v; want no load", got, err)
	}
}

func TestMountsOutOfRange(t *testing.T) {
	good := func() mounting.Mount {
		return mounting.Mount{Mass: 6, Overhang: 0.1, Bolts: []mounting.Place{{0, 0}, {0.1, 0}, {0, 0.1}}}
	}
	nan, inf := math.NaN(), math.Inf(1)
	tests := []struct {
		name string
		bad  func(*mounting.Mount)
		want string
	}{
		{"no mass", func(m *mounting.Mount) { m.Mass = 0 }, "mass"},
		{"mass, no number", func(m *mounting.Mount) { m.Mass = nan }, "mass"},
		{"overhang inwards", func(m *mounting.Mount) { m.Overhang = -0.1 }, "overhang"},
		{"infinite foot", func(m *mounting.Mount) { m.Foot = inf }, "beyond the bolts"},
		{"one bolt", func(m *mounting.Mount) { m.Bolts = m.Bolts[:1] }, "1 bolts"},
		{"bolts in one place", func(m *mounting.Mount) { m.Bolts = []mounting.Place{{1, 1}, {1, 1}} }, "one place"},
		{"bolts in one line", func(m *mounting.Mount) { m.Bolts = []mounting.Place{{1, 1}, {2, 2}, {3, 3}} }, "one line"},
		{"bolt nowhere", func(m *mounting.Mount) { m.Bolts[1].V = nan }, "bolt 2"},
		{"centre nowhere", func(m *mounting.Mount) { m.Centre.U = inf }, "centre of gravity"},
	}
	for _, tt := range tests {
		m := good()
		tt.bad(&m)
		if _, err := mounting.Worst(m, 50); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: got error %v, want one with %q", tt.name, err, tt.want)
		}
		if _, err := mounting.Loads(m, mounting.Acceleration{}); err == nil {
			t.Errorf("%s: Loads gave no error", tt.name)
		}
	}
	for _, a := range []float64{-1, nan, inf} {
		if _, err := mounting.Worst(good(), a); err == nil {
			t.Errorf("Worst under %g gave no error", a)
		}
	}
	if _, err := mounting.Loads(good(), mounting.Acceleration{U: nan}); err == nil {
		t.Error("Loads under no number gave no error")
	}
}

func BenchmarkWorst(b *testing.B) {
	m := mounting.Mount{Mass: 6, Overhang: 0.12, Bolts: []mounting.Place{{-0.05, -0.04}, {0.05, -0.04}, {-0.05, 0.04}, {0.05, 0.04}}}
	for b.Loop() {
		if _, err := mounting.Worst(m, 50); err != nil {
			b.Fatal(err)
		}
	}
}

// recomputed: a cylinder 0.1 m wide and 0.5 m high holds 3.927 l; its middle is 50 mm in.
//
// Identity: the volume of a cylinder.
func TestLeastOverhang(t *testing.T) {
	got, err := mounting.LeastOverhang(math.Pi / 4 * 0.1 * 0.1 * 0.5)
	if err != nil || math.Abs(got-0.05) > 1e-12 {
		t.Errorf("got %g, %v; want 0.05", got, err)
	}
	for _, v := range []float64{0, -1, 2, math.NaN(), math.Inf(1)} {
		if _, err := mounting.LeastOverhang(v); err == nil {
			t.Errorf("%g m3: got no error", v)
		}
	}
}
