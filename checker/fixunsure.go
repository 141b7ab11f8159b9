package checker

import (
	"path"
	"slices"
	"strings"

	"kitgauge/checker/edit"
	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

// unsure is the rule of another finding, which somebody has to decide on, about
// what the edits of one rest on: a value that they copy, the number by which a
// row is found, or the place at which a part is used. "" where there is none.
func (r *Result) unsure(f *finding.Finding) string {
	for _, other := range r.Findings {
		if other.Rule == f.Rule || other.Status != finding.Violated || len(other.Edits) > 0 && !other.Choice || other.Pos.File != r.File {
			continue
		}
		if slices.ContainsFunc(f.Edits, func(c edit.Change) bool {
			return r.numbered(c, &other) || r.copied(c, &other) || r.counted(c, &other)
		}) {
			return other.Rule
		}
	}
	return ""
}

// numbers are the lists of which a row is found by a number, with what else is
// written by those numbers.
var numbers = []struct{ key, list string }{
	{"number", "/lines/"}, {"line", "/documents/call_out_sheet/rows/"},
}

// numbered reports whether an edit goes by numbers one of which another finding
// calls wrong: markers and rows.
func (r *Result) numbered(c edit.Change, other *finding.Finding) bool {
	sheet := strings.HasPrefix(c.At, "/documents/call_out_sheet/rows/")
	marker := strings.HasPrefix(c.At, "/lines/") && strings.HasSuffix(c.At, "_marker")
	for _, n := range numbers {
		if strings.HasPrefix(other.Pointer, n.list) && path.Base(other.Pointer) == n.key {
			return sheet || marker && n.list == "/lines/"
		}
	}
	return false
}

// copied reports whether an edit writes a text that stands at the place of
// another finding, which calls it wrong.
func (r *Result) copied(c edit.Change, other *finding.Finding) bool {
	n := r.Text.Root.Lookup(other.Pointer)
	if n == nil || n.Kind != source.Text || c.Do == edit.Rename || c.Do == edit.Remove || c.At == other.Pointer {
		return false
	}
	text := edit.Text(n.Scalar)
	return c.Value == text || c.Do == edit.Insert && strings.Contains(c.Value, ": "+text)
}

// disputing are the packs that say that another part is wanted.
var disputing = []string{"dosing/", "fittings/", "flow/", "ports/", "routing/"}

// counted reports whether an edit lists as many of a part as are used, where
// another finding is about one of the places at which it is.
func (r *Result) counted(c edit.Change, other *finding.Finding) bool {
	if !strings.HasPrefix(c.At, "/parts_list/") || !slices.ContainsFunc(disputing, func(pack string) bool { return strings.HasPrefix(other.Rule, pack) }) {
		return false
	}
	part := ""
	if row := r.Text.Root.Lookup(path.Dir(c.At)); c.Do == edit.Set && row != nil && row.Get("part") != nil {
		part = row.Get("part").Scalar
	}
	return slices.ContainsFunc(r.users(c, part), func(at string) bool {
		return other.Pointer == at || strings.HasPrefix(other.Pointer, at+"/")
	})
}

// users are the places of the lines and outlets that use a part, or the part of
// the row that an edit adds, with the points that elements feed.
func (r *Result) users(c edit.Change, part string) []string {
	var list []string
	uses := func(n *source.Node) bool {
		return slices.ContainsFunc(n.Items, func(v *source.Node) bool {
			return v.Kind == source.Text && (v.Scalar == part || c.Do == edit.Insert && strings.Contains(c.Value, `"part": `+edit.Text(v.Scalar)))
		})
	}
	fed := map[string]bool{}
	for _, outlet := range items(r.Text.Root.Get("pump").Get("outlets")) {
		if uses(outlet) {
			list = append(list, outlet.Pointer())
			fed[scalar(outlet, "number")] = true
		}
	}
	points := map[string]bool{}
	for _, line := range items(r.Text.Root.Get("lines")) {
		feeds := fed[scalar(line, "outlet")]
		if feeds || uses(line) {
			list = append(list, line.Pointer())
		}
		points[scalar(line, "point")] = points[scalar(line, "point")] || feeds
	}
	for _, point := range items(r.Text.Root.Get("points")) {
		if points[scalar(point, "id")] {
			list = append(list, point.Pointer())
		}
	}
	return list
}

func items(list *source.Node) []*source.Node {
	if list == nil {
		return nil
	}
	return list.Items
}

// scalar is what stands under a key of a thing; "" where nothing does.
func scalar(n *source.Node, key string) string {
	if v := n.Get(key); v != nil {
		return v.Scalar
	}
	return ""
}
