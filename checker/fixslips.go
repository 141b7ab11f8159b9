package checker

import (
	"slices"

	"kitgauge/checker/edit"
	"kitgauge/checker/finding"
	"kitgauge/checker/slip"
	"kitgauge/checker/source"
)

// Slip is what one slip may explain, and where it stands.
type Slip struct {
	Pos  source.Pos
	Says string
}

// documentKey is a finding of one of the documents of a file.
type documentKey struct {
	document int
	key      finding.Key
}

const slipFirst = "one slip may be behind it and other findings, and comes first"

// slips looks for the slip behind what is found, and leaves the edits of what
// that explains: which value is wrong has to be known before others are brought
// in line with it. What is asked for is mended all the same.
func (x *fixer) slips() {
	x.looked = true
	if len(x.options.Rules)+len(x.options.Places) > 0 {
		return
	}
	for i, r := range x.After {
		if r.look == nil || !slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return x.mends(&f) }) {
			continue
		}
		report := r.Slips
		if x.options.Known == nil {
			report = r.look()
		}
		if report == nil {
			continue
		}
		if x.itself(i, r, report) {
			return
		}
		waits := false
		for _, f := range r.Findings {
			if x.mends(&f) && !written(&f) && !x.left[documentKey{i, f.Key()}] && explained(r, &f, report.Best) {
				x.leave(fixItem{i, f}, slipFirst)
				waits = true
			}
		}
		if !waits {
			continue
		}
		for j, says := range report.Says() {
			x.Slips = append(x.Slips, Slip{report.Best[j].Edits[0].Pos, says})
		}
	}
}

// itself makes the edits that are the one explanation; false where there are
// none, or they cannot be made.
func (x *fixer) itself(document int, r *Result, report *slip.Report) bool {
	if len(report.Best) != 1 {
		return false
	}
	var list []fixItem
	for _, f := range r.Findings {
		if x.mends(&f) && !written(&f) && !x.left[documentKey{document, f.Key()}] && same(r, f.Edits, &report.Best[0]) {
			list = append(list, fixItem{document, f})
		}
	}
	if len(list) == 0 {
		return false
	}
	made, err := x.try(list)
	x.looked = err != nil || !made
	return made
}

// explained reports whether one of equally good explanations makes the edits of
// a finding unnecessary, where they are not what it says itself. One that says
// of the same value alone that it is wrong has nothing against its edit.
func explained(r *Result, f *finding.Finding, best []slip.Explanation) bool {
	for i := range best {
		e := &best[i]
		if e.Clears[f.Key()] > 0 && (e.Left == 0 || e.Cleared > 1) && !same(r, f.Edits, e) {
			return true
		}
	}
	return false
}

// same reports whether edits are the change of an explanation; where that
// explains one finding alone it is enough that they are at its place.
func same(r *Result, edits []edit.Change, e *slip.Explanation) bool {
	matched := 0
	for _, c := range edits {
		n := r.Text.Root.Lookup(c.At)
		switch {
		case c.Do != edit.Set || n == nil:
			return false
		case slices.ContainsFunc(e.Edits, func(s slip.Edit) bool {
			return s.Document == 0 && c.At == s.Pointer && (e.Cleared == 1 || c.Value == s.To || c.Value == edit.Text(s.To))
		}):
			matched++
		case string(n.JSON()) != c.Value:
			return false
		}
	}
	return matched == len(e.Edits)
}
