// Package edit changes the text of a kit file: it sets, inserts, removes and
// renames what JSON Pointers (RFC 6901) name, in YAML and in JSON. What is not
// touched stays as it is, byte for byte: remarks, order, quotes, brackets,
// blank lines, line ends. What is written looks like what stands beside it.
//
// Every change is proved before it is handed on: the new text is read, and has
// to give the tree of the old one with the change, and nothing else. What
// cannot be changed in place, as what stands behind an alias, is an error.
package edit

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"kitgauge/checker/source"
)

// Verb says what a change does.
type Verb string

// The verbs. A change whose outcome stands already changes nothing, so that
// doing it twice does no more than doing it once.
const (
	Set    Verb = "set"    // At gets Value; the groups that lead there are made where they are missing
	Insert Verb = "insert" // Value goes into a list, before the item At; "/list/-" puts it last
	Remove Verb = "remove" // At goes
	Rename Verb = "rename" // the key of At becomes Key
)

// Change is one change of a file.
type Change struct {
	Do    Verb   `json:"do"`
	At    string `json:"at"`
	Value string `json:"value,omitempty"` // as JSON text
	Key   string `json:"key,omitempty"`
}

// Text is a text as the Value of a change.
func Text(text string) string {
	return string((&source.Node{Kind: source.Text, Scalar: text}).JSON())
}

// Apply changes one document of a file's text, counted from 0. All changes name
// places of the text as it is given, and are made in their order: what one of
// them moves, the others follow; what one has removed, the others leave.
func Apply(text []byte, document int, changes ...Change) ([]byte, error) {
	now, err := changed(text, document, changes)
	if err != nil {
		return nil, err
	}
	return encode(text, now.docs[document].Text), nil
}

// changed is the file with the changes made.
func changed(text []byte, document int, changes []Change) (*state, error) {
	docs, problems := source.Parse("", text)
	if document < 0 || document >= len(docs) {
		return nil, fmt.Errorf("the file has no document %d that can be read", document+1)
	}
	now := &state{docs, len(problems), document, whole(docs[document].Text)}
	if now.makeAtOnce(changes) {
		return now, nil
	}
	changes = slices.Clone(changes)
	for i, c := range changes {
		if c.Do == "" { // it was in what another removed
			continue
		}
		done, err := now.make(c)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", place(c.At), err)
		}
		for j := i + 1; j < len(changes) && done.Do != ""; j++ {
			changes[j] = follow(changes[j], done)
		}
	}
	return now, nil
}

// Tree is what a document holds with changes made, as Apply makes them of its
// text: for whoever tries many before any is written.
func Tree(root *source.Node, changes ...Change) (*source.Node, error) {
	changes = slices.Clone(changes)
	for i, c := range changes {
		if c.Do == "" { // it was in what another removed
			continue
		}
		done, v, err := settle(root, c)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", place(c.At), err)
		}
		if done.Do == "" {
			continue
		}
		last := 0
		if holder := root.Lookup(up(done.At)); holder != nil {
			last = len(holder.Items)
		}
		root = expect(root, done, v, last)
		for j := i + 1; j < len(changes); j++ {
			changes[j] = follow(changes[j], done)
		}
	}
	return root, nil
}

func place(pointer string) string {
	if pointer == "" {
		return "the whole file"
	}
	return pointer
}

// state is a file as it was read last.
type state struct {
	docs     []*source.Document
	problems int
	document int // that is changed
	cuts     cuts
}

// make makes one change, and proves it. What was done has its index in the
// place of -; it is none where the outcome stood already.
func (s *state) make(c Change) (Change, error) {
	doc := s.docs[s.document]
	c, v, err := settle(doc.Root, c)
	if err != nil || c.Do == "" {
		return Change{}, err
	}
	w := newWriter(doc)
	if err := w.change(c, v); err != nil {
		return Change{}, err
	}
	if err := s.prove(w.text(), expect(doc.Root, c, v, w.index)); err != nil {
		return Change{}, err
	}
	s.cuts.add(w.splices)
	return c, nil
}

// prove reads the new text, which becomes the state: it holds what is wanted,
// and the other documents as they were.
func (s *state) prove(text []byte, want *source.Node) error {
	docs, problems := source.Parse("", text)
	if len(docs) != len(s.docs) || len(problems) > s.problems {
		return errNoPlace
	}
	for i, was := range s.docs {
		is := was.Root
		if i == s.document {
			is = want
		}
		if !Equal(docs[i].Root, is) {
			return errNoPlace
		}
	}
	s.docs, s.problems = docs, len(problems)
	return nil
}

// settle makes a change definite: "-" becomes an index, groups that are missing
// on the way become part of the value. It has no verb where there is nothing to
// do.
func settle(root *source.Node, c Change) (Change, *source.Node, error) {
	var v *source.Node
	if c.Do == Set || c.Do == Insert {
		var err error
		if v, err = read(c.Value); err != nil {
			return c, nil, err
		}
	}
	if c.At != "" && c.At[0] != '/' {
		return c, nil, fmt.Errorf("this is no JSON Pointer")
	}
	n := root.Lookup(c.At)
	switch c.Do {
	case Set:
		return settleSet(root, n, c, v)
	case Insert:
		return settleInsert(root, c, v)
	case Remove, Rename:
		if n == root {
			return c, nil, fmt.Errorf("the whole file has to stay")
		}
		return settleKey(root, n, c)
	}
	return c, nil, fmt.Errorf("%q is neither set, insert, remove nor rename", c.Do)
}

func settleKey(root, n *source.Node, c Change) (Change, *source.Node, error) {
	if c.Do == Remove {
		if n == nil {
			return Change{}, nil, nil
		}
		return c, nil, nil
	}
	there := root.Lookup(up(c.At)).Get(c.Key)
	switch {
	case n == there && n != nil, n == nil && there != nil:
		return Change{}, nil, nil
	case n == nil:
		return c, nil, fmt.Errorf("there is nothing")
	case n.Parent().Kind != source.Map:
		return c, nil, fmt.Errorf("an item of a list has no key")
	case there != nil:
		return c, nil, fmt.Errorf("there is a member %q already", c.Key)
	}
	return c, nil, nil
}

func settleSet(root, n *source.Node, c Change, v *source.Node) (Change, *source.Node, error) {
	switch {
	case n != nil && Equal(n, v):
		return Change{}, nil, nil
	case n != nil:
		return c, v, nil
	}
	parent := root.Lookup(up(c.At))
	keys := source.Keys(c.At)
	last := keys[len(keys)-1]
	switch {
	case parent == nil || parent.Kind == source.Null:
		group := &source.Node{Kind: source.Map, Items: []*source.Node{v}, Members: []source.Member{{Key: last}}}
		return settleSet(root, parent, Change{Do: Set, At: up(c.At)}, group)
	case parent.Kind == source.Map:
		return c, v, nil
	case parent.Kind == source.List:
		return settleInsert(root, Change{Do: Insert, At: c.At}, v)
	}
	return c, nil, fmt.Errorf("%s has no members", up(c.At))
}

func settleInsert(root *source.Node, c Change, v *source.Node) (Change, *source.Node, error) {
	list := root.Lookup(up(c.At))
	if c.At == "" {
		return c, nil, fmt.Errorf("name the place in a list")
	}
	if list == nil || list.Kind == source.Null {
		only := &source.Node{Kind: source.List, Items: []*source.Node{v}}
		return settleSet(root, list, Change{Do: Set, At: up(c.At)}, only)
	}
	keys := source.Keys(c.At)
	at, err := strconv.Atoi(keys[len(keys)-1])
	if keys[len(keys)-1] == "-" {
		at, err = len(list.Items), nil
	}
	if list.Kind != source.List || err != nil || at < 0 || at > len(list.Items) {
		return c, nil, fmt.Errorf("this is no place in a list")
	}
	beside := at
	if at == len(list.Items) {
		beside--
	}
	if beside >= 0 && Equal(list.Items[beside], v) {
		return Change{}, nil, nil
	}
	c.At = up(c.At) + "/" + strconv.Itoa(at)
	return c, v, nil
}

// read reads the value of a change.
func read(text string) (*source.Node, error) {
	docs, problems := source.Parse("", []byte("["+text+"]"))
	if len(problems) > 0 || len(docs) != 1 || docs[0].Root.Kind != source.List || len(docs[0].Root.Items) != 1 {
		return nil, fmt.Errorf("%q is not one value as JSON", text)
	}
	return docs[0].Root.Items[0], nil
}

// up is the pointer to what holds a place.
func up(pointer string) string {
	return pointer[:max(strings.LastIndexByte(pointer, '/'), 0)]
}

// Equal reports whether two trees hold the same, members in whatever order.
func Equal(a, b *source.Node) bool {
	if a == nil || b == nil {
		return a == b
	}
	if a.Kind != b.Kind || len(a.Items) != len(b.Items) {
		return false
	}
	if a.Kind < source.List {
		return a.Kind == source.Null || a.Scalar == b.Scalar
	}
	for i, item := range a.Items {
		other := b.Items[i]
		if a.Kind == source.Map && a.Members[i].Key != b.Members[i].Key {
			other = b.Get(a.Members[i].Key)
		}
		if !Equal(item, other) {
			return false
		}
	}
	return true
}

// expect is the tree with the change made; index is where a new member goes.
func expect(n *source.Node, c Change, v *source.Node, index int) *source.Node {
	return with(n, source.Keys(c.At), c, v, index)
}

func with(n *source.Node, path []string, c Change, v *source.Node, index int) *source.Node {
	if len(path) == 0 {
		return v
	}
	out := &source.Node{Kind: n.Kind, Items: slices.Clone(n.Items), Members: slices.Clone(n.Members)}
	at := -1
	if child := n.At(path[0]); child != nil {
		at = slices.Index(n.Items, child)
	}
	switch {
	case len(path) > 1:
		out.Items[at] = with(n.Items[at], path[1:], c, v, index)
	case c.Do == Remove:
		out.Items = slices.Delete(out.Items, at, at+1)
		if n.Kind == source.Map {
			out.Members = slices.Delete(out.Members, at, at+1)
		}
	case c.Do == Rename:
		out.Members[at].Key = c.Key
	case c.Do == Insert:
		at, _ = strconv.Atoi(path[0])
		out.Items = slices.Insert(out.Items, at, v)
	case at >= 0:
		out.Items[at] = v
	default:
		out.Items = slices.Insert(out.Items, index, v)
		out.Members = slices.Insert(out.Members, index, source.Member{Key: path[0]})
	}
	return out
}

// follow is a change with its place after another was made.
func follow(c, done Change) Change {
	of := up(done.At)
	rest, below := strings.CutPrefix(c.At, of+"/")
	if c.Do == "" || !below {
		return c
	}
	keys := source.Keys(done.At)
	key, deeper, _ := strings.Cut(rest, "/")
	if deeper != "" {
		deeper = "/" + deeper
	}
	own := done.At[strings.LastIndexByte(done.At, '/')+1:]
	at, err := strconv.Atoi(keys[len(keys)-1])
	mine, errMine := strconv.Atoi(key)
	switch {
	case done.Do == Rename && key == own:
		c.At = of + "/" + escape(done.Key) + deeper
	case done.Do == Remove && key == own && c.Do != Insert:
		return Change{}
	case err != nil || errMine != nil: // a member, not an item
	case done.Do == Remove && mine > at:
		c.At = of + "/" + strconv.Itoa(mine-1) + deeper
	case done.Do == Insert && (mine > at || mine == at && (c.Do != Insert || deeper != "")):
		c.At = of + "/" + strconv.Itoa(mine+1) + deeper
	}
	return c
}

func escape(key string) string {
	return strings.NewReplacer("~", "~0", "/", "~1").Replace(key)
}
