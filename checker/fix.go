package checker

import (
	"context"
	"fmt"
	"slices"
	"time"

	"kitgauge/checker/edit"
	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

// FixOptions says which findings are mended. Where it names none, that are
// those whose edits follow from the rest of the file, and that follow from no
// other finding: what the other is about has to be put right first. Findings
// that are asked for are mended whatever their edits rest on, and no others.
type FixOptions struct {
	Rules  []string // ids
	Places []string // as findings name them, "line 7", with all that is within; or a name alone
	// Known is what a check of the text has found already. The slips behind it
	// are then those that the check looked for, and no others are looked for.
	Known []*Result
}

// Fix is a file with the findings mended that can be.
type Fix struct {
	Text          []byte
	Before, After []*Result // the file as it was, and as it is with Text
	Made          []Mended
	Left          []Unmended // edits that were tried, and not made
	Places        []string   // that were asked for, as findings name them
	Slips         []Slip     // that may be behind what is found: they come first
	Checks        int        // how often the file was checked
}

// Mended is a finding that was mended, and how.
type Mended struct {
	finding.Finding
	Was []string // what stood at the place of each edit, as JSON; "" where nothing did
}

// Unmended is a finding whose edits were not made, and why.
type Unmended struct {
	finding.Finding
	Why      string
	document int // in the results
}

// What mending a file may take. An edit takes the reading of its text, values
// that are set together one reading for all; a check takes some four.
const (
	mostFixChecks = 200      // of the file
	mostFixBytes  = 40 << 20 // that are read
	bytesOfCheck  = 4        // for each byte of the file
	bytesOfFound  = 2000     // for each finding, which takes its working
)

// Fix mends the findings of a file, as often as that brings more that can be
// mended. Edits that would add a finding, make one worse, or leave theirs as it
// is are left out, and said.
func (c *Checker) Fix(file string, text []byte, o FixOptions) (*Fix, error) {
	return c.FixContext(context.Background(), file, text, o)
}

// FixContext is Fix that is given up, with the error of the context, once that
// ends.
func (c *Checker) FixContext(ctx context.Context, file string, text []byte, o FixOptions) (*Fix, error) {
	results := o.Known
	if results == nil {
		found, err := c.CheckContext(ctx, file, text)
		if err != nil {
			return nil, err
		}
		results = found
	}
	places, err := meant(results, o.Places)
	if err != nil {
		return nil, err
	}
	o.Places = places
	x := &fixer{ctx: ctx, checker: c, file: file, options: o, Fix: Fix{Text: text, Before: results, After: results, Places: places}, left: map[documentKey]bool{}, watch: newWatch(c.options.Time, time.Now())}
	defer x.watch.stop()
	x.checked(text, results)
	if err := x.mend(); err != nil {
		return nil, err
	}
	x.waiting()
	return &x.Fix, nil
}

// mend makes edits until none is left that can be made.
func (x *fixer) mend() error {
	for {
		todo := x.todo()
		if !x.looked && (len(todo) == 0 || !written(&todo[0].finding)) {
			x.slips()
			continue
		}
		if len(todo) == 0 && !x.again() {
			return nil
		}
		if len(todo) == 0 {
			continue
		}
		if x.over() {
			for _, it := range todo {
				x.leave(it, "not tried: the mending has taken what it may; run fix again for what is left")
			}
			return nil
		}
		x.looked = x.looked && !written(&todo[0].finding)
		if _, err := x.try(x.few(todo)); err != nil {
			return err
		}
	}
}

// fixer mends one file.
type fixer struct {
	Fix
	ctx     context.Context
	checker *Checker
	file    string
	options FixOptions
	left    map[documentKey]bool
	watch   *watch
	read    int  // bytes, by edits and checks
	retried int  // how many were mended when what was left was tried last
	looked  bool // for slips, since the file was last written otherwise
}

// over reports whether the mending has taken what it may.
func (x *fixer) over() bool {
	return x.Checks >= mostFixChecks || x.read >= mostFixBytes || x.watch.late()
}

// few are the first of some findings whose edits take no more than a part of
// what may be taken; one at least.
func (x *fixer) few(items []fixItem) []fixItem {
	for n := len(items); n > 1; n /= 2 {
		if x.bytesOf(items[:n]) <= mostFixBytes/4 {
			return items[:n]
		}
	}
	return items[:1]
}

// bytesOf is what the edits of findings take.
func (x *fixer) bytesOf(items []fixItem) int {
	readings := 1
	for _, it := range items {
		for _, c := range it.finding.Edits {
			if c.Do != edit.Set {
				readings++
			}
		}
	}
	return readings * len(x.Text)
}

// checked counts a check.
func (x *fixer) checked(text []byte, found []*Result) {
	x.Checks++
	x.read += bytesOfCheck * len(text)
	for _, r := range found {
		x.read += bytesOfFound * len(r.Findings)
	}
}

// again takes up what was left before something else was mended: there may be
// room for it now. False where there is nothing.
func (x *fixer) again() bool {
	if x.retried == len(x.Made) || len(x.Left) == 0 || x.over() {
		return false
	}
	x.retried = len(x.Made)
	kept := x.Left[:0]
	left := map[documentKey]bool{}
	for _, u := range x.Left {
		if u.Why == slipFirst {
			kept = append(kept, u)
			left[documentKey{u.document, u.Key()}] = true
		}
	}
	x.Left, x.left = kept, left
	return true
}

// Hidden lists what was found before, was not mended itself, and is no longer
// found because what follows from it was mended, or is critical.
func (f *Fix) Hidden() []finding.Finding {
	made, follows := map[rulePlace]bool{}, map[string]bool{}
	for _, m := range f.Made {
		made[placeOf(&m.Finding)], follows[m.Follows] = true, true
	}
	var list []finding.Finding
	for i, r := range f.Before {
		if i >= len(f.After) {
			break
		}
		still := weigh(f.After[i].Findings)
		for _, was := range r.Findings {
			k := placeOf(&was)
			if was.Status == finding.Violated && still[k].count == 0 && !made[k] && (was.Severity == finding.Critical || follows[was.Fingerprint]) {
				list = append(list, was)
			}
		}
	}
	return list
}

// fixItem is a finding to be mended, with its document.
type fixItem struct {
	document int // in the results
	finding  finding.Finding
}

// todo lists what can be mended now: first how the file is written, since what
// is found beside that may not be so, then names, which others follow.
func (x *fixer) todo() []fixItem {
	var first, names, rest []fixItem
	for i, r := range x.After {
		many := x.tooMany(r)
		for _, f := range r.Findings {
			if many && !written(&f) || !x.mends(&f) || x.left[documentKey{i, f.Key()}] || x.disputed(r, &f) != "" {
				continue
			}
			switch {
			case written(&f):
				first = append(first, fixItem{i, f})
			case f.Rule == "file/reference":
				names = append(names, fixItem{i, f})
			default:
				rest = append(rest, fixItem{i, f})
			}
		}
	}
	if len(first) > 0 {
		return first
	}
	if len(names) > 0 {
		return names
	}
	return rest
}

// written tells what is wrong with how the file is written: once it is mended,
// more can be found, which was hidden before.
func written(f *finding.Finding) bool { return f.Rule == "file/shape" || f.Rule == "file/value" }

func (x *fixer) mends(f *finding.Finding) bool {
	switch {
	case f.Status != finding.Violated || len(f.Edits) == 0 || f.Pos.File != x.file:
		return false
	case len(x.options.Rules) == 0 && len(x.options.Places) == 0:
		return !f.Choice && f.Follows == ""
	case len(x.options.Rules) > 0 && !slices.Contains(x.options.Rules, f.Rule):
		return false
	}
	return len(x.options.Places) == 0 || slices.ContainsFunc(x.options.Places, func(place string) bool {
		return at(f.Place, place)
	})
}

// disputed is the rule of another finding about the value from which the edits
// of one would be taken, "" where there is none: who lists a part first makes
// sure that it is the right one.
func (x *fixer) disputed(r *Result, f *finding.Finding) string {
	if len(x.options.Rules)+len(x.options.Places) > 0 {
		return ""
	}
	return r.disputed(f)
}

func (r *Result) disputed(f *finding.Finding) string {
	if r.Text.Root == nil {
		return ""
	}
	if rule := r.torn(); rule != "" && !written(f) {
		return rule
	}
	if rule := r.unsure(f); rule != "" {
		return rule
	}
	if n := r.Text.Root.Lookup(f.Pointer); n == nil || n.Kind > source.Text {
		return ""
	}
	if slices.ContainsFunc(f.Edits, func(c edit.Change) bool { return c.At == f.Pointer }) {
		return ""
	}
	for _, other := range r.Findings {
		if other.Pointer == f.Pointer && other.Rule != f.Rule && other.Status == finding.Violated && (other.Choice || len(other.Edits) == 0) {
			return other.Rule
		}
	}
	return ""
}

// torn is the rule of a finding by which the kit is not built as it was meant:
// what stands in one thing or list may belong to another, and nothing that is
// counted or compared is certain. "" where there is none.
func (r *Result) torn() string {
	for i := range r.Findings {
		f := &r.Findings[i]
		if f.Status != finding.Violated || f.Pos.File != r.File {
			continue
		}
		if f.Rule == "file/syntax" && f.Pointer == "" {
			return f.Rule
		}
		n := r.Text.Root.Lookup(f.Pointer)
		if f.Rule == "file/shape" && n != nil && (n.Kind >= source.List || n.KeyPos() == f.Pos) {
			return f.Rule
		}
	}
	return ""
}

const restsOn = "another finding is about the value that it rests on, and comes first: "

// mostWeighed is how many findings of a kit are held against each other, to
// tell which come first.
const mostWeighed = 1000

var tooManyToWeigh = fmt.Sprintf("more than %d findings stand, and which of them come first is not looked for: name what is to be mended with --rule or --place", mostWeighed)

func (x *fixer) tooMany(r *Result) bool {
	return len(x.options.Rules)+len(x.options.Places) == 0 && len(r.Findings) > mostWeighed
}

// waiting lists what was not mended because of another finding.
func (x *fixer) waiting() {
	for i, r := range x.After {
		if x.tooMany(r) {
			x.Left = append(x.Left, Unmended{Why: tooManyToWeigh, Finding: finding.Finding{Rule: ruleListed, Place: "the file"}})
			continue
		}
		for _, f := range r.Findings {
			if x.mends(&f) && !x.left[documentKey{i, f.Key()}] {
				if rule := x.disputed(r, &f); rule != "" {
					x.leave(fixItem{i, f}, restsOn+rule)
				}
			}
		}
	}
}

// try makes the edits of some findings, or of as many of them as can be made;
// false where none can.
func (x *fixer) try(items []fixItem) (bool, error) {
	if x.over() {
		return false, nil // they stay to be told
	}
	text, why := x.apply(items)
	if why == "" {
		results, err := x.checker.CheckContext(x.ctx, x.file, text)
		if err != nil {
			return false, err
		}
		x.checked(text, results)
		if why = worse(items, x.After, results); why == "" {
			x.accept(items, text, results)
			return true, nil
		}
		if len(items) == 1 {
			if made, err := x.together(items[0], text, results); made || err != nil {
				return made, err
			}
		}
	}
	if len(items) == 1 {
		x.leave(items[0], why)
		return false, nil
	}
	if made, err := x.try(items[:len(items)/2]); made || err != nil {
		return made, err // the rest names places of the text as it was
	}
	return x.try(items[len(items)/2:])
}

// step is a text with what is found in it, and the findings whose edits led to
// it.
type step struct {
	items   []fixItem
	text    []byte
	results []*Result
}

// longestChain is how many steps one edit may bring with it.
const longestChain = 4

// together makes an edit with those that mend what it alone would add: with
// another part, its row of the parts list, and the row of the part that it
// takes the place of.
func (x *fixer) together(it fixItem, text []byte, results []*Result) (bool, error) {
	steps := []step{{[]fixItem{it}, text, results}}
	for range longestChain {
		last := steps[len(steps)-1]
		added := x.added(last.results, it.finding.Choice)
		if len(added) == 0 {
			return false, nil
		}
		text, why := apply(last.text, last.results, added)
		if why != "" {
			return false, nil
		}
		results, err := x.checker.CheckContext(x.ctx, x.file, text)
		if err != nil {
			return false, err
		}
		x.checked(text, results)
		steps = append(steps, step{added, text, results})
		if worse([]fixItem{it}, x.After, results) == "" {
			for _, s := range steps {
				x.accept(s.items, s.text, s.results)
			}
			return true, nil
		}
	}
	return false, nil
}

// added lists what was not found before and has an edit; one that somebody has
// to decide on only where the edit that leads to it was decided on.
func (x *fixer) added(results []*Result, decided bool) []fixItem {
	var list []fixItem
	for i, r := range results {
		was := map[rulePlace]weight{}
		if i < len(x.After) {
			was = weigh(x.After[i].Findings)
		}
		for _, f := range r.Findings {
			if was[placeOf(&f)].count == 0 && f.Status == finding.Violated && len(f.Edits) > 0 && (decided || !f.Choice) && f.Pos.File == x.file {
				list = append(list, fixItem{i, f})
			}
		}
	}
	return list
}

func (x *fixer) apply(items []fixItem) (text []byte, why string) {
	x.read += x.bytesOf(items)
	return apply(x.Text, x.After, items)
}

// apply makes the edits of findings of a text.
func apply(text []byte, results []*Result, items []fixItem) (_ []byte, why string) {
	for i, r := range results {
		var changes []edit.Change
		for _, it := range items {
			if it.document == i {
				changes = append(changes, it.finding.Edits...)
			}
		}
		if len(changes) == 0 {
			continue
		}
		var err error
		if text, err = edit.Apply(text, r.Document, changes...); err != nil {
			return nil, err.Error()
		}
	}
	return text, ""
}

func (x *fixer) leave(it fixItem, why string) {
	x.left[documentKey{it.document, it.finding.Key()}] = true
	x.Left = append(x.Left, Unmended{it.finding, why, it.document})
}

func (x *fixer) accept(items []fixItem, text []byte, results []*Result) {
	for _, it := range items {
		m := Mended{Finding: it.finding}
		for _, c := range it.finding.Edits {
			was := ""
			if n := x.After[it.document].Text.Root.Lookup(c.At); n != nil && c.Do != edit.Insert {
				was = string(n.JSON())
			}
			m.Was = append(m.Was, was)
		}
		x.Made = append(x.Made, m)
	}
	x.Text, x.After = text, results
}

// worse says what speaks against edits: a finding that they add or make graver,
// or one of theirs that stays.
func worse(items []fixItem, before, after []*Result) string {
	if len(before) != len(after) {
		return "the file would hold another number of kits"
	}
	hidden := !slices.ContainsFunc(items, func(it fixItem) bool { return !written(&it.finding) })
	for i := range before {
		was, is := weigh(before[i].Findings), weigh(after[i].Findings)
		for _, it := range items {
			if k := placeOf(&it.finding); it.document == i && is[k].count >= was[k].count {
				return "it would not clear the finding"
			}
		}
		for _, f := range after[i].Findings {
			k := placeOf(&f)
			if !hidden && (is[k].count > was[k].count || is[k].worst > was[k].worst) {
				return fmt.Sprintf("it would add or worsen %s, %s: %s", f.Rule, f.Place, f.Message)
			}
		}
	}
	return ""
}

// rulePlace is what makes a finding the same before and after an edit, which
// may move it in the file.
type rulePlace struct{ rule, place string }

func placeOf(f *finding.Finding) rulePlace { return rulePlace{f.Rule, f.Place} }

type weight struct {
	count int
	worst finding.Severity
}

func weigh(list []finding.Finding) map[rulePlace]weight {
	out := map[rulePlace]weight{}
	for i := range list {
		f := &list[i]
		if f.Status == finding.Violated || f.Status == finding.NotEvaluated {
			k := placeOf(f)
			out[k] = weight{out[k].count + 1, max(out[k].worst, f.Severity)}
		}
	}
	return out
}
