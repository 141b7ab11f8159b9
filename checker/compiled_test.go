package checker_test

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/engine"
	"kitgauge/checker/facts"
	"kitgauge/checker/value"
	"kitgauge/examples"
	"kitgauge/rules"
)

// builtInPack reads a built-in pack, with another text for a part of its own.
func builtInPack(t *testing.T, types *engine.Types, name, old, new string) *engine.Pack {
	t.Helper()
	file, text, _ := rules.Pack(name)
	if !bytes.Contains(text, []byte(old)) {
		t.Fatalf("the pack %s does not hold %q", name, old)
	}
	pack, problems := engine.ReadPack(parse(t, file, bytes.Replace(text, []byte(old), []byte(new), 1)), types)
	for _, p := range problems {
		t.Fatal(p)
	}
	return pack
}

// What was compiled from another text, or with other fields or functions, is
// passed over, and that of the other packs is not.
func TestCompiledIsPassedOver(t *testing.T) {
	written, err := checker.CompileRules()
	if err != nil {
		t.Fatal(err)
	}
	compiled, err := engine.ReadCompiled(written)
	if err != nil {
		t.Fatal(err)
	}
	functions := facts.Functions()
	functions[0].Result = functions[1].Result
	for _, tt := range []struct {
		name     string
		types    *engine.Types
		old, new string
		want     bool
	}{
		{"as it is", checker.Types(), "", "", true},
		{"another limit", checker.Types(), "0.75", "0.5", false},
		{"another word", checker.Types(), "has a fuse", "has its fuse", false},
		{"another function", engine.NewTypes(facts.Kinds(), functions), "", "", false},
		{"no function", engine.NewTypes(facts.Kinds(), facts.Functions()[1:]), "", "", false},
		{"fewer kinds", engine.NewTypes(slices.DeleteFunc(facts.Kinds(), func(k value.Kind) bool { return k.Name == "row" }), facts.Functions()), "", "", false},
	} {
		if got := builtInPack(t, tt.types, "power", tt.old, tt.new).Use(compiled); got != tt.want {
			t.Errorf("%s: used %t, want %t", tt.name, got, tt.want)
		}
		if !builtInPack(t, checker.Types(), "slack", "", "").Use(compiled) {
			t.Errorf("%s: another pack is passed over too", tt.name)
		}
	}
}

// An edited rule runs as edited, beside a compiled form that is older; a
// damaged one changes nothing.
func TestEditedRule(t *testing.T) {
	written, err := checker.CompileRules()
	if err != nil {
		t.Fatal(err)
	}
	file, text, _ := examples.Kit("gritter")
	kit := checkOne(t, checker.Options{ReadFile: examples.ReadFile, Packs: []string{}}, file, text).Facts
	run := func(pack *engine.Pack) string {
		out, problems := pack.Evaluate(&engine.Input{Kit: kit, Family: kit.Family(), Subjects: func(kind string) []engine.Subject {
			return append([]engine.Subject(nil), kit.Subjects(kind)...)
		}}, engine.Options{Margins: true})
		for _, p := range problems {
			t.Fatal(p)
		}
		said := fmt.Sprint(out.Rules, out.Checks)
		for _, f := range out.Findings {
			said += "\n" + f.Rule + ": " + f.Message
		}
		return said
	}
	whole, err := engine.ReadCompiled(written)
	if err != nil {
		t.Fatal(err)
	}
	edited := builtInPack(t, checker.Types(), "power", "compare: {value: feed.drop, at_most: limit.drop}", "compare: {value: feed.drop, at_most: limit.drop / 1000.0}")
	edited.Use(whole)
	if got := run(edited); !strings.Contains(got, "power/voltage-drop: ") {
		t.Errorf("the rule as it was before it was edited: %s", got)
	}
	want := run(builtInPack(t, checker.Types(), "power", "", ""))
	step := 9973
	if *full {
		step = 997
	}
	for i := 0; i < len(written); i += step {
		damaged := bytes.Clone(written)
		damaged[i] ^= 1
		compiled, _ := engine.ReadCompiled(damaged)
		pack := builtInPack(t, checker.Types(), "power", "", "")
		pack.Use(compiled)
		if got := run(pack); got != want {
			t.Errorf("with byte %d damaged: %s\nwant %s", i, got, want)
		}
	}
}
