package engine_test

import (
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"kitgauge/checker/engine"
	"kitgauge/checker/finding"
	"kitgauge/checker/value"
)

// verdict is what a condition comes to for the first rod: holds, violated, or
// why it is not evaluated.
func verdict(t testing.TB, w *engine.Input, must string, more ...string) string {
	t.Helper()
	out := evaluate(t, w, ruleText("rod", append([]string{"must: '" + must + "'", "says: s"}, more...)...))
	for _, f := range out.Findings {
		if f.Pos == of(w, 0).Node.Pos() {
			if f.Status == finding.NotEvaluated {
				return f.Message
			}
			return "violated"
		}
	}
	return "holds"
}

// Errors go through && and || as CEL lays it down (language definition,
// "Logical Operators"): one side that settles the matter does so whatever the
// other is. Here what is not known is such an error.
func TestNotEvaluated(t *testing.T) {
	unknown := func(why string) func(*rod) {
		return func(r *rod) { r.Voltage = value.Number{Why: why} }
	}
	const known, why = "rod.length > 0.0", "rod.voltage > 0.0"
	const missing = "not evaluated: the part is unknown"
	tests := []struct {
		must, want string
	}{
		{why, missing},
		{"!(" + why + ")", missing},
		{known + " && " + why, missing},
		{why + " && " + known, missing},
		{known + " || " + why, "holds"},
		{why + " || " + known, "holds"},
		{"!(" + known + ") && " + why, "violated"},
		{why + " && !(" + known + ")", "violated"},
		{"!(" + known + ") || " + why, missing},
		{why + " || !(" + known + ")", missing},
		{"has(rod.voltage)", "violated"}, // computed, and without a value
		{"has(rod.voltage) && " + why, "violated"},
		{"has(rod.voltage) ? " + why + " : true", "holds"},
		{"rod.sound ? " + known + " : " + why, "holds"},
		{"rod.sound ? " + why + " : " + known, missing},
		{"kit.rods.exists(r, r.length > 0.0)", "holds"},
		{"kit.rods.exists(r, r.voltage > 0.0)", "holds"},                         // of another rod
		{"kit.rods.all(r, r.voltage > 0.0)", missing},                            // of this one
		{"kit.rods.all(r, r.voltage > 0.0 && r.length > kit.width)", "violated"}, // no rod is that long
		{"size(kit.rods) == 2", "holds"},
		{"rod.length / (rod.length - rod.length) > 1.0", "not evaluated: the result is not a finite number"},
		{"(rod.length - rod.length) / (rod.length - rod.length) > 1.0", "not evaluated: the result is not a finite number"},
		{"!(rod.length / (rod.length - rod.length) < 1.0)", "not evaluated: the result is not a finite number"},
		{"rod.count / (rod.count - 3) > 1", "not evaluated: division by zero"},
		{"kit.rods[7].sound", "not evaluated: a list has no such item"},
		{"rod.next.sound", "not evaluated: the next of rod A is not stated"},
		{"has(rod.next)", "violated"},
	}
	for _, tt := range tests {
		w := rods(t, 0.1, 0.2)
		unknown("the part is unknown")(of(w, 0))
		if got := verdict(t, w, tt.must); got != tt.want {
			t.Errorf("%s: got %q, want %q", tt.must, got, tt.want)
		}
	}
	w := rods(t, 0.1)
	unknown("")(of(w, 0))
	if got, want := verdict(t, w, why), "not evaluated: the voltage of rod A is not stated"; got != want {
		t.Errorf("no reason given: got %q, want %q", got, want)
	}
	of(w, 0).Next.Why = `no rod "Z" in this box`
	if got, want := verdict(t, w, "rod.next.sound"), `not evaluated: no rod "Z" in this box`; got != want {
		t.Errorf("a reference: got %q, want %q", got, want)
	}
	of(w, 0).Next.To = of(w, 0)
	if got := verdict(t, w, "has(rod.next) && rod.next.sound && rod.next == rod"); got != "holds" {
		t.Errorf("a reference that leads somewhere: got %q", got)
	}
}

// A rule whose condition of application is not known is not evaluated; one
// that does not apply is not counted.
func TestGiven(t *testing.T) {
	w := rods(t, 0.1, 0.2, 0.3)
	of(w, 0).Sound = value.Unknown[bool]("nobody looked")
	of(w, 1).Sound = value.Known(false)
	out := evaluate(t, w, ruleText("rod", "given: rod.sound", "must: rod.length > kit.width", "says: s"))
	if len(out.Findings) != 2 || out.Findings[0].Message != "not evaluated: nobody looked" || out.Findings[1].Status != finding.Violated {
		t.Errorf("got %+v", out.Findings)
	}
	if out.Rules != 1 || out.Checks != 2 || out.NotEvaluated != 1 {
		t.Errorf("got %d rules, %d checks, %d not evaluated; want 1, 2, 1", out.Rules, out.Checks, out.NotEvaluated)
	}
	none := evaluate(t, rods(t), ruleText("rod", "must: rod.sound", "says: s"))
	if none.Rules != 1 || none.Checks != 0 || len(none.Findings) != 0 {
		t.Errorf("a box without rods: got %+v", none)
	}
}

// An expression that multiplies lists ends at its budget, with a reason.
func TestBudget(t *testing.T) {
	lengths := make([]float64, 300)
	for i := range lengths {
		lengths[i] = 0.1
	}
	w := rods(t, lengths...)
	w.Subjects = func(string) []engine.Subject { return []engine.Subject{w.Kit} }
	cubic := "kit.rods.all(a, kit.rods.all(b, kit.rods.all(c, a.length + b.length + c.length > 0.0)))"
	out := evaluate(t, w, ruleText("kit", "must: '"+cubic+"'", "says: s"))
	if len(out.Findings) != 1 || out.Findings[0].Message != "not evaluated: the rule needs more than the 1000000 steps that are allowed for one place" {
		t.Errorf("got %+v", out.Findings)
	}
	linear := evaluate(t, w, ruleText("kit", "must: 'kit.rods.all(a, a.length > 0.0)'", "says: s"))
	if len(linear.Findings) > 0 {
		t.Errorf("once through the list: got %+v", linear.Findings)
	}
	message := evaluate(t, w, ruleText("kit", "must: 'false && kit.rods.all(a, a.sound)'", "says: '{"+cubic+" ? 1.0 : 2.0}'"))
	if got := message.Findings[0].Message; got != "(not known: the rule needs more than the 1000000 steps that are allowed for one place)" {
		t.Errorf("in a message: got %q", got)
	}
	long := ruleText("kit", "must: '"+strings.Repeat("kit.rod_count > 0 && ", 1000)+"true'", "says: s")
	if found := problems(t, long); len(found) == 0 {
		t.Error("an expression of 21 000 characters compiles")
	}
}

// The working shows every member read and every step computed, inner ones
// first, with units, and each once.
func TestWorking(t *testing.T) {
	w := rods(t, 0.1)
	for _, tt := range []struct {
		must string
		want []string
	}{
		{"rod.length > limit.least + rod.diameter * 10.0", []string{
			"rod.length = 100 mm", "limit.least = 30 mm", "rod.diameter = 10 mm", "rod.diameter * 10.0 = 100 mm",
			"limit.least + rod.diameter * 10.0 = 130 mm", "rod.length > limit.least + rod.diameter * 10.0 = no",
		}},
		{"rod.length < 0.0 || rod.length > limit.least * 9.0", []string{
			"rod.length = 100 mm", "rod.length < 0.0 = no", "limit.least = 30 mm", "limit.least * 9.0 = 270 mm", "rod.length > limit.least * 9.0 = no",
			"rod.length < 0.0 || rod.length > limit.least * 9.0 = no",
		}},
		{`rod.name == "B" && rod.count == 3`, []string{"rod.name = A", `rod.name == "B" = no`, `rod.name == "B" && rod.count == 3 = no`}},
		{"rod.marks.join() == rod.steel.name", []string{"rod.marks = x, y", "rod.marks.join() = x, y", "rod.steel.name = S235", "rod.marks.join() == rod.steel.name = no"}},
		{"kit.rods.all(r, r.length > limit.least * 9.0)", []string{"kit.rods = rod A", "kit.rods.all(r, r.length > limit.least * 9.0) = no"}},
		{"rod.warmth > kit.warmth", []string{"rod.warmth = -30 degC", "kit.warmth = 20 degC", "rod.warmth > kit.warmth = no"}},
		{"!rod.sound", []string{"rod.sound = yes", "!rod.sound = no"}},
	} {
		out := evaluate(t, w, ruleText("rod", "must: '"+tt.must+"'", "says: s"))
		if len(out.Findings) != 1 {
			t.Errorf("%s: got %d findings", tt.must, len(out.Findings))
			continue
		}
		var got []string
		for _, term := range out.Findings[0].Working {
			got = append(got, term.Expression+" = "+term.Value)
		}
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s: got %q\nwant %q", tt.must, got, tt.want)
		}
	}
}

func TestMessages(t *testing.T) {
	w := rods(t, 0.1, 0.2)
	of(w, 0).Voltage = value.Unknown[float64]("the part is unknown")
	for _, tt := range []struct{ says, want string }{
		{"plain", "plain"},
		{"it is {rod.length} long", "it is 100 mm long"},
		{"{rod.length}{rod.diameter}", "100 mm10 mm"},
		{"{rod.length / limit.least}", "3.333"},
		{"{rod.count} of {size(kit.rods)}", "3 of 2"},
		{"{rod.warmth}", "-30 degC"},
		{"{rod.sound}, {!rod.sound}", "yes, no"},
		{"{rod.marks}; {kit.labels}", "x, y; none"},
		{"{kit.rods.map(r, r.length)}", "0.1, 0.2"},
		{"{rod}, {kit.rods}, {rod.steel}", "rod A, rod A, rod B, a grade"},
		{"{rod.voltage}", "(not known: the part is unknown)"},
		{"{rod.next.length}", "(not known: the next of rod A is not stated)"},
		{"{round_up(rod.length + limit.least / 4.0, measure(\"5 mm\"))}", "110 mm"},
		{"{round_up(rod.length, measure(\"5 mm\"))}", "100 mm"}, // on a step already
		{"{round_up(rod.length, rod.length - rod.length)}", "(not known: round_up needs a step above 0)"},
		{"{larger(rod.length, limit.least)}, {smaller(rod.length, limit.least)}", "100 mm, 30 mm"},
	} {
		out := evaluate(t, w, ruleText("rod", "must: rod.length > limit.least * 4.0", "says: '"+tt.says+"'", "remedy: '"+tt.says+"'"))
		if len(out.Findings) == 0 || out.Findings[0].Message != tt.want || out.Findings[0].Remedy != tt.want {
			t.Errorf("%s: got %+v, want %q", tt.says, out.Findings, tt.want)
		}
	}
}

// A finding stands at the member that the rule names, and is as severe as its
// condition says.
func TestFinding(t *testing.T) {
	w := rods(t, 0.1, 0.02, -0.1)
	text := ruleText("rod", "compare: {value: rod.length, at_least: 'larger(limit.least, limit.share * kit.width)'}", "at: length", "raise: {to: critical, when: rod.length <= 0.0}", "says: s")
	out := evaluate(t, w, text)
	if len(out.Findings) != 2 {
		t.Fatalf("got %+v", out.Findings)
	}
	major, critical := out.Findings[0], out.Findings[1]
	if major.Severity != finding.Major || critical.Severity != finding.Critical {
		t.Errorf("got %v and %v, want major and critical", major.Severity, critical.Severity)
	}
	if major.Pos.String() != "box.yaml:2:12" || major.Pointer != "/1/length" || major.Place != "rod B" || major.Rule != "p/r" || major.Title != "R" || major.Basis != "b" {
		t.Errorf("got %+v", major)
	}
	if v, l, m := *major.Value, *major.Limit, *major.Margin; v.Text != "20 mm" || l.Text != "30 mm" || m.Text != "-10 mm" || v.Dimension != "length" {
		t.Errorf("got value %+v, limit %+v, margin %+v", v, l, m)
	}
	elsewhere := evaluate(t, w, ruleText("rod", "must: rod.length > limit.least", "at: nothing.here", "says: s"))
	if got := elsewhere.Findings[0].Pointer; got != "/1" {
		t.Errorf("a member that is not there: got %s, want the place of the thing", got)
	}
	cold := evaluate(t, w, ruleText("rod", "compare: {value: rod.warmth, at_least: kit.warmth}", "says: s"))
	if f := cold.Findings[0]; f.Value.Text != "-30 degC" || f.Margin.Text != "-50 K" {
		t.Errorf("temperatures: got %s with a margin of %s, want -30 degC and -50 K", f.Value.Text, f.Margin.Text)
	}
}

// A value that differs from its limit by no more than four figures can tell is
// on it, and holds: 50 mm are 1.969 in, and that is 50.0126 mm.
func TestOnTheLimit(t *testing.T) {
	for _, tt := range []struct {
		length float64
		want   int
	}{{0.03, 0}, {0.1 - 0.07, 0}, {1.181 * 0.0254, 0}, {1.18 * 0.0254, 1}, {0.03 - 2e-5, 1}, {0.03 + 1e-6, 0}} {
		out := evaluate(t, rods(t, tt.length), ruleText("rod", "compare: {value: rod.length, at_least: limit.least}", "says: s"))
		if len(out.Findings) != tt.want {
			t.Errorf("%.17g against 0.03: got %d findings, want %d", tt.length, len(out.Findings), tt.want)
		}
	}
}

// The margin told of a rule is its least, as a share of the limit.
func TestMargins(t *testing.T) {
	for _, tt := range []struct {
		compare, place, value, limit, margin string
		share                                float64
	}{
		{"{value: rod.length, at_least: limit.least}", "rod B", "45 mm", "30 mm", "15 mm", 0.5},
		{"{value: rod.length, at_most: limit.least * 20.0}", "rod C", "300 mm", "600 mm", "300 mm", 0.5},
		{"{value: rod.length, at_least: 0.0}", "rod B", "45 mm", "0 mm", "45 mm", 0.045},
		{"{value: rod.length, at_least: limit.least * 2.0}", "rod B", "45 mm", "60 mm", "-15 mm", -0.25},
		{"{value: rod.count, at_most: 4}", "rod A", "3", "4", "1", 0.25},
	} {
		out := evaluate(t, rods(t, 0.1, 0.045, 0.3), ruleText("rod", "compare: "+tt.compare, "says: s"))
		if len(out.Margins) != 1 {
			t.Errorf("%s: got %d margins", tt.compare, len(out.Margins))
			continue
		}
		m := out.Margins[0]
		if m.Rule != "p/r" || m.Place != tt.place || m.Value.Text != tt.value || m.Limit.Text != tt.limit || m.Margin.Text != tt.margin || m.Share < tt.share-1e-9 || m.Share > tt.share+1e-9 {
			t.Errorf("%s: got %+v, want %s against %s at %s", tt.compare, m, tt.value, tt.limit, tt.place)
		}
	}
	if out := evaluate(t, rods(t, 0.1), ruleText("rod", "must: rod.sound", "says: s")); len(out.Margins) > 0 {
		t.Errorf("a rule without a comparison: got %+v", out.Margins)
	}
}

// Settings change limits and severities without another reading of the pack.
func TestSettings(t *testing.T) {
	p := pack(t, ruleText("rod", "must: rod.length >= limit.least", "says: '{limit.least}'"))
	w := rods(t, 0.04)
	if out, _ := p.Evaluate(w, engine.Options{}); len(out.Findings) != 0 {
		t.Errorf("as written: got %+v", out.Findings)
	}
	out, _ := p.Evaluate(w, engine.Options{Limits: map[string]float64{"p/least": 0.05}, Severities: map[string]finding.Severity{"p/r": finding.Minor}})
	if len(out.Findings) != 1 || out.Findings[0].Message != "50 mm" || out.Findings[0].Severity != finding.Minor {
		t.Errorf("with other limits: got %+v", out.Findings)
	}
}

// The same kit gives the same findings, however often and at once.
func TestDeterminism(t *testing.T) {
	lengths := make([]float64, 60)
	for i := range lengths {
		lengths[i] = float64(i%7) / 100
	}
	text := ruleText("rod", "compare: {value: rod.length, at_least: limit.least}", "says: '{rod.length}, {kit.rods.filter(r, r.length > limit.least).map(r, r.name)}'")
	want := evaluate(t, rods(t, lengths...), text)
	p, w := pack(t, text), rods(t, lengths...)
	var wait sync.WaitGroup
	for range 8 {
		wait.Go(func() {
			got, _ := p.Evaluate(w, engine.Options{Margins: true})
			if !reflect.DeepEqual(got.Findings, want.Findings) || !reflect.DeepEqual(got.Margins, want.Margins) {
				t.Error("another outcome the second time")
			}
		})
	}
	wait.Wait()
}

// A rule that is faulty is a problem of the pack, not of the kit.
func TestFaultyRule(t *testing.T) {
	p := pack(t, ruleText("rod", "must: rod.lenght > 0.0", "says: s"))
	out, broken := p.Evaluate(rods(t, 0.1), engine.Options{})
	if len(broken) != 1 || len(out.Findings) > 0 {
		t.Errorf("got %v and %d findings; want one problem", broken, len(out.Findings))
	}
}
