package facts

import (
	"fmt"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/routing"
	"kitgauge/checker/quantities/survey"
	"kitgauge/checker/value"
)

// sameID returns the name of the first thing with an id, where another had it
// before, and notes the first.
func sameID(first map[string]string, id value.Text, name string) value.Text {
	if !id.Known || id.V == "" {
		return value.Text{}
	}
	if of, twice := first[id.V]; twice {
		return value.Known(of)
	}
	first[id.V] = name
	return value.Text{}
}

// What a zone is by the last word of its name, and the words beside it with
// which that is something else.
var (
	exhaustWords = []string{"exhaust", "silencer", "muffler", "manifold", "turbocharger", "turbo", "dpf", "catalyst", "stack", "pipe", "tailpipe"}
	wheelWords   = []string{"wheel", "wheels", "tyre", "tyres", "tire", "tires"}
	movingWords  = []string{"shaft", "propshaft", "ram", "rod"}
	edgeWords    = []string{"edge", "edges", "guard", "bracket", "tunnel", "of"}
	otherWheels  = []string{"spare", "fifth", "hand", "steering", "fly", "idler", "gear", "jockey", "measuring", "sprocket"}
)

// zoneKind doubts the kind of a zone that is called an exhaust, a wheel or a
// shaft, or whose twin is of another.
func (s *surveyor) zoneKind(z *SurveyedZone) {
	words := survey.Words(z.Name.V)
	if len(words) == 0 || !z.Kind.Known {
		return
	}
	for len(words) > 1 && survey.Side(words, len(words)-1) != "" {
		words = words[:len(words)-1]
	}
	last := words[len(words)-1]
	wheel := slices.Contains(wheelWords, last) && !slices.ContainsFunc(words, func(w string) bool { return slices.Contains(otherWheels, w) })
	switch twin := s.zoneNamed(z.Twin.V); {
	case z.Exhaust.V && slices.Contains(exhaustWords, last) && z.Kind.V != "heat":
		z.KindMeant, z.KindBy = value.Known("heat"), value.Known("its name is that of an exhaust")
	case wheel && z.Kind.V != "wheel":
		z.KindMeant, z.KindBy = value.Known("wheel"), value.Known("its name is that of a wheel")
	case z.Kind.V != "heat" && z.Temperature.Known:
		z.KindMeant, z.KindBy = value.Known("heat"), value.Known("how hot it becomes is stated")
	case z.Kind.V == "edge" && !slices.ContainsFunc(words, func(w string) bool { return slices.Contains(edgeWords, w) }) && slices.Contains(movingWords, last):
		z.KindMeant, z.KindBy = value.Known("moving"), value.Known("its name is that of a part that moves")
	case z.Kind.V == "heat" && !z.Temperature.Known && !z.Exhaust.V && slices.Contains(movingWords, last):
		z.KindMeant, z.KindBy = value.Known("moving"), value.Known("its name is that of a part that moves, and how hot it becomes is not stated")
	case wheel: // its name and its kind go together
	case z.Twin.Known && twin != nil && twin.Kind.Known && twin.Kind.V != z.Kind.V && s.kindDoubt(z) > s.kindDoubt(twin):
		z.KindMeant, z.KindBy = twin.Kind, value.Known("its twin "+z.Twin.V+" is of the kind "+twin.Kind.V)
	}
	if b := s.byBody[z.Body.To]; z.KindMeant.V == "wheel" && b != nil {
		b.Wheels.V = true // so that it is not said to have none
	}
}

func (s *surveyor) zoneNamed(name string) *SurveyedZone {
	for _, z := range s.ZoneFits {
		if zoneName(z.Zone) == name {
			return z
		}
	}
	return nil
}

// kindDoubt is how little the members of a zone go with its kind; the later of
// two is doubted a little more.
func (s *surveyor) kindDoubt(z *SurveyedZone) float64 {
	d := float64(slices.Index(s.ZoneFits, z)) / float64(10*len(s.ZoneFits))
	if (z.Kind.V == "heat") != z.Temperature.Known {
		d++
	}
	return d
}

// zoneMoves finds the joint that carries what hangs on no frame.
func (s *surveyor) zoneMoves(z *SurveyedZone) {
	z.OnFrame = value.Known(z.Body.To != nil && s.springsUnder(z.Body.To).Known)
	j := s.graph.HangsBy(z.Body.To)
	if z.Body.To == nil || j == nil {
		return
	}
	switch j.Role.V {
	case "boom", "tipping", "drawbar", "steering":
		z.Moves = value.Known(j.Label())
	}
}

// zoneThrough finds the part through which an exhaust goes: a shaft, a wheel
// or another part that moves, or a heat source that is not the engine's own.
func (s *surveyor) zoneThrough(z *SurveyedZone) {
	if !z.Exhaust.V || z.KindMeant.Known && z.KindMeant.V != "heat" || z.Outside.V > 0 {
		return
	}
	for _, o := range s.ZoneFits {
		if o == z || o.Exhaust.V || o.Kind.V == "edge" || o.Outside.V > 0 || belongsToEngine(o) {
			continue
		}
		by, ok := overlap(z.Zone, o.Zone)
		if ok && by > z.ThroughBy.V && by > survey.Uneven {
			z.Through, z.ThroughBy = value.Known(zoneName(o.Zone)), value.Known(kit.Settled(by))
		}
	}
}

func belongsToEngine(z *SurveyedZone) bool {
	return slices.ContainsFunc(survey.Words(z.Name.V+" "+z.ID.V), func(w string) bool {
		return slices.Contains([]string{"engine", "motor", "header", "shield", "bay", "compartment", "fan"}, w)
	})
}

// overlap is how far the inside of one zone reaches into another at rest, from
// the axis of the first or, of a box, from its middle line.
func overlap(a, b *kit.Zone) (float64, bool) {
	first, okA := zoneCore(a)
	second, okB := zoneCore(b)
	if !okA || !okB {
		return 0, false
	}
	near, err := routing.Apart(first.axis, second.axis)
	if err != nil {
		return 0, false
	}
	return first.radius + second.radius - near, true
}

// half of a box lies on either side of its middle.
const half = float64(1) / 2

// core is the middle line of a zone and its least half thickness.
type core struct {
	axis   routing.Segment
	radius float64
}

func zoneCore(z *kit.Zone) (core, bool) {
	if !z.From.Known() || !z.To.Known() {
		return core{}, false
	}
	from, to := z.From.Vec(), z.To.Vec()
	if round(z) {
		return core{routing.Segment{A: from, B: to}, z.Radius.V}, z.Radius.Known
	}
	box := survey.NewBox(from, to)
	size, middle := r3.Sub(box.High, box.Low), r3.Scale(half, r3.Add(box.Low, box.High))
	longest, least := "x", size.X
	for _, n := range []string{"y", "z"} {
		if survey.Of(size, n) > survey.Of(size, longest) {
			longest = n
		}
		least = min(least, survey.Of(size, n))
	}
	reach := map[string]r3.Vec{"x": {X: (size.X - least) / 2}, "y": {Y: (size.Y - least) / 2}, "z": {Z: (size.Z - least) / 2}}[longest]
	return core{routing.Segment{A: r3.Sub(middle, reach), B: r3.Add(middle, reach)}, least / 2}, true
}

// wheelMissing tells of a wheel on one side of a body that has no mirror
// image, opposite which no wheel is listed.
func (s *surveyor) wheelMissing(z *SurveyedZone) {
	if !isWheel(z) || z.LiesSide.V == "" || !z.From.Known() || !z.To.Known() || z.Body.To == nil || s.mirrorOf[z.Body.To] != nil {
		return
	}
	if j := s.graph.HangsBy(z.Body.To); j != nil && j.Role.V == "steering" {
		return // whose mirror image is named for it
	}
	middle := survey.Mirror(r3.Scale(half, r3.Add(z.From.Vec(), z.To.Vec())))
	for _, o := range s.ZoneFits {
		if o == z || !isWheel(o) {
			continue
		}
		if !o.From.Known() || !o.To.Known() || o.LiesSide.V != z.LiesSide.V || z.Twin.Known {
			return // one lies there, or is said to
		}
		if out, _ := spread(o.Zone).Beyond(middle); out < survey.Wayward {
			return
		}
	}
	z.MissingTwin = value.Known(map[string]string{"left": "right", "right": "left"}[z.LiesSide.V])
}

func isWheel(z *SurveyedZone) bool { return z.Kind.V == "wheel" || z.KindMeant.V == "wheel" }

// engineWords are those of vehicles that drive themselves, and towedWords and
// electricWords of those that have no hot engine of their own.
var (
	engineWords = []string{
		"truck", "lorry", "tractor", "loader", "excavator", "telehandler", "forklift", "dumper", "van", "bus", "harvester",
		"crane", "grader", "gritter", "sweeper", "tipper", "backhoe", "bulldozer", "dozer", "roller", "paver", "tanker",
	}
	towedWords    = []string{"trailer", "semitrailer", "dolly", "towed", "drawn", "implement", "attachment", "caravan"}
	electricWords = []string{"electric", "battery", "cell", "electrically"}
)

// engine is the word of the kit that says that the vehicle has an engine.
func (s *surveyor) engine() value.Text {
	words := survey.Words(s.Header.Title.V + " " + s.Kit.Kit.Vehicle.Description.V)
	found := ""
	for _, w := range words {
		if slices.Contains(towedWords, w) || slices.Contains(electricWords, w) {
			return value.Text{}
		}
		if found == "" && slices.Contains(engineWords, w) {
			found = w
		}
	}
	if found == "" {
		return value.Text{}
	}
	return value.Known(found)
}

// springsUnder names the springs that hang on a body that itself hangs on
// none: it is the frame that they carry.
func (s *surveyor) springsUnder(b *kit.Body) value.Text {
	for up, n := b, 0; up != nil && n < len(s.Joints)+1; n++ {
		j := s.graph.HangsBy(up)
		if j == nil {
			break
		}
		if j.Role.V == "suspension" {
			return value.Text{}
		}
		up = j.Parent.To
	}
	var names []string
	for _, j := range s.Kit.Kit.Joints {
		if j.Parent.To == b && j.Role.V == "suspension" && !(j.Child.To != nil && j.Child.To.Sprung.V) {
			names = append(names, j.Label())
		}
	}
	if len(names) == 0 {
		return value.Text{}
	}
	if len(names) > 1 {
		return value.Known(fmt.Sprintf("%s and %d more", names[0], len(names)-1))
	}
	return value.Known(names[0])
}
