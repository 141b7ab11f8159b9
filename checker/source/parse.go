package source

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"
)

// Limits on what is read. They are far above any kit and far below what
// would stop a machine.
const (
	MaxBytes     = 16 << 20 // of one file
	MaxNodes     = 500_000  // of one file, aliases expanded
	MaxDepth     = 64       // of nesting
	MaxDocuments = 1000     // in one file
	MaxScalar    = 1 << 16  // bytes of one value
	MaxKey       = 1000     // bytes of one key
	MaxRepeated  = 4 << 20  // bytes of values that aliases repeat
)

// What is said of a file with more values than MaxNodes.
var tooMany, fewer = fmt.Sprintf("the file holds more than %d values once its aliases are written out", MaxNodes), "write less, or use fewer aliases"

// Problem is a fault of the file itself: place, what is wrong, what would be
// right. It is an error value for callers that stop at the first.
type Problem struct {
	Pos     Pos
	Message string  // what is wrong
	Remedy  string  // what would be right
	Node    *Node   // the value concerned, nil where there is no tree
	Key     string  // the key that is meant by the one at Pos; "" where that is not certain
	Meant   string  // the text that is meant by that of Node; "" where that is not certain
	Nearest string  // the one that is nearest to that of Node, certain or not; "" where none is
	Wrong   *Node   // what is misspelt in the place of Node; nil where that is Node
	Behind  Pos     // the place of the fault behind this one; none where this is it
	Repair  *Repair // the one change of the text that undoes a slip of typing; nil where that is not certain
	Empty   bool    // the file holds nothing but remarks
	Decide  bool    // what is meant is somebody's to say, however near it is
	Whole   bool    // it is about the whole file: whatever else is wrong may come of it
}

// Repair is a piece of a text, without its byte order mark, that another takes
// the place of: with it the whole text can be read.
type Repair struct {
	From, To int
	Text     string
}

// Error gives the place, the fault and the remedy on one line.
func (p *Problem) Error() string {
	s := p.Pos.String() + ": " + p.Message
	if p.Remedy != "" {
		s += "; " + p.Remedy
	}
	return s
}

// Unsaid adds to the problems of a file, as its schema tells them, those that
// its reader has of other values: one word about a value is enough.
func Unsaid(told, more []*Problem) []*Problem {
	said := map[*Node]bool{}
	for _, p := range told {
		said[p.Node] = p.Node != nil
	}
	return append(told, slices.DeleteFunc(more, func(p *Problem) bool { return said[p.Node] })...)
}

// Parse reads every document of a YAML or JSON file. Problems that leave a
// tree to work with (a duplicate key) are returned beside the documents;
// where nothing can be made of the rest of the file, the documents read so
// far are returned. The shape tells a likely slip from what a file may hold.
func Parse(file string, text []byte, shape ...Shape) ([]*Document, []*Problem) {
	return ParseAt(file, 1, text, shape...)
}

// ParseAt is Parse for text that begins at a line of the file: a kit of a
// stream that holds one on each line.
func ParseAt(file string, line int, text []byte, shape ...Shape) ([]*Document, []*Problem) {
	text, p := plainText(file, text)
	if p != nil {
		if p.Pos.Line > 0 {
			p.Pos.Line += line - 1
		}
		return nil, []*Problem{p}
	}
	doc, crowded := scanJSON(file, line, text)
	switch {
	case doc != nil:
		return []*Document{doc}, nil
	case crowded:
		return nil, []*Problem{{Pos: Pos{File: file}, Message: tooMany, Remedy: fewer}}
	}
	return parseYAML(file, line, text, shapeOf(shape))
}

func parseYAML(file string, line int, text []byte, shape Shape) ([]*Document, []*Problem) {
	r := &reader{file: file, line: line, text: text, shape: shape, lines: new(lines)}
	if crowded(text) {
		r.fail(Pos{File: file}, tooMany, fewer)
		return nil, r.problems
	}
	if p := cmp.Or(r.conflict(), r.seemings(), r.listing(), r.slashes()); p != nil {
		return nil, []*Problem{p}
	}
	loader, err := yaml.NewLoader(bytes.NewReader(text), yaml.WithUniqueKeys(false))
	if err != nil {
		return nil, []*Problem{r.translate(err)}
	}
	for {
		var root yaml.Node
		err := loader.Load(&root)
		if errors.Is(err, io.EOF) {
			return r.finish()
		}
		if err != nil {
			r.problems = append(r.problems, r.translate(err))
			return r.docs, r.problems
		}
		if len(r.docs) == MaxDocuments {
			r.fail(Pos{File: file}, fmt.Sprintf("the file holds more than %d documents", MaxDocuments), "split it")
			return r.docs, r.problems
		}
		shift(&root, line-1)
		if !r.document(&root) {
			return r.docs, r.problems
		}
	}
}

func (r *reader) finish() ([]*Document, []*Problem) {
	if len(r.docs) == 0 {
		r.fail(Pos{File: r.file}, "the file is empty", beginning(r.file))
		r.problems[len(r.problems)-1].Empty = true
	}
	if r.suspect && len(r.problems) == 0 {
		r.doubt()
	}
	r.apart()
	return r.docs, r.problems
}

// beginning says how a file begins, by its name: those that kits read have one of
// their own.
func beginning(file string) string {
	key, of := "header", "a kit file"
	switch {
	case strings.Contains(file, ".parts."):
		key, of = "parts", "a catalogue"
	case strings.Contains(file, ".concessions."):
		key, of = "concessions", "a file of concessions"
	case strings.Contains(file, ".settings."):
		return "take the file away, or write into it what differs from the usual"
	}
	if strings.HasSuffix(file, ".json") {
		return fmt.Sprintf("%s begins with { and %q:", of, key)
	}
	return fmt.Sprintf("%s begins with %s:", of, key)
}

// doubt looks for a slip in what can be read and is written as nobody means it,
// such as a key without a colon. From there on the file says something else
// than it should.
func (r *reader) doubt() {
	p := r.slip(true)
	if p == nil {
		return
	}
	r.problems = append(r.problems, p)
	for i, doc := range slices.Backward(r.docs) {
		if r.docs = r.docs[:i]; doc.Root.Line <= p.Pos.Line {
			return
		}
	}
}

// shift moves what was read to the lines where it stands.
func shift(y *yaml.Node, lines int) {
	if lines == 0 {
		return
	}
	y.Line += lines
	for _, c := range y.Content {
		shift(c, lines)
	}
}

type reader struct {
	file     string
	line     int // on which the text begins
	text     []byte
	shape    Shape
	lines    *lines
	docs     []*Document
	problems []*Problem
	nodes    int
	repeated int    // bytes of values below aliases
	twice    []twin // the keys of a document that are given twice
	stop     bool
	suspect  bool                // something is written as nobody means it
	open     map[*yaml.Node]bool // aliases being expanded
	slab     []Node              // nodes are handed out from blocks
}

func (r *reader) fail(pos Pos, message, remedy string) {
	if len(r.problems) < 100 {
		r.problems = append(r.problems, &Problem{Pos: pos, Message: message, Remedy: remedy})
	}
}

// abort ends the reading: what follows could not be bounded or understood.
func (r *reader) abort(y *yaml.Node, message, remedy string) {
	if !r.stop {
		r.fail(Pos{r.file, y.Line, y.Column}, message, remedy)
	}
	r.stop = true
}

func (r *reader) document(y *yaml.Node) bool {
	doc := &Document{File: r.file, Index: len(r.docs), Text: r.text, first: r.line, lines: r.lines}
	if len(y.Content) == 0 || nothing(y.Content[0]) {
		return true
	}
	r.open = map[*yaml.Node]bool{}
	before := r.nodes
	doc.Root = r.convert(doc, nil, 0, y.Content[0], 0)
	if r.stop {
		return false
	}
	if !r.twins() {
		return false
	}
	doc.Values = r.nodes - before
	r.docs = append(r.docs, doc)
	return true
}

// nothing tells a document in which nothing is written, as between two lines
// of dashes.
func nothing(y *yaml.Node) bool {
	return y.Kind == yaml.ScalarNode && y.Tag == "!!null" && y.Value == ""
}

func (r *reader) newNode() *Node {
	if len(r.slab) == 0 {
		r.slab = make([]Node, 128)
	}
	n := &r.slab[0]
	r.slab = r.slab[1:]
	return n
}

func (r *reader) convert(doc *Document, parent *Node, index int, y *yaml.Node, depth int) *Node {
	n := r.newNode()
	n.Line, n.Column, n.doc, n.parent, n.index, n.borrowed = y.Line, y.Column, doc, parent, index, len(r.open) > 0
	if r.nodes++; r.nodes > MaxNodes {
		r.abort(y, tooMany, fewer)
	}
	if depth > MaxDepth {
		r.abort(y, fmt.Sprintf("the file is nested deeper than %d levels", MaxDepth), "a kit file needs about eight")
	}
	if r.stop {
		return n
	}
	switch y.Kind {
	case yaml.AliasNode:
		return r.alias(doc, parent, index, y, depth)
	case yaml.SequenceNode:
		n.Kind = List
		items := joined(y)
		n.Items = make([]*Node, len(items))
		r.suspect = r.suspect || y.Style&yaml.FlowStyle != 0 && runTogether(items)
		for i, c := range items {
			n.Items[i] = r.convert(doc, n, i, c, depth+1)
		}
	case yaml.MappingNode:
		n.Kind = Map
		r.mapping(doc, n, y, depth)
	default:
		r.scalar(n, y)
	}
	return n
}

// runTogether reports whether something in a list between brackets looks like
// two numbers.
func runTogether(items []*yaml.Node) bool {
	return slices.ContainsFunc(items, func(c *yaml.Node) bool { return c.Style == 0 && numbers(c.Value) > 0 })
}

func (r *reader) alias(doc *Document, parent *Node, index int, y *yaml.Node, depth int) *Node {
	if r.open[y.Alias] {
		r.abort(y, "the alias *"+y.Value+" stands inside the value it names", "write the value out")
		return r.newNode()
	}
	r.open[y.Alias] = true
	r.nodes-- // what it stands for counts, not itself
	n := r.convert(doc, parent, index, y.Alias, depth)
	delete(r.open, y.Alias)
	n.Line, n.Column, n.alias, n.borrowed = y.Line, y.Column, true, len(r.open) > 0
	return n
}

func (r *reader) mapping(doc *Document, n *Node, y *yaml.Node, depth int) {
	half := len(y.Content) / 2
	n.Members = make([]Member, 0, half)
	n.Items = make([]*Node, 0, half)
	var lines map[string]int // of the keys, for groups too large to look through
	if half > fewMembers || merging(y) {
		lines = make(map[string]int, half)
	}
	var merges []*yaml.Node
	for i := 0; i+1 < len(y.Content); i += 2 {
		k, v := y.Content[i], y.Content[i+1]
		if k.Kind == yaml.AliasNode {
			k = k.Alias
		}
		if k.Kind != yaml.ScalarNode {
			message, remedy := "a list or a group cannot be a key", "keys are words"
			if y.Style&yaml.FlowStyle != 0 && k.Kind == yaml.MappingNode && k.Line == y.Line && k.Column == y.Column+1 {
				message, remedy = "two brackets { stand here, where one is meant", "take one { out here, and one } where the two end"
			}
			r.fail(Pos{r.file, k.Line, k.Column}, message, remedy)
			continue
		}
		if k.Tag == "!!merge" {
			merges = append(merges, v)
			continue
		}
		if len(k.Value) > MaxKey {
			r.fail(Pos{r.file, k.Line, k.Column}, fmt.Sprintf("the key is longer than %d characters", MaxKey), "keys are words")
			continue
		}
		if whole, keys := cut(y, i+1); keys > 0 {
			r.fail(Pos{r.file, v.Line, v.Column}, "a comma stands in a value without quotes", "put quotes round it: "+quoted(whole))
			i += 2 * keys
		} else if number, more := halves(y, i+1); more > 0 {
			whole := *v
			whole.Value, whole.Tag = number, "!!str"
			v = &whole
			i += 2 * more
		}
		r.suspect = r.suspect || y.Style&yaml.FlowStyle != 0 && nothing(v) || k.Style == 0 && (strings.HasSuffix(k.Value, ":") || odd(k.Value))
		first := n.memberLine(k.Value, lines)
		if first > 0 && n.parent == nil && y.Style&yaml.FlowStyle == 0 && i+3 < len(y.Content) && k.Value == n.Members[0].Key && n.memberLine(y.Content[i+2].Value, lines) > 0 {
			r.fail(Pos{r.file, k.Line, k.Column}, fmt.Sprintf("another file begins here within this one: %s was already given on line %d", k.Value, first), "put a line of three dashes above it, or move it to a file of its own")
			break
		}
		if first > 0 {
			r.twice = append(r.twice, twin{n, k, first, len(n.Members)})
			continue
		}
		r.member(doc, n, k, v, depth)
		if lines != nil {
			lines[k.Value] = k.Line
		}
	}
	for _, m := range merges {
		r.merge(doc, n, m, depth, lines)
	}
}

// merging reports whether a group takes over the members of others, which may
// be many.
func merging(y *yaml.Node) bool {
	for i := 0; i+1 < len(y.Content); i += 2 {
		if y.Content[i].Tag == "!!merge" {
			return true
		}
	}
	return false
}

// cut is the value of a group between braces that a comma in round brackets
// cuts in two, {at_least: larger(a, b)}, and how many keys without a value its
// rest became; 0 where it is whole.
func cut(y *yaml.Node, at int) (whole string, keys int) {
	v := y.Content[at]
	if y.Style&yaml.FlowStyle == 0 || v.Kind != yaml.ScalarNode || v.Style != 0 {
		return "", 0
	}
	open := func() bool { return strings.Count(whole, "(") > strings.Count(whole, ")") }
	whole = v.Value
	for i := at + 1; open() && i+1 < len(y.Content) && nothing(y.Content[i+1]); i += 2 {
		whole += ", " + y.Content[i].Value
		keys++
	}
	if open() {
		return "", 0
	}
	return whole, keys
}

// fewMembers is how many keys are looked through one by one.
const fewMembers = 32

// memberLine is the line of a key that the group has already, or 0.
func (n *Node) memberLine(key string, lines map[string]int) int {
	if lines != nil {
		return lines[key]
	}
	for i := range n.Members {
		if n.Members[i].Key == key {
			return n.Members[i].Line
		}
	}
	return 0
}

func (r *reader) member(doc *Document, n *Node, k, v *yaml.Node, depth int) {
	n.Members = append(n.Members, Member{k.Value, k.Line, k.Column})
	n.Items = append(n.Items, r.convert(doc, n, len(n.Items), v, depth+1))
}

// merge takes over the members of `<<`: the map's own keys win.
func (r *reader) merge(doc *Document, n *Node, m *yaml.Node, depth int, lines map[string]int) {
	from := []*yaml.Node{m}
	if m.Kind == yaml.SequenceNode {
		from = m.Content
	}
	for _, f := range from {
		target := f
		if f.Kind == yaml.AliasNode {
			target = f.Alias
		}
		if target.Kind != yaml.MappingNode {
			r.fail(Pos{r.file, f.Line, f.Column}, "<< takes over the members of a group, and this is none", "name an anchor of a group")
			continue
		}
		if r.open[target] {
			r.abort(f, "the alias stands inside the value it names", "write the value out")
			return
		}
		r.open[target] = true
		r.mergeOne(doc, n, target, depth, lines)
		delete(r.open, target)
		if r.stop {
			return
		}
	}
}

// mergeOne takes over the members of one group, and then those that it takes
// over itself.
func (r *reader) mergeOne(doc *Document, n *Node, target *yaml.Node, depth int, lines map[string]int) {
	if r.nodes++; r.nodes > MaxNodes {
		r.abort(target, tooMany, fewer)
		return
	}
	var merges []*yaml.Node
	for i := 0; i+1 < len(target.Content); i += 2 {
		k, v := target.Content[i], target.Content[i+1]
		switch {
		case k.Kind != yaml.ScalarNode || len(k.Value) > MaxKey: // told where it stands
		case k.Tag == "!!merge":
			merges = append(merges, v)
		case n.memberLine(k.Value, lines) == 0:
			r.member(doc, n, k, v, depth)
			if lines != nil {
				lines[k.Value] = k.Line
			}
		}
	}
	for _, m := range merges {
		r.merge(doc, n, m, depth, lines)
	}
}

var jsonNumber = regexp.MustCompile(`^-?(0|[1-9][0-9]*)(\.[0-9]+)?([eE][+-]?[0-9]+)?$`)

func (r *reader) scalar(n *Node, y *yaml.Node) {
	n.Scalar = y.Value
	n.quoted = y.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0
	n.block = y.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0
	r.suspect = r.suspect || !n.quoted && !n.block && (odd(y.Value) || unopened(y.Value) >= 0)
	if len(r.open) > 0 {
		r.repeated += len(y.Value)
	}
	if r.repeated > MaxRepeated {
		r.abort(y, fmt.Sprintf("the aliases of the file repeat more than %d MiB of text", MaxRepeated>>20), fewer)
	}
	if len(y.Value) > MaxScalar {
		r.fail(Pos{r.file, y.Line, y.Column}, fmt.Sprintf("the value is longer than %d KiB", MaxScalar>>10), "shorten it")
		n.Scalar = ""
	}
	switch y.Tag {
	case "!!null":
		n.Kind = Null
	case "!!bool":
		n.Kind = Bool
		n.Scalar = strings.ToLower(n.Scalar)
	case "!!int", "!!float":
		n.Kind = Number
		r.number(n)
	case "!!str", "!!timestamp": // a date is text here, quoted or not
		n.Kind = Text
	default:
		n.Kind = Text
		r.fail(Pos{r.file, y.Line, y.Column}, fmt.Sprintf("the tag %s is not understood", y.Tag), "leave the tag out")
	}
}

// number keeps to the numbers that JSON knows, so that 08, 0x1F, 1_000 and
// .nan never reach a rule as something the writer did not mean.
func (r *reader) number(n *Node) {
	pos := n.Pos()
	switch f, err := strconv.ParseFloat(n.Scalar, 64); {
	case strings.ContainsAny(strings.ToLower(n.Scalar), "n") && !jsonNumber.MatchString(n.Scalar):
		r.fail(pos, n.Scalar+" is not a finite number", "write a number")
	case !jsonNumber.MatchString(n.Scalar):
		r.fail(pos, n.Scalar+" can be read as more than one number", "write plain decimal digits, or put quotes round a name")
	case err != nil || math.IsInf(f, 0):
		r.fail(pos, n.Scalar+" is too large to be a number", "write a number that fits the trade")
	default:
		return
	}
	last := r.problems[len(r.problems)-1]
	last.Node, n.Unread = n, last.Message
	n.Kind, n.Scalar = Null, ""
}
