package checker

import (
	"errors"
	"io/fs"
	"strings"

	"kitgauge/checker/engine"
	"kitgauge/checker/finding"
	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
	"kitgauge/schema"
)

// ConcessionsBeside is the name of the file of concessions that belongs to a
// kit file, "" where the kit is not a file with the name of one.
func ConcessionsBeside(file string) string {
	for _, ending := range kitEndings {
		if name, is := strings.CutSuffix(file, ending); is {
			return name + ".concessions.yaml"
		}
	}
	return ""
}

// beside adds the concessions of the file beside a kit to those that the kit
// states itself.
func (c *Checker) beside(r *Result, k *kit.Kit) []*source.Problem {
	name := ConcessionsBeside(r.File)
	if name == "" || c.options.On == "" {
		return nil
	}
	text, err := c.options.ReadFile(r.File, name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return []*source.Problem{{Pos: source.Pos{File: name}, Message: "the concessions cannot be read: " + PlainError(err)}}
	}
	r.Inputs = append(r.Inputs, Input{Role: RoleConcessions, Name: c.options.beneath(name), Text: text})
	docs, problems := source.Parse(name, text)
	if len(docs) == 0 {
		return problems
	}
	doc, long := kit.Truncate(docs[0])
	problems = append(append(problems, long...), schema.Validate("concessions", doc.Root)...)
	more, faults := kit.ReadConcessions(doc)
	k.Concessions = append(k.Concessions, more...)
	return append(problems, faults...)
}

// givenOf lists the concessions with what the rules of the packs in use say of
// them.
func givenOf(list []*kit.Concession, packs []*engine.Pack) []finding.Given {
	if len(list) == 0 {
		return nil
	}
	never := map[string]bool{}
	for id := range finding.ConcessionRules {
		never[id] = true
	}
	var ids []string
	for _, p := range packs {
		for _, r := range p.Rules {
			ids, never[r.ID] = append(ids, r.ID), r.Never
		}
	}
	var out []finding.Given
	for _, c := range list {
		g := finding.Given{
			Rule: c.Rule.V, Place: c.Place.V, Reason: c.Reason.V, GrantedBy: c.GrantedBy.V, Until: c.Until.V, Node: c.Node,
			Never: never[c.Rule.V],
		}
		if _, known := never[g.Rule]; !known && !strings.HasPrefix(g.Rule, "file/") {
			g.Misspelt, g.Nearest = true, spelling.Nearest(g.Rule, ids)
		}
		out = append(out, g)
	}
	return out
}

// concede applies the concessions as of a day. The findings that they give
// rise to themselves get their fingerprints here.
func (r *Result) concede(on string, given []finding.Given) {
	r.Given = len(given)
	if on == "" || len(given) == 0 {
		return
	}
	r.Findings = finding.Concede(r.Findings, r.Omitted, given, on)
	var own []finding.Finding
	for _, f := range r.Findings {
		if f.Fingerprint == "" {
			own = append(own, f)
		}
	}
	finding.Fingerprint(r.Number, own)
	for i, next := 0, 0; i < len(r.Findings); i++ {
		if r.Findings[i].Fingerprint == "" {
			r.Findings[i].Fingerprint = own[next].Fingerprint
			next++
		}
	}
}
