package propose

import (
	"slices"

	"kitgauge/checker/document"
	"kitgauge/checker/value"
)

// withhold takes out again every part that not all rules could judge that
// decide about it, and leaves it with what is missing: a rule that is not
// evaluated finds nothing in a cable that is too thin.
func (p *planner) withhold() {
	for _, round := range []func(){p.withholdTubes, p.withholdEnds, p.withholdFeed} {
		if round(); p.err != nil {
			return
		}
	}
}

// reason is why a figure is not known, "" where it is.
func reason(n value.Number, what string) string {
	if n.Known {
		return ""
	}
	return n.Reason(what)
}

// withholdTubes looks at what flows in the cold: it judges tube and grease.
func (p *planner) withholdTubes() {
	k := p.facts()
	if k == nil {
		return
	}
	judged, why := false, ""
	for i, l := range k.Lines {
		if l.StartPressure.Known {
			judged = true
			continue
		}
		p.lines[i].untubed = l.StartPressure.Reason("the pressure with which it starts")
		if why == "" {
			why = p.lines[i].untubed
		}
		p.leaveAlike(l.Label(), pointer("lines", i), "no tube is chosen, as not every rule could judge it: "+p.lines[i].untubed)
	}
	if p.pump.grease != "" && !judged && why != "" {
		p.leave("the pump", "/pump", "no grease is chosen, as not every rule could judge it: "+why)
		p.pump.grease = ""
	}
	for i, b := range p.bundles {
		open := slices.IndexFunc(p.lines, func(l *line) bool { return l.bundle == b && l.untubed != "" })
		if open >= 0 && b.conduit != "" {
			p.leaveAlike("bundle "+b.id, pointer("bundles", i), "no conduit is chosen, as a tube in it is left open: "+p.lines[open].untubed)
			b.conduit = ""
		}
	}
}

// withholdEnds looks at the fittings of the lines.
func (p *planner) withholdEnds() {
	k := p.facts()
	if k == nil {
		return
	}
	for _, o := range p.unthreaded {
		p.leaveAlike(o.Place, o.at[0], o.Says)
	}
	for i, e := range k.Ends {
		l := p.lines[i/2]
		end := &l.pumpEnd
		if e.At.V == "point" {
			end = &l.pointEnd
		}
		why := l.untubed
		if why == "" {
			why = reason(e.Supply.Pressure, "the pressure that can come")
		}
		if *end == "" || why == "" {
			continue
		}
		p.leaveAlike(e.Place(), pointer("lines", i/2), "no fitting is chosen, as not every rule could judge it: "+why)
		*end = ""
	}
}

// withholdFeed looks at fuse and cable, and at the bolts of the pump.
func (p *planner) withholdFeed() {
	k := p.facts()
	if k == nil {
		return
	}
	draw, carries := reason(k.Feed.HighestDraw, "the draw of the pump"), reason(k.Pump.BoltFactor, "what a bolt carries")
	if bolts, _ := member(p.part.Pump, "bolts").(document.Object); member(bolts, "acceleration") == nil {
		p.leave("the pump's bolts", "/pump/bolts/acceleration", "nobody measured or asked for it, and it is the least that a rule takes: state what the pump maker asks for")
	}
	voltage := draw
	if voltage == "" {
		voltage = reason(k.Feed.PumpVoltage, "the voltage at the pump")
	}
	for _, part := range []struct {
		number                 *string
		why, called, place, at string
	}{
		{&p.feed.fuse, draw, "fuse", "the feed", "/feed"},
		{&p.feed.cable, voltage, "cable", "the feed", "/feed"},
		{&p.pump.bolts, carries, "bolts", "the pump's bolts", "/pump/bolts"},
	} {
		if *part.number == "" || part.why == "" {
			continue
		}
		p.leave(part.place, part.at, "of "+part.called+" none is chosen, as not every rule could judge it: "+part.why)
		*part.number = ""
	}
}

// leaveAlike notes what is left to a person, together with what is left for
// the like of that reason elsewhere.
func (p *planner) leaveAlike(place, at, says string) {
	i := slices.IndexFunc(p.open, func(o Open) bool { return o.Says == says })
	if i < 0 {
		p.leave(place, at, says)
		return
	}
	p.open[i].Place += ", " + place
	p.open[i].at = append(p.open[i].at, at)
}
