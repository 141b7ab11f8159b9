package checker

import (
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/engine"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/settings"
	"kitgauge/checker/units"
	"kitgauge/rules"
)

// measures is what a kit is measured by. Two of them tell in what one is more
// lenient than the other.
type measures struct {
	packs      []*engine.Pack
	limits     map[string]float64 // otherwise than in the packs, in SI
	severities map[string]finding.Severity
	gate       finding.Severity
}

// loosening is something in which one measure is more lenient than another, or
// may be.
type loosening struct {
	kind    looseKind
	name    string // of the pack, the limit or the rule, or settings.GateWord
	was, is string
}

type looseKind uint8

// The kinds, in the order in which they are told.
const (
	packOut looseKind = iota
	severityLowered
	limitLoosened
	limitChanged // and which way is stricter cannot be told
	gateLowered
)

// String tells the loosening in words.
func (l loosening) String() string {
	switch l.kind {
	case packOut:
		return "the rule pack " + l.name + " is not used"
	case severityLowered:
		return fmt.Sprintf("%s is %s and not %s", l.name, l.is, l.was)
	case limitChanged:
		return fmt.Sprintf("%s is %s and not %s, and whether that is stricter cannot be told", l.name, l.is, l.was)
	case gateLowered:
		return fmt.Sprintf("the gate is %s and not %s", l.is, l.was)
	}
	return fmt.Sprintf("%s is %s and not %s", l.name, l.is, l.was)
}

// loosenings lists in what m is more lenient than other measures.
func (m *measures) loosenings(than *measures) []loosening {
	var list []loosening
	for _, was := range than.packs {
		is := packNamed(m.packs, was.Name)
		if is == nil {
			list = append(list, loosening{kind: packOut, name: was.Name})
			continue
		}
		list = append(list, m.loosened(is, than, was)...)
	}
	if moreLenient(m.gate, than.gate) {
		list = append(list, loosening{gateLowered, settings.GateWord, than.gate.String(), m.gate.String()})
	}
	slices.SortStableFunc(list, func(a, b loosening) int { return int(a.kind) - int(b.kind) })
	return list
}

// loosened compares a pack as it is measured with, with what it was.
func (m *measures) loosened(is *engine.Pack, than *measures, was *engine.Pack) []loosening {
	var list []loosening
	for _, rule := range was.Rules {
		i := slices.IndexFunc(is.Rules, func(r *engine.Rule) bool { return r.ID == rule.ID })
		if i < 0 {
			continue // the pack is another, and is told to be
		}
		a, b := than.severity(rule), m.severity(is.Rules[i])
		if b < a {
			list = append(list, loosening{severityLowered, rule.ID, a.String(), b.String()})
		}
	}
	for _, l := range was.Limits {
		i := slices.IndexFunc(is.Limits, func(o *engine.Limit) bool { return o.Name == l.Name })
		if i < 0 {
			continue
		}
		a, b := than.limit(was, l), m.limit(is, is.Limits[i])
		if a == b {
			continue
		}
		kind := limitLoosened
		switch was.Strictness(l) {
		case engine.Rises:
			if b > a {
				continue
			}
		case engine.Falls:
			if b < a {
				continue
			}
		default:
			kind = limitChanged
		}
		show := func(si float64) string { return units.Format(si, l.Dim, units.Metric) }
		list = append(list, loosening{kind, was.Name + "/" + l.Name, show(a), show(b)})
	}
	return list
}

func (m *measures) severity(r *engine.Rule) finding.Severity {
	if set, changed := m.severities[r.ID]; changed {
		return set
	}
	return r.Severity
}

func (m *measures) limit(p *engine.Pack, l *engine.Limit) float64 {
	if set, changed := m.limits[p.Name+"/"+l.Name]; changed {
		return set
	}
	return l.SI
}

func packNamed(list []*engine.Pack, name string) *engine.Pack {
	if i := slices.IndexFunc(list, func(p *engine.Pack) bool { return p.Name == name }); i >= 0 {
		return list[i]
	}
	return nil
}

// moreLenient reports whether a gate lets more through than another: none lets
// all through, and critical more than minor.
func moreLenient(gate, than finding.Severity) bool { return gate-1 > than-1 }

// measures are those of the configuration as it stands.
func (p *Config) measures() *measures {
	m := &measures{packs: p.Packs, limits: p.options.Limits, severities: p.options.Severities, gate: finding.Major}
	if p.Settings != nil && p.Settings.HasGate {
		m.gate = p.Settings.Gate
	}
	return m
}

// Weakened tells what the settings take from the rule packs as they are and
// from the usual gate; nil where they take nothing. A gate that the caller
// sets goes before that of the settings.
func (p *Config) Weakened(ownGate bool) *report.Weakened {
	if p.Settings == nil {
		return nil
	}
	usual := &measures{packs: slices.Clone(p.Packs), gate: finding.Major}
	for _, pack := range p.offered {
		if packNamed(usual.packs, pack.Name) == nil {
			usual.packs = append(usual.packs, pack)
		}
	}
	is := p.measures()
	if !ownGate {
		is.gate = usual.gate
	}
	byKind := map[looseKind][]string{}
	for _, l := range is.loosenings(usual) {
		byKind[l.kind] = append(byKind[l.kind], l.name)
	}
	w := &report.Weakened{Settings: p.shownFiles}
	if out := byKind[packOut]; len(out) > 0 {
		slices.Sort(out)
		w.Says = append(w.Says, fmt.Sprintf("%d of %s left out: %s", len(out), report.Count(len(rules.Names()), "pack", "packs"), listed(p.withReason(out))))
	}
	for _, k := range []struct {
		kind looseKind
		one  string
		many string
	}{
		{severityLowered, "severity lowered", "severities lowered"}, {limitLoosened, "limit loosened", "limits loosened"},
		{limitChanged, "limit changed", "limits changed"},
	} {
		if names := byKind[k.kind]; len(names) > 0 {
			w.Says = append(w.Says, report.Count(len(names), k.one, k.many)+": "+listed(names))
		}
	}
	if len(byKind[gateLowered]) > 0 {
		w.Says = append(w.Says, "gate "+is.gate.String())
	}
	if len(w.Says) == 0 {
		return nil
	}
	return w
}

// withReason marks the packs that are left out without a reason.
func (p *Config) withReason(out []string) []string {
	var list []string
	for _, name := range out {
		if slices.Contains(p.unexplained(), name) {
			name += " (no reason given)"
		}
		list = append(list, name)
	}
	return list
}

// unexplained are the packs that the settings leave out without a reason.
func (p *Config) unexplained() []string {
	var list []string
	if p.Settings == nil {
		return nil
	}
	for _, o := range p.Settings.LeaveOut {
		if packNamed(p.Packs, o.Pack) == nil && strings.TrimSpace(o.Reason) == "" && !slices.Contains(list, o.Pack) {
			list = append(list, o.Pack)
		}
	}
	return list
}

// listed joins names, as many as a line has room for.
func listed(names []string) string {
	const most = 20
	if more := len(names) - most; more > 0 {
		return strings.Join(names[:most], ", ") + fmt.Sprintf(" and %d more", more)
	}
	return strings.Join(names, ", ")
}
