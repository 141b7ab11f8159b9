package engine

import (
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/decode"
	"kitgauge/checker/finding"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

// Pack is a set of rules with the limits they share.
type Pack struct {
	Name   string `key:"pack" need:"write pack: and its text"`
	Title  string `key:"title" need:"write title: and its text"`
	About  string `key:"about"`
	File   string
	Limits []*Limit `key:"limits"`
	Rules  []*Rule  `key:"rules" need:"write rules: with an item for each"`
	// Unbudgeted turns the cost budget off, which counting costs a third of
	// the time: for packs whose cost a test has measured.
	Unbudgeted bool

	causes     bool // its rules are causes unless one says otherwise
	budget     budget
	groups     []*limitGroup
	vocabulary *Types            // with the limits
	stored     map[string][]byte // expressions that need not be type-checked again; nil where there are none
	text       []byte
	envs       envs
}

// Rule is one check, as data.
type Rule struct {
	ID       string `key:"id" need:"write id: and its text"` // with its pack: "slack/steered"
	Title    string `key:"title" need:"write title: and its text"`
	Of       string `key:"of" need:"write of: and a kind of thing"` // the kind of thing it looks at
	Severity finding.Severity
	// Cause says that a finding is about a value on which others may rest: what
	// hangs on that value is shown as following from it. LastCause says that it
	// is one only where nothing else that was found is.
	Cause, LastCause bool

	Never bool     // what it finds cannot be conceded
	At    []string // the member at which a finding stands
	Basis string   `key:"basis" need:"write basis: and its text"`
	Why   string   `key:"why" need:"write why: and its text"`
	Node  *source.Node

	with    []*named    // values that the expressions after it can use by name
	refused []string    // names that cannot be
	given   *expression // applies only where this is true; may be nil
	must    *expression // has to be true
	raiseTo finding.Severity
	raiseOn *expression
	waits   *expression // while it is true, what does not hold waits and is only counted
	says    *message
	remedy  *message
	mend    []*change // what brings the file in line with itself, or with arithmetic
	choice  []*change // what somebody has to decide on
	related []related
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

// Compared is the text of the number from which the margin is shown, or "".
func (r *Rule) Compared() string {
	if r.compare == nil {
		return ""
	}
	return r.compare.value.text
}

// Given is the text of the condition under which the rule applies, or "".
func (r *Rule) Given() string {
	if r.given == nil {
		return ""
	}
	return r.given.text
}

// Waits is the text of the condition while which the rule waits, or "".
func (r *Rule) Waits() string {
	if r.waits == nil {
		return ""
	}
	return r.waits.text
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
	add(r.waits)
	if r.compare != nil {
		add(r.compare.value)
		add(r.compare.limit)
	}
	messages := []*message{r.says, r.remedy}
	for _, one := range r.related {
		add(one.things)
		messages = append(messages, one.says)
	}
	for _, m := range messages {
		if m != nil {
			for _, p := range m.parts {
				add(p.expr)
			}
		}
	}
	for _, c := range append(slices.Clone(r.mend), r.choice...) {
		list = append(list, c.expressions()...)
	}
	return list
}

// packReader reads the shape of a pack; types are checked by Compile.
type packReader struct {
	decode.Decoder
	root  *source.Node
	pack  *Pack
	types *Types
	never bool // nothing that the pack finds can be conceded
}

// ReadPack reads a rule pack. Its expressions are not compiled yet: Compile
// does that for all of them, Evaluate for those that it needs.
func ReadPack(doc *source.Document, v *Types) (*Pack, []*source.Problem) {
	p := &Pack{File: doc.File, text: doc.Text, budget: budget{costLimit, packCostLimit}}
	p.causes = doc.Root.Get("causes") != nil && doc.Root.Get("causes").Scalar == "true"
	r := &packReader{root: doc.Root, pack: p, types: v}
	r.Value(r.root, p, value.Member{})
	r.never = r.text(r.root, "conceded") == "never"
	r.limits()
	p.vocabulary = v.with(p)
	rules := p.Rules
	p.Rules = nil
	seen := map[string]bool{}
	for _, rule := range rules[:r.most(r.root.Get("rules"), len(rules), MostRules)] {
		r.rule(rule)
		if seen[rule.ID] {
			r.Fail(rule.Node, fmt.Sprintf("rule %q stands twice in this pack", rule.ID), "give it an id of its own")
			continue
		}
		seen[rule.ID] = true
		p.Rules = append(p.Rules, rule)
	}
	return p, r.Problems
}

// What a pack may hold; the schema says the same.
const (
	MostRules  = 2000
	MostLimits = 500
)

// most is how many of so many items are read.
func (r *packReader) most(n *source.Node, count, most int) int {
	if count > most {
		r.Fail(n, fmt.Sprintf("%s has %d items; at most %d are possible", n.Key(), count, most), "leave out what is not needed, or make two packs")
	}
	return min(count, most)
}

// failKey is fail for the key under which a value stands.
func (r *packReader) failKey(n *source.Node, message, remedy string) {
	r.Problems = append(r.Problems, &source.Problem{Pos: n.KeyPos(), Message: message, Remedy: remedy, Node: n})
}

// text is a member with an expression, whose length has a limit of its own; ""
// where there is none.
func (r *packReader) text(n *source.Node, key string) string {
	m := n.Get(key)
	switch {
	case m == nil:
		return ""
	case m.Kind == source.List || m.Kind == source.Map:
		r.Fail(m, fmt.Sprintf("%s is %s; text is needed", key, m.Kind), "")
		return ""
	}
	return strings.TrimSpace(m.Scalar)
}

// rule adds what the members of a rule make together.
func (r *packReader) rule(rule *Rule) {
	n := rule.Node
	rule.ID, rule.pack = r.pack.Name+"/"+rule.ID, r.pack
	rule.Never = r.never || r.text(n, "conceded") == "never"
	rule.At = keys(r.text(n, "at"))
	if _, known := r.types.kinds[rule.Of]; !known && rule.Of != "" {
		r.Fail(n.Get("of"), fmt.Sprintf("a rule cannot look at %q", rule.Of), "it can look at "+strings.Join(r.types.names, ", "))
	}
	rule.Severity = r.severity(n, "severity")
	rule.Cause = r.pack.causes
	if m := n.Get("cause"); m != nil {
		rule.Cause = m.Scalar == "true"
	}
	rule.LastCause = r.text(n, "where_no_other") == "true"
	rule.given = r.expression(n, "given", wantBool, rule) // before there are names: it cannot use them
	r.with(n.Get("with"), rule)
	if m := n.Get("raise"); m != nil {
		rule.raiseTo = r.severity(m, "to")
		rule.raiseOn = r.expression(m, "when", wantBool, rule)
	}
	rule.waits = r.expression(n, "waits", wantBool, rule)
	rule.must = r.expression(n, "must", wantBool, rule)
	rule.compare = r.comparison(n, rule)
	if rule.must == nil {
		rule.must, rule.derived = rule.compare.must(), true
	}
	if rule.must == nil {
		rule.derived = false
		r.Fail(n, "the rule has no condition", "write must: or compare:")
		rule.must = &expression{text: "true", node: n, want: wantBool, rule: rule}
	}
	rule.says, rule.remedy = r.message(n, "says", rule), r.message(n, "remedy", rule)
	rule.mend, rule.choice = r.changes(n, "mend", rule), r.changes(n, "choice", rule)
	always := func(c *change) bool { return c.when == nil }
	if len(rule.choice) > 0 && slices.ContainsFunc(rule.mend, always) {
		r.Fail(n.Get("choice"), "mend and choice stand together", "keep one of them, or say when each change of mend is made: what follows from the file is mended, what somebody decides is a choice")
	}
	rule.related = r.related(n, rule)
	if n.Get("says") == nil {
		r.Fail(n, "says is missing", "write says: and its text")
	}
}

// keys are those of a path with dots between them.
func keys(path string) []string {
	if path == "" {
		return nil
	}
	return strings.Split(path, ".")
}

func (r *packReader) severity(n *source.Node, key string) finding.Severity {
	m := n.Get(key)
	if m == nil {
		r.Fail(n, key+" is missing", "write critical, major or minor")
		return finding.None
	}
	s, err := finding.ParseSeverity(strings.TrimSpace(m.Scalar))
	if err != nil || s == finding.None {
		r.Fail(m, key+" is no severity", "write critical, major or minor")
	}
	return s
}

func (r *packReader) expression(n *source.Node, key string, want wanted, rule *Rule) *expression {
	m := n.Get(key)
	if m == nil {
		return nil
	}
	text := r.text(n, key)
	if text == "" {
		r.Fail(m, key+" is empty", "write an expression or leave it out")
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
		r.Fail(m, "compare needs value and either at_least or at_most", "write two rules for a number with two limits")
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
