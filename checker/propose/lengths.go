package propose

import (
	"math"
	"strings"

	"kitgauge/checker/finding"
	"kitgauge/checker/kit"
)

// bench is the step to which lengths are rounded up, in the unit in which the
// bench measures [m]: that of the rules, and a quarter of an inch.
func (p *planner) bench() float64 {
	if p.inch() {
		const quarter = 0.0254 / 4
		return quarter
	}
	return p.limit("slack/cut_step")
}

// up rounds a length up for the bench, but for what a conversion leaves.
func (p *planner) up(si float64) float64 {
	const noise = 1e-6 // of a step
	return math.Ceil(si/p.bench()-noise) * p.bench()
}

// span is where the free length of a span is kept: the station at its end, or
// the line, whose last span ends at its point.
type span struct {
	station *station
	line    *line
}

func (s span) set(si float64) {
	if s.station != nil {
		s.station.free = si
		return
	}
	s.line.lastFree = si
}

func (s span) length() float64 {
	if s.station != nil {
		return s.station.free
	}
	return s.line.lastFree
}

// spans are those of the kit, by the pointer of their end.
func (p *planner) spans() map[string]span {
	all := map[string]span{}
	for i, b := range p.bundles {
		for j, s := range b.route {
			all[pointer("bundles", i, "route", j)] = span{station: s}
		}
	}
	for i, l := range p.lines {
		all[pointer("lines", i)] = span{line: l}
		for j, s := range l.tail {
			all[pointer("lines", i, "tail", j)] = span{station: s}
		}
	}
	return all
}

// ending is the span to which a pointer into it leads: that of the span's end,
// with the member that is at fault behind it.
func ending(all map[string]span, at string) (span, bool) {
	for at != "" {
		if s, is := all[at]; is {
			return s, true
		}
		at = at[:strings.LastIndexByte(at, '/')]
	}
	return span{}, false
}

// freeLengths gives every span the length that its joints ask for: first the
// longest distance of its ends, by which a rule then says how much is missing.
func (p *planner) freeLengths() {
	k := p.facts()
	if k == nil {
		return
	}
	all := p.spans()
	for _, s := range k.Spans {
		if to, found := ending(all, s.Source().Pointer()); found && s.Longest.Known {
			to.set(s.Longest.V)
		}
	}
	p.lengthen(all)
}

// lengthen adds what the rules say is missing, and rounds up.
func (p *planner) lengthen(all map[string]span) {
	r := p.check()
	if p.err != nil {
		return
	}
	missing := map[span]float64{}
	for _, f := range r.Findings {
		if s, found := ending(all, f.Pointer); found && short(&f) {
			missing[s] = max(missing[s], -f.Margin.SI)
		}
	}
	for _, s := range all {
		if s.length() > 0 {
			s.set(p.up(s.length() + missing[s]))
		}
	}
}

// short reports whether a finding is that a span has too little slack.
func short(f *finding.Finding) bool {
	switch f.Rule {
	case "slack/steered", "slack/articulated", "slack/sprung":
		return f.Status == finding.Violated && f.Margin != nil
	}
	return false
}

// tie puts ties round the tubes where two stations are farther apart than the
// rules allow, evenly spaced.
func (p *planner) tie() {
	pumpAt := &p.base.Pump
	for _, b := range p.bundles {
		body, at := pumpAt.Body.To, pumpAt.Position
		p.tieRoute(b.route, &body, &at)
	}
	for _, l := range p.lines {
		body, at := pumpAt.Body.To, pumpAt.Position
		if l.bundle != nil {
			from := l.bundle.route[l.leaves].at
			body, at = from.Body.To, from.Position
		}
		p.tieRoute(l.tail, &body, &at)
		l.lastTies = p.between(body, l.point.Body.To, at, l.point.Position)
	}
}

func (p *planner) tieRoute(route []*station, body **kit.Body, at *kit.Vector) {
	for _, s := range route {
		s.ties = p.between(*body, s.at.Body.To, *at, s.at.Position)
		*body, *at = s.at.Body.To, s.at.Position
	}
}

// between is where ties go between two stations of one body.
func (p *planner) between(a, b *kit.Body, from, to kit.Vector) []float64 {
	most := p.limit("routing/tie_gap")
	if a == nil || a != b || !from.Known() || !to.Known() || most == 0 {
		return nil
	}
	d := kit.Settled(kit.Distance(from, to))
	pieces := math.Ceil(d/most - 1e-9)
	var ties []float64
	for i := 1.0; i < pieces; i++ {
		ties = append(ties, p.near(d*i/pieces))
	}
	return ties
}

// near rounds a place to what a rule reads.
func (p *planner) near(si float64) float64 {
	step := 1e-3
	if p.inch() {
		step = 0.0254 / 16
	}
	return math.Round(si/step) * step
}

// cut works out the length of every tube: what it needs, and what is trimmed.
func (p *planner) cut() {
	k := p.facts()
	if k == nil {
		return
	}
	for i, l := range k.Lines {
		if l.Needed.Known {
			p.lines[i].cut = p.up(l.Needed.V + p.limit("routing/trim"))
		}
	}
}

// mostTries bounds how often lengths are changed for the sake of a loop.
const mostTries = 12

// adjust tries other free lengths where the loop of a span is bent too tightly
// or hangs out too far: longer ones step by step, and keeps for each span the
// first with which the rules find nothing, else the one with which they find
// the least.
func (p *planner) adjust() {
	all := p.spans()
	least := p.atFault(all)
	if len(least) == 0 || p.err != nil {
		return
	}
	first, best := map[span]float64{}, map[span]float64{}
	for s := range least {
		first[s], best[s] = s.length(), s.length()
	}
	for try := 1; try <= mostTries && p.err == nil; try++ {
		trying := false
		for s, found := range least {
			if found > 0 {
				s.set(first[s] + float64(try)*p.bench())
				trying = true
			}
		}
		if !trying {
			break
		}
		now := p.atFault(all)
		for s, before := range least {
			if before > 0 && now[s] < before {
				least[s], best[s] = now[s], s.length()
			}
		}
	}
	for s, length := range best {
		s.set(length)
	}
}

// atFault weighs what the rules find of the loop of each span.
func (p *planner) atFault(all map[string]span) map[span]int {
	out := map[span]int{}
	r := p.check()
	if r == nil || p.err != nil {
		return out
	}
	for _, f := range r.Findings {
		s, found := ending(all, f.Pointer)
		if !found || !of(&f, "slack", "routing", "mounting") || s.length() == 0 || !strings.Contains(f.Place, "span ") || f.Status != finding.Violated {
			continue
		}
		out[s] += map[finding.Severity]int{finding.Minor: 1, finding.Major: 10, finding.Critical: 100}[f.Severity]
	}
	return out
}
