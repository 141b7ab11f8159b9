package mounting

import "math"

// vector is across the face, then along U and V.
type vector [3]float64

func (v vector) dot(w vector) float64 { return v[0]*w[0] + v[1]*w[1] + v[2]*w[2] }

// group is a bolt pattern, ready to turn accelerations into loads. Every part
// of a load is linear in the acceleration, so a bolt is three vectors; only
// the tilt of a single line, carried by the edge of the face, pulls the bolts
// whichever way it leans.
type group struct {
	tension, shearU, shearV []vector
	lean                    vector // tension in every bolt from tipping across a single line
}

func newGroup(m Mount) (group, error) {
	if err := m.validate(); err != nil {
		return group{}, err
	}
	n := float64(len(m.Bolts))
	var mid Place
	for _, b := range m.Bolts {
		mid.U += b.U / n
		mid.V += b.V / n
	}
	var uu, uv, vv float64
	for _, b := range m.Bolts {
		u, v := b.U-mid.U, b.V-mid.V
		uu, uv, vv = uu+u*u, uv+u*v, vv+v*v
	}
	j := uu + vv
	if j < 1e-12 {
		return group{}, errOnePlace
	}
	c := Place{m.Centre.U - mid.U, m.Centre.V - mid.V}
	// The moments that the bolts balance, N c - h F, by component.
	tipU := vector{m.Mass * c.U, -m.Mass * m.Overhang, 0}
	tipV := vector{m.Mass * c.V, 0, -m.Mass * m.Overhang}

	var g group
	slopeU, slopeV, err := g.slopes(m, uu, uv, vv, tipU, tipV)
	if err != nil {
		return group{}, err
	}
	for _, b := range m.Bolts {
		u, v := b.U-mid.U, b.V-mid.V
		t := vector{m.Mass / n}
		su, sv := vector{1: m.Mass / n}, vector{2: m.Mass / n}
		for k := range t {
			t[k] += slopeU[k]*u + slopeV[k]*v
			// c x F, turning about the normal.
			twist := m.Mass * vector{0, -c.V, c.U}[k] / j
			su[k] -= twist * v
			sv[k] += twist * u
		}
		g.tension = append(g.tension, t)
		g.shearU = append(g.shearU, su)
		g.shearV = append(g.shearV, sv)
	}
	return g, nil
}

// slopes returns how the tension changes along U and V: the moment over the
// second moments, or, for bolts in one line, along the line only.
func (g *group) slopes(m Mount, uu, uv, vv float64, tipU, tipV vector) (slopeU, slopeV vector, err error) {
	j, det := uu+vv, uu*vv-uv*uv
	if det > 1e-9*j*j {
		for k := range slopeU {
			slopeU[k] = (vv*tipU[k] - uv*tipV[k]) / det
			slopeV[k] = (uu*tipV[k] - uv*tipU[k]) / det
		}
		return slopeU, slopeV, nil
	}
	if m.Foot < 1e-6 {
		return vector{}, vector{}, errOneLine
	}
	along := math.Atan2(2*uv, uu-vv) / 2
	cos, sin := math.Cos(along), math.Sin(along)
	for k := range slopeU {
		s := (cos*tipU[k] + sin*tipV[k]) / j
		slopeU[k], slopeV[k] = s*cos, s*sin
		g.lean[k] = (cos*tipV[k] - sin*tipU[k]) / (float64(len(m.Bolts)) * m.Foot)
	}
	return slopeU, slopeV, nil
}

func (g group) load(i int, a vector) Load {
	l := Load{
		Bolt:    i,
		Tension: g.tension[i].dot(a) + math.Abs(g.lean.dot(a)),
		Shear:   math.Hypot(g.shearU[i].dot(a), g.shearV[i].dot(a)),
	}
	l.Equivalent = math.Hypot(l.Tension, math.Sqrt(3)*l.Shear)
	return l
}

// leans are the signs of the tipping across the line to try.
func (g group) leans() []float64 {
	if g.lean == (vector{}) {
		return []float64{1}
	}
	return []float64{1, -1}
}

// symmetric is a real symmetric matrix.
type symmetric [3][3]float64

// form is the squared equivalent load of bolt i as a quadratic form of the
// acceleration, for one sign of the lean.
func (g group) form(i int, lean float64) symmetric {
	t := g.tension[i]
	for k := range t {
		t[k] += lean * g.lean[k]
	}
	u, v := g.shearU[i], g.shearV[i]
	var q symmetric
	for r := range q {
		for c := range q {
			q[r][c] = t[r]*t[c] + 3*(u[r]*u[c]+v[r]*v[c])
		}
	}
	return q
}

// greatest returns the unit eigenvector of the largest eigenvalue, by Jacobi's
// rotations.
func (q symmetric) greatest() vector {
	basis := symmetric{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}} // columns are eigenvectors
	for range 12 {
		for r := range 2 {
			for c := r + 1; c < 3; c++ {
				q.rotate(&basis, r, c)
			}
		}
	}
	top := 0
	for k := range q {
		if q[k][k] > q[top][top] {
			top = k
		}
	}
	return vector{basis[0][top], basis[1][top], basis[2][top]}
}

// rotate clears the element r, c.
func (q *symmetric) rotate(basis *symmetric, r, c int) {
	if q[r][c] == 0 {
		return
	}
	angle := math.Atan2(2*q[r][c], q[c][c]-q[r][r]) / 2
	cos, sin := math.Cos(angle), math.Sin(angle)
	for k := range q {
		a, b := q[k][r], q[k][c]
		q[k][r], q[k][c] = cos*a-sin*b, sin*a+cos*b
	}
	for k := range q {
		a, b := q[r][k], q[c][k]
		q[r][k], q[c][k] = cos*a-sin*b, sin*a+cos*b
		a, b = basis[k][r], basis[k][c]
		basis[k][r], basis[k][c] = cos*a-sin*b, sin*a+cos*b
	}
}
