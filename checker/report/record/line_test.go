package record_test

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/google/go-cmp/cmp"

	"kitgauge/checker/finding"
	"kitgauge/checker/internal/reporttest"
	"kitgauge/checker/report"
	"kitgauge/checker/report/record"
)

func writeLine(t testing.TB, k *report.Kit, gate finding.Severity) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := record.WriteLine(&b, k, gate); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestLine: a line is what the record of the run holds of the kit, and is
// valid by itself.
func TestLine(t *testing.T) {
	schema, err := compile(t).Compile("result.json#/$defs/kit")
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range runs {
		want, _ := decode(t, write(t, tt.run)).(map[string]any)["kits"].([]any)
		for i := range tt.run.Kits {
			text := writeLine(t, &tt.run.Kits[i], tt.run.Gate)
			if n := bytes.Count(text, []byte("\n")); n != 1 || text[len(text)-1] != '\n' {
				t.Errorf("%s: got %d line ends in %q, want one at the end", tt.name, n, text)
			}
			got := decode(t, text)
			if diff := cmp.Diff(want[i], got); diff != "" {
				t.Errorf("%s: kit %d: -record +line:\n%s", tt.name, i, diff)
			}
			if err := schema.Validate(got); err != nil {
				t.Errorf("%s: kit %d: %#v", tt.name, i, err)
			}
		}
	}
}

func TestStreamLine(t *testing.T) {
	schema, err := compile(t).Compile("result.json#/$defs/kit")
	if err != nil {
		t.Fatal(err)
	}
	k := reporttest.Clean()
	k.StreamLine = 100_000
	text := writeLine(t, &k, finding.Major)
	if err := schema.Validate(decode(t, text)); err != nil {
		t.Errorf("%#v", err)
	}
	var got struct{ Line int }
	if err := json.Unmarshal(text, &got); err != nil || got.Line != k.StreamLine {
		t.Errorf("line: got %d, %v, want %d", got.Line, err, k.StreamLine)
	}
	k.StreamLine = -1
	if err := schema.Validate(decode(t, writeLine(t, &k, finding.Major))); err == nil {
		t.Error("line -1: got no error")
	}
}
