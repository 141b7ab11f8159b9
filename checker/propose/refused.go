package propose

import (
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/environment"
)

// mostRefused is of how many pumps it is said why they will not do.
const mostRefused = 6

// refusedPumps says of the pumps of the catalogue why each will not do.
func (p *planner) refusedPumps() string {
	all := p.base.Parts.OfKind("pump")
	if len(all) == 0 {
		return "the catalogue has no pump"
	}
	cover, err := environment.IngressFor(p.base.Vehicle.WashDown.V)
	if err != nil {
		cover = "another" // a word of the file that is not known: it is found
	}
	var list []string
	for _, entry := range all[:min(len(all), mostRefused)] {
		pump, is := entry.(*kit.Pump)
		if !is {
			continue
		}
		list = append(list, pump.Number.V+" "+strings.Join(p.refuses(pump, cover), ", "))
	}
	if more := len(all) - mostRefused; more > 0 {
		list = append(list, fmt.Sprintf("and %d more do not either", more))
	}
	return fmt.Sprintf("no pump of the catalogue will do for %d lines: %s", len(p.lines), strings.Join(list, "; "))
}

// refuses is why a pump will not do; cover is what the wash-down takes.
func (p *planner) refuses(pump *kit.Pump, cover string) []string {
	i := slices.IndexFunc(p.stock.Pumps, func(s *facts.StockPump) bool { return s.Number.V == pump.Number.V })
	if i < 0 {
		return []string{"does not stand the air of the vehicle"}
	}
	s, v := p.stock.Pumps[i], &p.base.Vehicle
	var why []string
	if int(s.Outlets.V) < len(p.lines) {
		why = append(why, fmt.Sprintf("has %d outlets", s.Outlets.V))
	}
	if v.Supply.Known && s.Voltage.Known && s.Voltage.V != v.Supply.V {
		why = append(why, "is for "+in(s.Voltage.V, "V")+" and the vehicle has "+in(v.Supply.V, "V"))
	}
	if s.Sealed.Known && !s.Sealed.V {
		why = append(why, "has "+s.Enclosure.V+" and the wash-down ("+v.WashDown.V+") takes "+cover)
	}
	if upper := p.base.Pump.Fill.Upper; upper.Known && s.Reservoir.Known && s.Reservoir.V < upper.V {
		why = append(why, "holds "+in(s.Reservoir.V, "l")+", and the upper mark was read at "+in(upper.V, "l"))
	}
	return why
}

// threadless finds the ends whose thread no fitting of the catalogue has.
func (p *planner) threadless(k *facts.Kit) {
	p.unthreaded = nil
	for i, e := range k.Ends {
		need := e.NeededThread
		if !need.Known || slices.ContainsFunc(p.stock.Fittings, func(f *kit.Fitting) bool { return f.Thread.V == need.V }) {
			continue
		}
		p.unthreaded = append(p.unthreaded, Open{e.Place(), "no fitting of the catalogue has the thread " + need.V + ": look at the thread, or list a fitting that has it", []string{pointer("lines", i/2)}})
	}
}

// alikeNames tells of ways whose names differ from that of another way, or from
// the id of a point, only by capitals: they count as another.
func (p *planner) alikeNames(w *ways) {
	var names []string
	for _, point := range p.base.Points {
		names = append(names, point.ID.V)
	}
	for _, way := range w.ways {
		names = append(names, way.name)
	}
	for _, way := range w.ways {
		for _, name := range names {
			if !way.near && name != way.name && strings.EqualFold(name, way.name) {
				p.leave("way "+way.name, "", fmt.Sprintf("it is not the same as %s: capitals count; write both alike where one is meant", name))
			}
		}
	}
}
