// Package mutation puts a fuzzer's edits into files. Changing the bytes of a
// kit seldom gets past the reader; changing the values of its tree gets as far
// as the quantities, the rules and the reports: numbers that are absurd, names
// that lead to the wrong thing or round in a circle, lists that are empty or
// long, values of another kind.
package mutation

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// Edited applies a program of edits to the trees of files, by name, and
// returns their texts. Five bytes are an edit: what is done, where (two
// bytes), and with which value (two bytes). Any bytes are a program; the trees
// given stay as they are.
func Edited(trees map[string]any, program []byte) map[string][]byte {
	t := &tree{root: copied(trees).(map[string]any)}
	t.edits(program)
	texts := make(map[string][]byte, len(t.root))
	for file, v := range t.root {
		text, err := json.Marshal(v)
		if err != nil {
			panic("mutation: " + err.Error()) // the values are those of this package
		}
		texts[file] = text
	}
	return texts
}

// tree is the trees of all files, as JSON values.
type tree struct {
	root  map[string]any // by file
	slots []slot         // every place that holds a value, in a fixed order
}

// slot is a place of the tree that holds a value.
type slot struct {
	list []any          // the list that holds it, or
	in   map[string]any // the group that does
	i    int
	key  string
	up   int // the slot of the holder, -1 for the files themselves
}

func (s slot) get() any {
	if s.list != nil {
		return s.list[s.i]
	}
	return s.in[s.key]
}

func (s slot) set(v any) {
	if s.list != nil {
		s.list[s.i] = v
		return
	}
	s.in[s.key] = v
}

// most is the number of values that edits may let a tree grow to.
const most = 6000

// look lists the places of the tree, always in the same order.
func (t *tree) look() {
	t.slots = t.slots[:0]
	t.under(t.root, -1, "")
}

func (t *tree) under(v any, up int, key string) {
	switch v := v.(type) {
	case map[string]any:
		keys := make([]string, 0, len(v))
		for k := range v {
			keys = append(keys, k)
		}
		slices.Sort(keys)
		for _, k := range keys {
			t.slots = append(t.slots, slot{in: v, key: k, up: up})
			t.under(v[k], len(t.slots)-1, k)
		}
	case []any:
		for i := range v {
			t.slots = append(t.slots, slot{list: v, i: i, key: key, up: up})
			t.under(v[i], len(t.slots)-1, key)
		}
	}
}

// literal is JSON that encoding/json would not write by itself.
func literal(text string) json.RawMessage { return json.RawMessage(text) }

// values are put in the place of others.
var values = []any{
	nil, true, false, "", " ", "x", literal("0"), literal("-0"), literal("1"), literal("-1"), literal("1e308"), literal("-1e308"), literal("5e-324"), literal("1e400"),
	literal("9223372036854775807"), literal("-9223372036854775808"), literal("2147483648"), literal("0.1"), literal("1.0"), literal("1e2"), []any{}, map[string]any{},
	[]any{nil}, []any{[]any{}}, "NaN", "Inf", "-Inf", "1e400 mm", "1e30 mm", "-1e30 mm", "1e-30 mm", "0 mm", "0 s", "0 Pa", "0 V", "0 A", "0 m3", "0 K", "-300 degC", "1e29 degC",
	strings.Repeat("x", 5000), strings.Repeat("9", 400), "\x1b[31m", "\u202e", "a\nb", "\x00", "%d%s%!", "{kit.lines}", "'", "../../etc.parts.yaml", "ä",
	[]any{"0 mm", "0 mm", "0 mm"}, []any{literal("0"), literal("0"), literal("0")}, []any{"1e29 mm", "-1e29 mm", "1e29 mm"}, []any{literal("1e200"), literal("1e200"), literal("1e200")},
	[]any{literal("1e-200"), literal("0"), literal("0")}, map[string]any{"from": "10 mm", "to": "-10 mm"}, map[string]any{"from": "-1e29 mm", "to": "1e29 mm"}, map[string]any{"from": "-360000 deg", "to": "360000 deg"},
	map[string]any{"from": "0 deg", "to": "0 deg"}, "prismatic", "revolute", "capsule", "box", "chassis", "draft", "released", "inch", "metric", "2026-02-30", "0000-00-00", "9999-12-31",
}

// factors are what numbers are changed by.
var factors = []string{"0", "-0", "-1", "1", "1e-30", "1e29", "-1e29", "1e30", "1e31", "1e-320", "0.001", "1000", "1e6", "1e9", "1e12", "1e-6", "1e-9", "1e-12", "0.999999999", "1.000000001", "1/0", "1 1/2", "NaN", "2", "0.5", "3", "7", "100", "1e15", "1e20"}

var measured = regexp.MustCompile(`^([-+0-9./ ]+)( [^ 0-9].*)$`)

// edits applies the program of a fuzzer: five bytes an edit.
func (t *tree) edits(program []byte) {
	for range 40 {
		if len(program) < 5 {
			return
		}
		t.look()
		if len(t.slots) == 0 || len(t.slots) > most {
			return
		}
		s := t.slots[(int(program[1])<<8|int(program[2]))%len(t.slots)]
		t.edit(program[0]%operations, s, int(program[3]), int(program[4]))
		program = program[5:]
	}
}

// operations is how many there are.
const operations = 11

func (t *tree) edit(op byte, s slot, a, b int) {
	switch op {
	case 0, 1: // the number, with its unit
		t.rescale(s, factors[a%len(factors)])
	case 2:
		s.set(copied(values[a%len(values)]))
	case 3: // a value from another place of the same name
		s.set(copied(t.like(s, a<<8|b).get()))
	case 4: // from anywhere
		s.set(copied(t.slots[(a<<8|b)%len(t.slots)].get()))
	case 5: // the two change places
		other := t.like(s, a<<8|b)
		v, w := copied(s.get()), copied(other.get())
		s.set(w)
		other.set(v)
	case 6:
		t.drop(s)
	case 7: // the item of the list again, as it is
		t.repeat(s, a, false)
	case 10: // and under names of its own
		t.repeat(s, a, true)
	case 8: // one name for all that have one
		for _, other := range t.slots {
			if other.key == s.key && other.list == nil && a%2 == 0 {
				other.set(copied(s.get()))
			}
		}
	case 9: // a member that is not there, from a place that has it
		if group, is := s.get().(map[string]any); is {
			other := t.slots[(a<<8|b)%len(t.slots)]
			if other.list == nil {
				group[other.key] = copied(other.get())
			}
		}
	}
}

// repeat writes the item of a list several times more.
func (t *tree) repeat(s slot, times int, renamed bool) {
	if s.list == nil || s.up < 0 {
		return
	}
	list := slices.Clone(s.list)
	for i := range []int{1, 2, 12, 100}[times%4] {
		item := copied(s.get())
		if group, is := item.(map[string]any); is && renamed {
			rename(group, i)
		}
		list = append(list, item)
	}
	t.slots[s.up].set(list)
}

// rename gives an item another name and number.
func rename(item map[string]any, i int) {
	if id, is := item["id"].(string); is {
		item["id"] = fmt.Sprintf("%s-%d", id, i)
	}
	if number, is := item["number"].(float64); is {
		item["number"] = number + float64(100+i)
	}
}

// rescale changes a number, or all numbers of a list, and keeps the unit.
func (t *tree) rescale(s slot, factor string) {
	switch v := s.get().(type) {
	case string:
		if m := measured.FindStringSubmatch(v); m != nil {
			s.set(times(m[1], factor) + m[2])
		}
	case float64:
		s.set(literal(number(times(fmt.Sprint(v), factor))))
	case []any:
		for i := range v {
			t.rescale(slot{list: v, i: i}, factor)
		}
	}
}

// times is the number times the factor; a factor that is none takes its place.
func times(number, factor string) string {
	var n, f float64
	if _, err := fmt.Sscan(number, &n); err != nil || n == 0 {
		return factor
	}
	if _, err := fmt.Sscan(factor, &f); err != nil || fmt.Sprint(f) != factor && !strings.Contains(factor, "e") && !strings.Contains(factor, ".") {
		return factor
	}
	return fmt.Sprintf("%.12g", n*f)
}

// number is the text where JSON takes it for a number.
func number(text string) string {
	if json.Valid([]byte(text)) {
		return text
	}
	return "0"
}

// like finds a place of the same name.
func (t *tree) like(s slot, pick int) slot {
	var same []slot
	for _, other := range t.slots {
		if other.key == s.key && (other.list == nil) == (s.list == nil) {
			same = append(same, other)
		}
	}
	return same[pick%len(same)]
}

func (t *tree) drop(s slot) {
	if s.list == nil {
		delete(s.in, s.key)
		return
	}
	if s.up >= 0 {
		t.slots[s.up].set(slices.Delete(slices.Clone(s.list), s.i, s.i+1))
	}
}

// copied is the value with nothing shared.
func copied(v any) any {
	switch v := v.(type) {
	case map[string]any:
		out := make(map[string]any, len(v))
		for k, item := range v {
			out[k] = copied(item)
		}
		return out
	case []any:
		out := make([]any, len(v))
		for i, item := range v {
			out[i] = copied(item)
		}
		return out
	}
	return v
}
