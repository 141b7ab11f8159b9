package engine_test

import (
	"fmt"
	"strings"
	"testing"

	"kitgauge/checker/engine"
	"kitgauge/checker/finding"
	"kitgauge/checker/value"
)

// What an expression may hold, below, at and above: a fault of the pack with
// the place of the expression.
func TestExpressionBudgets(t *testing.T) {
	bytes := func(n int) string { // a text of so many bytes
		const short = "kit.title != ''"
		return "kit.title != '" + strings.Repeat("x", n-len(short)) + "'"
	}
	nodes := func(n int) string { // the list, size(), >, 0 and the items
		return "[" + strings.Repeat("1,", n-5) + "1].size() > 0"
	}
	for _, tt := range []struct{ name, must, want string }{
		{"bytes below", bytes(engine.ExpressionBytes - 1), ""},
		{"bytes at", bytes(engine.ExpressionBytes), ""},
		{"bytes above", bytes(engine.ExpressionBytes + 1), "pack.yaml:13:12: this expression is longer than 8000 characters; write two rules"},
		{"parts below", nodes(engine.ExpressionNodes - 1), ""},
		{"parts at", nodes(engine.ExpressionNodes), ""},
		{"parts above", nodes(engine.ExpressionNodes + 1), "pack.yaml:13:12: this expression has more than 2000 parts; write two rules"},
	} {
		got := problems(t, ruleText("kit", "must: "+`"`+tt.must+`"`, "says: s"))
		if text := fmt.Sprint(got); tt.want == "" && len(got) > 0 || !strings.Contains(text, tt.want) {
			t.Errorf("%s: got %s, want %q", tt.name, text, tt.want)
		}
	}
}

// What a pack may hold.
func TestPackBudgets(t *testing.T) {
	limits := func(n int) string {
		var b strings.Builder
		b.WriteString("pack: p\ntitle: P\nrules: []\nlimits:\n")
		for i := range n {
			fmt.Fprintf(&b, "  a%d: {is: 1, basis: b, about: c}\n", i)
		}
		return b.String()
	}
	rules := func(n int) string {
		var b strings.Builder
		b.WriteString("pack: p\ntitle: P\nrules:\n")
		for i := range n {
			fmt.Fprintf(&b, "- {id: r%d, title: R, of: kit, severity: minor, must: 'true', says: s, basis: b, why: w}\n", i)
		}
		return b.String()
	}
	for _, tt := range []struct {
		name  string
		text  func(int) string
		most  int
		count func(*engine.Pack) int
		want  string
	}{
		{"limits", limits, engine.MostLimits, func(p *engine.Pack) int { return len(p.Limits) }, "pack.yaml:5:3: limits has 501 items; at most 500 are possible; leave out what is not needed, or make two packs"},
		{"rules", rules, engine.MostRules, func(p *engine.Pack) int { return len(p.Rules) }, "pack.yaml:4:1: rules has 2001 items; at most 2000 are possible; leave out what is not needed, or make two packs"},
	} {
		for n := tt.most - 1; n <= tt.most+1; n++ {
			p, found := engine.ReadPack(parse(t, "pack.yaml", tt.text(n)), vocabulary)
			if got := tt.count(p); got != min(n, tt.most) {
				t.Errorf("%d %s: %d are read", n, tt.name, got)
			}
			switch {
			case n <= tt.most && len(found) > 0:
				t.Errorf("%d %s: got %v", n, tt.name, found[0])
			case n > tt.most && (len(found) != 1 || found[0].Error() != tt.want):
				t.Errorf("%d %s: got %v, want %s", n, tt.name, found, tt.want)
			}
		}
	}
}

// What a rule may take at one place, and a pack over one kit: with the steps
// that it takes, one more and one less.
func TestStepBudgets(t *testing.T) {
	w := rods(t, 0.1, 0.2, 0.3)
	run := func(place, kit uint64) engine.Outcome {
		p := pack(t, ruleText("rod", "must: 'kit.rods.all(r, r.length > 0.0)'", "says: s"))
		p.Allow(place, kit)
		out, problems := p.Evaluate(w, engine.Options{})
		for _, problem := range problems {
			t.Fatal(problem)
		}
		return out
	}
	all := run(engine.CostLimit, engine.PackCostLimit).Steps
	each := all / 3
	if each == 0 || all != 3*each {
		t.Fatalf("three times the same takes %d steps", all)
	}
	const place, kit = "not evaluated: the rule needs more than the %d steps that are allowed for one place", "not evaluated: the rule packs that the settings add need more than the %d steps that they may take together for one kit"
	one := each - engine.PlaceSteps // of the expression alone
	for _, tt := range []struct {
		name       string
		place, kit uint64
		lost       int
		want       string
	}{
		{"a place, below", one + 1, all, 0, ""},
		{"a place, at", one, all, 0, ""},
		{"a place, above", one - 1, all + 3*1000, 3, fmt.Sprintf(place, one-1)},
		// What begins within the budget is finished.
		{"a kit, below", each, 2*each + 1, 0, ""},
		{"a kit, at", each, 2 * each, 0, ""},
		{"a kit, above", each, 2*each - 1, 1, fmt.Sprintf(kit, 2*each-1)},
	} {
		out := run(tt.place, tt.kit)
		if out.NotEvaluated != tt.lost || len(out.Findings) != tt.lost {
			t.Errorf("%s: %d places are not evaluated, want %d", tt.name, out.NotEvaluated, tt.lost)
			continue
		}
		for _, f := range out.Findings {
			if f.Message != tt.want || f.Status != finding.NotEvaluated || f.Rule != "p/r" || f.Pos.Line == 0 {
				t.Errorf("%s: got %+v, want %q", tt.name, f, tt.want)
			}
		}
	}
}

// How many findings of one rule and severity are listed; the others are
// counted. Every rod breaks the rule, and two raise it.
func TestListedOfRule(t *testing.T) {
	for n := finding.MostOfRule - 1; n <= finding.MostOfRule+1; n++ {
		w := rods(t, make([]float64, n+2)...)
		of(w, n).Share, of(w, n+1).Share = value.Known(1.0), value.Known(1.0)
		out := evaluate(t, w, ruleText("rod", "must: '!rod.sound'", "says: s", "raise: {to: critical, when: rod.share > 0.6}"))
		want := []finding.Omitted(nil)
		if n > finding.MostOfRule {
			want = []finding.Omitted{{Rule: "p/r", Severity: finding.Major, Status: finding.Violated, Count: 1}}
		}
		if len(out.Findings) != min(n, finding.MostOfRule)+2 || fmt.Sprint(out.Omitted) != fmt.Sprint(want) {
			t.Errorf("%d: got %d findings and %v, want %v", n, len(out.Findings), out.Omitted, want)
		}
		if last := out.Findings[len(out.Findings)-1]; last.Severity != finding.Critical {
			t.Errorf("%d: the raised ones are not listed: %v", n, last.Severity)
		}
	}
}

// An evaluation that is stopped ends at once.
func TestStop(t *testing.T) {
	w := rods(t, 0.1, 0.2, 0.3)
	calls := 0
	w.Stop = func() bool { calls++; return calls > 2 }
	out := evaluate(t, w, ruleText("rod", "must: '!rod.sound'", "says: s"))
	if len(out.Findings) != 1 {
		t.Errorf("got %d findings, want the one before it was stopped", len(out.Findings))
	}
}
