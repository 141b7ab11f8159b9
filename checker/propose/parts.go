package propose

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/bundling"
)

// tubes are those of the catalogue that give with a joint: the thinnest outside
// first, of these the widest inside, which resists least.
func (p *planner) tubes() []*kit.Tube {
	var list []*kit.Tube
	for _, t := range p.stock.Tubes {
		if !t.Rigid.V {
			list = append(list, t.Tube)
		}
	}
	slices.SortStableFunc(list, func(a, b *kit.Tube) int {
		return cmp.Or(cmp.Compare(a.Outer.V, b.Outer.V), cmp.Compare(b.Inner.V, a.Inner.V))
	})
	return list
}

// chooseTube begins with the first.
func (p *planner) chooseTube() {
	if len(p.tubes()) == 0 {
		p.leave("the lines", "/lines", "the catalogue has no tube that stands the air of the vehicle")
		return
	}
	p.tube = p.tubes()[0].Number.V
}

// checkTube takes the first tube with which the grease flows in the cold, and
// in which the pressure stays within what tubes and fittings stand.
func (p *planner) checkTube() {
	tubes := p.tubes()
	p.choose(len(tubes), func(i int) {
		if p.tube != tubes[i].Number.V {
			p.tube = tubes[i].Number.V
			p.fitEnds()
			p.fitConduits()
		}
	}, "flow", "fittings")
}

// fitEnds gives every line the fittings by thread and tube: a first one, of
// which the facts say which thread its hole needs, then the one that has it.
func (p *planner) fitEnds() {
	tube, _ := p.entry(p.tube).(*kit.Tube)
	if tube == nil || len(p.stock.Fittings) == 0 {
		return
	}
	for _, l := range p.lines {
		l.pumpEnd, l.pointEnd = p.stock.Fittings[0].Number.V, p.stock.Fittings[0].Number.V
	}
	k := p.facts()
	if k == nil {
		return
	}
	p.threadless(k)
	for i, e := range k.Ends {
		l := p.lines[i/2]
		if e.At.V == "point" {
			l.pointEnd = p.fitting(tube, e)
			continue
		}
		l.pumpEnd = p.fitting(tube, e)
	}
}

// fitting is the first that goes into a hole, takes the tube and is as strong
// as it; angled where there is little room.
func (p *planner) fitting(tube *kit.Tube, e *facts.LineEnd) string {
	const hair = 1e-6 // m
	for _, f := range p.stock.Fittings {
		switch {
		case !e.NeededThread.Known || f.Thread.V != e.NeededThread.V:
		case math.Abs(f.TubeOuter.V-tube.Outer.V) > hair:
		case f.Pressure.V < tube.Pressure.V || f.Pressure.V < e.Supply.Pressure.V:
		case e.Tight.V && f.Angle.V < p.limit("fittings/angle"):
		default:
			return f.Number.V
		}
	}
	return ""
}

// entry is a part of the catalogue.
func (p *planner) entry(number string) any {
	if p.base == nil {
		return nil
	}
	return p.base.Parts.Entry(number)
}

// fitConduits gives every bundle the smallest split conduit that closes over
// its tubes. A bundle for which there is none is divided.
func (p *planner) fitConduits() {
	for i := 0; i < len(p.bundles); i++ { // what is divided off comes last
		b := p.bundles[i]
		n := len(p.members(b))
		for n > 1 && len(p.around(n)) == 0 {
			p.divide(b)
			n = len(p.members(b))
		}
		if list := p.around(n); len(list) > 0 {
			b.conduit = list[0].Number.V
		}
	}
}

// members are the lines of a bundle.
func (p *planner) members(b *bundle) []*line {
	var list []*line
	for _, l := range p.lines {
		if l.bundle == b {
			list = append(list, l)
		}
	}
	return list
}

// divide makes a second bundle along the same stations, for the half of the
// lines that leaves last.
func (p *planner) divide(b *bundle) {
	lines := p.members(b)
	slices.SortStableFunc(lines, func(a, b *line) int { return cmp.Compare(a.leaves, b.leaves) })
	second := &bundle{id: p.freeID(b.id), name: b.name + ", second"}
	for i, s := range b.route {
		beside := *s
		beside.id = fmt.Sprintf("%s-%d", strings.ToLower(second.id), i+1)
		second.route = append(second.route, &beside)
	}
	for _, l := range lines[len(lines)/2:] {
		l.bundle = second
	}
	last := 0
	for _, l := range lines[:len(lines)/2] {
		last = max(last, l.leaves)
	}
	b.route = b.route[:last+1]
	p.bundles = append(p.bundles, second)
}

// freeID is an id that no bundle has.
func (p *planner) freeID(like string) string {
	for n := 2; ; n++ {
		id := fmt.Sprintf("%s%d", like, n)
		if !slices.ContainsFunc(p.bundles, func(b *bundle) bool { return b.id == id }) {
			return id
		}
	}
}

// mostLines is how many tubes the widest split conduit takes, and no more than
// the rules let over a joint.
func (p *planner) mostLines() int {
	most := int(p.limit("bundles/crossing"))
	for n := 1; n <= most; n++ {
		if len(p.around(n)) == 0 {
			return n - 1
		}
	}
	return most
}

// around are the split conduits that close over so many tubes with ease.
func (p *planner) around(n int) []*facts.StockConduit {
	tube, _ := p.entry(p.tube).(*kit.Tube)
	if tube == nil {
		return nil
	}
	diameters := slices.Repeat([]float64{tube.Outer.V}, n)
	packed, err := bundling.EnclosingCircle(diameters)
	if err != nil {
		return nil
	}
	var list []*facts.StockConduit
	for _, c := range p.stock.Conduits {
		room, err := bundling.Room(c.Inner.V, packed.Diameter)
		fill, wrong := bundling.Fill(diameters, c.Inner.V)
		if err == nil && wrong == nil && c.Split.V && room >= p.limit("bundles/room") && fill <= p.limit("bundles/fill_closed") {
			list = append(list, c)
		}
	}
	return list
}

// chooseFeed takes the fuse that draw and start need, connectors that are
// sealed for their place, and the thinnest cable with which the rules find
// nothing.
func (p *planner) chooseFeed() {
	p.feed.connectors = make([]string, len(p.base.Feed.Connectors))
	if c := p.base.Parts.OfKind("connector"); len(c) > 0 {
		for i := range p.feed.connectors {
			p.feed.connectors[i] = kit.Common(c[0]).Number.V
		}
	}
	k := p.facts()
	if k == nil {
		return
	}
	for i, c := range k.Feed.Connectors {
		if c.Meant.Known {
			p.feed.connectors[i] = c.Meant.V
		}
	}
	for _, f := range p.stock.Fuses {
		if k.Feed.NextFuse.Known && f.Rating.V == k.Feed.NextFuse.V {
			p.feed.fuse = f.Number.V
			break
		}
	}
	cables := p.stock.Cables
	p.choose(len(cables), func(i int) { p.feed.cable = cables[i].Number.V }, "power")
}

// chooseBolts takes the first bolts with which the pump is held.
func (p *planner) chooseBolts() {
	bolts := p.stock.Bolts
	p.choose(len(bolts), func(i int) { p.pump.bolts = bolts[i].Number.V }, "mounting")
}

// listParts lists what the kit takes, with spares: a fitting of each kind and
// one in twenty, a fuse, a twentieth of what is cut from a roll, and two ties a
// point.
func (p *planner) listParts() {
	k := p.facts()
	if k == nil {
		return
	}
	p.list = nil
	tie := ""
	if len(p.stock.Ties) > 0 {
		tie = p.stock.Ties[0].Number.V
	}
	for _, u := range k.Parts {
		r := row{part: u.Number.V}
		switch u.Measure.V {
		case "length":
			if !u.Length.Known || u.Length.V == 0 {
				continue // it is said where it is not known
			}
			r.length = p.roll(u.Length.V)
		case "volume":
			r.volume = p.volume(p.volumeUp(u.Volume.V))
		default:
			r.quantity = u.Count.V + p.spares(u)
			if u.Number.V == tie {
				continue
			}
		}
		p.list = append(p.list, r)
	}
	if tie == "" {
		p.leave("the parts list", "/parts_list", "the catalogue has no clip or tie that stands the air of the vehicle")
		return
	}
	p.list = append(p.list, row{part: tie, quantity: k.Holders.V + 2*int64(len(p.lines))})
}

func (p *planner) spares(u *facts.UsedPart) int64 {
	switch u.Kind.V {
	case "fitting":
		return max(int64(math.Ceil(p.limit("fittings/spares"))), 1) + u.Count.V/20
	case "fuse":
		return int64(math.Ceil(p.limit("power/spare_fuses")))
	}
	return 0
}

// roll is the length that is packed, a twentieth more than is needed, in whole
// metres or feet.
func (p *planner) roll(si float64) string {
	unit, step := "m", 1.0
	if p.inch() {
		unit, step = "ft", 0.3048
	}
	const waste = 1.05
	return fmt.Sprintf("%.0f %s", math.Ceil(si*waste/step), unit)
}
