package injection_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker/facts"
	"kitgauge/checker/units"
)

type object = map[string]any

// tree is a kit as JSON has it, with what a mistake needs to be put in.
type tree struct {
	root  object
	inch  bool
	rand  *rand.Rand
	facts *facts.Kit // of the kit without the mistake
}

func parse(text []byte) (object, error) {
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	var root object
	err := d.Decode(&root)
	return root, err
}

func (t *tree) text() []byte {
	text, err := json.Marshal(t.root)
	if err != nil {
		panic(err) // made of what JSON has
	}
	return append(text, '\n')
}

// at goes down the members.
func (t *tree) at(path ...string) object {
	o := t.root
	for _, p := range path {
		o = o[p].(object)
	}
	return o
}

// items are the objects of a list that is a member.
func items(o object, key string) []object {
	list, _ := o[key].([]any)
	out := make([]object, len(list))
	for i, v := range list {
		out[i] = v.(object)
	}
	return out
}

func (t *tree) items(key string) []object { return items(t.root, key) }

func (t *tree) add(o object, key string, item any) {
	list, _ := o[key].([]any)
	o[key] = append(list, item)
}

// set makes the objects a member again.
func set(o object, key string, list []object) {
	out := make([]any, len(list))
	for i, v := range list {
		out[i] = v
	}
	o[key] = out
}

func (t *tree) setAll(key string, list []object) { set(t.root, key, list) }

// without takes an object out of a list.
func without(list []object, one object) []object {
	return slices.DeleteFunc(slices.Clone(list), func(o object) bool { return same(o, one) })
}

// same reports whether two are the one object of the tree.
func same(a, b object) bool { return fmt.Sprintf("%p", a) == fmt.Sprintf("%p", b) }

func text(o object, key string) string {
	s, _ := o[key].(string)
	return s
}

func truth(o object, key string) bool {
	b, _ := o[key].(bool)
	return b
}

func number(o object, key string) int {
	switch n := o[key].(type) {
	case json.Number:
		i, _ := strconv.Atoi(n.String())
		return i
	case int:
		return n
	}
	return 0
}

func has(o object, key string) bool { _, is := o[key]; return is }

func clone(o object) object {
	text, err := json.Marshal(o)
	if err != nil {
		panic(err)
	}
	c, err := parse(text)
	if err != nil {
		panic(err)
	}
	return c
}

// pick draws one that will do; nil where none does.
func pick[T any](t *tree, list []T, ok func(T) bool) *T {
	var fit []int
	for i := range list {
		if ok(list[i]) {
			fit = append(fit, i)
		}
	}
	if len(fit) == 0 {
		return nil
	}
	return &list[fit[t.rand.IntN(len(fit))]]
}

func any1[T any](t *tree, list []T) *T { return pick(t, list, func(T) bool { return true }) }

// one draws one of some words.
func (t *tree) one(words ...string) string { return words[t.rand.IntN(len(words))] }

// between draws a number.
func (t *tree) between(from, to float64) float64 { return from + (to-from)*t.rand.Float64() }

// si reads a value as SI.
func si(o object, key string, d units.Dimension) float64 {
	v, err := units.Parse(text(o, key), d)
	if err != nil {
		panic(fmt.Sprintf("%s: %q: %v", key, text(o, key), err))
	}
	return v
}

// mm reads a length in mm.
func mm(o object, key string) float64 { return si(o, key, units.Length) * 1000 }

// length writes mm in the kit's own unit, as finely as it is given.
func (t *tree) length(mm float64) string {
	if t.inch {
		return strconv.FormatFloat(math.Round(mm/25.4*1e5)/1e5, 'f', -1, 64) + " in"
	}
	return strconv.FormatFloat(math.Round(mm*1e3)/1e3, 'f', -1, 64) + " mm"
}

// celsius writes a temperature in the kit's own unit.
func (t *tree) celsius(c float64) string {
	if t.inch {
		return strconv.FormatFloat(math.Round((c*1.8+32)*10)/10, 'f', -1, 64) + " degF"
	}
	return strconv.FormatFloat(c, 'f', -1, 64) + " degC"
}

// position reads and writes a place, in mm.
func position(o object, key string) r3.Vec {
	list := o[key].([]any)
	var v [3]float64
	for i := range v {
		m, err := units.Parse(list[i].(string), units.Length)
		if err != nil {
			panic(err)
		}
		v[i] = m * 1000
	}
	return r3.Vec{X: v[0], Y: v[1], Z: v[2]}
}

func (t *tree) place(v r3.Vec) []any {
	return []any{t.length(v.X), t.length(v.Y), t.length(v.Z)}
}

// byID finds an object by one of its members.
func by(list []object, key, value string) object {
	for _, o := range list {
		if text(o, key) == value {
			return o
		}
	}
	return nil
}

func (t *tree) point(id string) object  { return by(t.items("points"), "id", id) }
func (t *tree) bundle(id string) object { return by(t.items("bundles"), "id", id) }

func (t *tree) lineTo(point string) object { return by(t.items("lines"), "point", point) }

func (t *tree) outlet(n int) object {
	for _, o := range items(t.at("pump"), "outlets") {
		if number(o, "number") == n {
			return o
		}
	}
	return nil
}

func (t *tree) row(line int) (object, int) {
	for i, r := range items(t.at("documents", "call_out_sheet"), "rows") {
		if number(r, "line") == line {
			return r, i + 1
		}
	}
	return nil, 0
}

// The places as findings print them.

func linePlace(l object) string { return fmt.Sprintf("line %d", number(l, "number")) }

// ofLine are the places of a line: itself, and what lies along it.
func ofLine(l object) []string { return []string{linePlace(l), linePlace(l) + ", *"} }

func pointPlace(p object) string {
	if text(p, "name") == "" {
		return "point " + text(p, "id")
	}
	return fmt.Sprintf("point %s (%s)", text(p, "id"), text(p, "name"))
}

func outletPlace(n int) string { return fmt.Sprintf("outlet %d", n) }

func (t *tree) bodyName(id string) string {
	if b := by(t.items("bodies"), "id", id); b != nil && text(b, "name") != "" {
		return text(b, "name")
	}
	return id
}

// rename gives a point another name, on the call-out sheet too.
func (t *tree) rename(p object, name string) {
	p["name"] = name
	if l := t.lineTo(text(p, "id")); l != nil {
		if r, _ := t.row(number(l, "number")); r != nil {
			r["name"] = name
		}
	}
}

// steps of the procedure.
func (t *tree) step(kind string) (int, bool) {
	for i, s := range t.items("procedure") {
		if text(s, "step") == kind {
			return i, true
		}
	}
	return 0, false
}

// stepPlace is where findings about a step are, once the procedure is as it is.
func (t *tree) stepPlace(kind string) string {
	i, _ := t.step(kind)
	return fmt.Sprintf("step %d (%s)", i+1, kind)
}

// drop takes the step out; false where there is none.
func (t *tree) drop(kind string) bool {
	i, found := t.step(kind)
	if found {
		list := t.root["procedure"].([]any)
		t.root["procedure"] = slices.Delete(slices.Clone(list), i, i+1)
	}
	return found
}

// move puts the step right behind another.
func (t *tree) move(kind, behind string) bool {
	i, found := t.step(kind)
	if _, there := t.step(behind); !found || !there {
		return false
	}
	s := t.items("procedure")[i]
	t.drop(kind)
	j, _ := t.step(behind)
	t.root["procedure"] = slices.Insert(t.root["procedure"].([]any), j+1, any(s))
	return true
}

func contains(s, part string) bool { return strings.Contains(s, part) }
