package dossier

import (
	"fmt"
	"slices"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
)

// settledFindings are those that do not count against the gate, and why.
type settledFindings struct {
	None   bool
	Given  *table // the concessions
	Groups []group
	Gone   *table // known findings that were not found again
}

func (e *entries) settled(in *Input) *settledFindings {
	m := &settledFindings{Given: e.given(in)}
	m.Groups = e.group(nil, "Conceded", func(one *entry) bool { return one.status == finding.Conceded })
	m.Groups = e.group(m.Groups, "Known, and not counted", func(one *entry) bool { return one.status == finding.Known })
	if len(in.Run.Gone) > 0 {
		m.Gone = &table{ID: "gone-caption", Caption: "These can leave the record of known findings", Head: heads("rule", "kit", "place")}
		for _, g := range in.Run.Gone {
			m.Gone.Rows = append(m.Gone.Rows, row(g.Rule, g.Kit, g.Place))
		}
	}
	m.None = m.Given == nil && m.Groups == nil && m.Gone == nil
	return m
}

// given lists the concessions of the kit with what each of them does.
func (e *entries) given(in *Input) *table {
	if in.Facts == nil || len(in.Facts.Granted) == 0 {
		return nil
	}
	t := &table{ID: "concessions-caption", Caption: "Permissions to release what does not conform (ISO 9000)", Head: heads("for", "at", "reason", "granted by", "until", "covers")}
	for _, g := range in.Facts.Granted {
		t.Rows = append(t.Rows, row(g.Rule.V, g.Concession.Place.V, g.Reason.V, g.GrantedBy.V, g.Until.V, e.covers(in, g)))
	}
	return t
}

// covers says what became of a concession.
func (e *entries) covers(in *Input, g *facts.GrantedConcession) string {
	at := g.Node.Pos()
	n := 0
	for i := range e.list {
		if e.list[i].Concession != nil && e.list[i].concededAt == at {
			n++
		}
	}
	if n > 0 {
		return fmt.Sprintf("%d", n)
	}
	says := map[string]string{
		finding.ConcessionExpired: "nothing: it has ended", finding.ConcessionUnused: "nothing: there is nothing to cover",
		finding.ConcessionImpossible: "nothing: what is not known cannot be conceded", finding.ConcessionForbidden: "nothing: it cannot be conceded",
		finding.ConcessionTooLong: "nothing: it runs for too long", finding.ConcessionMisspelt: "nothing: there is no such rule",
		finding.ConcessionOutgrown: "nothing: it was granted for less", finding.ConcessionByDrawer: "nothing: who drew the kit cannot grant it",
		finding.ConcessionByNobody: "nothing: it does not say by whom",
	}
	own := func(f finding.Finding) bool {
		return f.Pos.File == at.File && (f.Pointer == g.Node.Pointer() || strings.HasPrefix(f.Pointer, g.Node.Pointer()+"/")) && says[f.Rule] != ""
	}
	list := in.Run.Kits[0].Findings
	if i := slices.IndexFunc(list, own); i >= 0 {
		return says[list[i].Rule]
	}
	return "nothing: it is not complete, or was not judged"
}
