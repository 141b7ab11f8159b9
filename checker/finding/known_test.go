package finding_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/finding"
)

// FuzzParseKnown reads records of known findings; what was read and written is
// read as the same again.
func FuzzParseKnown(f *testing.F) {
	line := strings.Repeat("0a", 16) + "\tports/outlet-used-once\tWS-1\tline 7"
	f.Add([]byte("# kitgauge known findings\n" + line + "\n\n" + line + "\r\n"))
	f.Add([]byte(line + "\textra"))
	f.Add([]byte(strings.ToUpper(line)))
	f.Add([]byte(line[:33] + "\t\t\t"))
	f.Add([]byte("\xff\x00\t\t\t\n#"))
	f.Fuzz(func(t *testing.T, text []byte) {
		entries, problems := finding.ParseKnown("known.txt", text)
		lines := bytes.Count(text, []byte("\n")) + 1
		if len(entries)+len(problems) > lines || len(problems) > 20 {
			t.Errorf("%d entries and %d problems of %d lines", len(entries), len(problems), lines)
		}
		for _, p := range problems {
			if p.Message == "" || p.Remedy == "" || p.Pos.File != "known.txt" || p.Pos.Line < 1 || p.Pos.Line > lines || p.Pos.Column != 1 {
				t.Errorf("%q: problem %q at %v", text, p.Error(), p.Pos)
			}
		}
		out := finding.WriteKnown(entries)
		read, faults := finding.ParseKnown("known.txt", out)
		if len(faults) > 0 {
			t.Fatalf("%q: written as %q, which is not read: %v", text, out, faults[0])
		}
		if again := finding.WriteKnown(read); !bytes.Equal(again, out) {
			t.Errorf("%q: written as %q, and then as %q", text, out, again)
		}
		for _, e := range entries {
			if !slices.ContainsFunc(read, func(r finding.Entry) bool { return r.Fingerprint == e.Fingerprint }) {
				t.Errorf("%q: the finding %s is lost", text, e.Fingerprint)
			}
		}
	})
}
