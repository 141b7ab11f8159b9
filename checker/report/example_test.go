package report_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"

	"kitgauge/checker"
	"kitgauge/checker/report/dossier"
	"kitgauge/checker/report/sarif"
	"kitgauge/examples"
)

// Kits are checked, and reports of them written, in Go as by the command.
func Example() {
	c := checker.New(checker.Options{ReadFile: examples.ReadFile, NoSettings: true, Margins: true, Figures: true})
	file, text, _ := examples.Kit("gritter")
	// line 30 written to outlet 40 of a pump with 36
	results, err := c.Check(file, bytes.Replace(text, []byte("    outlet: 30\n"), []byte("    outlet: 40\n"), 1))
	if err != nil {
		fmt.Println(err)
		return
	}
	run, err := c.Report("1.0", results...)
	if err != nil {
		fmt.Println(err)
		return
	}
	var log bytes.Buffer
	if err := sarif.Write(&log, run, sarif.Options{}); err != nil {
		fmt.Println(err)
		return
	}
	in, err := dossier.Of(c, "1.0", results[0], nil, "")
	if err != nil {
		fmt.Println(err)
		return
	}
	var page strings.Builder
	if err := dossier.Write(&page, in); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(run.Counts().Verdict(run.Gate))
	var read struct {
		Runs []struct{ Results []struct{ RuleID string } }
	}
	if err := json.Unmarshal(log.Bytes(), &read); err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range read.Runs[0].Results {
		fmt.Println(r.RuleID, strings.Contains(page.String(), r.RuleID))
	}
	// Output:
	// outside the gate: 2 findings at or above major
	// ports/element-has-line true
	// ports/line-has-outlet true
}
