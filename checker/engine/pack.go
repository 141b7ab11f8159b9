package engine

import (
	"fmt"
	"strings"

	"kitgauge/checker/finding"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
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
	// Compiled holds expressions of the pack that need not be type-checked
	// again; nil where there are none.
	Compiled *Compiled

	budget     budget
	vocabulary *Types
	provider   *packProvider
	envs       envs
}

// Limit is a named number that rules compare with.
type Limit struct {
	Name  string
	SI    float64
	Dim   units.Dimension
	Text  string // as written: "30 mm"
	Basis string
	About string
	Node  *source.Node
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

// UsedLimits lists the limits of the pack that the rule's expressions name.
func (r *Rule) UsedLimits() []*Limit {
	var used []*Limit
	for _, l := range r.pack.Limits {
		for _, e := range r.expressions() {
			if mentions(e.text, "limit."+l.Name) {
				used = append(used, l)
				break
			}
		}
	}
	return used
}

// mentions reports whether the text holds the name as a whole word.
func mentions(text, name string) bool {
	for rest := text; ; {
		i := strings.Index(rest, name)
		if i < 0 {
			return false
		}
		rest = rest[i+len(name):]
		if rest == "" || !wordByte(rest[0]) {
			return true
		}
	}
}

func wordByte(c byte) bool {
	return c == '_' || c >= '0' && c <= '9' || c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z'
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
	never    bool // nothing that the pack finds can be conceded
	problems []*source.Problem
}

// ReadPack reads a rule pack. Its expressions are not compiled yet: Compile
// does that for all of them, Evaluate for those that it needs.
func ReadPack(doc *source.Document, v *Types) (*Pack, []*source.Problem) {
	root := doc.Root
	p := &Pack{File: doc.File, vocabulary: v, budget: budget{costLimit, packCostLimit}}
	r := &packReader{pack: p}
	r.never = r.text(root, "conceded", false) == "never"
	p.Name, p.Title, p.About = r.text(root, "pack", true), r.text(root, "title", true), r.text(root, "about", false)
	if limits := root.Get("limits"); limits != nil {
		for i, m := range limits.Members[:r.most(limits, len(limits.Members), MostLimits)] {
			r.limit(m.Key, limits.Items[i])
		}
	}
	p.provider = newPackProvider(v, p.Limits)
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

func (r *packReader) limit(name string, n *source.Node) {
	l := &Limit{Name: name, Node: n, Basis: r.text(n, "basis", true), About: r.text(n, "about", true), Text: r.text(n, "is", true)}
	if l.Text == "" {
		return
	}
	var err error
	if l.SI, l.Dim, err = measure(l.Text); err != nil {
		r.fail(n.Get("is"), err.Error(), "write a number with its unit, as in 30 mm, or a bare number for a ratio")
		return
	}
	r.pack.Limits = append(r.pack.Limits, l)
}

// measure reads a value whose dimension is told by its own unit.
func measure(text string) (float64, units.Dimension, error) {
	symbol := strings.TrimLeft(text, "+-0123456789./ ")
	dim := units.Plain
	if symbol != "" {
		u, ok := units.Lookup(symbol)
		if !ok {
			return 0, dim, fmt.Errorf("%q has no unit that is known", text)
		}
		dim = u.Dim
	}
	si, err := units.Parse(text, dim)
	return si, dim, err
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
	if _, known := r.pack.vocabulary.kinds[rule.Of]; !known && rule.Of != "" {
		r.fail(n.Get("of"), fmt.Sprintf("a rule cannot look at %q", rule.Of), "it can look at "+strings.Join(r.pack.vocabulary.names, ", "))
	}
	rule.Severity = r.severity(n, "severity")
	if m := n.Get("raise"); m != nil {
		rule.raiseTo = r.severity(m, "to")
		rule.raiseOn = r.expression(m, "when", wantBool)
	}
	rule.given = r.expression(n, "given", wantBool)
	rule.must = r.expression(n, "must", wantBool)
	rule.compare = r.comparison(n)
	if rule.must == nil {
		rule.must, rule.derived = rule.compare.must(), true
	}
	if rule.must == nil {
		rule.derived = false
		r.fail(n, "the rule has no condition", "write must: or compare:")
		rule.must = &expression{text: "true", node: n, want: wantBool}
	}
	rule.says, rule.remedy = r.message(n, "says", true), r.message(n, "remedy", false)
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

func (r *packReader) expression(n *source.Node, key string, want wanted) *expression {
	m := n.Get(key)
	if m == nil {
		return nil
	}
	text := r.text(n, key, false)
	if text == "" {
		r.fail(m, key+" is empty", "write an expression or leave it out")
		return nil
	}
	return &expression{text: text, node: m, offset: strings.Index(m.Scalar, text), want: want}
}

func (r *packReader) comparison(n *source.Node) *comparison {
	m := n.Get("compare")
	if m == nil {
		return nil
	}
	c := &comparison{value: r.expression(m, "value", wantNumber)}
	c.limit = r.expression(m, "at_least", wantNumber)
	if c.limit == nil {
		c.limit, c.atMost = r.expression(m, "at_most", wantNumber), true
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
	return &expression{text: bracket(c.value.text) + sign + bracket(c.limit.text), node: c.value.node, want: wantBool}
}

func bracket(e string) string {
	if strings.ContainsAny(e, "?|&<>=!") {
		return "(" + e + ")"
	}
	return e
}
