package engine_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/engine"
	"kitgauge/checker/finding"
	"kitgauge/checker/value"
)

// A name stands for its expression wherever it is used, and can use the names
// before it.
func TestWith(t *testing.T) {
	for _, tt := range []struct {
		name    string
		members []string
		want    string // message and remedy of the rod of 20 mm
	}{
		{"in must", []string{"with: {needed: limit.least * 2.0}", "must: rod.length >= needed", "says: s"}, "s"},
		{"in compare", []string{"with: {needed: limit.least * 2.0}", "compare: {value: rod.length, at_least: needed}", "says: s"}, "s"},
		{"in the messages", []string{"with: {needed: limit.least * 2.0}", "must: '!rod.sound'", "says: '{needed} wanted'", "remedy: '{needed - rod.length} more'"}, "60 mm wanted 40 mm more"},
		{"rounded to a side", []string{"with: {part: limit.least / 7.0}", "must: '!rod.sound'", "says: '{part}, {at least part}, {at most part}'", "remedy: '{at least 3}'"}, "4.286 mm, 4.286 mm, 4.285 mm 3"},
		{"in raise", []string{"with: {needed: limit.least * 2.0}", "must: '!rod.sound'", "raise: {to: critical, when: rod.length < needed}", "says: s"}, "critical: s"},
		{"one of another", []string{"with: {twice: limit.least * 2.0, needed: twice + rod.diameter}", "must: '!rod.sound'", "says: '{needed}'"}, "70 mm"},
		{"a condition", []string{"with: {short: rod.length < limit.least}", "must: '!short'", "says: '{short}'"}, "yes"},
		{"a text", []string{`with: {what: '"rod " + rod.name'}`, "must: what == ''", "says: '{what}'"}, "rod A"},
		{"a list", []string{"with: {others: 'kit.rods.filter(r, r.length < limit.least)'}", "must: size(others) == 0", "says: '{others} {others[0].length}'"}, "rod A 20 mm"},
		{"a thing", []string{"with: {first: 'kit.rods[0]'}", "must: first.length > limit.least", "says: '{first}: {first.length}, {has(first.voltage)}'"}, "rod A: 20 mm, yes"},
		{"in a macro", []string{"with: {needed: limit.least}", "must: 'kit.rods.all(r, r.length > needed)'", "says: s"}, "s"},
		{"hidden by a macro's variable", []string{"with: {r: limit.least}", "must: '!kit.rods.all(r, r.voltage > 0.0 * r.voltage) || rod.length > r'", "says: s"}, "s"},
		{"a bare number", []string{"with: {twice: 2, half: 0.5}", "must: rod.count < twice", "says: '{twice}, {half}'"}, "2, 0.5"},
	} {
		out := evaluate(t, rods(t, 0.02), ruleText("rod", tt.members...))
		if len(out.Findings) != 1 {
			t.Errorf("%s: got %+v", tt.name, out.Findings)
			continue
		}
		f := out.Findings[0]
		got := strings.TrimSpace(f.Message + " " + f.Remedy)
		if f.Severity == finding.Critical {
			got = "critical: " + got
		}
		if got != tt.want {
			t.Errorf("%s: got %q, want %q", tt.name, got, tt.want)
		}
	}
}

// What is wrong with a name is told once, at its place.
func TestWithProblems(t *testing.T) {
	for _, tt := range []struct{ name, with, must, part, message string }{
		{"an unknown member", "{needed: rod.lenght}", "rod.length > needed", ".lenght", `rod has no member "lenght"; nearest is "length"`},
		{"two dimensions", "{needed: rod.length + rod.voltage}", "rod.length > needed", "+ rod", "this joins a length with a voltage"},
		{"its dimension, where it is used", "{needed: rod.voltage}", "rod.length > needed", "> needed", "this joins a length with a voltage"},
		{"the dimension of another", "{twice: rod.voltage * 2.0, needed: twice + rod.length}", "rod.length > needed", "+ rod", "this joins a voltage with a length"},
		{"its type, where it is used", "{needed: rod.name}", "rod.length > needed", "> needed", "> cannot be applied to a number and text"},
		{"a name of a later one", "{needed: twice, twice: rod.length}", "rod.length > needed", "twice, ", `"twice" stands below this`},
		{"itself", "{needed: needed}", "rod.length > needed", "needed}", `"needed" is worked out from itself`},
		{"a misspelt name", "{needed: rod.length}", "rod.length > neded", "neded", `"neded" is not known here; nearest is "needed"`},
		{"a member that a thing does not have", "{first: 'kit.rods[0]'}", "first.lenght > 0.0", ".lenght", `rod has no member "lenght"; nearest is "length"`},
		{"a kind", "{rod: limit.least}", "rod.length > limit.least", "rod: limit", `"rod" means something else in an expression`},
		{"kit", "{kit: limit.least}", "rod.sound", "kit: limit", `"kit" means something else`},
		{"limit", "{limit: rod.length}", "rod.sound", "limit: rod", `"limit" means something else`},
		{"a word of the language", "{in: rod.length}", "rod.sound", "in: rod", `"in" means something else`},
		{"a type", "{string: rod.name}", "rod.sound", "string: rod", `"string" means something else`},
		{"each other", "{needed: 'twice * 2.0', twice: needed}", "rod.length > needed", "twice * ", `"needed" and "twice" are worked out from each other`},
		{"a function", "{larger: rod.length}", "rod.length > larger", "larger: ", `"larger" is a function of expressions`},
		{"a function of the language", "{size: rod.length}", "rod.length > size", "size: ", `"size" is a function of expressions`},
		{"a capital", "{Needed: rod.length}", "rod.sound", "Needed:", `"Needed" cannot be a name`},
		{"nothing", "{needed: ''}", "rod.sound", "''", "needed is empty"},
		{"a list", "[rod.length]", "rod.sound", "[rod", "with is a list; a group of names is needed"},
	} {
		text := ruleText("rod", "with: "+tt.with, "must: '"+tt.must+"'", "says: s")
		found := problems(t, text)
		if len(found) != 1 || !strings.HasPrefix(found[0].Message, tt.message) || found[0].Pos.String() != placeOf(text, tt.part) {
			t.Errorf("%s: got %v, want %q at %s", tt.name, found, tt.message, placeOf(text, tt.part))
		}
	}
	text := ruleText("rod", "given: rod.length > needed", "with: {needed: limit.least}", "must: rod.length > needed", "says: s")
	if found := problems(t, text); len(found) != 1 || !strings.HasPrefix(found[0].Message, `"needed" cannot be used in given`) || found[0].Pos.String() != placeOf(text, "needed") {
		t.Errorf("in given: got %v", found)
	}
}

// A name is worked out where it is used: what is unknown in it makes the rule
// not evaluated, with the reason, and harms nobody who does not use it.
func TestWithUnknown(t *testing.T) {
	w := rods(t, 0.02)
	of(w, 0).Voltage = value.Unknown[float64]("the part is unknown")
	for _, tt := range []struct{ name, with, must, want string }{
		{"used", "{needed: rod.voltage}", "needed > 0.0 * needed", "not evaluated: the part is unknown"},
		{"used by another", "{volts: rod.voltage, twice: volts * 2.0}", "twice > 0.0 * volts", "not evaluated: the part is unknown"},
		{"divided by nothing", "{share: rod.length / (rod.length - rod.length)}", "share > 1.0", "not evaluated: the result is not a finite number"},
		{"no such item", "{second: 'kit.rods[1]'}", "second.sound", "not evaluated: a list has no such item"},
		{"not stated", "{second: rod.next}", "second.sound", "not evaluated: the next of rod A is not stated"},
		{"not used at this place", "{needed: rod.voltage}", "rod.length < 0.0 && needed > 0.0 * needed", "s"},
		{"of no weight", "{needed: rod.voltage}", "needed > 0.0 * needed || rod.sound", ""},
		{"in has", "{needed: rod.voltage}", "has(rod.next.length) || rod.length < 0.0", "not evaluated: the next of rod A is not stated"},
	} {
		out := evaluate(t, w, ruleText("rod", "with: "+tt.with, "must: '"+tt.must+"'", "says: s"))
		got := ""
		for _, f := range out.Findings {
			got += f.Message
		}
		if got != tt.want {
			t.Errorf("%s: got %q, want %q", tt.name, got, tt.want)
		}
	}
	out := evaluate(t, w, ruleText("rod", "with: {volts: rod.voltage}", "must: '!rod.sound'", "says: '{volts}'"))
	if got := out.Findings[0].Message; got != "(not known: the part is unknown)" {
		t.Errorf("in a message: got %q", got)
	}
}

// Each place has values of its own.
func TestWithAtEachPlace(t *testing.T) {
	out := evaluate(t, rods(t, 0.1, 0.02, 0.2, 0.01), ruleText("rod", "with: {half: rod.length / 2.0}", "must: half >= limit.least", "says: '{half}'"))
	var got []string
	for _, f := range out.Findings {
		got = append(got, f.Place+" "+f.Message)
	}
	if want := []string{"rod B 10 mm", "rod D 5 mm"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// The working shows a name with what it stands for before it.
func TestWithWorking(t *testing.T) {
	out := evaluate(t, rods(t, 0.02), ruleText("rod", "with: {twice: limit.least * 2.0, needed: 'larger(twice, rod.diameter)'}", "must: rod.length > needed && needed > twice", "says: s"))
	var got []string
	for _, term := range out.Findings[0].Working {
		got = append(got, term.Expression+" = "+term.Value)
	}
	want := []string{
		"rod.length = 20 mm", "limit.least = 30 mm", "limit.least * 2.0 = 60 mm", "twice = 60 mm", "rod.diameter = 10 mm",
		"larger(twice, rod.diameter) = 60 mm", "needed = 60 mm", "rod.length > needed = no", "rod.length > needed && needed > twice = no",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %q\nwant %q", got, want)
	}
}

// A name that nothing uses is remarked on, at its key.
func TestUnusedName(t *testing.T) {
	text := ruleText("rod", "with: {share: limit.share * kit.width, needed: limit.least, spare: rod.diameter, over: needed}", "must: rod.length > over", "says: 'more than {share}, needed'")
	var got []string
	for _, r := range pack(t, text).Remarks() {
		got = append(got, r.Error())
	}
	want := []string{placeOf(text, "spare") + ": nothing in this rule uses spare; use it or take it out"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// A rule says what its names stand for; there may be so many.
func TestNames(t *testing.T) {
	p := pack(t, ruleText("rod", "with: {b: 2, a: b * 2}", "must: rod.count < a", "says: s"))
	if got := fmt.Sprint(p.Rules[0].With()); got != "[{b 2} {a b * 2}]" {
		t.Errorf("got %s", got)
	}
	for n := engine.MostNames - 1; n <= engine.MostNames+1; n++ {
		var with []string
		for i := range n {
			with = append(with, fmt.Sprintf("a%d: 1", i))
		}
		_, found := engine.ReadPack(parse(t, "pack.yaml", ruleText("rod", "with: {"+strings.Join(with, ", ")+"}", "must: rod.sound", "says: s")), vocabulary)
		if (len(found) > 0) != (n > engine.MostNames) {
			t.Errorf("%d names: got %v", n, found)
		}
	}
}

// A name in the compiled form is what it stood for in its own rule.
func TestCompiledNames(t *testing.T) {
	text := ruleText("rod", "with: {needed: limit.least}", "must: rod.length >= needed", "says: '{needed}'") +
		"  - {id: q, title: Q, of: rod, severity: minor, basis: b, why: w, with: {needed: limit.least * 2.0}, must: rod.length >= needed, says: '{needed}'}\n"
	whole, err := engine.Compile([]*engine.Pack{pack(t, text)})
	if err != nil {
		t.Fatal(err)
	}
	compiled, err := engine.ReadCompiled(whole)
	if err != nil {
		t.Fatal(err)
	}
	p := pack(t, text)
	if !p.Use(compiled) {
		t.Fatal("the pack's own compiled form is passed over")
	}
	out, problems := p.Evaluate(rods(t, 0.04, 0.02), engine.Options{})
	if len(problems) > 0 {
		t.Fatal(problems[0])
	}
	var got []string
	for _, f := range out.Findings {
		got = append(got, f.Rule+" "+f.Place+" "+f.Message+" "+f.Working[len(f.Working)-2].Expression)
	}
	want := []string{"p/r rod B 30 mm needed", "p/q rod A 60 mm needed", "p/q rod B 60 mm needed"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
