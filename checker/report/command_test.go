package report_test

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"io"
	"strings"
	"testing"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/report/junit"
	"kitgauge/checker/report/record"
	"kitgauge/checker/report/sarif"
)

// No report holds what the runner of a CI job takes for a command anywhere in a
// line, and the data stay as they are.
func TestNoCommand(t *testing.T) {
	const says = "###[error]it leaks ##[command]"
	run := report.Run{Gate: finding.Major, Kits: []report.Kit{{File: "k.kit.yaml", Title: says, Findings: []finding.Finding{{
		Rule: "power/fuse", Severity: finding.Major, Status: finding.Violated, Message: says, Place: says, Fingerprint: strings.Repeat("0", 32),
	}}}}}
	for name, write := range map[string]func(io.Writer, report.Run) error{"json": record.Write, "sarif": func(w io.Writer, run report.Run) error { return sarif.Write(w, run, sarif.Options{}) }, "junit": junit.Write} {
		var b bytes.Buffer
		if err := write(&b, run); err != nil {
			t.Fatal(err)
		}
		if bytes.Contains(b.Bytes(), []byte("##[")) {
			t.Errorf("%s holds a command: %s", name, b.Bytes())
		}
		if !strings.Contains(strings.ReplaceAll(decoded(t, name, b.Bytes()), " ", ""), strings.ReplaceAll(says, " ", "")) {
			t.Errorf("%s does not say %q: %s", name, says, b.Bytes())
		}
	}
}

// decoded is all that a report holds, as its reader has it.
func decoded(t *testing.T, name string, text []byte) string {
	t.Helper()
	if name != "junit" {
		var tree any
		if err := json.Unmarshal(text, &tree); err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		e := json.NewEncoder(&b)
		if err := e.Encode(tree); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	var all strings.Builder
	for d := xml.NewDecoder(bytes.NewReader(text)); ; {
		token, err := d.Token()
		if err == io.EOF {
			return all.String()
		}
		if err != nil {
			t.Fatal(err)
		}
		switch part := token.(type) {
		case xml.CharData:
			all.Write(part)
		case xml.StartElement:
			for _, a := range part.Attr {
				all.WriteString(a.Value)
			}
		}
	}
}
