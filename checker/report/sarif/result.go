package sarif

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
	"unicode/utf8"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
)

func (b *builder) results() []result {
	list := []result{}
	for i := range b.run.Kits {
		k := &b.run.Kits[i]
		first := len(list)
		b.causes, b.seen = map[string]*finding.Finding{}, map[string]int{}
		for j := range k.Findings {
			if f := &k.Findings[j]; f.Follows == "" && f.Fingerprint != "" {
				b.causes[f.Fingerprint] = f
			}
		}
		for j := range k.Findings {
			list = append(list, b.result(k, &k.Findings[j]))
		}
		if len(k.Findings) > 0 {
			b.slips(k, &list[first])
		}
	}
	for i := range b.run.Gone {
		list = append(list, b.gone(&b.run.Gone[i]))
	}
	return list
}

func (b *builder) result(k *report.Kit, f *finding.Finding) result {
	out := result{
		RuleID: report.Visible(f.Rule), RuleIndex: b.ruleIndex[f.Rule],
		Kind: "fail", Level: level(f.Severity), Rank: rank(f.Severity), Message: describe(f),
		Locations:           []location{b.location(k, f)},
		RelatedLocations:    b.related(k, f),
		PartialFingerprints: b.fingerprints(f),
		Suppressions:        b.suppressions(k, f),
		BaselineState:       b.state(f),
		Fixes:               b.fixes(k, f),
		Properties:          properties(k, f),
	}
	if f.Status == finding.NotEvaluated {
		// There was not enough to go by: an open result, which has neither level
		// nor rank (3.27.9, 3.27.10). Its severity stands among the properties.
		out.Kind, out.Level, out.Rank = "open", "none", nil
	}
	return out
}

// related are the place of the finding from which this one follows, and the
// places that belong to it.
func (b *builder) related(k *report.Kit, f *finding.Finding) []location {
	var list []location
	if cause := b.causes[f.Follows]; cause != nil {
		at := b.location(k, cause)
		says := text("It may follow from this: " + sentence(cause.Message))
		at.Message = &says
		list = append(list, at)
	}
	for _, p := range f.Related {
		says := text(sentence(p.Says))
		list = append(list, location{Message: &says, PhysicalLocation: b.physical(k, spot(p.Pos, p.Pointer, k.File)), LogicalLocations: named(k, "", p.Pointer)})
	}
	return list
}

// slips adds what one slip may explain to the kit's first result: the places
// of the values, and a fix for each of the changes. None is certain, so that a
// person chooses.
func (b *builder) slips(k *report.Kit, r *result) {
	if k.Slips == nil {
		return
	}
	for i, says := range k.Slips.Says() {
		said := text(sentence(says))
		proposed := fix{Description: said}
		for _, e := range k.Slips.Best[i].Edits {
			at := b.physical(k, spot(e.Pos, "", k.File))
			if at == nil || at.Region == nil {
				return
			}
			r.RelatedLocations = append(r.RelatedLocations, location{Message: &said, PhysicalLocation: at})
			proposed.ArtifactChanges = append(proposed.ArtifactChanges, artifactChange{
				ArtifactLocation: at.ArtifactLocation,
				Replacements: []replacement{{
					DeletedRegion:   region{StartLine: e.Pos.Line, StartColumn: e.Pos.Column, EndLine: e.Pos.Line, EndColumn: e.Pos.Column + utf8.RuneCountInString(e.From)},
					InsertedContent: message{strings.ToValidUTF8(e.To, "\ufffd")},
				}},
			})
		}
		r.Fixes = append(r.Fixes, proposed)
	}
}

// describe says where, what and what to do, in sentences of which the first is
// enough where there is little room (3.11.3).
func describe(f *finding.Finding) message {
	s := f.Message
	if f.Place != "" {
		s = f.Place + ": " + s
	}
	s = sentence(s)
	if f.Remedy != "" {
		s += " Remedy: " + sentence(f.Remedy)
	}
	return text(s)
}

// fingerprints are that of the finding, and one of its rule and its place in
// the kit alone, whatever the number of the kit is.
func (b *builder) fingerprints(f *finding.Finding) map[string]string {
	if f.Fingerprint == "" {
		return nil
	}
	key := f.Rule + "\x00" + f.Identity + "\x00" + f.Status.String()
	b.seen[key]++
	sum := sha256.Sum256(fmt.Appendf(nil, "%s\x00%d", key, b.seen[key]))
	list := fingerprint(f.Fingerprint)
	list[PlaceKey] = hex.EncodeToString(sum[:16])
	return list
}

func fingerprint(f string) map[string]string {
	if f == "" {
		return nil
	}
	return map[string]string{FingerprintKey: report.Visible(f)}
}

// suppressions says that a concession covers the finding; an empty list says
// that none does.
func (b *builder) suppressions(k *report.Kit, f *finding.Finding) *[]suppression {
	switch {
	case !b.conceded:
		return nil
	case f.Status != finding.Conceded:
		return &[]suppression{}
	}
	s := suppression{Kind: "external", Status: "accepted", Justification: "A concession covers it."}
	if c := f.Concession; c != nil {
		reason, by, until := report.Visible(c.Reason), report.Visible(c.GrantedBy), report.Visible(c.Until)
		s.Justification = fmt.Sprintf("%s Granted by %s until %s.", sentence(reason), by, until)
		s.Properties = &permission{Reason: reason, GrantedBy: by, Until: until}
		if at := b.physical(k, spot(c.Pos, "", k.File)); at != nil {
			s.Location = &location{PhysicalLocation: at}
		}
	}
	return &[]suppression{s}
}

func (b *builder) state(f *finding.Finding) string {
	switch {
	case !b.compared:
		return ""
	case f.Status == finding.Known:
		return "unchanged"
	}
	return "new"
}

// fixes proposes the correction of a finding that has one, and says who may make
// it. A remedy that is only said in words is no fix: it stands in the message
// and the properties.
func (b *builder) fixes(k *report.Kit, f *finding.Finding) []fix {
	c := k.Correction(f)
	if c == nil || len(c.Pieces) == 0 {
		return nil
	}
	at := b.physical(k, place{file: c.File})
	if at == nil {
		return nil
	}
	change := artifactChange{ArtifactLocation: at.ArtifactLocation}
	for _, p := range c.Pieces {
		change.Replacements = append(change.Replacements, replacement{
			DeletedRegion:   region{StartLine: p.Start.Line, StartColumn: p.Start.Column, EndLine: p.End.Line, EndColumn: p.End.Column},
			InsertedContent: message{strings.ToValidUTF8(p.With, "\ufffd")}, // content, not a message: as it is
		})
	}
	return []fix{{Description: text(proposal(c)), ArtifactChanges: []artifactChange{change}}}
}

// proposal is the title of a correction, with who may make it and what has to be
// looked at first.
func proposal(c *report.Correction) string {
	says := "This follows from the rest of the file."
	if c.Kind == report.Decision {
		says = "Somebody has to decide on this."
	}
	if c.Doubt != "" {
		says += " Look first: " + sentence(c.Doubt)
	}
	return sentence(c.Title) + " " + says
}

func properties(k *report.Kit, f *finding.Finding) resultProperties {
	out := resultProperties{
		Kit: report.Visible(k.Number), Revision: report.Visible(k.Revision), Document: k.Document,
		Severity: f.Severity.String(), Status: f.Status.String(),
		Place: report.Visible(f.Place), Pointer: report.Visible(f.Pointer), Identity: report.Visible(f.Identity),
		Found: report.Visible(f.Message), Remedy: report.Visible(f.Remedy), Basis: report.Visible(f.Basis),
		Value: amount(f.Value), Limit: amount(f.Limit), Margin: amount(f.Margin),
	}
	for _, t := range f.Working {
		out.Working = append(out.Working, finding.Term{Expression: report.Visible(t.Expression), Value: report.Visible(t.Value)})
	}
	return out
}

func amount(a *finding.Amount) string {
	if a == nil {
		return ""
	}
	return report.Visible(a.Text)
}

// gone is a result of the baseline that is not among those of this run. It
// tells of no failure, and stands at the kit as a whole.
func (b *builder) gone(g *finding.Entry) result {
	out := result{
		RuleID: report.Visible(g.Rule), RuleIndex: b.ruleIndex[g.Rule],
		Kind: "informational", Level: "none",
		Message:             text(sentence(g.Place + ": no longer found")),
		PartialFingerprints: fingerprint(g.Fingerprint),
		BaselineState:       "absent",
		Properties: resultProperties{
			Kit: report.Visible(g.Kit), Place: report.Visible(g.Place),
			Severity: b.rules[b.ruleIndex[g.Rule]].Severity.String(), Status: "gone",
		},
	}
	if b.conceded {
		out.Suppressions = &[]suppression{}
	}
	for i := range b.run.Kits {
		if k := &b.run.Kits[i]; k.Number == g.Kit {
			out.Locations = []location{{PhysicalLocation: b.physical(k, place{file: k.File}), LogicalLocations: named(k, g.Place, "")}}
			break
		}
	}
	return out
}
