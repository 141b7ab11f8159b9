package facts

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/environment"
	"kitgauge/checker/quantities/fittings"
	"kitgauge/checker/quantities/motion"
	"kitgauge/checker/quantities/mounting"
	"kitgauge/checker/quantities/routing"
	"kitgauge/checker/value"
)

// PumpMounting is how the pump sits on the vehicle. Of its size the kit knows
// two places only, its position and its filler; the rules add half a width.
type PumpMounting struct {
	FillerHeight  value.Number `key:"filler_height" dim:"length"`       // above the ground, at rest
	FillerLeast   value.Number `key:"filler_least_height" dim:"length"` // over the range of the springs
	FillerLow     value.Text   `key:"filler_lowest_when"`               // how the joints stand there, "" at rest
	FillerMost    value.Number `key:"filler_greatest_height" dim:"length"`
	FillerHigh    value.Text   `key:"filler_highest_when"`
	FillerRaise   value.Number `key:"filler_raise" dim:"length"`  // how far up it has to be moved to stay above the limit
	FillerLower   value.Number `key:"filler_lower" dim:"length"`  // how far down, to stay below the other
	FillerDepth   value.Number `key:"filler_depth" dim:"length"`  // in from the vehicle's side on which it is filled
	SideMeant     value.Text   `key:"filler_side_meant"`          // the opposite side, where it is within reach of that and so is the pump
	LowestHeight  value.Number `key:"lowest_height" dim:"length"` // of position and filler, above the ground, at rest
	LeastHeight   value.Number `key:"least_height" dim:"length"`  // of both, over the range of the joints
	LowestWhen    value.Text   `key:"lowest_when"`
	Raise         value.Number `key:"raise" dim:"length"`       // how far up the lower of the two has to be moved to stay above the limit
	Inset         value.Number `key:"inset" dim:"length"`       // least, from the outline's sides, at rest
	InsetSide     value.Text   `key:"inset_side"`               // of the vehicle
	LeastInset    value.Number `key:"least_inset" dim:"length"` // over the range of the joints
	OutSide       value.Text   `key:"outermost_side"`
	OutWhen       value.Text   `key:"outermost_when"`
	MoveIn        value.Number `key:"move_in" dim:"length"` // how far in it has to be moved to stay inside by the limit
	Lean          value.Number `key:"lean" dim:"angle"`     // from upright
	OnSprung      value.Flag   `key:"on_sprung_body"`       // the body on which it sits is sprung
	SizeFits      value.Flag   `key:"bolt_size_fits"`       // size and pitch as the pump needs
	BoltPitch     value.Number `key:"bolt_pitch" dim:"length"`
	NeededPitch   value.Number `key:"needed_pitch" dim:"length"`
	LeastOverhang value.Number `key:"least_overhang" dim:"length"` // that its reservoir leaves room for
	BoltLoad      value.Number `key:"bolt_load" dim:"force"`       // on the bolt with the most, acceleration and weight together
	BoltProof     value.Number `key:"bolt_proof_load" dim:"force"` // of one bolt
	BoltFactor    value.Number `key:"bolt_factor" dim:"plain_number"`
	NeedsCover    value.Text   `key:"needed_enclosure"` // for the wash-down
	EnclosureFits value.Flag   `key:"enclosure_fits"`
}

// KitMounting is the zones that the pump keeps away from.
type KitMounting struct {
	PumpZones []*PumpZone
	HotEnds   []*FittingZone
}

// PumpZone is a hot, moving or wheel zone as the pump sees it.
type PumpZone struct {
	*kit.Zone
	Distance value.Number `key:"distance" dim:"length"`  // least over all positions of the joints
	When     value.Text   `key:"when"`                   // how the joints stand there, "" where none moves them
	HeatKeep value.Number `key:"heat_keep" dim:"length"` // what the pump asks of it, by what it stands
	HeatSays value.Text   `key:"heat_says"`              // why so far
	WayOut   value.Number `key:"way_out" dim:"length"`   // how far to move the pump so that it keeps its distance
	WayOutTo value.Text   `key:"way_out_to"`             // and in which direction: up, to the left
}

// Place names the zone.
func (z *PumpZone) Place() string { return "the pump, zone " + z.Name.Or(z.ID.Or("without a name")) }

// pumpMounting works out the loads on the bolts and where the pump sits.
func pumpMounting(k *kit.Kit, feet *footing, o *Options) PumpMounting {
	p := &k.Pump
	m := PumpMounting{
		FillerHeight: value.Compute(func(n *value.Need) (float64, error) {
			return p.Filler.Of(n, "the filler of the pump").Z - n.Number("the ground", feet.level), nil
		}),
		FillerDepth: value.Compute(func(n *value.Need) (float64, error) { return fillerDepth(n, k) }),
		Lean: value.Compute(func(n *value.Need) (float64, error) {
			if p.Up.Node == nil {
				return 0, nil // straight up, as the schema says
			}
			return mounting.Tilt(mounting.Direction(p.Up.Of(n, "the upward direction (up) of the pump")))
		}),
		LeastOverhang: value.Compute(func(n *value.Need) (float64, error) {
			part := pumpPart(n, k)
			return mounting.LeastOverhang(n.Number("the reservoir of "+part.Place(), part.Reservoir))
		}),
		BoltLoad: value.Compute(func(n *value.Need) (float64, error) { return boltLoad(n, k) }),
		OnSprung: value.Unknown[bool](p.Body.Reason("the body of the pump")),
	}
	if b := p.Body.To; b != nil {
		m.OnSprung = withReason(b.Sprung, "whether "+b.Label()+" is sprung")
	}
	m.sideMeant(k, o)
	m.inset(k)
	m.overRange(k, feet, o)
	m.outermost(k, feet, o)
	m.bolts(k)
	m.enclosure(k)
	return m
}

// fillerDepth is how far the filler is from the side on which it is filled.
func fillerDepth(n *value.Need, k *kit.Kit) (float64, error) {
	return depthOf(n, k, k.Pump.Filler.Of(n, "the filler of the pump"))
}

// sideMeant finds that a filler lies at the side opposite to the one that is
// stated.
func (m *PumpMounting) sideMeant(k *kit.Kit, o *Options) {
	other := map[string]string{"left": "right", "right": "left", "front": "rear", "rear": "front"}[k.Pump.FillerSide.V]
	reach := o.limit("mounting/reach")
	if other == "" || !reach.Known || !m.FillerDepth.Known {
		return
	}
	value.Fill(func(n *value.Need) error {
		low, high := corners(n, k.Vehicle.Outline)
		across := high.Y - low.Y
		if other == "front" || other == "rear" {
			across = high.X - low.X
		}
		if m.FillerDepth.V > across/2 && across-m.FillerDepth.V <= reach.V {
			m.SideMeant = value.Known(other)
		}
		return nil
	}, &m.SideMeant)
}

// depthOf is how far a place is from the side on which the pump is filled.
func depthOf(n *value.Need, k *kit.Kit, filler r3.Vec) (float64, error) {
	low, high := corners(n, k.Vehicle.Outline)
	side := n.Text("the side of the filler (filler_side)", k.Pump.FillerSide)
	depth, known := map[string]float64{
		"left": high.Y - filler.Y, "right": filler.Y - low.Y, "front": high.X - filler.X, "rear": filler.X - low.X, "top": 0,
	}[side]
	if !known {
		return 0, fmt.Errorf("%q is no side of the vehicle", side)
	}
	return depth, nil
}

// corners are the lowest and the highest coordinates of the outline.
func corners(n *value.Need, o kit.Outline) (low, high r3.Vec) {
	a, b := o.From.Of(n, "the outline of the vehicle"), o.To.Of(n, "the outline of the vehicle")
	low = r3.Vec{X: min(a.X, b.X), Y: min(a.Y, b.Y), Z: min(a.Z, b.Z)}
	high = r3.Vec{X: max(a.X, b.X), Y: max(a.Y, b.Y), Z: max(a.Z, b.Z)}
	return low, high
}

// inset is how far inside the outline the pump and its filler are.
func (m *PumpMounting) inset(k *kit.Kit) {
	value.Fill(func(n *value.Need) error {
		low, high := corners(n, k.Vehicle.Outline)
		position, filler := pumpPlaces(n, k)
		m.Inset, m.LowestHeight = value.Known(math.Inf(1)), value.Known(math.Inf(1))
		for _, at := range []r3.Vec{position, filler} {
			m.LowestHeight.V = min(m.LowestHeight.V, at.Z-low.Z)
			for _, s := range []struct {
				side string
				in   float64
			}{{"left", high.Y - at.Y}, {"right", at.Y - low.Y}, {"front", high.X - at.X}, {"rear", at.X - low.X}} {
				if s.in < m.Inset.V {
					m.Inset, m.InsetSide = value.Known(s.in), value.Known(s.side)
				}
			}
		}
		return nil
	}, &m.Inset, &m.LowestHeight, &m.InsetSide)
}

// overRange is how high filler and pump are while the joints move.
func (m *PumpMounting) overRange(k *kit.Kit, feet *footing, o *Options) {
	up, down := r3.Vec{Z: 1}, r3.Vec{Z: -1}
	value.Fill(func(n *value.Need) error {
		filler := k.Pump.Filler.Of(n, "the filler of the pump")
		s := feet.stand(k.Pump.Body.Of(n, "the body of the pump"))
		least, most := s.filling(n, filler)
		m.FillerLeast, m.FillerLow = value.Known(least.V), value.Known(least.When)
		m.FillerMost, m.FillerHigh = value.Known(most.V), value.Known(most.When)
		m.FillerRaise = untilKept(filler, up, o.limit("mounting/lowest_filler").V, func(at r3.Vec) float64 {
			least, _ := s.filling(n, at)
			return least.V
		})
		m.FillerLower = untilKept(filler, down, -o.limit("mounting/highest_filler").Or(math.Inf(1)), func(at r3.Vec) float64 {
			_, most := s.filling(n, at)
			return -most.V
		})
		return nil
	}, &m.FillerLeast, &m.FillerLow, &m.FillerMost, &m.FillerHigh, &m.FillerRaise, &m.FillerLower)
	value.Fill(func(n *value.Need) error {
		position, filler := pumpPlaces(n, k)
		s := feet.stand(k.Pump.Body.Of(n, "the body of the pump"))
		limit := o.limit("mounting/above_ground").V
		low, at := s.least(n, position, limit), position
		if other := s.least(n, filler, limit); other.V < low.V {
			low, at = other, filler
		}
		m.LeastHeight, m.LowestWhen = value.Known(low.V), value.Known(low.When)
		m.Raise = untilKept(at, up, limit, func(at r3.Vec) float64 { return s.least(n, at, limit).V })
		return nil
	}, &m.LeastHeight, &m.LowestWhen, &m.Raise)
}

// flanks are the sides of the vehicle, and the way out at each.
var flanks = [...]struct {
	name string
	out  r3.Vec
}{{"left", r3.Vec{Y: 1}}, {"right", r3.Vec{Y: -1}}, {"front", r3.Vec{X: 1}}, {"rear", r3.Vec{X: -1}}}

// outermost is how far inside the outline pump and filler stay while the joints
// move them. What is articulated takes its part of the outline with it.
func (m *PumpMounting) outermost(k *kit.Kit, feet *footing, o *Options) {
	value.Fill(func(n *value.Need) error {
		low, high := corners(n, k.Vehicle.Outline)
		position, filler := pumpPlaces(n, k)
		s := feet.stand(k.Pump.Body.Of(n, "the body of the pump"))
		least, place, out := Height{V: math.Inf(1)}, r3.Vec{}, r3.Vec{}
		inside := func(at, out r3.Vec) Height {
			far := s.farthest(n, at, out)
			return Height{kit.Settled(max(r3.Dot(low, out), r3.Dot(high, out)) - far.V), far.When}
		}
		for _, at := range []r3.Vec{position, filler} {
			for _, side := range flanks {
				if in := inside(at, side.out); in.V < least.V {
					least, place, out, m.OutSide = in, at, side.out, value.Known(side.name)
				}
			}
		}
		m.LeastInset, m.OutWhen = value.Known(least.V), value.Known(least.When)
		m.MoveIn = untilKept(place, r3.Scale(-1, out), o.limit("mounting/inside").V, func(at r3.Vec) float64 { return inside(at, out).V })
		return nil
	}, &m.LeastInset, &m.OutSide, &m.OutWhen, &m.MoveIn)
}

// pumpPlaces are the two places of the pump that are known.
func pumpPlaces(n *value.Need, k *kit.Kit) (position, filler r3.Vec) {
	return k.Pump.Position.Of(n, "the position of the pump"), k.Pump.Filler.Of(n, "the filler of the pump")
}

// bolts compares size and load with what pump and bolt stand.
func (m *PumpMounting) bolts(k *kit.Kit) {
	m.SizeFits = value.Compute(func(n *value.Need) (bool, error) {
		_, thread := boltOf(n, k)
		part := pumpPart(n, k)
		needed, err := fittings.Parse(n.Text("the bolt size of "+part.Place(), part.BoltSize))
		if err != nil {
			return false, fmt.Errorf("%s: %w", part.Place(), err)
		}
		m.BoltPitch, m.NeededPitch = value.Known(thread.Pitch), value.Known(needed.Pitch)
		return math.Abs(needed.Major-thread.Diameter) < 1e-6 && math.Abs(needed.Pitch-thread.Pitch) < 1e-7, nil
	})
	m.BoltProof = value.Compute(func(n *value.Need) (float64, error) {
		bolt, thread := boltOf(n, k)
		class := n.Text("the property class of "+bolt.Place(), bolt.PropertyClass)
		if bolt.Finish.Node != nil && n.Text("the finish of "+bolt.Place(), bolt.Finish) == "hot-dip galvanised" {
			var err error
			if thread, err = mounting.Galvanised(thread, class); err != nil {
				return 0, fmt.Errorf("%s: %w", bolt.Place(), err)
			}
		}
		return mounting.ProofLoad(thread, class)
	})
	m.BoltFactor = value.Compute(func(n *value.Need) (float64, error) {
		return mounting.SafetyFactor(n.Number("the proof load of a bolt", m.BoltProof), n.Number("the load on a bolt", m.BoltLoad))
	})
}

// boltOf is the bolt with its thread; a pitch that the catalogue does not
// state is the coarse one.
func boltOf(n *value.Need, k *kit.Kit) (*kit.Bolt, mounting.Thread) {
	bolt := k.Pump.Bolts.Part.Of(n, "the part of the pump's bolts")
	t, err := fittings.Parse(n.Text("the size of "+bolt.Place(), bolt.Size))
	if err != nil {
		n.Stop(bolt.Place() + ": " + err.Error())
	}
	thread := mounting.Thread{Diameter: t.Major, Pitch: t.Pitch}
	if bolt.Pitch.Node != nil {
		thread.Pitch = n.Number("the pitch of "+bolt.Place(), bolt.Pitch)
	}
	return bolt, thread
}

// boltLoad is the greatest load on a bolt when the stated acceleration and
// the pump's own weight pull the same way. The middle of the mass is taken in
// front of the middle of the bolts.
func boltLoad(n *value.Need, k *kit.Kit) (float64, error) {
	bolts := &k.Pump.Bolts
	m := mounting.Mount{Overhang: n.Number("the overhang of the pump's bolts", bolts.Overhang)}
	part := pumpPart(n, k)
	m.Mass = n.Number("the mass of "+part.Place(), part.Mass)
	height := n.Number("the spacing of the pump's bolts", bolts.Spacing)
	width := n.Number("the width of the pump's bolts", bolts.Width)
	count := n.Count("the number of the pump's bolts", bolts.Count)
	acceleration := n.Number("the acceleration that the pump's bolts stand", bolts.Acceleration)
	if count < 2 || count > 100 {
		return 0, fmt.Errorf("the load of %d bolts cannot be judged; from 2 to 100 it can", count)
	}
	const gravity = 9.80665 // m/s2, standard acceleration of free fall
	m.Bolts, m.Foot = boltPattern(int(count), height, width)
	load, err := mounting.Worst(m, acceleration+gravity)
	return load.Equivalent, err
}

// boltPattern lays the bolts out in two rows, the upper with the odd one. A
// row's bolts are spread over the width; a single one sits in the middle. Two
// bolts are one above the other, and the width is that of the face.
func boltPattern(count int, height, width float64) (bolts []mounting.Place, foot float64) {
	if count == 2 {
		return []mounting.Place{{V: height / 2}, {V: -height / 2}}, width / 2
	}
	upper := (count + 1) / 2
	for i := range count {
		row, at, n := height/2, i, upper
		if i >= upper {
			row, at, n = -height/2, i-upper, count-upper
		}
		u := 0.0
		if n > 1 {
			u = width * (float64(at)/float64(n-1) - 0.5)
		}
		bolts = append(bolts, mounting.Place{U: u, V: row})
	}
	return bolts, 0
}

// enclosure holds the pump's protection against the wash-down.
func (m *PumpMounting) enclosure(k *kit.Kit) {
	value.Fill(func(n *value.Need) error {
		class := n.Text("the wash-down of the vehicle", k.Vehicle.WashDown)
		part := pumpPart(n, k)
		code := n.Text("the enclosure of "+part.Place(), part.Enclosure)
		needs, err := environment.IngressFor(class)
		if err != nil {
			return err
		}
		covers, err := environment.IngressCovers(code, needs)
		m.NeedsCover, m.EnclosureFits = value.Known(needs), value.Known(covers)
		return err
	}, &m.NeedsCover, &m.EnclosureFits)
}

// pumpZones measures the pump's distance from what is hot or moves.
func pumpZones(g *kit.Graph, search *motion.Budget, o *Options) []*PumpZone {
	var zones []*PumpZone
	for _, z := range g.Kit.Zones {
		if o.stopped() {
			break
		}
		switch z.Kind.V {
		case "heat", "moving", "wheel":
			zones = append(zones, pumpZone(g, z, search, o))
		}
	}
	return zones
}

// pumpZone is the least distance of the line from the pump's position to its
// filler from the zone, whatever the joints between them do, and the way to
// where it is great enough.
func pumpZone(g *kit.Graph, z *kit.Zone, search *motion.Budget, o *Options) *PumpZone {
	out := &PumpZone{Zone: z}
	out.HeatKeep, out.HeatSays = keepOfPump(g.Kit, z, o)
	value.Fill(func(n *value.Need) error {
		in, between := pumpAndZone(n, g, z)
		in.Budget = search
		c, err := routing.MovingClearance(in)
		if err != nil {
			return err
		}
		out.Distance = value.Known(c.Distance)
		out.When = value.Known(kit.Standing(between, c.Joints, g.Kit.Family()))
		keep := out.HeatKeep
		width := o.limit("mounting/half_width")
		if keep = value.Known(keep.V + width.V); width.Known && c.Distance < keep.V {
			in.Budget = &motion.Budget{Boxes: mostBoxes / 10}
			if far, to := nearestWay(piece{in, true, true, 0}, keep.V); to != "" {
				out.WayOut, out.WayOutTo = value.Known(far), value.Known(to)
			}
		}
		return nil
	}, &out.Distance, &out.When)
	return out
}

// pumpLimitOf names the limit that keeps the pump away from a zone.
func pumpLimitOf(z *kit.Zone) string {
	switch {
	case z.Kind.V != "heat":
		return "mounting/moving"
	case z.Shielded.V:
		return "mounting/shielded_heat"
	}
	return "mounting/heat"
}

// pumpAndZone is the line from the pump's position to its filler, the zone, and
// the joints between them.
func pumpAndZone(n *value.Need, g *kit.Graph, z *kit.Zone) (in routing.Moving, joints []*kit.Joint) {
	position, filler := pumpPlaces(n, g.Kit)
	return placeAndZone(n, g, g.Kit.Pump.Body.Of(n, "the body of the pump"), routing.Segment{A: position, B: filler}, z)
}

// placeAndZone is something straight on a body, a zone, and the joints between
// them.
func placeAndZone(n *value.Need, g *kit.Graph, body *kit.Body, s routing.Segment, z *kit.Zone) (in routing.Moving, joints []*kit.Joint) {
	in = routing.Moving{Segment: s, Zone: solidOf(n, z).Zone}
	between := g.Between(body, z.Body.Of(n, "the body of zone "+zoneName(z)))
	chain := between.Motion().Of(n)
	in.Joints = append(append(in.Joints, chain.A...), chain.B...)
	for i := range in.Joints {
		if i < len(chain.A) {
			in.Start = append(in.Start, i)
		} else {
			in.ZoneOn = append(in.ZoneOn, i)
		}
	}
	in.End = in.Start
	return in, between.All()
}
