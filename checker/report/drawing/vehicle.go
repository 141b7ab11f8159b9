package drawing

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/motion"
)

// vehicle draws what the kit says of the vehicle beside its outline: round each
// body that moves an outline of what is fixed to it, wheels as such, and the
// centre line of two wheels on one axle.
func (p *painter) vehicle() {
	for _, b := range p.scene.bodies {
		var on []spot
		for _, c := range b.corners {
			on = append(on, p.v.at(c))
		}
		if h := hull(on); len(h) > 2 {
			p.s.path(h, true, "body")
		}
	}
	for i := range p.scene.wheels {
		p.wheel(&p.scene.wheels[i])
	}
}

// wheel is a wheel of the vehicle, from its zone.
type wheel struct {
	zone   *zoneMark
	centre r3.Vec
	radius float64
	other  *r3.Vec // the centre of that on the other side of its axle
}

// bodyMark is a body that a joint moves, with the corners of what is fixed to
// it.
type bodyMark struct {
	body    *kit.Body
	corners []r3.Vec
}

// round is the room that what is fixed takes round its place, as it is drawn [m].
const fixedRoom = 0.05

// gatherVehicle finds wheels and bodies.
func (s *scene) gatherVehicle() {
	for i := range s.zones {
		z := s.zones[i].zone
		if z.Kind.V != "wheel" {
			continue
		}
		a, b := z.From.Vec(), z.To.Vec()
		w := wheel{zone: &s.zones[i], centre: r3.Scale(0.5, r3.Add(a, b)), radius: min(math.Abs(a.X-b.X), math.Abs(a.Z-b.Z)) / 2}
		if roundZone(z) {
			w.radius = z.Radius.V
		}
		if w.radius > 0 {
			s.wheels = append(s.wheels, w)
		}
	}
	for i := range s.wheels {
		a := &s.wheels[i]
		for j := range s.wheels {
			b := &s.wheels[j]
			if math.Abs(a.centre.X-b.centre.X) < 0.05 && math.Abs(a.centre.Z-b.centre.Z) < 0.05 && a.centre.Y > 0.1 && math.Abs(a.centre.Y+b.centre.Y) < 0.1 {
				a.other = &b.centre
			}
		}
	}
	s.gatherBodies()
}

func (s *scene) gatherBodies() {
	corners := map[*kit.Body][]r3.Vec{}
	take := func(b *kit.Body, at r3.Vec) {
		if b == nil || !s.region.has(at) {
			return
		}
		for corner := range 8 {
			p := at
			for i, axis := range []*float64{&p.X, &p.Y, &p.Z} {
				if corner&(1<<i) != 0 {
					*axis += fixedRoom
				} else {
					*axis -= fixedRoom
				}
			}
			corners[b] = append(corners[b], p)
		}
	}
	for i := range s.routes {
		for _, stop := range s.routes[i].Stops {
			if at, ok := s.place(stop.Position); ok {
				take(stop.Body, at)
			}
		}
	}
	for i := range s.zones {
		if b := s.zones[i].zone.Body.To; b != nil && s.zones[i].joint != nil {
			for _, p := range s.zones[i].outline(0) {
				if s.region.has(p) {
					corners[b] = append(corners[b], p)
				}
			}
		}
	}
	for i := range s.joints {
		j := &s.joints[i]
		b := j.joint.Child.To
		if b == nil || len(corners[b]) == 0 {
			continue
		}
		if j.drawn && j.motion.Kind == motion.Revolute {
			take(b, j.at)
		}
		s.bodies = append(s.bodies, bodyMark{b, corners[b]})
		corners[b] = nil
	}
}

// wheel draws a wheel: seen from the side its rim, from above the centre line
// to the other wheel of its axle.
func (p *painter) wheel(w *wheel) {
	at := p.v.at(w.centre)
	r := w.radius * p.v.scale
	if p.v.side {
		p.s.circle(at, r, "wheel")
		p.s.circle(at, r*0.55, "centre")
		p.s.line(at.plus(-r*0.25, 0), at.plus(r*0.25, 0), "centre")
		p.s.line(at.plus(0, -r*0.25), at.plus(0, r*0.25), "centre")
		return
	}
	p.s.line(at.plus(-r*1.15, 0), at.plus(r*1.15, 0), "centre")
	if w.other != nil {
		over := 0.12 * p.v.scale
		p.s.line(at.plus(0, -over), p.v.at(*w.other).plus(0, over), "centre")
	}
}
