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
	FillerHeight  value.Number `key:"filler_height" dim:"length"` // above the ground
	FillerDepth   value.Number `key:"filler_depth" dim:"length"`  // in from the vehicle's side on which it is filled
	LowestHeight  value.Number `key:"lowest_height" dim:"length"` // of position and filler, above the ground
	Inset         value.Number `key:"inset" dim:"length"`         // least, from the outline's sides
	InsetSide     value.Text   `key:"inset_side"`                 // of the vehicle
	Lean          value.Number `key:"lean" dim:"angle"`           // from upright
	OnSprung      value.Flag   `key:"on_sprung_body"`             // the body on which it sits is sprung
	SizeFits      value.Flag   `key:"bolt_size_fits"`             // size and pitch as the pump needs
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
}

// PumpZone is a hot, moving or wheel zone as the pump sees it.
type PumpZone struct {
	*kit.Zone
	Distance value.Number `key:"distance" dim:"length"` // least over all positions of the joints
}

// Place names the zone.
func (z *PumpZone) Place() string { return "the pump, zone " + z.Name.Or(z.ID.Or("without a name")) }

// pumpMounting works out the loads on the bolts and where the pump sits.
func pumpMounting(k *kit.Kit) PumpMounting {
	p := &k.Pump
	m := PumpMounting{
		FillerHeight: value.Compute(func(n *value.Need) (float64, error) {
			filler := p.Filler.Of(n, "the filler of the pump")
			const ground = "the ground (lowest side of the vehicle's outline)"
			o := &k.Vehicle.Outline
			return filler.Z - min(n.Number(ground, o.From.Z), n.Number(ground, o.To.Z)), nil
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
	m.inset(k)
	m.bolts(k)
	m.enclosure(k)
	return m
}

// fillerDepth is how far the filler is from the side on which it is filled.
func fillerDepth(n *value.Need, k *kit.Kit) (float64, error) {
	return depthOf(n, k, k.Pump.Filler.Of(n, "the filler of the pump"))
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
			zones = append(zones, &PumpZone{z, value.Compute(func(n *value.Need) (float64, error) { return pumpDistance(n, g, z, search) })})
		}
	}
	return zones
}

// pumpDistance is the least distance of the line from the pump's position to
// its filler from the zone, whatever the joints between them do.
func pumpDistance(n *value.Need, g *kit.Graph, z *kit.Zone, search *motion.Budget) (float64, error) {
	position, filler := pumpPlaces(n, g.Kit)
	in := routing.Moving{Segment: routing.Segment{A: position, B: filler}, Zone: solidOf(n, z).Zone, Budget: search}
	body := g.Kit.Pump.Body.Of(n, "the body of the pump")
	chain := g.Between(body, z.Body.Of(n, "the body of zone "+zoneName(z))).Motion().Of(n)
	in.Joints = append(append(in.Joints, chain.A...), chain.B...)
	for i := range in.Joints {
		if i < len(chain.A) {
			in.Start = append(in.Start, i)
		} else {
			in.ZoneOn = append(in.ZoneOn, i)
		}
	}
	in.End = in.Start
	c, err := routing.MovingClearance(in)
	return c.Distance, err
}
