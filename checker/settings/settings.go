// Package settings reads the settings file that an organisation keeps beside
// its kits: which packs are used, which limits and severities differ from the
// packs' own and why, which packs are added, and the gate.
package settings

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/decode"
	"kitgauge/checker/finding"
	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// FileName is the name under which settings are looked for, from the kit's
// directory upwards.
const FileName = "kitgauge.settings.yaml"

// Settings are those of one file, or of several that lie one below the other
// ([Settings.Below]). The zero Settings changes nothing.
type Settings struct {
	Node       *source.Node
	LeaveOut   []Omission
	Add        []*source.Node // names of pack files, relative to the file that names them
	Limits     []Override
	Severities []Override
	Gate       finding.Severity
	HasGate    bool
	GateNode   *source.Node // where the gate is set; nil where it is not
	// Loosen names what settings further down may loosen: packs with all that
	// belongs to them, limits, rules, and GateWord.
	Loosen []*source.Node
}

// GateWord stands for the gate among the names of what may be loosened.
const GateWord = "gate"

// Omission is a built-in pack that is not used.
type Omission struct {
	Pack   string `key:"*"`
	Reason string `key:"reason" need:"write reason: and why this fleet does without"`
	Node   *source.Node
}

// Pos is where the omission stands.
func (o Omission) Pos() source.Pos {
	if o.Node.Kind == source.Map {
		return o.Node.KeyPos()
	}
	return o.Node.Pos()
}

// omissions are written as a list of names, or as a group with a reason for
// each.
type omissions []Omission

// ReadNode implements decode.Reader.
func (o *omissions) ReadNode(d *decode.Decoder, n *source.Node, m value.Member) {
	if n.Kind == source.List {
		var names []*source.Node
		d.Value(n, &names, m)
		for _, name := range names {
			*o = append(*o, Omission{Pack: name.Scalar, Node: name})
		}
		return
	}
	var group []Omission
	d.Value(n, &group, m)
	*o = group
}

// Override is a limit or a severity that differs from the pack's own.
type Override struct {
	Name   string `key:"*"`                                                    // "slack/steered_slack", or a rule's id
	Is     string `key:"is" need:"write is: and the value that holds instead"` // as written
	Reason string `key:"reason" need:"write reason: and why this fleet differs"`
	Node   *source.Node
}

// Pos is where the override stands.
func (o Override) Pos() source.Pos { return o.Node.KeyPos() }

// File is a settings file as it is written.
type File struct {
	Packs struct {
		LeaveOut omissions      `key:"leave_out" refers:"pack"`
		Add      []*source.Node `key:"add" refers:"file"`
	} `key:"packs"`
	Limits     []Override     `key:"limits" refers:"limit"`
	Severities []Override     `key:"severities" refers:"rule"`
	Gate       value.Text     `key:"gate"`
	Loosen     []*source.Node `key:"loosen_below" refers:"loosened"`
}

// Read reads a settings file. What the schema does not allow is left out.
func Read(doc *source.Document) (*Settings, []*source.Problem) {
	var file File
	d := new(decode.Decoder)
	d.Value(doc.Root, &file, value.Member{})
	s := &Settings{Node: doc.Root, LeaveOut: file.Packs.LeaveOut, Add: file.Packs.Add, Limits: file.Limits, Severities: file.Severities, Loosen: file.Loosen}
	if file.Gate.Known {
		severity, err := finding.ParseSeverity(file.Gate.V)
		if err != nil {
			d.Fail(file.Gate.Node, err.Error(), "")
		}
		s.Gate, s.HasGate, s.GateNode = severity, err == nil, file.Gate.Node
	}
	return s, d.Problems
}

// Below returns what holds where the settings stand below others: they add to
// those, and what both set is as the nearer ones set it.
func (s *Settings) Below(above *Settings) *Settings {
	if above == nil {
		return s
	}
	joined := *s
	joined.LeaveOut = slices.Concat(above.LeaveOut, s.LeaveOut)
	joined.Add = slices.Concat(above.Add, s.Add)
	joined.Limits = nearer(above.Limits, s.Limits)
	joined.Severities = nearer(above.Severities, s.Severities)
	if !s.HasGate {
		joined.Gate, joined.HasGate, joined.GateNode = above.Gate, above.HasGate, above.GateNode
	}
	return &joined
}

// nearer joins overrides, of which the nearer ones win.
func nearer(above, near []Override) []Override {
	kept := slices.DeleteFunc(slices.Clone(above), func(o Override) bool {
		_, again := lookup(near, o.Name)
		return again
	})
	return append(kept, near...)
}

// MayLoosen reports whether the settings let those further down loosen
// something: a pack, a limit, a rule or the gate, by its name.
func (s *Settings) MayLoosen(name string) bool {
	pack, _, _ := strings.Cut(name, "/")
	return slices.ContainsFunc(s.Loosen, func(n *source.Node) bool { return n.Scalar == name || n.Scalar == pack })
}

// Limit is what the settings need to know of a pack's limit.
type Limit struct {
	Name string // with its pack: "slack/steered_slack"
	Dim  units.Dimension
	Text string
	// Means is the limit from which it takes its value, where it is the entry
	// of a group that names another limit; "" otherwise.
	Means string
	// Outside tells what a value has to be that cannot be meant, "a value from
	// 0 to 1"; "" where it can.
	Outside func(si float64) string
}

// LimitValues reads the overridden limits in SI, by name.
func (s *Settings) LimitValues(limits []Limit) (map[string]float64, []*source.Problem) {
	d := new(decode.Decoder)
	values := map[string]float64{}
	for _, o := range s.Limits {
		l := o.limit(d, limits)
		if l == nil || o.Is == "" {
			continue // it has been said, here or by Read
		}
		own := fmt.Sprintf("the pack's own limit is %s", l.Text)
		si, err := units.Parse(o.Is, l.Dim)
		if err != nil {
			d.Fail(o.at("is"), fmt.Sprintf("%s: %s", o.Name, err), own)
			continue
		}
		if l.Outside != nil {
			if want := l.Outside(si); want != "" {
				d.Fail(o.at("is"), fmt.Sprintf("%s cannot be %s", o.Name, o.Is), "write "+want+"; "+own)
				continue
			}
		}
		values[o.Name] = si
	}
	return values, d.Problems
}

// limit is the one that an override sets; nil where there is none, and where
// it has to be set by another name.
func (o Override) limit(d *decode.Decoder, limits []Limit) *Limit {
	var names, below []string
	byName := map[string]*Limit{}
	for i, l := range limits {
		names = append(names, l.Name)
		byName[l.Name] = &limits[i]
		if strings.HasPrefix(l.Name, o.Name+".") {
			below = append(below, cmp.Or(l.Means, l.Name))
		}
	}
	l, nearest := byName[o.Name], byName[spelling.Nearest(o.Name, names)]
	switch {
	case l != nil && l.Means != "":
		o.fail(d, fmt.Sprintf("%s takes its value from %s", o.Name, l.Means), "set "+l.Means+" instead")
		return nil
	case l != nil:
	case len(below) > 0:
		o.fail(d, o.Name+" is a group of limits", "set those that differ: "+strings.Join(below, ", "))
	case nearest != nil && nearest.Means != "":
		o.fail(d, fmt.Sprintf("there is no limit %q in the packs in use; nearest is %q, which takes its value from %s", o.Name, nearest.Name, nearest.Means), "set "+nearest.Means+" instead")
	default:
		unknown(d, o, "limit", names)
	}
	return l
}

// RuleSeverities reads the overridden severities, by rule.
func (s *Settings) RuleSeverities(rules []string) (map[string]finding.Severity, []*source.Problem) {
	d := new(decode.Decoder)
	severities := map[string]finding.Severity{}
	known := map[string]bool{}
	for _, id := range rules {
		known[id] = true
	}
	for _, o := range s.Severities {
		if !known[o.Name] {
			unknown(d, o, "rule", rules)
			continue
		}
		if o.Is == "" {
			continue // Read said so
		}
		severity, err := finding.ParseSeverity(o.Is)
		if err != nil || severity == finding.None {
			d.Fail(o.at("is"), fmt.Sprintf("%q is no severity of a rule", o.Is), "write critical, major or minor; a rule is not switched off, a finding is conceded")
			continue
		}
		severities[o.Name] = severity
	}
	return severities, d.Problems
}

func unknown(d *decode.Decoder, o Override, what string, names []string) {
	o.fail(d, fmt.Sprintf("there is no %s %q in the packs in use", what, o.Name)+spelling.Hint(o.Name, names), "correct the name or take it out")
}

// fail reports a fault of the name under which the override stands.
func (o Override) fail(d *decode.Decoder, message, remedy string) {
	d.Problems = append(d.Problems, &source.Problem{Pos: o.Pos(), Node: o.Node, Message: message, Remedy: remedy})
}

func (o Override) at(key string) *source.Node {
	if n := o.Node.Get(key); n != nil {
		return n
	}
	return o.Node
}

// ForLimit returns the override of a limit.
func (s *Settings) ForLimit(name string) (Override, bool) { return lookup(s.Limits, name) }

// ForRule returns the override of a rule's severity.
func (s *Settings) ForRule(id string) (Override, bool) { return lookup(s.Severities, id) }

func lookup(list []Override, name string) (Override, bool) {
	for _, o := range list {
		if o.Name == name {
			return o, true
		}
	}
	return Override{}, false
}
