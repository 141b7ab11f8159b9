package engine_test

import (
	"fmt"
	"strings"
	"testing"

	"kitgauge/checker/engine"
	"kitgauge/checker/finding"
)

// ten makes a text ten times as long with join, so many times.
func ten(times int) string {
	e := "['0123456789']"
	for range times {
		e += ".map(s, [s,s,s,s,s,s,s,s,s,s].join())"
	}
	return e
}

// Whatever an expression does, it makes no more than a bounded text or list,
// and what it makes is charged: join, sums, patterns, lists of lists.
func TestBoundedWork(t *testing.T) {
	const long, many = "not evaluated: a text of the rule would be longer than 64 KiB", "not evaluated: a list of the rule would have more than 100000 items"
	double := func(e string, times int) string {
		for range times {
			e = "[" + e + "].map(x, x + x)[0]"
		}
		return e
	}
	for _, tt := range []struct{ name, must, want string }{
		{"join", ten(3) + "[0].size() < 5", ""},
		{"join, too long", ten(4) + "[0].size() < 5", long},
		{"join, far too long", ten(9) + "[0].size() < 5", long},
		{"a sum", double("'0123456789'", 12) + ".size() < 5", ""},
		{"a sum, too long", double("'0123456789'", 13) + ".size() < 5", long},
		{"matches", "'a'.matches('b{900}')", ""},
		{"matches, too large", "'a'.matches('b{900}c{900}')", "not evaluated: the pattern that matches looks for is too large"},
		{"matches, unreadable", "'a'.matches(['('][0])", "not evaluated: the pattern that matches looks for cannot be read"},
		{"lists", "(kit.rods + kit.rods).size() > 99", ""},
	} {
		p := pack(t, ruleText("kit", `must: "`+tt.must+`"`, "says: s"))
		if faults := p.Compile(); len(faults) > 0 {
			t.Errorf("%s: %v", tt.name, faults[0])
			continue
		}
		out, _ := p.Evaluate(rods(t, 0.1), engine.Options{})
		if len(out.Findings) != 1 {
			t.Errorf("%s: %d findings, want one", tt.name, len(out.Findings))
			continue
		}
		got := out.Findings[0].Message
		if tt.want != "" && got != tt.want || tt.want == "" && out.Findings[0].Status != finding.Violated {
			t.Errorf("%s: got %q, want %q", tt.name, got, tt.want)
		}
		if out.Steps > 2*engine.CostLimit {
			t.Errorf("%s: took %d steps", tt.name, out.Steps)
		}
	}
	// kit.rods doubled sixteen times
	e := "kit.rods"
	names := "with: {"
	for i := range 17 {
		names += fmt.Sprintf("n%d: '%s + %s', ", i, e, e)
		e = fmt.Sprintf("n%d", i)
	}
	out := evaluate(t, rods(t, 0.1, 0.2), ruleText("kit", names+"}", "must: n16.size() < 5", "says: s"))
	if len(out.Findings) != 1 || out.Findings[0].Message != many {
		t.Errorf("got %+v, want %q", out.Findings, many)
	}
}

// A text of the rule costs what it is long, whatever makes it.
func TestChargedByLength(t *testing.T) {
	steps := func(e string) uint64 {
		return evaluate(t, rods(t, 0.1), ruleText("kit", `must: "`+e+`.size() > 5"`, "says: s")).Steps
	}
	short, long := steps(ten(1)+"[0]"), steps(ten(3)+"[0]")
	if long < short+1000 {
		t.Errorf("100 characters cost %d steps and 10,000 of them %d", short, long)
	}
	one, other := steps("('a'.matches('a') ? 'abcdef' : '')"), steps("('a'.matches('(a|b{400})') ? 'abcdef' : '')")
	if other < one+300 {
		t.Errorf("a small pattern costs %d steps, a large one %d", one, other)
	}
}

// Lists of lists can hold more than was paid for, and are refused where they
// stand.
func TestListsOfLists(t *testing.T) {
	for _, must := range []string{"[[1]].size() > 0", "[kit.rods, kit.rods].size() > 0", "{'a': [1]}.size() > 0", "kit.rods.map(r, [r, r]).size() > 0", "[1, 'a'].size() > 0"} {
		got := fmt.Sprint(problems(t, ruleText("kit", `must: "`+must+`"`, "says: s")))
		if !strings.Contains(got, "this makes a list of lists, or of things of several kinds") {
			t.Errorf("%s: got %s", must, got)
		}
	}
}

// What a message shows is cut, and says so; so is the working.
func TestLongMessages(t *testing.T) {
	out := evaluate(t, rods(t, 0.1), ruleText("kit", `must: "`+ten(3)+`[0].size() < 5"`, `says: "{`+ten(3)+`[0]} and {kit.title}"`, `remedy: "`+strings.Repeat(`{`+ten(2)+`[0]}`, 20)+`"`))
	f := out.Findings[0]
	if want := " ... (cut: it is longer) and a box"; !strings.HasSuffix(f.Message, want) || len(f.Message) > 4000+len(want) {
		t.Errorf("%d characters: %q", len(f.Message), f.Message[max(0, len(f.Message)-50):])
	}
	if want := " ... (cut: it is longer)"; !strings.HasSuffix(f.Remedy, want) || len(f.Remedy) > engine.LongestMessage+len(want) {
		t.Errorf("%d characters: %q", len(f.Remedy), f.Remedy[max(0, len(f.Remedy)-50):])
	}
	terms := strings.Repeat("kit.width + ", 150) + "kit.width < limit.least"
	out = evaluate(t, rods(t, 0.1), ruleText("kit", `must: "`+terms+`"`, "says: s"))
	bytes := 0
	for _, term := range out.Findings[0].Working {
		bytes += len(term.Expression) + len(term.Value)
	}
	if n := len(out.Findings[0].Working); n == 0 || n > engine.MostTerms || bytes > 150_000 {
		t.Errorf("the working has %d parts of %d bytes together", n, bytes)
	}
}

// Packs share what they may take over one kit; where it is used up, each rule
// says so once and counts the other places.
func TestSharedSteps(t *testing.T) {
	w := rods(t, make([]float64, 10)...)
	p := pack(t, ruleText("rod", "must: rod.length >= 0.0", "says: s"))
	all := p.Evaluate
	whole, _ := all(w, engine.Options{})
	if whole.NotEvaluated > 0 || whole.Steps == 0 {
		t.Fatalf("%d of %d are not evaluated", whole.NotEvaluated, whole.Checks)
	}
	p.Allow(engine.CostLimit, 2*whole.Steps)
	again, _ := all(w, engine.Options{Spent: whole.Steps})
	if again.NotEvaluated > 0 || again.Steps != whole.Steps {
		t.Errorf("%d steps, %d not evaluated; want %d and none", again.Steps, again.NotEvaluated, whole.Steps)
	}
	over, _ := all(w, engine.Options{Spent: 2*whole.Steps + 1})
	if over.NotEvaluated != 10 || over.Checks != 10 || len(over.Findings) != 1 || len(over.Omitted) != 1 || over.Omitted[0].Count != 9 {
		t.Errorf("got %d checks, %d not evaluated, %d findings and %v; want 10, 10, one and 9 more", over.Checks, over.NotEvaluated, len(over.Findings), over.Omitted)
	}
}

// A rule that says no more than false is not free.
func TestFindingsCost(t *testing.T) {
	out := evaluate(t, rods(t, make([]float64, 10)...), ruleText("rod", "must: 'false'", "says: "+strings.Repeat("x", 1000)))
	if out.Steps < 10*1200 {
		t.Errorf("ten findings of 1000 characters cost %d steps", out.Steps)
	}
}
