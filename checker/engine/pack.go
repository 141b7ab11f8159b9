package engine

import (
	"fmt"
	"strings"

	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

// Pack is a set of rules with the limits they share.
type Pack struct {
	Name   string
	Title  string
	About  string
	File   string
	Limits []*Limit
	Rules  []*Rule
	// Unbudgeted turns the cost budget off, which counting costs a third of
	// the time: for packs whose cost a test has measured.
	Unbudgeted bool

	budget     budget
	groups     []*limitGroup
	vocabulary *Types            // with the limits
	stored     map[string][]byte // expressions that need not be type-checked again; nil where there are none
	text       []byte
	envs       envs
}

// Rule is one check, as data.
type Rule struct {
	ID       string // with its pack: "slack/steered"
	Title    string
	Of       string // the kind of thing it looks at
	Severity finding.Severity
	At       []string // the member at which a finding stands
	Never    bool     // what it finds cannot be conceded
	Basis    string
	Why      string
	Node     *source.Node

	with    []*named    // values that the expressions after it can use by name
	given   *expression // applies only where this is true; may be nil
	must    *expression // has to be true
	raiseTo finding.Severity
	raiseOn *expression
	says    *message
	remedy  *message
	compare *comparison
	derived bool // must says no more than compare
	pack    *Pack
}

// comparison is the pair of numbers from which the margin is shown.
type comparison struct {
	value, limit *expression
	atMost       bool // the value may not exceed the limit
}

// Must is the text of the condition that has to hold.
func (r *Rule) Must() string { return r.must.text }

// Given is the text of the condition under which the rule applies, or "".
func (r *Rule) Given() string {
	if r.given == nil {
		return ""
	}
	return r.given.text
}

// Raised tells when the severity is higher than usual: the severity and the
// text of the condition, or None.
func (r *Rule) Raised() (finding.Severity, string) {
	if r.raiseOn == nil {
		return finding.None, ""
	}
	return r.raiseTo, r.raiseOn.text
}

// expressions lists every expression of the rule, in file order of their use.
func (r *Rule) expressions() []*expression {
	var list []*expression
	add := func(e *expression) {
		if e != nil {
			list = append(list, e)
		}
	}
	add(r.given)
	for _, n := range r.with {
		add(n.expression)
	}
	add(r.must)
	add(r.raiseOn)
	if r.compare != nil {
		add(r.compare.value)
		add(r.compare.limit)
	}
	for _, m := range []*message{r.says, r.remedy} {
		if m != nil {
			for _, p := range m.parts {
				add(p.expr)
			}
		}
	}
	return list
}

// packReader reads the shape of a pack; types are checked by Compile.
type packReader struct {
	pack     *Pack
	types    *Types
	never    bool // nothing that the pack finds can be conceded
	problems []*source.Problem
}

// ReadPack reads a rule pack. Its expressions are not compiled yet: Compile
// does that for all of them, Evaluate for those that it needs.
func ReadPack(doc *source.Document, v *Types) (*Pack, []*source.Problem) {
	root := doc.Root
	p := &Pack{File: doc.File, text: doc.Text, budget: budget{costLimit, packCostLimit}}
	r := &packReader{pack: p, types: v}
	r.never = r.text(root, "conceded", false) == "never"
	p.Name, p.Title, p.About = r.text(root, "pack", true), r.text(root, "title", true), r.text(root, "about", false)
	r.limits(root.Get("limits"))
	p.vocabulary = v.with(p)
	rules := root.Get("rules")
	if rules == nil || rules.Kind != source.List {
		r.fail(root, "the pack has no list of rules", "write rules: with an item for each")
		return p, r.problems
	}
	seen := map[string]bool{}
	for _, n := range rules.Items[:r.most(rules, len(rules.Items), MostRules)] {
		rule := r.rule(n)
		if seen[rule.ID] {
			r.fail(n, fmt.Sprintf("rule %q stands twice in this pack", rule.ID), "give it an id of its own")
			continue
		}
		seen[rule.ID] = true
		p.Rules = append(p.Rules, rule)
	}
	return p, r.problems
}

// What a pack may hold; the schema says the same.
const (
	MostRules  = 2000
	MostLimits = 500
)

// most is how many of so many items are read.
func (r *packReader) most(n *source.Node, count, most int) int {
	if count > most {
		r.fail(n, fmt.Sprintf("%s has %d items; at most %d are possible", n.Key(), count, most), "leave out what is not needed, or make two packs")
	}
	return min(count, most)
}

func (r *packReader) fail(n *source.Node, message, remedy string) {
	r.problems = append(r.problems, &source.Problem{Pos: n.Pos(), Message: message, Remedy: remedy, Node: n})
}

// failKey is fail for the key under which a value stands.
func (r *packReader) failKey(n *source.Node, message, remedy string) {
	r.problems = append(r.problems, &source.Problem{Pos: n.KeyPos(), Message: message, Remedy: remedy, Node: n})
}

func (r *packReader) text(n *source.Node, key string, needed bool) string {
	m := n.Get(key)
	switch {
	case m == nil && needed:
		r.fail(n, key+" is missing", "write "+key+": and its text")
	case m == nil:
	case m.Kind == source.List || m.Kind == source.Map:
		r.fail(m, fmt.Sprintf("%s is %s; text is needed", key, m.Kind), "")
	default:
		return strings.TrimSpace(m.Scalar)
	}
	return ""
}

func (r *packReader) rule(n *source.Node) *Rule {
	rule := &Rule{
		ID:    r.pack.Name + "/" + r.text(n, "id", true),
		Title: r.text(n, "title", true), Of: r.text(n, "of", true),
		Basis: r.text(n, "basis", true), Why: r.text(n, "why", true),
		Node: n, pack: r.pack,
		Never: r.never || r.text(n, "conceded", false) == "never",
	}
	if at := r.text(n, "at", false); at != "" {
		rule.At = strings.Split(at, ".")
	}
	if _, known := r.types.kinds[rule.Of]; !known && rule.Of != "" {
		r.fail(n.Get("of"), fmt.Sprintf("a rule cannot look at %q", rule.Of), "it can look at "+strings.Join(r.types.names, ", "))
	}
	rule.Severity = r.severity(n, "severity")
	rule.given = r.expression(n, "given", wantBool, rule) // before there are names: it cannot use them
	r.with(n.Get("with"), rule)
	if m := n.Get("raise"); m != nil {
		rule.raiseTo = r.severity(m, "to")
		rule.raiseOn = r.expression(m, "when", wantBool, rule)
	}
	rule.must = r.expression(n, "must", wantBool, rule)
	rule.compare = r.comparison(n, rule)
	if rule.must == nil {
		rule.must, rule.derived = rule.compare.must(), true
	}
	if rule.must == nil {
		rule.derived = false
		r.fail(n, "the rule has no condition", "write must: or compare:")
		rule.must = &expression{text: "true", node: n, want: wantBool, rule: rule}
	}
	rule.says, rule.remedy = r.message(n, "says", true, rule), r.message(n, "remedy", false, rule)
	return rule
}

func (r *packReader) severity(n *source.Node, key string) finding.Severity {
	s, err := finding.ParseSeverity(r.text(n, key, true))
	if err != nil || s == finding.None {
		at := n.Get(key)
		if at == nil {
			at = n
		}
		r.fail(at, key+" is no severity", "write critical, major or minor")
	}
	return s
}

func (r *packReader) expression(n *source.Node, key string, want wanted, rule *Rule) *expression {
	m := n.Get(key)
	if m == nil {
		return nil
	}
	text := r.text(n, key, false)
	if text == "" {
		r.fail(m, key+" is empty", "write an expression or leave it out")
		return nil
	}
	return &expression{text: text, node: m, offset: strings.Index(m.Scalar, text), want: want, rule: rule, names: rule.with}
}

func (r *packReader) comparison(n *source.Node, rule *Rule) *comparison {
	m := n.Get("compare")
	if m == nil {
		return nil
	}
	c := &comparison{value: r.expression(m, "value", wantNumber, rule)}
	c.limit = r.expression(m, "at_least", wantNumber, rule)
	if c.limit == nil {
		c.limit, c.atMost = r.expression(m, "at_most", wantNumber, rule), true
	}
	if c.value == nil || c.limit == nil || m.Get("at_least") != nil && m.Get("at_most") != nil {
		r.fail(m, "compare needs value and either at_least or at_most", "write two rules for a number with two limits")
		return nil
	}
	return c
}

// must is the condition that a comparison alone stands for.
func (c *comparison) must() *expression {
	if c == nil {
		return nil
	}
	sign := " >= "
	if c.atMost {
		sign = " <= "
	}
	return &expression{text: bracket(c.value.text) + sign + bracket(c.limit.text), node: c.value.node, want: wantBool, rule: c.value.rule, names: c.value.names}
}

func bracket(e string) string {
	if strings.ContainsAny(e, "?|&<>=!") {
		return "(" + e + ")"
	}
	return e
}
