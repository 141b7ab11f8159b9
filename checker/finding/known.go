package finding

import (
	"slices"
	"strings"

	"kitgauge/checker/source"
	"kitgauge/checker/visible"
)

// Entry is a finding in the record of known findings.
type Entry struct {
	Fingerprint string `json:"fingerprint"`
	Rule        string `json:"rule"`
	Kit         string `json:"kit"` // the kit's number
	Place       string `json:"place"`
	State       `json:"-"`
	Line        int `json:"-"` // of the record, from 1
}

// Same reports whether two entries are of one finding in one state.
func (e Entry) Same(o Entry) bool {
	return e.Fingerprint == o.Fingerprint && e.State == o.State
}

// EntryOf is the entry of a finding of a kit.
func EntryOf(f *Finding, kit string) Entry {
	e := Entry{Fingerprint: f.Fingerprint, Rule: f.Rule, Kit: kit, Place: f.Place, State: State{Severity: f.Severity.String()}}
	if f.Value != nil {
		e.Value = f.Value.Text
	}
	return e
}

// knownHead is the first line of a record.
const knownHead = "# kitgauge known findings, one a line: fingerprint, rule, kit, place, severity, value"

// WriteKnown writes a record: one line an entry, sorted by kit, rule, place
// and fingerprint, so that two records merge line by line.
func WriteKnown(entries []Entry) []byte {
	lines := make([]string, 0, len(entries))
	for _, e := range entries {
		lines = append(lines, strings.Join([]string{e.Fingerprint, e.Rule, OneLine(e.Kit), OneLine(e.Place), stated(e.Severity), stated(OneLine(e.Value))}, "\t"))
	}
	slices.SortFunc(lines, func(a, b string) int { return strings.Compare(lineKey(a), lineKey(b)) })
	lines = slices.Compact(lines)
	return []byte(strings.Join(append([]string{knownHead}, lines...), "\n") + "\n")
}

// lineKey sorts by what a person looks for, and the fingerprint last.
func lineKey(line string) string {
	parts := strings.SplitN(line, "\t", 5)
	return strings.Join([]string{parts[2], parts[1], parts[3], parts[0], parts[4]}, "\t")
}

// OneLine keeps a text from a kit within its column, and visible.
func OneLine(text string) string {
	return visible.Harmless(strings.Join(strings.FieldsFunc(text, func(r rune) bool { return r < ' ' || r == 0x7f || r == 0x85 || r == 0x2028 || r == 0x2029 }), " "))
}

// ParseKnown reads a record. Order and repeats do not matter; empty lines and
// lines that begin with # are passed over.
func ParseKnown(file string, text []byte) ([]Entry, []*source.Problem) {
	var entries []Entry
	var problems []*source.Problem
	for i, line := range strings.Split(string(text), "\n") {
		line = strings.TrimRight(line, "\r")
		if strings.TrimSpace(line) == "" || strings.HasPrefix(line, "#") {
			continue
		}
		parts := strings.Split(line, "\t")
		if len(parts) < oldColumns || len(parts) > columns || !isFingerprint(parts[0]) || parts[1] == "" {
			if len(problems) < 20 {
				problems = append(problems, &source.Problem{Pos: source.Pos{File: file, Line: i + 1, Column: 1},
					Message: "this is no line of a record of known findings", Remedy: "a line holds fingerprint, rule, kit, place, severity and value with tabs between them; write the record anew with kitgauge known"})
			}
			continue
		}
		e := Entry{Fingerprint: parts[0], Rule: parts[1], Kit: parts[2], Place: parts[3], Line: i + 1}
		e.Severity, e.Value = column(parts, 4), column(parts, 5)
		entries = append(entries, e)
	}
	return entries, problems
}

// The columns of a line, and those of records that hold no severity and no
// value: such a line covers what is as grave as the rule's pack makes it.
const (
	columns    = 6
	oldColumns = 4
)

// column is one of a line, "" where the line ends before it.
func column(parts []string, i int) string {
	if i < len(parts) && parts[i] != nothing {
		return parts[i]
	}
	return ""
}

// nothing stands in a column that is empty, so that no line ends in a tab.
const nothing = "-"

func stated(text string) string {
	if text == "" {
		return nothing
	}
	return text
}

func isFingerprint(text string) bool {
	return len(text) == 32 && strings.Trim(text, "0123456789abcdef") == ""
}

// Recordable reports whether a finding can stand in a record: what is wrong
// with the file itself, or with a concession, cannot.
func (f *Finding) Recordable() bool {
	pack, _, _ := strings.Cut(f.Rule, "/")
	return pack != "file" && pack != "concession" && pack != "gate" && f.Status.open()
}

// MatchBaseline gives the status Known to the findings of one kit that stand in
// the record and are no worse than it holds them, a margin by a share at most.
// It returns the entries of that kit that were not found again, but for those
// of rules whose findings are not all listed.
func MatchBaseline(list []Finding, omitted []Omitted, kit string, known []Entry, share float64) (gone []Entry) {
	partly := partlyListed(omitted)
	byFingerprint := map[string]int{}
	for i := range list {
		byFingerprint[list[i].Fingerprint] = i + 1
	}
	seen := map[string]bool{}
	for _, e := range known {
		if OneLine(e.Kit) != OneLine(kit) || seen[e.Fingerprint] {
			continue
		}
		seen[e.Fingerprint] = true
		i := byFingerprint[e.Fingerprint]
		switch {
		case i == 0 && partly[e.Rule]:
		case i == 0:
			gone = append(gone, e)
		case list[i-1].Recordable():
			f := &list[i-1]
			if why := e.Worse(f, share); why != "" {
				f.Message += "; it is known, and worse than the record has it: " + why
				continue
			}
			f.Status = Known
		}
	}
	return gone
}
