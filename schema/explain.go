package schema

import (
	"cmp"
	"net/url"
	"slices"
	"strings"

	"github.com/santhosh-tekuri/jsonschema/v5"

	"kitgauge/checker/source"
)

// maxListed bounds the problems of one file: after so many, more of them
// help nobody.
const maxListed = 200

// fault is one leaf of the library's tree: the value, the part of the schema
// that it does not fit, and the keyword there.
type fault struct {
	place
	at   *source.Node
	node *source.Node // what the problem is about: at, or a member of it
}

// place tells faults apart. Where aliases repeat a value, one fault is found
// many times, and the place is still one.
type place struct {
	line, column int
	keyword      string
	key          string // the member that is missing, or that there is not
	rule         *source.Node
}

// explainer turns the library's tree of errors into problems. Words are
// found last, and for what is listed only: a file can have a million faults.
type explainer struct {
	root   *source.Node // of the file
	schema *source.Node
	faults map[place]fault
}

func (e *explainer) collect(err *jsonschema.ValidationError) {
	location := err.AbsoluteKeywordLocation
	path := unescape(location[strings.IndexByte(location, '#')+1:])
	cut := strings.LastIndexByte(path, '/')
	keyword := path[cut+1:]
	// A choice is one fault, however many of its branches do not fit.
	if len(err.Causes) > 0 && (keyword != "anyOf" && keyword != "oneOf" || err.Message == "") {
		for _, cause := range err.Causes {
			e.collect(cause)
		}
		return
	}
	at := e.root.Lookup(strings.ReplaceAll(unescape(err.InstanceLocation), noName, ""))
	e.split(at, e.rule(path[:max(cut, 0)], keyword), keyword)
}

// rule is the part of the schema that a pointer leads to and that has the
// keyword. Where it has a reference instead, the way goes on at its target.
func (e *explainer) rule(pointer, keyword string) *source.Node {
	n := e.schema
	step := func(key string) {
		for n.Get(key) == nil && n.Get("$ref") != nil {
			n = e.schema.Lookup(strings.TrimPrefix(n.Get("$ref").Scalar, "#"))
		}
	}
	for _, key := range source.Keys(pointer) {
		step(key)
		n = n.At(key)
	}
	step(keyword)
	return n
}

// unescape undoes the library's escaping of a JSON Pointer for use in a URL.
func unescape(pointer string) string {
	if plain, err := url.PathUnescape(pointer); err == nil {
		return plain
	}
	return pointer
}

// split makes one fault of each key where the library reports them together.
func (e *explainer) split(at, rule *source.Node, keyword string) {
	switch {
	case measured(rule): // a measured value: package kit reports it
	case keyword == "required":
		for _, key := range rule.Get(keyword).Items {
			if at.Get(key.Scalar) == nil && !asked(rule, key.Scalar) {
				e.add(at, at, at.Pos(), rule, keyword, key.Scalar)
			}
		}
	case (keyword == "anyOf" || keyword == "oneOf") && asked(rule, rule.Get(keyword).Items[0].At("required", "0").Scalar):
	case keyword == "additionalProperties":
		fits := names(rule)
		for i, m := range at.Members {
			if !fits(m.Key) {
				e.add(at, at.Items[i], at.Items[i].KeyPos(), rule, keyword, m.Key)
			}
		}
	default:
		e.add(at, at, at.Pos(), rule, keyword, "")
	}
}

// asked reports whether rules tell that a member of the group is missing.
//
// The schema requires whatever a kit cannot be judged or built without, so that
// an editor that has nothing else writes a whole point or line, and warns of
// what a draft still lacks. Of that a member marked in its comment is no fault of
// the shape: the rules say in better words what is missing, and a draft without
// it is checked all the same. What is required and bears no mark is what
// nothing can be told apart, or read, without.
func asked(rule *source.Node, key string) bool {
	member := fault{place: place{rule: rule}}.described("properties").Get(key)
	return marked(member, "Rules tell")
}

func (e *explainer) add(at, node *source.Node, pos source.Pos, rule *source.Node, keyword, key string) {
	if at.Unread != "" {
		return // told where it was read
	}
	f := fault{place{pos.Line, pos.Column, keyword, key, rule}, at, node}
	if first, twice := e.faults[f.place]; twice && first.node.Pointer() <= node.Pointer() {
		return
	}
	e.faults[f.place] = f
}

// problems lists the faults by place, since the library's order changes from
// run to run.
func (e *explainer) problems() []*source.Problem {
	faults := make([]fault, 0, len(e.faults))
	for _, f := range e.faults {
		faults = append(faults, f)
	}
	slices.SortFunc(faults, func(a, b fault) int {
		return cmp.Or(
			cmp.Compare(a.line, b.line),
			cmp.Compare(a.column, b.column),
			cmp.Compare(a.keyword, b.keyword),
			cmp.Compare(a.key, b.key),
			cmp.Compare(a.rule.Line, b.rule.Line),
		)
	})
	var list []*source.Problem
	for _, f := range faults {
		message, remedy := f.words()
		p := &source.Problem{Pos: f.node.Pos(), Message: message, Remedy: remedy, Node: f.node, Key: f.meant(), Meant: f.wordMeant(), Decide: f.vouches()}
		p.Pos.Line, p.Pos.Column = f.line, f.column
		if message == "" || slices.ContainsFunc(list[max(0, len(list)-20):], func(q *source.Problem) bool {
			return q.Pos == p.Pos && q.Message == p.Message // two parts of the schema, one fault
		}) {
			continue
		}
		if len(list) == maxListed {
			p.Message, p.Remedy = "there are more faults from here on, which are not listed", "mend those above first"
			return append(list, p)
		}
		list = append(list, p)
	}
	return list
}
