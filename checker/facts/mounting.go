package facts

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/environment"
	"kitgauge/checker/quantities/fittings"
	"kitgauge/checker/quantities/mounting"
	"kitgauge/checker/quantities/routing"
	"kitgauge/checker/source"
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

// Source is the zone's place in the file.
func (z *PumpZone) Source() *source.Node { return z.Node }

// mounting works out the loads on the bolts and where the pump sits.
func (f *Kit) mounting() {
	p := &f.Pump
	f.filler()
	f.inset()
	p.Lean = value.Unknown[float64](p.Up.X.Reason("the upward direction (up) of the pump"))
	if p.Up.Node == nil { // straight up, as the schema says
		p.Lean = value.Known(0.0)
	}
	if p.Up.Known() {
		p.Lean = value.Result(mounting.Tilt(mounting.Direction(p.Up.Vec())))
	}
	p.OnSprung = value.Unknown[bool](p.Body.Reason("the body of the pump"))
	if b := p.Body.To; b != nil {
		p.OnSprung = b.Sprung
		p.OnSprung.Why = b.Sprung.Reason("whether " + bodyName(b) + " is sprung")
	}
	f.bolts()
	f.enclosure()
	f.pumpZones()
}

// filler is how high the pump is filled, and how far from the side.
func (f *Kit) filler() {
	p, outline := &f.Pump, f.Kit.Vehicle.Outline
	var need value.Need
	filler := vector(&need, "the filler of the pump", p.Filler)
	ground := need.Number("the ground (lowest side of the vehicle's outline)", lower(outline.From.Z, outline.To.Z))
	p.FillerHeight = need.Unknown()
	if !need.Missing() {
		p.FillerHeight = value.Known(filler.Z - ground)
	}
	low, high := corners(&need, outline)
	side := need.Text("the side of the filler (filler_side)", p.FillerSide)
	p.FillerDepth = need.Unknown()
	if need.Missing() {
		return
	}
	depth := map[string]float64{
		"left": high.Y - filler.Y, "right": filler.Y - low.Y, "front": high.X - filler.X, "rear": filler.X - low.X, "top": 0,
	}
	d, known := depth[side]
	p.FillerDepth = value.Known(d)
	if !known {
		p.FillerDepth = value.Unknown[float64](fmt.Sprintf("%q is no side of the vehicle", side))
	}
}

func lower(a, b value.Number) value.Number {
	if a.Known && b.Known && b.V < a.V {
		return b
	}
	if !b.Known {
		return b
	}
	return a
}

// corners are the lowest and the highest coordinates of the outline.
func corners(need *value.Need, o kit.Outline) (low, high r3.Vec) {
	a, b := vector(need, "the outline of the vehicle", o.From), vector(need, "the outline of the vehicle", o.To)
	low = r3.Vec{X: min(a.X, b.X), Y: min(a.Y, b.Y), Z: min(a.Z, b.Z)}
	high = r3.Vec{X: max(a.X, b.X), Y: max(a.Y, b.Y), Z: max(a.Z, b.Z)}
	return low, high
}

// inset is how far inside the outline the pump and its filler are.
func (f *Kit) inset() {
	p := &f.Pump
	var need value.Need
	low, high := corners(&need, f.Kit.Vehicle.Outline)
	places := []r3.Vec{vector(&need, "the position of the pump", p.Position), vector(&need, "the filler of the pump", p.Filler)}
	if need.Missing() {
		p.Inset, p.LowestHeight, p.InsetSide = need.Unknown(), need.Unknown(), value.Unknown[string](need.Why())
		return
	}
	p.Inset, p.LowestHeight = value.Known(math.Inf(1)), value.Known(math.Inf(1))
	for _, at := range places {
		p.LowestHeight.V = min(p.LowestHeight.V, at.Z-low.Z)
		for _, s := range []struct {
			side string
			in   float64
		}{{"left", high.Y - at.Y}, {"right", at.Y - low.Y}, {"front", high.X - at.X}, {"rear", at.X - low.X}} {
			if s.in < p.Inset.V {
				p.Inset, p.InsetSide = value.Known(s.in), value.Known(s.side)
			}
		}
	}
}

// bolts compares size and load with what pump and bolt stand.
func (f *Kit) bolts() {
	p := &f.Pump
	var need value.Need
	bolt, thread := f.bolt(&need)
	p.SizeFits = f.sizeFits(thread, need)
	p.BoltProof = need.Unknown()
	if !need.Missing() {
		class := need.Text("the property class of "+bolt.Place(), bolt.PropertyClass)
		if p.BoltProof = need.Unknown(); !need.Missing() {
			p.BoltProof = value.Result(mounting.ProofLoad(thread, class))
		}
	}
	p.BoltLoad = f.boltLoad()
	need = value.Need{}
	proof, load := need.Number("the proof load of a bolt", p.BoltProof), need.Number("the load on a bolt", p.BoltLoad)
	p.BoltFactor = need.Unknown()
	if !need.Missing() {
		p.BoltFactor = value.Result(mounting.SafetyFactor(proof, load))
	}
}

// sizeFits compares the bolt's thread with the pump's; need says what the
// bolt lacks.
func (f *Kit) sizeFits(thread mounting.Thread, need value.Need) value.Flag {
	part := f.Kit.Pump.Part.To
	if part == nil {
		need.Lack(f.Kit.Pump.Part.Reason("the part of the pump"))
		return value.Unknown[bool](need.Why())
	}
	size := need.Text("the bolt size of "+part.Place(), part.BoltSize)
	if need.Missing() {
		return value.Unknown[bool](need.Why())
	}
	needed, err := fittings.Parse(size)
	if err != nil {
		return value.Unknown[bool](part.Place() + ": " + err.Error())
	}
	f.Pump.BoltPitch, f.Pump.NeededPitch = value.Known(thread.Pitch), value.Known(needed.Pitch)
	return value.Known(math.Abs(needed.Major-thread.Diameter) < 1e-6 && math.Abs(needed.Pitch-thread.Pitch) < 1e-7)
}

// bolt is the bolt with its thread; a pitch that the catalogue does not state
// is the coarse one.
func (f *Kit) bolt(need *value.Need) (*kit.Bolt, mounting.Thread) {
	bolt := f.Kit.Pump.Bolts.Part.To
	if bolt == nil {
		need.Lack(f.Kit.Pump.Bolts.Part.Reason("the part of the pump's bolts"))
		return nil, mounting.Thread{}
	}
	size := need.Text("the size of "+bolt.Place(), bolt.Size)
	if need.Missing() {
		return bolt, mounting.Thread{}
	}
	t, err := fittings.Parse(size)
	if err != nil {
		need.Lack(bolt.Place() + ": " + err.Error())
	}
	thread := mounting.Thread{Diameter: t.Major, Pitch: t.Pitch}
	if bolt.Pitch.Node != nil {
		thread.Pitch = need.Number("the pitch of "+bolt.Place(), bolt.Pitch)
	}
	return bolt, thread
}

// boltLoad is the greatest load on a bolt when the stated acceleration and
// the pump's own weight pull the same way. The middle of the mass is taken in
// front of the middle of the bolts.
func (f *Kit) boltLoad() value.Number {
	p := &f.Pump
	var need value.Need
	m := mounting.Mount{Overhang: need.Number("the overhang of the pump's bolts", p.Bolts.Overhang)}
	if part := p.Part.To; part == nil {
		need.Lack(p.Part.Reason("the part of the pump"))
	} else {
		m.Mass = need.Number("the mass of "+part.Place(), part.Mass)
	}
	height := need.Number("the spacing of the pump's bolts", p.Bolts.Spacing)
	width := need.Number("the width of the pump's bolts", p.Bolts.Width)
	count := need.Count("the number of the pump's bolts", p.Bolts.Count)
	acceleration := need.Number("the acceleration that the pump's bolts stand", p.Bolts.Acceleration)
	if need.Missing() {
		return need.Unknown()
	}
	if count < 2 || count > 100 {
		return value.Unknown[float64](fmt.Sprintf("the load of %d bolts cannot be judged; from 2 to 100 it can", count))
	}
	const gravity = 9.80665 // m/s2, standard acceleration of free fall
	m.Bolts, m.Foot = boltPattern(int(count), height, width)
	load, err := mounting.Worst(m, acceleration+gravity)
	return value.Result(load.Equivalent, err)
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
func (f *Kit) enclosure() {
	p := &f.Pump
	var need value.Need
	class := need.Text("the wash-down of the vehicle", f.Kit.Vehicle.WashDown)
	code := ""
	if part := p.Part.To; part == nil {
		need.Lack(p.Part.Reason("the part of the pump"))
	} else {
		code = need.Text("the enclosure of "+part.Place(), part.Enclosure)
	}
	if need.Missing() {
		p.NeedsCover, p.EnclosureFits = value.Unknown[string](need.Why()), value.Unknown[bool](need.Why())
		return
	}
	needs, err := environment.IngressFor(class)
	covers := false
	if err == nil {
		covers, err = environment.IngressCovers(code, needs)
	}
	p.NeedsCover, p.EnclosureFits = value.Known(needs), value.Known(covers)
	if err != nil {
		p.NeedsCover, p.EnclosureFits = value.Unknown[string](err.Error()), value.Unknown[bool](err.Error())
	}
}

// pumpZones measures the pump's distance from what is hot or moves.
func (f *Kit) pumpZones() {
	for _, z := range f.Kit.Zones {
		if f.stopped() {
			return
		}
		switch z.Kind.V {
		case "heat", "moving", "wheel":
			f.PumpZones = append(f.PumpZones, &PumpZone{z, f.pumpDistance(z)})
		}
	}
}

func vector(need *value.Need, what string, v kit.Vector) r3.Vec {
	return r3.Vec{X: need.Number(what, v.X), Y: need.Number(what, v.Y), Z: need.Number(what, v.Z)}
}

// pumpDistance is the least distance of the line from the pump's position to
// its filler from the zone, whatever the joints between them do.
func (f *Kit) pumpDistance(z *kit.Zone) value.Number {
	p := f.Kit.Pump
	name := "zone " + z.Name.Or(z.ID.Or("without a name"))
	var need value.Need
	piece := routing.Segment{A: vector(&need, "the position of the pump", p.Position), B: vector(&need, "the filler of the pump", p.Filler)}
	from, to := vector(&need, "from of "+name, z.From), vector(&need, "to of "+name, z.To)
	in := routing.Moving{Segment: piece, Budget: f.search}
	switch z.Shape.V {
	case "box":
		in.Zone = routing.Box{Centre: r3.Scale(0.5, r3.Add(from, to)), Half: halves(from, to)}
	case "cylinder":
		in.Zone = routing.Cylinder{Axis: routing.Segment{A: from, B: to}, Radius: need.Number("the radius of "+name, z.Radius)}
	default:
		in.Zone = routing.Capsule{Axis: routing.Segment{A: from, B: to}, Radius: need.Number("the radius of "+name, z.Radius)}
	}
	if p.Body.To == nil {
		need.Lack(p.Body.Reason("the body of the pump"))
	}
	if z.Body.To == nil {
		need.Lack(z.Body.Reason("the body of " + name))
	}
	if need.Missing() {
		return need.Unknown()
	}
	between := f.between(p.Body.To, z.Body.To)
	chain, why := between.chain()
	if !between.joined {
		why = fmt.Sprintf("no joint joins %s and %s", bodyName(p.Body.To), bodyName(z.Body.To))
	}
	if why != "" {
		return value.Unknown[float64](why)
	}
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
	return value.Result(c.Distance, err)
}

func halves(a, b r3.Vec) r3.Vec {
	return r3.Vec{X: math.Abs(a.X-b.X) / 2, Y: math.Abs(a.Y-b.Y) / 2, Z: math.Abs(a.Z-b.Z) / 2}
}
