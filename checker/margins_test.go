package checker_test

import (
	"fmt"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/engine"
	"kitgauge/checker/golden"
	"kitgauge/checker/source"
	"kitgauge/examples"
)

// TestGoldenMargins keeps how near the clean kits come to every limit: a
// formula or a limit that moves is seen there in numbers, also where nothing
// is found before and after.
func TestGoldenMargins(t *testing.T) {
	kits := []string{"gritter", "loader", "trailer"}
	c := checker.New(checker.Options{ReadFile: examples.ReadFile, NoSettings: true, Margins: true})
	of := map[string]map[string]engine.Margin{} // by rule, by kit
	for _, kit := range kits {
		doc, err := checker.Clean(kit)
		if err != nil {
			t.Fatal(err)
		}
		results, err := c.Check(doc.File, doc.Text)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range results[0].Margins {
			if of[m.Rule] == nil {
				of[m.Rule] = map[string]engine.Margin{}
			}
			of[m.Rule][kit] = m
		}
	}
	var b strings.Builder
	b.WriteString("# How near the clean kits come to every limit\n\nThe least margin of every rule with a limit, in each example kit: margin (value, limit) at the place. Written by go generate ./...; a change of a formula shows here in numbers, also where no finding comes or goes.\n\n| rule | kit | margin | value | limit | at |\n| --- | --- | ---: | ---: | ---: | --- |\n")
	packs, problems := c.Packs()
	for _, p := range problems {
		t.Fatal(p)
	}
	for _, p := range packs {
		for _, rule := range p.Rules {
			for _, kit := range kits {
				if m, found := of[rule.ID][kit]; found {
					fmt.Fprintf(&b, "| %s | %s | %s | %s | %s | %s |\n", m.Rule, kit, m.Margin.Text, m.Value.Text, m.Limit.Text, m.Place)
				}
			}
		}
	}
	golden.Compare(t, "../testdata/measured/margins.md", []byte(b.String()))
}

// The margins at all places hold the least of every rule that a check reports;
// those at some places are of these alone.
func TestMarginsAt(t *testing.T) {
	file, text, _ := examples.Kit("trailer")
	c := checker.New(checker.Options{ReadFile: examples.ReadFile, NoSettings: true, Margins: true})
	results, err := c.Check(file, text)
	if err != nil {
		t.Fatal(err)
	}
	least := map[string]float64{}
	for _, m := range c.MarginsAt(results[0], func(*source.Node) bool { return true }) {
		if was, has := least[m.Rule]; !has || m.Share < was {
			least[m.Rule] = m.Share
		}
	}
	for _, m := range results[0].Margins {
		if is, has := least[m.Rule]; !has || is != m.Share {
			t.Errorf("%s: the least is %v, and the check has %v", m.Rule, is, m.Share)
		}
	}
	if len(least) != len(results[0].Margins) || len(least) < 50 {
		t.Errorf("%d rules, want %d", len(least), len(results[0].Margins))
	}
	line := results[0].Text.Root.At("lines", "0")
	list := c.MarginsAt(results[0], func(n *source.Node) bool { return n == line }, "flow")
	for _, m := range list {
		if m.Place != "line 1" || !strings.HasPrefix(m.Rule, "flow/") {
			t.Errorf("got %s of %s", m.Rule, m.Place)
		}
	}
	if len(list) == 0 {
		t.Error("no margin of flow at line 1")
	}
}
