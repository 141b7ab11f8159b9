package checker_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/engine"
)

var update = flag.Bool("update", false, "rewrite rules/README.md")

// TestRulesPage keeps the reference page of the rules current. Refreshed by
//
//	go test ./checker -run RulesPage -update
func TestRulesPage(t *testing.T) {
	const file = "../rules/README.md"
	packs, problems := checker.OnExamples().Packs()
	for _, p := range problems {
		t.Fatal(p)
	}
	want := rulesPage(packs, checker.Types())
	got, err := os.ReadFile(file)
	if err == nil && string(got) == want {
		return
	}
	if !*update {
		t.Fatalf("%s is not what the packs say: go test ./checker -run RulesPage -update", file)
	}
	if err := os.WriteFile(file, []byte(want), 0o644); err != nil {
		t.Fatal(err)
	}
}

func rulesPage(packs []*engine.Pack, v *engine.Types) string {
	var b strings.Builder
	total := 0
	for _, p := range packs {
		total += len(p.Rules)
	}
	fmt.Fprintf(&b, "# The rules\n\nThis page is written from the packs by a test; change the packs. %d rules in %d packs.\n", total, len(packs))
	b.WriteString("`kitgauge rule ID` explains a rule with an example that passes and one that fails.\n")
	for _, p := range packs {
		fmt.Fprintf(&b, "\n## %s: %s\n\n", p.Name, p.Title)
		if p.About != "" {
			fmt.Fprintf(&b, "%s\n\n", p.About)
		}
		if len(p.Limits) > 0 {
			b.WriteString("| limit | is | what | basis |\n| --- | --- | --- | --- |\n")
			for _, l := range p.Limits {
				fmt.Fprintf(&b, "| `%s/%s` | %s | %s | %s |\n", p.Name, l.Name, l.Text, cell(l.About), cell(l.Basis))
			}
			b.WriteString("\n")
		}
		b.WriteString("| rule | severity | what | basis |\n| --- | --- | --- | --- |\n")
		for _, r := range p.Rules {
			severity := r.Severity.String()
			if up, when := r.Raised(); when != "" {
				severity += " to " + up.String()
			}
			fmt.Fprintf(&b, "| `%s` | %s | %s | %s |\n", r.ID, severity, cell(r.Title), cell(r.Basis))
		}
	}
	b.WriteString("\n## Functions\n\nBeside those of CEL, expressions can call these. Numbers carry their dimension, which is checked when a pack is loaded.\n\n| function | what |\n| --- | --- |\n")
	for _, f := range [][2]string{
		{"has(member)", "whether the member is stated"},
		{"larger(a, b), smaller(a, b)", "the larger, the smaller of two numbers"},
		{"list.join()", "the texts of a list as one: 1, 2"},
		{"measure(\"30 mm\")", "a measured value with its dimension"},
		{"round_up(value, step)", "the least multiple of a step that is not below a value"},
	} {
		fmt.Fprintf(&b, "| `%s` | %s |\n", f[0], f[1])
	}
	for _, f := range v.Functions() {
		fmt.Fprintf(&b, "| `%s` | %s |\n", f.Signature(), cell(f.Doc))
	}
	b.WriteString("\n## What rules can look at\n\n`of` takes one of the kinds that are explained; the others are reached from them. Numbers are in SI.\n")
	for _, d := range v.Describe() {
		fmt.Fprintf(&b, "\n### %s\n\n", d.Name)
		if d.Doc != "" {
			fmt.Fprintf(&b, "A kind: %s.\n\n", d.Doc)
		}
		var fields []string
		for _, f := range d.Fields {
			fields = append(fields, fmt.Sprintf("`%s` (%s)", f.Key, f.Type))
		}
		b.WriteString(strings.Join(fields, ", ") + "\n")
	}
	return b.String()
}

func cell(text string) string { return strings.ReplaceAll(text, "|", "\\|") }
