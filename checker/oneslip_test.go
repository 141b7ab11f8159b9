package checker_test

import (
	"bytes"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/finding"
)

// TestOneSlip makes one slip in a kit: it is one finding at its place, and what
// else is found follows from that.
func TestOneSlip(t *testing.T) {
	for _, tt := range []struct{ kit, was, is, rule, says string }{
		{"trailer", "\n    outlet: 2\n", "\n    outlet: 010\n", "file/syntax", "010 can be read as more than one number"},
		{"trailer", "\n    outlet: 2\n", "\n    outlet: 1e3\n", "file/value", `outlet is "1e3"; a whole number is needed`},
		{"trailer", "\n    outlet: 2\n", "\n    outlet: two\n", "file/shape", `outlet is "two"; a whole number is needed`},
		{"trailer", "cut_length: 1265 mm", "cut_length: .nan", "file/syntax", ".nan is not a finite number"},
		{"trailer", "cut_length: 1265 mm", "cut_length: .inf", "file/syntax", ".inf is not a finite number"},
		{"trailer", "axis: [0, 0, 1]", "axis: [0, 0, .nan]", "file/syntax", ".nan is not a finite number"},
		{"trailer", "pause: 58 min", "pause: 1:30", "file/value", "unknown unit"},
		{"trailer", "date: 2026-10-02", "date: 02.10.2026", "file/shape", "date cannot be"},
		{"trailer", "date: 2026-10-02", "date: 2026-10-2", "file/shape", "date cannot be"},
		{"trailer", "date: 2026-10-02", "date: 2026-02-30", "paperwork/date-exists", "the calendar has no"},
		{"trailer", "status: draft", "status: draft;", "file/shape", "status cannot be"},
		{"loader", "- {id: boom, name: boom, sprung: true}", "- {{id: boom, name: boom, sprung: true}}", "file/syntax", "two brackets { stand here"},
	} {
		file, text := faulty(t, tt.kit)
		broken := bytes.Replace(text, []byte(tt.was), []byte(tt.is), 1)
		if bytes.Equal(broken, text) {
			t.Fatalf("no %q", tt.was)
		}
		first := causesIn(t, file, broken)
		if len(first) != 1 || first[0].Rule != tt.rule || !strings.Contains(first[0].Message, tt.says) {
			t.Errorf("%s: found %+v", tt.is, first)
		}
	}
}

// TestLookalike: a character that is not what it looks like is named, and written
// right where it is certain which is the right one.
func TestLookalike(t *testing.T) {
	for _, tt := range []struct{ was, is, says, fixed string }{
		{"    point: A2\n", "    point: \u04102\n", "its character 1 is U+0410 (cyrillic capital letter a)", "    point: A2\n"},
		{"    point: A2\n", "    point: \"A2\u200b\"\n", "its character 3 is U+200B (zero width space)", "    point: \"A2\"\n"},
		{"{id: A1,", "{id: \u04101,", "character 1 of that is U+0410 (cyrillic capital letter a)", "{id: \u04101,"},
		{"    tube: FG-T4\n", "    tube: FG\u2013T4\n", "its character 3 is U+2013 (en dash)", "    tube: FG-T4\n"},
		{"kind: pin", "kind: p\u200bin", "its character 2 is U+200B (zero width space)", "kind: pin"},
		{"kind: pin", "kind: \uff50in", "its character 1 is U+FF50 (fullwidth latin small letter p)", "kind: pin"},
	} {
		file, text := faulty(t, "trailer")
		broken := bytes.Replace(text, []byte(tt.was), []byte(tt.is), 1)
		fixed := mended(t, file, broken, checker.FixOptions{})
		said := false
		for _, f := range fixed.Before[0].Findings {
			said = said || strings.Contains(f.Message, tt.says)
		}
		if !said || !bytes.Contains(fixed.Text, []byte(tt.fixed)) {
			t.Errorf("%q: said %v, made %+v, left %+v", tt.is, said, fixed.Made, fixed.Left)
		}
	}
}

// causesIn are the findings of a kit that follow from no other.
func causesIn(t *testing.T, file string, text []byte) []finding.Finding {
	t.Helper()
	results, err := checker.OnExamples().Check(file, text)
	if err != nil {
		t.Fatal(err)
	}
	var first []finding.Finding
	for _, f := range results[0].Findings {
		if f.Follows == "" {
			first = append(first, f)
		}
	}
	return first
}
