package checker

import (
	"fmt"
	"maps"
	"strings"

	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

// fileRules are the faults of the file itself. They are findings like those
// of the packs, so that one list holds all that is wrong.
var fileRules = map[string]string{
	"file/syntax":      "The file can be read",
	"file/shape":       "The file has the shape of a kit",
	"file/value":       "Every value is of its kind, with its unit",
	"file/catalogue":   "The parts catalogues can be read",
	"file/reference":   "Every name leads to something",
	"file/concessions": "The concessions beside the kit can be read",
	"file/time":        "The check comes to its end in time",
	ruleListed:         "All that is found is listed",
}

// ruleListed is the finding that counts those that are not listed.
const ruleListed = "file/listed"

// FileRules lists the ids and titles of the findings that stand in no pack:
// the faults of the file itself, and those of concessions.
func FileRules() map[string]string {
	all := maps.Clone(fileRules)
	maps.Copy(all, finding.ConcessionRules)
	return all
}

// fault adds problems as findings. All but a reference that leads nowhere
// mean that the kit was not checked in full.
func (r *Result) fault(rule string, problems ...*source.Problem) {
	for _, p := range problems {
		f := finding.Finding{
			Rule: rule, Title: fileRules[rule], Severity: finding.Major, Status: finding.Violated,
			Pos: p.Pos, Message: p.Message, Remedy: p.Remedy, Basis: "the schemas of kit and parts",
			Place: "the file",
		}
		if rule == "file/time" {
			f.Basis = "the time that is allowed for the check of one kit"
		}
		if p.Node != nil {
			f.Pointer, f.Identity, f.Place = p.Node.Pointer(), p.Node.Identity(), place(p.Node)
			f.Edit = respelt(p)
		}
		r.Findings = append(r.Findings, f)
		if rule != "file/reference" {
			r.Shaped = false
		}
	}
}

// respelt is the edit that puts the key that is meant in the place of a
// misspelt one, where that stands in the file as it reads, in quotes or not.
func respelt(p *source.Problem) *finding.Edit {
	if p.Key == "" {
		return nil // before the line is looked for, which takes as long as the file is
	}
	line := []rune(p.Node.Document().Line(p.Pos.Line))
	if p.Pos.Column < 1 || p.Pos.Column > len(line) {
		return nil
	}
	pos, rest := p.Pos, string(line[p.Pos.Column-1:])
	if strings.HasPrefix(rest, `"`) || strings.HasPrefix(rest, "'") {
		pos.Column++
		rest = rest[1:]
	}
	if key := p.Node.Key(); strings.HasPrefix(rest, key) {
		return &finding.Edit{Pos: pos, Delete: len([]rune(key)), Insert: p.Key}
	}
	return nil
}

// seal sorts the findings, drops repeats and gives them their fingerprints.
func (r *Result) seal(kit string) {
	r.Outcome.Findings = nil
	finding.Sort(r.Findings)
	kept := r.Findings[:0]
	for i, f := range r.Findings {
		if i > 0 && sameFault(f, r.Findings[i-1]) {
			continue
		}
		kept = append(kept, f)
	}
	r.Findings = kept
	finding.Fingerprint(kit, r.Findings)
}

// sameFault tells a wrong value that both schema and model report.
func sameFault(a, b finding.Finding) bool {
	file := strings.HasPrefix(a.Rule, "file/") && strings.HasPrefix(b.Rule, "file/")
	return file && a.Pos == b.Pos && (a.Message == b.Message || a.Rule == "file/value" && b.Rule == "file/shape")
}

var sections = map[string]string{
	"lines": "line", "points": "point", "bundles": "bundle", "bodies": "body", "joints": "joint",
	"zones": "zone", "parts_list": "parts list, part", "parts": "part", "procedure": "step", "concessions": "concession",
}

// place names the part of the file that holds the node in the trade's words.
func place(n *source.Node) string {
	var path []*source.Node
	for ; n.Parent() != nil; n = n.Parent() {
		path = append(path, n)
	}
	if len(path) == 0 {
		return "the file"
	}
	section := path[len(path)-1].Key()
	if section == "" {
		return "the file" // a key without a name
	}
	word, listed := sections[section]
	if !listed || len(path) < 2 {
		return strings.ReplaceAll(section, "_", " ")
	}
	item := path[len(path)-2]
	for _, key := range []string{"number", "id", "part", "rule"} {
		if v := item.Get(key); v != nil && v.Scalar != "" {
			return word + " " + v.Scalar
		}
	}
	index := 0
	fmt.Sscan(item.Key(), &index)
	return fmt.Sprintf("%s %d in the list", word, index+1)
}
