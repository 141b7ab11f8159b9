package elastica

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/spatial/r3"
)

// pieces is in how many pieces a curve in closed form is listed.
const pieces = 24

// swivelling is the tube with both ends free to swivel: half a wave, tightest
// in the middle. With k = sin(a/2), a the angle of its ends to the chord,
//
//	chord/L = 2 E/K - 1, least radius L/(4 k K), sag k L/K
//
// and along it x = 2 E(phi) - F(phi), y = 2 k cos phi, over K/L each, for phi from
// -pi/2 to pi/2. Source: Love, 4th ed., art. 262, 263 (from memory).
func (f *frame) swivelling() Curve {
	m := modulus(f.chord)
	k, K := math.Sqrt(m), mathext.CompleteK(m)
	rate := 2 * K / f.Length // [1/m]
	c := Curve{
		AnySide: true, Radius: 1 / (2 * k * rate), At: f.Length / 2, Sag: 2 * k / rate,
		Angles: [2]float64{2 * math.Asin(k), 2 * math.Asin(k)},
		Energy: 2 * rate * (2*mathext.CompleteE(m) - 2*(1-m)*K),
	}
	up := anyNormal(f.along)
	if f.along.Z*f.along.Z < 0.99 { // it hangs down, for the eye
		up = r3.Unit(across(r3.Vec{Z: -1}, f.along))
	}
	middle := r3.Scale(0.5, r3.Add(f.From, f.To))
	turn := 0.0
	for i := range pieces + 1 {
		phi := math.Pi * (float64(i)/pieces - 0.5)
		x := (2*mathext.EllipticE(math.Abs(phi), m) - mathext.EllipticF(math.Abs(phi), m)) / rate
		p := r3.Add(middle, r3.Add(r3.Scale(math.Copysign(x, phi), f.along), r3.Scale(2*k*math.Cos(phi)/rate, up)))
		c.Points = append(c.Points, p)
		if i > 0 {
			turn = max(turn, r3.Norm(r3.Sub(p, c.Points[i-1])))
		}
	}
	c.Points[0], c.Points[pieces] = f.From, f.To
	c.Margin = turn * turn / (8 * c.Radius)
	return c
}

// modulus solves 2 E(m)/K(m) - 1 = chord for the parameter m = k² in (0, 1), by
// halving: the left side falls from 1 to -1.
func modulus(chord float64) float64 {
	lo, hi := 0.0, 1-1e-12
	for range 60 {
		m := lo + (hi-lo)/2
		if 2*mathext.CompleteE(m)/mathext.CompleteK(m)-1 > chord {
			lo = m
		} else {
			hi = m
		}
	}
	return lo + (hi-lo)/2
}

// tautest is the longest bend, over the length, of a tube that counts as taut:
// beyond eight of them in half its length, what one clip does is not felt at the
// other to e^-8.
const tautest = 1.0 / 8

// taut is a tube that is pulled straight between bends at its clips. Along a
// bend from a clip at the angle a to the straight middle, the tension being
// 1/e² over the stiffness,
//
//	curvature at the clip 2 sin(a/2)/e, length lost 2 e (1 - cos(a/2)), offset 2 e sin(a/2)
//
// and the middle runs so that bends and middle meet. False where it is not
// taut. Source: the same elastica, its bend of infinite length.
func (f *frame) taut() (Curve, bool) {
	d := r3.Scale(f.chord, f.along)
	middle, e := f.along, 0.0
	for range 30 {
		lost, offset := 0.0, r3.Vec{}
		for i := range f.held {
			if !f.held[i] {
				continue
			}
			a, side := f.turn(i, middle)
			sin, cos := math.Sincos(a / 2)
			lost += 2 * (1 - cos)
			offset = r3.Add(offset, r3.Scale(2*sin, side))
		}
		// chord² = (1 - lost e)² + (offset e)², its lesser root.
		a, b, c := lost*lost+r3.Dot(offset, offset), lost, 1-f.chord*f.chord
		root := b*b - a*c
		if !(root >= 0 && b > 0) {
			return Curve{}, false
		}
		was, lay := e, middle
		if e = c / (b + math.Sqrt(root)); e > tautest {
			return Curve{}, false
		}
		middle = r3.Unit(r3.Sub(d, r3.Scale(e, offset)))
		if math.Abs(e-was) < 1e-10 && r3.Norm(r3.Sub(middle, lay)) < 1e-10 {
			return f.tautCurve(middle, e), true
		}
	}
	return Curve{}, false
}

// turn is the angle by which the tube turns from a clip to the middle, and the
// side of the middle to which the clip points. A clip that points back is left
// to the side to which it points at first, even if the turn is more than half
// a circle for that.
func (f *frame) turn(i int, middle r3.Vec) (float64, r3.Vec) {
	a, side := angle(f.ends[i], middle), sideways(f.ends[i], middle)
	if f.angles[i] > 2.5 && r3.Dot(side, sideways(f.ends[i], f.along)) < 0 {
		return 2*math.Pi - a, r3.Scale(-1, side)
	}
	return a, side
}

// sideways is the unit vector at right angles to the middle towards which a
// clip points.
func sideways(end, middle r3.Vec) r3.Vec {
	side := across(end, middle)
	if n := r3.Norm(side); n > 1e-9 {
		return r3.Scale(1/n, side)
	}
	return anyNormal(middle)
}

func (f *frame) tautCurve(middle r3.Vec, e float64) Curve {
	c := Curve{Angles: f.angles, Points: []r3.Vec{f.From}, AnySide: f.anySide()}
	tightest := 0.0
	for i := range f.held {
		if !f.held[i] {
			c.Angles[i] = angle(middle, f.along)
			continue
		}
		a, _ := f.turn(i, middle)
		bend := 2 * math.Sin(min(a, math.Pi)/2) / (e * f.Length)
		c.Energy += 2 * (1 - math.Cos(a/2)) / (e * f.Length)
		if bend > tightest {
			tightest, c.At = bend, float64(i)*f.Length
		}
	}
	c.Radius = 1 / max(tightest, 1e-9/f.Length)
	start, finish := f.bend(0, middle, e), f.bend(1, middle, e)
	for i := range start {
		c.Points = append(c.Points, r3.Add(f.From, start[i]))
	}
	for i := len(finish) - 1; i >= 0; i-- {
		c.Points = append(c.Points, r3.Sub(f.To, finish[i]))
	}
	c.Points = append(c.Points, f.To)
	c.Sag = f.sag(c.Points)
	step := 0.6 * e * f.Length // no piece of a bend is longer
	c.Margin = step * step / (8 * c.Radius)
	return c
}

// bend lists places along the bend at a clip, from the clip on: up to where
// the angle u to the middle is a thousandth or the other bend begins, in even
// steps of log tan(u/4), the length over e. Those of the second clip are for the
// way back.
func (f *frame) bend(i int, middle r3.Vec, e float64) []r3.Vec {
	if !f.held[i] {
		return nil
	}
	a, side := f.turn(i, middle)
	if a < 1e-3 {
		return nil
	}
	from := math.Log(math.Tan(a / 4))
	room := 0.95
	if f.held[1-i] {
		room = 0.5
	}
	to := max(math.Log(math.Tan(1e-3/4)), from-room/e)
	var list []r3.Vec
	const steps = 16
	for n := 1; n <= steps; n++ {
		length := (from - to) * float64(n) / steps
		u := 4 * math.Atan(math.Exp(from-length))
		x := length - 2*(math.Cos(u/2)-math.Cos(a/2))
		y := 2 * (math.Sin(a/2) - math.Sin(u/2))
		list = append(list, r3.Scale(e*f.Length, r3.Add(r3.Scale(x, middle), r3.Scale(y, side))))
	}
	return list
}

// sag is the largest distance of some places from the line of the chord.
func (f *frame) sag(points []r3.Vec) float64 {
	far := 0.0
	for _, p := range points {
		far = max(far, r3.Norm(across(r3.Sub(p, f.From), f.along)))
	}
	return far
}
