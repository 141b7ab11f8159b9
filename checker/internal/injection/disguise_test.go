package injection_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"go.yaml.in/yaml/v4"

	"kitgauge/checker"
	"kitgauge/checker/faultcard"
	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

// A disguise is the same kit in other words. A fault is found in it as it is
// without.
type disguise struct {
	name string
	file string
	text func(root object) ([]byte, error)
	undo func(place string) string // gives the place in the kit without the disguise
}

var disguises = []disguise{
	{name: "as YAML", file: "kit.yaml", text: func(root object) ([]byte, error) { return yaml.Marshal(plainNumbers(root)) }},
	{name: "in the units of the other family", file: "kit.json", text: func(root object) ([]byte, error) { return json.Marshal(otherFamily(root)) }},
	{name: "with its members in another order", file: "kit.json", text: func(root object) ([]byte, error) { return backwards(root), nil }},
	{name: "with other ids", file: "kit.json", text: func(root object) ([]byte, error) { return json.Marshal(renamed(root, false)) },
		undo: func(place string) string { return strings.ReplaceAll(place, renaming, "") }},
}

// plainNumbers gives numbers the types that the writer of YAML knows.
func plainNumbers(v any) any {
	switch v := v.(type) {
	case object:
		out := object{}
		for k, m := range v {
			out[k] = plainNumbers(m)
		}
		return out
	case []any:
		out := make([]any, len(v))
		for i, m := range v {
			out[i] = plainNumbers(m)
		}
		return out
	case json.Number:
		if i, err := v.Int64(); err == nil {
			return i
		}
		f, _ := v.Float64()
		return f
	}
	return v
}

// converted are the units with that of the other family, and how many of the
// one are so many of the other: the definitions of the international yard and
// pound (1959).
var converted = []struct {
	metric, inch string
	from, to     float64 // so many of the metric unit are so many of the other
}{
	{"mm", "in", 25.4, 1}, {"cm", "in", 2.54, 1}, {"m", "ft", 0.3048, 1}, {"mm2", "in2", 645.16, 1},
	{"cm3", "in3", 16.387064, 1}, {"l", "US gal", 3.785411784, 1}, {"kg", "lb", 0.45359237, 1},
	{"bar", "psi", 4.4482216152605 / 64.516, 1}, {"N", "lbf", 4.4482216152605, 1}, {"N m", "lbf ft", 1.3558179483314004, 1},
}

// otherFamily writes every value of a kit in the unit of the other family.
func otherFamily(v any) any {
	switch v := v.(type) {
	case object:
		out := object{}
		for k, m := range v {
			out[k] = otherFamily(m)
			if family, is := m.(string); is && k == "units" {
				out[k] = map[string]string{"metric": "inch", "inch": "metric"}[family]
			}
		}
		return out
	case []any:
		out := make([]any, len(v))
		for i, m := range v {
			out[i] = otherFamily(m)
		}
		return out
	case string:
		return convert(v)
	}
	return v
}

func convert(text string) string {
	number, unit, _ := strings.Cut(text, " ")
	x, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return text
	}
	write := func(x float64, unit string) string { return strconv.FormatFloat(x, 'f', -1, 64) + " " + unit }
	switch unit {
	case "degC":
		return write(x*9/5+32, "degF")
	case "degF":
		return write((x-32)*5/9, "degC")
	}
	for _, c := range converted {
		switch unit {
		case c.metric:
			return write(x*c.to/c.from, c.inch)
		case c.inch:
			return write(x*c.from/c.to, c.metric)
		}
	}
	return text
}

// backwards writes a tree as JSON with the members of every object from the
// last to the first.
func backwards(v any) []byte {
	var b bytes.Buffer
	switch v := v.(type) {
	case object:
		b.WriteByte('{')
		for i, k := range slices.Backward(slices.Sorted(maps.Keys(v))) {
			key, _ := json.Marshal(k)
			b.Write(append(key, ':'))
			b.Write(backwards(v[k]))
			if i > 0 {
				b.WriteByte(',')
			}
		}
		b.WriteByte('}')
	case []any:
		b.WriteByte('[')
		for i, m := range v {
			if i > 0 {
				b.WriteByte(',')
			}
			b.Write(backwards(m))
		}
		b.WriteByte(']')
	default:
		text, err := json.Marshal(v)
		if err != nil {
			panic(err) // made of what JSON has
		}
		b.Write(text)
	}
	return b.Bytes()
}

// renaming begins every id that was renamed.
const renaming = "q7"

// naming are the members that are an id or name one.
var naming = []string{"id", "body", "parent", "child", "point", "points", "bundle", "leaves_at"}

// renamed gives bodies, joints, points, bundles, stations and zones other ids.
func renamed(v any, isID bool) any {
	switch v := v.(type) {
	case object:
		out := object{}
		for k, m := range v {
			out[k] = renamed(m, slices.Contains(naming, k))
		}
		return out
	case []any:
		out := make([]any, len(v))
		for i, m := range v {
			out[i] = renamed(m, isID)
		}
		return out
	case string:
		if isID && v != "" {
			return renaming + v
		}
	}
	return v
}

// found are the findings of a kit as they have to be again.
func found(r *checker.Result, undo func(string) string) []string {
	out := []string{}
	for _, f := range r.Findings {
		place := f.Place
		if undo != nil {
			place = undo(place)
		}
		out = append(out, fmt.Sprintf("%s %s at %s (%s)", f.Severity, f.Rule, place, f.Status))
	}
	slices.Sort(out)
	return out
}

// played is a card with the kit that has its fault, and what is found in it.
type played struct {
	card   faultcard.Card
	clean  *source.Document
	text   []byte
	result *checker.Result
}

// cards are those of the built-in packs, each played as it stands.
var cards = sync.OnceValues(func() ([]*played, error) {
	c := checker.OnExamples()
	packs, problems := c.Packs()
	var all []*played
	for _, pack := range packs {
		cards, more := checker.Cards(pack.Name)
		problems = append(problems, more...)
		for _, card := range cards {
			all = append(all, &played{card: card})
		}
	}
	if len(problems) > 0 {
		return nil, problems[0]
	}
	errs := make([]error, len(all))
	checker.Parallel(len(all), func(i int) {
		if err := all[i].play(c); err != nil {
			errs[i] = fmt.Errorf("%s: %s: %w", all[i].card.Rule, all[i].card.Fault, err)
		}
	})
	return all, errors.Join(errs...)
})

func (p *played) play(c *checker.Checker) (err error) {
	if p.clean, err = checker.Clean(p.card.Kit); err != nil {
		return err
	}
	if p.text, err = p.card.Apply(p.clean); err != nil {
		return err
	}
	p.result, err = c.PlayText(&p.card, p.clean.File, p.text)
	return err
}

// disguised says what a disguise changes of what is found; "" is nothing.
func (p *played) disguised(c *checker.Checker, d *disguise) (string, error) {
	root, err := parse(p.text)
	if err != nil {
		return "", err
	}
	text, err := d.text(root)
	if err != nil {
		return "", err
	}
	if bytes.Equal(text, p.text) {
		return "", errors.New("it is no disguise: the text is the same")
	}
	dir, _, _ := strings.Cut(p.clean.File, p.card.Kit+".kit")
	r, err := c.PlayText(&p.card, dir+d.file, text)
	if err != nil {
		return "", err
	}
	return cmp.Diff(found(p.result, nil), found(r, d.undo)), nil
}

// TestCardsAsTheyStand holds what the disguises are held to.
func TestCardsAsTheyStand(t *testing.T) {
	all, err := cards()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range all {
		for _, d := range p.card.Compare(p.result.Findings) {
			t.Errorf("%s: %s: %s", p.card.Rule, p.card.Fault, d)
		}
	}
}

// TestDisguises plays the fault cards in disguise: what is found is what is
// found without. A rule needs nothing for it but its card. Without -full each
// card has one disguise.
func TestDisguises(t *testing.T) {
	c := checker.OnExamples()
	all, err := cards()
	if err != nil {
		t.Fatal(err)
	}
	for n, d := range disguises {
		t.Run(d.name, func(t *testing.T) {
			says, errs := make([]string, len(all)), make([]error, len(all))
			checker.Parallel(len(all), func(i int) {
				if *full || i%len(disguises) == n {
					says[i], errs[i] = all[i].disguised(c, &d)
				}
			})
			for i, p := range all {
				if errs[i] != nil || says[i] != "" {
					t.Errorf("%s: %s: %v (-as it stands, +disguised)\n%s", p.card.Rule, p.card.Fault, errs[i], says[i])
				}
			}
		})
	}
}

// sections are the members of the kit that a patch changes.
func (p *played) sections() []string {
	var list []string
	for _, o := range p.card.Patch {
		for _, path := range []string{o.Path, o.From} {
			if parts := strings.Split(path, "/"); len(parts) > 1 {
				list = append(list, parts[1])
			}
		}
	}
	return list
}

// untouched reports whether two faults can be in one kit without touching:
// they are in different members of it, and no rule finds both.
func untouched(a, b *played) bool {
	if a.card.Kit != b.card.Kit || len(a.card.Limits)+len(b.card.Limits) > 0 || pack(a) == pack(b) {
		return false
	}
	if spreads(a) || spreads(b) || renumbers(a) && onLines(b) || renumbers(b) && onLines(a) {
		return false
	}
	for _, s := range a.sections() {
		if slices.Contains(b.sections(), s) {
			return false
		}
	}
	for _, p := range []*played{a, b} {
		if len(p.card.Catalogue) > 0 {
			return false // the catalogue is no part of the kit's text
		}
	}
	for i := range a.result.Findings {
		rule := a.result.Findings[i].Rule
		if slices.ContainsFunc(b.result.Findings, func(f finding.Finding) bool { return f.Rule == rule }) {
			return false
		}
	}
	return true
}

// spreads reports whether a fault of the survey is found by other packs too:
// what was measured wrongly changes what is worked out everywhere.
func spreads(p *played) bool {
	if pack(p) == "survey" && (slices.Contains(p.sections(), "zones") || slices.Contains(p.sections(), "joints")) {
		return true // of a zone that is gone nothing is said any more, and what a joint moves is moved otherwise
	}
	if pack(p) == "procedure" {
		return true // its steps name the lines, whose numbers others change
	}
	return pack(p) == "survey" && slices.ContainsFunc(p.result.Findings, func(f finding.Finding) bool { return !strings.HasPrefix(f.Rule, "survey/") })
}

// renumbers reports whether a fault changes the number of a line, which is its
// name.
func renumbers(p *played) bool {
	return slices.ContainsFunc(p.card.Patch, func(o faultcard.Operation) bool {
		return strings.HasPrefix(o.Path, "/lines/") && strings.HasSuffix(o.Path, "/number")
	})
}

// onLines reports whether something is found at a line.
func onLines(p *played) bool {
	return slices.ContainsFunc(p.result.Findings, func(f finding.Finding) bool { return strings.HasPrefix(f.Place, "line ") })
}

func pack(p *played) string { name, _, _ := strings.Cut(p.card.Rule, "/"); return name }

// together checks a kit with all of the faults, and says what is otherwise
// than with each alone.
func together(c *checker.Checker, group []*played) (string, error) {
	text, want := group[0].text, found(group[0].result, nil)
	for _, p := range group[1:] {
		docs, problems := source.Parse(p.clean.File, text)
		if len(problems) > 0 {
			return "", problems[0]
		}
		var err error
		if text, err = p.card.Apply(docs[0]); err != nil {
			return "", err
		}
		want = append(want, found(p.result, nil)...)
	}
	results, err := c.Check(group[0].clean.File, text)
	if err != nil {
		return "", err
	}
	slices.Sort(want)
	return cmp.Diff(want, found(results[0], nil)), nil
}

// TestManyFaults puts faults of different packs into one kit, where their
// patches do not touch: all of them are found, and no more.
func TestManyFaults(t *testing.T) {
	c := checker.OnExamples()
	all, err := cards()
	if err != nil {
		t.Fatal(err)
	}
	list := groups(all)
	says, errs := make([]string, len(list)), make([]error, len(list))
	checker.Parallel(len(list), func(i int) { says[i], errs[i] = together(c, list[i]) })
	for i, group := range list {
		if errs[i] == nil && says[i] == "" {
			continue
		}
		var names []string
		for _, p := range group {
			names = append(names, p.card.Rule+": "+p.card.Fault)
		}
		t.Errorf("%s: %v (-each alone, +together)\n%s", strings.Join(names, " and "), errs[i], says[i])
	}
}

// most is how many faults are put into one kit.
const most = 3

// groups are the cards in groups that do not touch, each card in one of them;
// one that touches all others is left out.
func groups(all []*played) [][]*played {
	var list [][]*played
	taken := make([]bool, len(all))
	for i, a := range all {
		if taken[i] {
			continue
		}
		group := []*played{a}
		for j := range all {
			at := (i + 1 + j) % len(all)
			fits := !taken[at] && at > i && !slices.ContainsFunc(group, func(p *played) bool { return !untouched(p, all[at]) })
			if fits && len(group) < most {
				group, taken[at] = append(group, all[at]), true
			}
		}
		if len(group) > 1 {
			list = append(list, group)
		}
	}
	return list
}
