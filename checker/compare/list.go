package compare

import (
	"cmp"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// kindOfList says of the items of a list what they are called and by what
// they are known. A test holds the table to the model.
type kindOfList struct {
	noun    string
	by      []string // the members that say which one it is; none where only its place does
	name    string   // the member with the name that people use, where they do not say the id
	detail  []string // the members that tell what was added or removed
	ordered bool     // the order says something
}

var lists = map[string]kindOfList{
	"greased_before": {noun: "earlier grease", by: []string{"designation"}, detail: []string{"points"}},
	"bodies":         {noun: "body", by: []string{"id"}, name: "name"},
	"joints":         {noun: "joint", by: []string{"id"}, name: "name", detail: []string{"range"}},
	"points":         {noun: "point", by: []string{"id"}, detail: []string{"name"}},
	"outlets":        {noun: "outlet", by: []string{"number"}, detail: []string{"element"}},
	"lines":          {noun: "line", by: []string{"number"}, detail: []string{"outlet", "point", "cut_length"}},
	"tail":           {noun: "tail station", by: []string{"id"}, detail: []string{"body", "position"}, ordered: true},
	"last_ties":      {noun: "last tie", detail: []string{"at"}},
	"bundles":        {noun: "bundle", by: []string{"id"}, detail: []string{"name", "conduit"}},
	"route":          {noun: "station", by: []string{"id"}, detail: []string{"body", "position"}, ordered: true},
	"ties":           {noun: "tie", detail: []string{"at"}},
	"member_lengths": {noun: "free length of line", by: []string{"line"}, detail: []string{"length"}},
	"zones":          {noun: "zone", by: []string{"id"}, name: "name", detail: []string{"kind"}},
	"passages":       {noun: "passage", by: []string{"name"}},
	"connectors":     {noun: "connector", by: []string{"name"}, detail: []string{"part", "place"}},
	"rows":           {noun: "row of line", by: []string{"line"}, detail: []string{"name"}},
	"parts_list":     {noun: "parts list", by: []string{"part"}, detail: []string{"quantity", "length", "volume"}},
	"procedure":      {noun: "step", by: []string{"step"}, detail: []string{"text"}, ordered: true},
	"concessions":    {noun: "concession for", by: []string{"rule", "place"}, detail: []string{"reason", "granted_by", "until"}},
	"derating":       {noun: "derating at", by: []string{"temperature"}, detail: []string{"share"}},
	"flow_pressures": {noun: "flow pressure at", by: []string{"temperature"}, detail: []string{"pressure"}},
}

// item is one item of a list.
type item struct {
	v       reflect.Value
	index   int
	known   string // by which it is matched
	content string // all that it says
	partner *item  // in the other revision
}

// list compares two lists of groups.
func (d *differ) list(at place, key string, old, new reflect.Value) {
	kind := lists[key]
	if kind.noun == "" {
		kind.noun = strings.ReplaceAll(key, "_", " ")
	}
	before, after := d.items(kind, old), d.items(kind, new)
	match(before, after)
	for i := range before {
		if it := &before[i]; it.partner == nil {
			d.whole(Removed, d.place(at, kind, it, nil), kind, it)
		}
	}
	for i := range after {
		switch it := &after[i]; {
		case it.partner == nil:
			d.whole(Added, d.place(at, kind, nil, it), kind, it)
		case it.content != it.partner.content:
			d.group(d.place(at, kind, it.partner, it), it.partner.v, it.v, measure{}, measure{})
		}
	}
	if kind.ordered {
		d.order(at, kind, before, after)
	}
}

func (d *differ) items(kind kindOfList, list reflect.Value) []item {
	out := make([]item, list.Len())
	for i := range out {
		v := list.Index(i)
		if v.Kind() == reflect.Pointer {
			v = v.Elem()
		}
		var known []string
		for _, key := range kind.by {
			known = append(known, d.leafOf(v, key).same)
		}
		out[i] = item{v: v, index: i, known: strings.Join(known, "\x00"), content: d.content(v, measure{})}
	}
	return out
}

// match pairs the items of two lists by what they are known by. Where several
// share that, those that say the same belong together, then the others in
// their order.
func match(before, after []item) {
	pair(before, after, func(it *item) string { return it.known + "\x00\x00" + it.content })
	pair(before, after, func(it *item) string { return it.known })
}

func pair(before, after []item, key func(*item) string) {
	waiting := map[string][]*item{}
	for i := range before {
		if it := &before[i]; it.partner == nil {
			waiting[key(it)] = append(waiting[key(it)], it)
		}
	}
	for i := range after {
		it := &after[i]
		if it.partner != nil {
			continue
		}
		if queue := waiting[key(it)]; len(queue) > 0 {
			it.partner, queue[0].partner = queue[0], it
			waiting[key(it)] = queue[1:]
		}
	}
}

// leafOf shows the member of a group with that key.
func (d *differ) leafOf(group reflect.Value, key string) shown {
	for _, m := range value.Members(group.Type()) {
		if m.Key == key {
			s, _ := d.show(group.Field(m.Index), measureOf(m, group, measure{}))
			return s
		}
	}
	return shown{}
}

// content is all that a group says, as a text that is the same for two groups
// that say the same.
func (d *differ) content(v reflect.Value, own measure) string {
	var b strings.Builder
	for _, m := range value.Members(v.Type()) {
		f, of := v.Field(m.Index), measureOf(m, v, own)
		s, leaf := d.show(f, of)
		switch {
		case leaf && !s.stated:
			continue
		case leaf:
			b.WriteString(m.Key + strconv.Quote(s.same))
		case f.Kind() == reflect.Slice:
			for _, it := range d.items(lists[m.Key], f) {
				b.WriteString(m.Key + "(" + it.content + ")")
			}
		default:
			b.WriteString(m.Key + "(" + d.content(f, of) + ")")
		}
	}
	return b.String()
}

// place names an item of a list within a place.
func (d *differ) place(at place, kind kindOfList, old, new *item) place {
	var in place
	it := new
	if new != nil {
		in.node[1] = nodeOf(new.v)
	}
	if old != nil {
		in.node[0] = nodeOf(old.v)
		if new == nil {
			it = old
		}
	}
	name := d.label(kind, it)
	if old != nil && new != nil && kind.name != "" && d.leafOf(old.v, kind.name).same != d.leafOf(new.v, kind.name).same {
		name = d.leafOf(new.v, kind.by[0]).text // the name is what changed
	}
	holder := at.text
	if holder == "pump" || holder == "vehicle" { // there is one only
		holder = ""
	}
	separator := " "
	if kind.noun == "parts list" {
		separator = ", "
	}
	in.text = join(holder, ", ", kind.noun+separator+name)
	return in
}

// label is what people call the item.
func (d *differ) label(kind kindOfList, it *item) string {
	if kind.name != "" {
		if s := d.leafOf(it.v, kind.name); s.stated {
			return s.text
		}
	}
	var names []string
	for _, key := range kind.by {
		if s := d.leafOf(it.v, key); s.stated {
			names = append(names, s.text)
		}
	}
	if len(names) == 0 {
		return strconv.Itoa(it.index + 1)
	}
	return strings.Join(names, " at ")
}

// whole notes an item that came or went, with what tells most about it.
func (d *differ) whole(what Kind, at place, kind kindOfList, it *item) {
	text := at.text + " " + string(what)
	var details []string
	for _, key := range kind.detail {
		s := d.leafOf(it.v, key)
		if !s.stated {
			continue
		}
		one := s.text
		if word, needed := detailWords[key]; needed {
			one = word + " " + one
		}
		details = append(details, d.quoted(key, one))
	}
	detail := strings.Join(details, ", ")
	if detail != "" {
		text += " (" + limited(detail) + ")"
	}
	c := Change{Kind: what, Section: d.section, Place: at.text, Text: text}
	if what == Added {
		c.New = state(detail, at.node[1])
	} else {
		c.Old = state(detail, at.node[0])
	}
	d.changes = append(d.changes, c)
}

// detailWords go in front of a detail that says nothing alone.
var detailWords = map[string]string{"outlet": "outlet", "point": "point", "share": "share", "until": "until", "granted_by": "granted by", "points": "points", "body": "on"}

func state(text string, n *source.Node) *State {
	s := &State{Text: text, Pos: n.Pos(), Pointer: n.Pointer()}
	return s
}

// order notes the items that stand elsewhere in an order that counts: the
// fewest that have to be taken out for the others to be in order.
func (d *differ) order(at place, kind kindOfList, before, after []item) {
	var kept []*item // of the new list, with a partner
	for i := range after {
		if after[i].partner != nil {
			kept = append(kept, &after[i])
		}
	}
	stays := rising(kept)
	for i, it := range kept {
		if stays[i] {
			continue
		}
		in := d.place(at, kind, it.partner, it)
		was, is := d.follows(kind, before, it.partner.index), d.follows(kind, after, it.index)
		d.changes = append(d.changes, Change{
			Kind: Moved, Section: d.section, Place: in.text, Old: state(was, in.node[0]), New: state(is, in.node[1]),
			Text: in.text + " now " + is + " (was " + was + ")",
		})
	}
}

// follows says after which item one stands.
func (d *differ) follows(kind kindOfList, list []item, index int) string {
	if index == 0 {
		return "first"
	}
	return "after " + d.label(kind, &list[index-1])
}

// rising marks the longest run of items that were in this order before
// (Schensted 1961: the ends of the best runs of each length rise too).
func rising(list []*item) []bool {
	ends := []int{} // of a run of each length, the one that stood earliest
	before := make([]int, len(list))
	for i, it := range list {
		n, _ := slices.BinarySearchFunc(ends, it.partner.index, func(end, index int) int { return cmp.Compare(list[end].partner.index, index) })
		before[i] = -1
		if n > 0 {
			before[i] = ends[n-1]
		}
		if n == len(ends) {
			ends = append(ends, i)
		} else {
			ends[n] = i
		}
	}
	marks := make([]bool, len(list))
	if len(ends) == 0 {
		return marks
	}
	for i := ends[len(ends)-1]; i >= 0; i = before[i] {
		marks[i] = true
	}
	return marks
}

// known tells a number from a leaf.
func known(s shown) (float64, bool) {
	n, is := s.value.(value.Number)
	return n.V, is && n.Known
}

func isLength(m measure) bool { return m.dim == units.Length }
