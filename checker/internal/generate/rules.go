package main

import (
	"fmt"
	"strings"

	"kitgauge/checker"
	"kitgauge/checker/engine"
	"kitgauge/rules"
)

// packs reads the built-in packs from their text.
func packs() ([]*engine.Pack, error) {
	var packs []*engine.Pack
	for _, name := range rules.Names() {
		file, text, _ := rules.Pack(name)
		pack, problems := checker.ReadPack(file, text)
		if len(problems) > 0 {
			return nil, problems[0]
		}
		packs = append(packs, pack)
	}
	return packs, nil
}

// rulesPage is rules/README.md, the reference of the rules.
func rulesPage() ([]byte, error) {
	packs, err := packs()
	if err != nil {
		return nil, err
	}
	v := checker.Types()
	var b strings.Builder
	total := 0
	for _, p := range packs {
		total += len(p.Rules)
	}
	fmt.Fprintf(&b, "# The rules\n\nThis page is written from the packs; change the packs. %d rules in %d packs.\n", total, len(packs))
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
		{"above(a, b), below(a, b)", "whether a number is above, below another by more than four figures can be off"},
		{"larger(a, b), smaller(a, b)", "the larger, the smaller of two numbers"},
		{"list.join()", "the texts of a list as one: 1, 2"},
		{"list.offer(\"conduit\"), list.lack()", "names the first part of a list with its kind, or any of the kind; says that nothing in the catalogue is, where the list is empty"},
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
	return []byte(b.String()), nil
}

func cell(text string) string { return strings.ReplaceAll(text, "|", "\\|") }
