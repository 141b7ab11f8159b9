package engine

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/types"

	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
	"kitgauge/checker/units"
)

// problemAt places a problem in the pack file: line from 1 and column from 0
// within the expression, as CEL counts.
func (e *expression) problemAt(line, column int, message, remedy string) *source.Problem {
	pos := e.node.PosAt(e.offset + offsetOf(e.text, line, column))
	return &source.Problem{Pos: pos, Message: message, Remedy: remedy, Node: e.node}
}

// offsetOf is the byte at which a column of a line begins.
func offsetOf(text string, line, column int) int {
	offset := 0
	for ; line > 1; line-- {
		i := strings.IndexByte(text[offset:], '\n')
		if i < 0 {
			return len(text)
		}
		offset += i + 1
	}
	for ; column > 0 && offset < len(text); column-- {
		_, size := utf8.DecodeRuneInString(text[offset:])
		offset += size
	}
	return offset
}

// translate reports the first fault at each place of the expression, but none
// that only follows from another.
func (e *expression) translate(issues *cel.Issues) []*source.Problem {
	var out []*source.Problem
	for _, err := range issues.Errors() {
		if strings.Contains(err.Message, "!error!") {
			continue // a part that is faulty, which is told, is used
		}
		message, remedy := e.reword(err.Message, err.Location.Column())
		if message == "" {
			continue
		}
		out = append(out, e.problemAt(max(err.Location.Line(), 1), max(err.Location.Column(), 0), message, remedy))
		if strings.HasPrefix(err.Message, "Syntax error: ") {
			break // what follows a syntax error is noise
		}
	}
	return out
}

// wordings turn what CEL says into the words of these messages; the first
// that matches is used. No message means that another fault says it already.
var wordings = []struct {
	pattern *regexp.Regexp
	words   func(e *expression, column int, m []string) (message, remedy string)
}{
	{regexp.MustCompile(`^undeclared reference to '([^']*)'`), func(e *expression, column int, m []string) (string, string) { return e.undeclared(m[1], column) }},
	{regexp.MustCompile(`^undefined field '([^']*)'`), func(e *expression, column int, m []string) (string, string) { return e.noField(m[1], column) }},
	{regexp.MustCompile(`^found no matching overload for '([^']*)' applied to '(.*)'$`), func(e *expression, _ int, m []string) (string, string) { return e.noOverload(m[1], m[2]) }},
	{regexp.MustCompile(`code point size exceeds limit`), func(*expression, int, []string) (string, string) {
		return fmt.Sprintf("this expression is longer than %d characters", expressionBytes), "write two rules"
	}},
	{regexp.MustCompile(`node limit|nodes? .*exceeds|expression count exceeds`), func(*expression, int, []string) (string, string) {
		return fmt.Sprintf("this expression has more than %d parts", expressionNodes), "write two rules"
	}},
	{regexp.MustCompile(`^Syntax error: (.*)`), func(e *expression, column int, m []string) (string, string) { return e.syntax(m[1], column) }},
	{regexp.MustCompile(`^type '(.*)' does not support field selection`), func(e *expression, _ int, m []string) (string, string) {
		if strings.HasPrefix(m[1], "list(") {
			return "a list has no members; its items have", "look at each of them, as in kit.lines.all(l, l.cut_length > limit.shortest)"
		}
		return e.typeName(m[1]) + " has no members", "take out what follows the dot"
	}},
	{regexp.MustCompile(`^expected type '(.*)' but found '(.*)'$`), func(e *expression, _ int, m []string) (string, string) {
		return fmt.Sprintf("this is %s, and %s is needed", e.typeName(m[2]), e.typeName(m[1])), "compare it with something, as in x > 0"
	}},
	{regexp.MustCompile(`^expression of type '(.*)' cannot be range`), func(e *expression, _ int, m []string) (string, string) {
		return "this is " + e.typeName(m[1]) + "; a list is needed", "name a list before the dot, as in kit.lines.all(l, ...)"
	}},
	{regexp.MustCompile(`^argument (?:must be a simple name|is not an identifier)|^iteration variable`), func(*expression, int, []string) (string, string) {
		return "a name for each item of the list is needed here", "write a word that means nothing else, as in kit.lines.all(l, l.cut_length > limit.shortest)"
	}},
	{regexp.MustCompile(`^invalid argument to has`), func(e *expression, _ int, _ []string) (string, string) {
		return "has asks whether a member is stated, and this is none", "name the thing and its member, as in has(kit.vehicle.refill_interval)"
	}},
	{regexp.MustCompile(`^invalid (?:int|uint|double) literal`), func(*expression, int, []string) (string, string) {
		return "this number is too large", "write one that fits the trade"
	}},
	{regexp.MustCompile(`^unsupported syntax '(.*)'|^reserved identifier: (.*)`), func(_ *expression, _ int, m []string) (string, string) {
		return fmt.Sprintf("%q cannot stand in an expression", m[1]+m[2]), "take it out"
	}},
	{regexp.MustCompile(`is not a (?:message )?type$`), func(*expression, int, []string) (string, string) {
		return "a group of members cannot be written in an expression", "name a thing of the kit"
	}},
}

// reword falls back on words that hold for any fault: what CEL says is for
// programmers.
func (e *expression) reword(message string, column int) (string, string) {
	for _, w := range wordings {
		if m := w.pattern.FindStringSubmatch(message); m != nil {
			return w.words(e, column, m)
		}
	}
	return "this cannot be understood here", "compare members of the kit with each other or with limits"
}

// undeclared tells what a name that means nothing could have meant: a function,
// or a name of the rule that is not known yet.
func (e *expression) undeclared(name string, column int) (string, string) {
	_, after := e.around(column)
	if strings.HasPrefix(after, name) {
		after = after[len(name):]
	}
	if strings.HasPrefix(strings.TrimLeft(after, " "), "(") {
		functions := e.rule.pack.functions()
		return fmt.Sprintf("there is no function %q", name) + spelling.Hint(name, functions), "the functions are " + strings.Join(functions, ", ")
	}
	if slices.Contains(e.rule.refused, name) {
		return "", ""
	}
	if n := e.rule.named(name); n != nil {
		return e.tooEarly(n)
	}
	known := []string{"limit", "kit"}
	if e.rule.Of != "kit" {
		known = append(known, e.rule.Of)
	}
	for _, n := range e.names {
		known = append(known, n.name)
	}
	return fmt.Sprintf("%q is not known here", name) + spelling.Hint(name, known), "a rule of " + units.Article(e.rule.Of) + " can name " + strings.Join(known, ", ")
}

// around is the text left and right of a column of the first line.
func (e *expression) around(column int) (before, after string) {
	at := offsetOf(e.text, 1, max(column, 0))
	return e.text[:at], e.text[at:]
}

// tooEarly tells why a name of the rule cannot be used in an expression that
// stands before it.
func (e *expression) tooEarly(n *named) (string, string) {
	own := slices.IndexFunc(e.rule.with, func(o *named) bool { return o.expression == e })
	switch {
	case own < 0:
		return fmt.Sprintf("%q cannot be used in given, which is looked at before the names of with", n.name), "write in given what it stands for"
	case e.rule.with[own] == n:
		return fmt.Sprintf("%q is worked out from itself", n.name), "work it out from the kit, the limits and the names above it"
	case n.leadsTo(e.rule.with[own].name, map[*named]bool{}):
		return fmt.Sprintf("%q and %q are worked out from each other", e.rule.with[own].name, n.name), "work one of them out from the kit and the limits alone"
	}
	return fmt.Sprintf("%q stands below this, and a name can use those above it", n.name), fmt.Sprintf("write %s above %s", n.name, e.rule.with[own].name)
}

// noOverload tells what an operator or a function cannot be applied to.
func (e *expression) noOverload(name, signature string) (string, string) {
	parts := topLevel(strings.TrimSuffix(strings.TrimPrefix(signature, "("), ")"))
	words := make([]string, len(parts))
	group := false
	for i, p := range parts {
		words[i] = e.typeName(p)
		group = group || strings.HasPrefix(p, "map(string, double)")
	}
	remedy := "compare like with like; double(n) makes a count a number"
	switch _, is := operatorNames[name]; {
	case group:
		remedy = "choose one of the group, as in limit.least_slack.steered or limit.least_slack[span.kind]"
	case name == "_[_]":
		remedy = "a list is asked by a count, and a group of limits by a text"
	case !is:
		remedy = e.rule.pack.takes(name)
	}
	if name == "_?_:_" && len(words) == 3 && words[0] == "a condition" {
		return fmt.Sprintf("the two sides of the colon are %s and %s", words[1], words[2]), "give both one kind; double(n) makes a count a number"
	}
	return fmt.Sprintf("%s cannot be applied to %s", operatorName(name), strings.Join(words, " and ")), remedy
}

var unit = regexp.MustCompile(`([0-9.]+) *$`)

// syntax tells of what cannot be read.
func (e *expression) syntax(message string, column int) (string, string) {
	remedy := "conditions are joined with && and ||, turned round with !, and compared with =="
	before, after := e.around(column)
	word := words.FindString(after)
	if number := unit.FindStringSubmatch(before); number != nil && word != "" && strings.HasPrefix(after, word) && !strings.Contains(e.text, "\n") {
		if _, known := units.Lookup(word); known {
			remedy = fmt.Sprintf(`write measure("%s %s"), or better a limit`, number[1], word)
		}
	}
	return "this expression cannot be read: " + unread(message), remedy
}

// unreads turn what the parser says into the words of these messages.
var unreads = []struct {
	pattern *regexp.Regexp
	message string
}{
	{regexp.MustCompile(`'<EOF>'`), "it ends too early"},
	{regexp.MustCompile(`^(?:mismatched|extraneous) input '(.*?)' expecting`), `"$1" does not fit here`},
	{regexp.MustCompile(`^no viable alternative at input '(.*)'$`), `"$1" does not fit here`},
	{regexp.MustCompile(`^token recognition error at: '(.*?) *'$`), `"$1" cannot stand in an expression`},
	{regexp.MustCompile(`^missing '(.*?)' at '(.*)'$`), `"$1" is missing before "$2"`},
}

func unread(message string) string {
	for _, u := range unreads {
		if at := u.pattern.FindStringSubmatchIndex(message); at != nil {
			return string(u.pattern.ExpandString(nil, u.message, message, at))
		}
	}
	return "what stands here does not fit"
}

// noField names the objects that could have been meant by their fields.
func (e *expression) noField(name string, column int) (string, string) {
	holder := e.holderAt(column)
	if holder == nil {
		return fmt.Sprintf("there is no member %q here", name), "name one of those in rules/README.md"
	}
	if holder.name == limitType {
		limits := slices.Clone(holder.keys)
		slices.Sort(limits)
		return fmt.Sprintf("there is no limit %q in this pack", name) + spelling.Hint(name, holder.keys), "its limits are " + strings.Join(limits, ", ")
	}
	message := fmt.Sprintf("%s has no member %q", e.rule.pack.vocabulary.called(holder), name) + spelling.Hint(name, holder.keys)
	return message, "its members are " + strings.Join(holder.keys, ", ")
}

// holderAt finds the object left of the dot at the column, by following the
// names from the variable on.
func (e *expression) holderAt(column int) *object {
	before, _ := e.around(column)
	path := pathEnd.FindString(before)
	return e.follow(strings.Split(path, "."), before)
}

var pathEnd = regexp.MustCompile(`[A-Za-z_0-9.]*$`)

// follow finds the object to which the names of a path lead; before is the
// text in which a macro may name the first.
func (e *expression) follow(path []string, before string) *object {
	v := e.rule.pack.vocabulary
	var o *object
	if list, is := e.itemOf(path[0], before); is {
		o = e.follow(strings.Split(list, "."), before[:strings.LastIndex(before, list)])
	} else if path[0] == "limit" {
		o = v.objects[limitType]
	} else if k, ok := v.kinds[path[0]]; ok && (path[0] == "kit" || path[0] == e.rule.Of) {
		o = v.byType[k.Type]
	}
	for _, n := range e.names {
		if n.name == path[0] && n.gives != nil {
			t := n.gives
			if t.Kind() == types.ListKind {
				t = t.Parameters()[0]
			}
			o = v.objects[t.TypeName()]
		}
	}
	for _, key := range path[1:] {
		if o == nil || o.fields[key] == nil {
			break
		}
		o = o.fields[key].of
	}
	return o
}

// itemOf is the list of which a name stands for an item: kit.lines for the l
// of kit.lines.all(l, ...).
func (e *expression) itemOf(name, before string) (list string, is bool) {
	all := each.FindAllStringSubmatch(before, -1)
	for _, m := range slices.Backward(all) {
		if m[2] == name {
			return m[1], true
		}
	}
	return "", false
}

var each = regexp.MustCompile(`([A-Za-z_][\w.]*)\.(?:all|exists|exists_one|filter|map)\(\s*(\w+)\s*,`)

var operatorNames = map[string]string{
	"_<_": "<", "_<=_": "<=", "_>_": ">", "_>=_": ">=", "_==_": "==", "_!=_": "!=",
	"_+_": "+", "_-_": "-", "_*_": "*", "_/_": "/", "_&&_": "&&", "_||_": "||",
	"!_": "!", "-_": "-", "_?_:_": "? :", "@in": "in", "_[_]": "[ ]",
}

func operatorName(name string) string {
	if n, ok := operatorNames[name]; ok {
		return n
	}
	return name
}

// typeName is a type, as CEL writes it, in the words of the trade.
func (e *expression) typeName(name string) string {
	switch {
	case name == "double":
		return "a number"
	case name == "int" || name == "uint":
		return "a count"
	case name == "string":
		return "text"
	case name == "bool":
		return "a condition"
	case name == "null_type" || name == "null":
		return "nothing"
	case name == limitType:
		return "all of the limits"
	case strings.HasPrefix(name, "list("):
		return "a list"
	case name == "map(string, double)":
		return "a group of limits"
	case strings.HasPrefix(name, "map("):
		return "a group"
	case strings.HasPrefix(name, "type("):
		return "a kind of thing"
	case strings.HasPrefix(name, "google.protobuf.") || name == "bytes" || name == "duration" || name == "timestamp":
		return "something that no kit holds"
	case name == "dyn" || name == "any":
		return "now one kind of thing and now another"
	}
	if o := e.rule.pack.vocabulary.objects[name]; o != nil {
		return units.Article(e.rule.pack.vocabulary.called(o))
	}
	return "something else"
}

// called is what rules call an object: the kind of thing, where it is one.
func (v *Types) called(o *object) string {
	for _, kind := range v.names {
		if v.byType[v.kinds[kind].Type] == o {
			return strings.ReplaceAll(kind, "_", " ")
		}
	}
	return strings.ReplaceAll(o.name, "_", " ")
}

// topLevel splits a list of types at the commas that stand in no brackets.
func topLevel(list string) []string {
	var parts []string
	depth, from := 0, 0
	for i, c := range list {
		switch {
		case c == '(':
			depth++
		case c == ')':
			depth--
		case c == ',' && depth == 0:
			parts = append(parts, strings.TrimSpace(list[from:i]))
			from = i + 1
		}
	}
	return append(parts, strings.TrimSpace(list[from:]))
}
