package engine_test

import (
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"kitgauge/checker/engine"
	"kitgauge/checker/source"
)

// placeOf is where a part of a text stands.
func placeOf(text, part string) string {
	i := strings.Index(text, part)
	line := 1 + strings.Count(text[:i], "\n")
	column := 1 + utf8.RuneCountInString(text[strings.LastIndexByte(text[:i], '\n')+1:i])
	return fmt.Sprintf("pack.yaml:%d:%d", line, column)
}

// problems are those of reading and compiling a pack.
func problems(t testing.TB, text string) []*source.Problem {
	t.Helper()
	p, found := engine.ReadPack(parse(t, "pack.yaml", text), vocabulary)
	if p != nil {
		found = append(found, p.Compile()...)
	}
	return found
}

// A fault in an expression is told where it stands in the file, however the
// expression is written: CEL names it in the word lenght.
func TestProblemPlaces(t *testing.T) {
	const says, must = "says: s", "must: rod.sound"
	tests := []struct {
		name    string
		members []string
	}{
		{"plain", []string{"must: rod.lenght > 0.0", says}},
		{"plain, in brackets", []string{"must: (rod.sound && rod.lenght > 0.0)", says}},
		{"plain over two lines", []string{"must: rod.sound &&\n      rod.lenght > 0.0", says}},
		{"single quotes", []string{"must: 'rod.lenght > 0.0'", says}},
		{"single quotes with one inside", []string{`must: 'rod.name == "it''s" || rod.lenght > 0.0'`, says}},
		{"single quotes over two lines", []string{"must: 'rod.sound &&\n\n       rod.lenght > 0.0'", says}},
		{"double quotes", []string{`must: "rod.lenght > 0.0"`, says}},
		{"double quotes with escapes", []string{`must: "rod.name == \"\u00e4\" || rod.lenght > 0.0"`, says}},
		{"literal block", []string{"must: |\n      rod.sound &&\n        rod.lenght > 0.0", says}},
		{"literal block with an empty line first", []string{"must: |-\n\n      rod.lenght > 0.0", says}},
		{"folded block", []string{"must: >-\n      rod.sound && rod.sound &&\n      rod.lenght > 0.0", says}},
		{"folded block, third line", []string{"must: >\n      rod.sound\n      && rod.sound\n      && rod.lenght > 0.0", says}},
		{"given", []string{"given: rod.lenght > 0.0", must, says}},
		{"raise", []string{must, "raise: {to: critical, when: rod.lenght > 0.0}", says}},
		{"value of a comparison", []string{"compare: {value: rod.lenght, at_least: limit.least}", says}},
		{"limit of a comparison", []string{"compare: {value: rod.length, at_least: 'larger(limit.least, rod.lenght)'}", says}},
		{"message", []string{must, "says: it is {rod.lenght} long"}},
		{"second brace of a message", []string{must, "says: 'it is {rod.length} or ä {rod.lenght} long'"}},
		{"rounded to a side", []string{must, "says: 'it is {at least rod.length} or {at most rod.lenght} long'"}},
		{"message in double quotes", []string{must, `says: "it is \"{rod.lenght}\" long"`}},
		{"message in a folded block", []string{must, "says: >-\n      it is {rod.length} long,\n      or {rod.lenght}"}},
		{"message in a literal block", []string{must, "says: |\n      it is {rod.length} long,\n      or {rod.lenght}"}},
		{"condition over lines in a message", []string{must, "says: >-\n      it is {rod.sound ? \"a\" :\n      rod.lenght > 0.0 ? \"b\" : \"c\"}"}},
		{"remedy", []string{must, says, "remedy: 'make it {rod.lenght}'"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			text := ruleText("rod", tt.members...)
			want := placeOf(text, ".lenght") // CEL places a member at the dot before it
			found := problems(t, text)
			if len(found) != 1 || found[0].Pos.String() != want || found[0].Message != `rod has no member "lenght"; nearest is "length"` {
				t.Errorf("got %v, want one at %s in\n%s", found, want, text)
			}
		})
	}
}

// Wherever an expression is put, in whatever style, a fault is told at its
// place.
func TestProblemPlacesProperty(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		words := rapid.SliceOfN(rapid.SampledFrom([]string{"rod.sound", "rod.length > 0.0", `rod.name == "ä"`, "(rod.sound)"}), 0, 6).Draw(rt, "parts")
		at := rapid.IntRange(0, len(words)).Draw(rt, "at")
		words = append(words[:at:at], append([]string{"rod.faulty"}, words[at:]...)...)
		gap := rapid.SampledFrom([]string{" && ", " &&\n      ", " ||\n      "}).Draw(rt, "gap")
		expression := strings.Join(words, gap)
		style := rapid.SampledFrom([]string{"", "|\n      ", "|-\n      ", ">\n      ", ">-\n      ", "'"}).Draw(rt, "style")
		member := "must: " + style + expression
		if style == "'" {
			member += "'"
		}
		text := ruleText("rod", member, "says: s")
		found := problems(t, text)
		want := strings.TrimSuffix(placeOf(text, ".faulty"), "")
		if len(found) != 1 || found[0].Pos.String() != want {
			rt.Errorf("got %v, want one at %s in\n%s", found, want, text)
		}
	})
}

// What is wrong with a type is told in words for a person who writes rules.
func TestTypeProblems(t *testing.T) {
	tests := []struct{ must, message, remedy string }{
		{"rod.length", "this gives a number; a condition is needed", ""},
		{"rod.name", "this gives text; a condition is needed", ""},
		{"rod.marks", "this gives a list; a condition is needed", ""},
		{"rod.next", "this gives a rod; a condition is needed", ""},
		{"rob.length > 0.0", `"rob" is not known here; nearest is "rod"`, "a rule of a rod can name limit, kit, rod"},
		{"limit.leest > 0.0", `there is no limit "leest" in this pack; nearest is "least"`, "its limits are least, share"},
		{"rod.steel.nam == \"\"", `grade has no member "nam"; nearest is "name"`, "its members are name"},
		{"rod.next.next.lenght > 0.0", `rod has no member "lenght"; nearest is "length"`, ""},
		{"kit.rods.exists(r, r.lenght > 0.0)", `rod has no member "lenght"; nearest is "length"`, ""},
		{"rod.name > 1.0", "> cannot be applied to text and a number", "compare like with like; double(n) makes a count a number"},
		{"rod.length * rod.count > 0.0", "* cannot be applied to a number and a count", ""},
		{"!rod.length", "! cannot be applied to a number", ""},
		{"rod.sound && rod.count", "this is a count, and a condition is needed", "compare it with something, as in x > 0"},
		{"larger(rod.count, 1.0) > 0.0", "larger cannot be applied to a count and a number", ""},
		{"rod.length >", "this expression cannot be read: it ends too early", ""},
		{"rod.length > 0.0 and rod.sound", `this expression cannot be read: "and" does not fit here`, "conditions are joined with && and ||, turned round with !, and compared with =="},
		{"kit.rods.exists(r, r.next.lenght > 0.0)", `rod has no member "lenght"; nearest is "length"`, ""},
		{"kit.rods.length > 0.0", "a list has no members; its items have", ""},
		{"[rod.length, 1][0]", "this gives now one kind of thing and now another; a condition is needed", "compare it with something, as in x > 0"},
		{"type(rod) == type(kit)", `there is no function "type"`, ""},
		{"type(rod)", "this gives a kind of thing; a condition is needed", ""},
		{"lager(rod.length, 1.0) > 0.0", `there is no function "lager"; nearest is "larger"`, ""},
		{"larger(rod.length) > 0.0", "larger cannot be applied to a number", "larger takes two numbers; double(n) makes a count a number"},
		{"larger(rod.lenght, 1.0) > 0.0", `rod has no member "lenght"`, ""},
		{"has(rod)", "has asks whether a member is stated, and this is none", "name the thing and its member, as in has(kit.vehicle.refill_interval)"},
		{"rod.length.far > 1.0", "a number has no members", "take out what follows the dot"},
		{"99999999999999999999 > rod.count", "this number is too large", ""},
		{"kit.rods.all(3, true)", "a name for each item of the list is needed here", ""},
		{"rod.?length > 0.0", `".?" cannot stand in an expression`, "take it out"},
		{"rod.sound ? 1 : \"a\"", "the two sides of the colon are a count and text", ""},
		{"rod.length > 3 mm", `this expression cannot be read: "mm" does not fit here`, `write measure("3 mm"), or better a limit`},
		{`rod.shape == "rund"`, `the shape of rod is never "rund"; nearest is "round"`, "it is one of round, flat"},
		{`"square" != rod.shape`, `the shape of rod is never "square"`, ""},
		{`rod.shape in ["flat", "rond"]`, `the shape of rod is never "rond"; nearest is "round"`, ""},
		{"rod.length = 0.0", `this expression cannot be read: "=" cannot stand in an expression`, ""},
		{"(rod.sound", "this expression cannot be read: it ends too early", ""},
		{"rod.sound)", `this expression cannot be read: ")" does not fit here`, ""},
		{"size(kit.rods", "this expression cannot be read: it ends too early", ""},
		{"rod.name == \"a", "this expression cannot be read: ", ""},
	}
	for _, tt := range tests {
		found := problems(t, ruleText("rod", "must: '"+tt.must+"'", "says: s"))
		if len(found) == 0 || !strings.HasPrefix(found[0].Message, tt.message) || tt.remedy != "" && found[0].Remedy != tt.remedy {
			t.Errorf("%s: got %v, want %q; %q", tt.must, found, tt.message, tt.remedy)
			continue
		}
		for _, f := range found {
			for _, word := range []string{"ref.Val", "*engine", "dyn", "map(", "type(r", "!error!", "double,", "macro", "literal"} {
				if strings.Contains(f.Message, word) {
					t.Errorf("%s: got %v, with %s of the program in it", tt.must, f, word)
				}
			}
			if f.Remedy == "" {
				t.Errorf("%s: got %v, without what would be right", tt.must, f)
			}
		}
	}
}

// What is rounded to a side has to be a number.
func TestSideTakesNumber(t *testing.T) {
	text := ruleText("rod", "must: rod.sound", "says: 'it is {at least rod.name}'")
	found := problems(t, text)
	if len(found) != 1 || found[0].Message != "this gives text; a number is needed" || found[0].Pos.String() != placeOf(text, "rod.name") {
		t.Errorf("got %v, want one at %s", found, placeOf(text, "rod.name"))
	}
}

func TestDimensionProblems(t *testing.T) {
	const joins = "give both sides the same dimension, with a limit or another field"
	tests := []struct{ must, message string }{
		{"rod.length > rod.diameter", ""},
		{"rod.length > 0.0", ""}, // nothing is nothing in any unit
		{"rod.length > limit.least", ""},
		{"rod.length > limit.share * kit.width", ""},
		{"rod.length / kit.width > limit.share", ""},
		{"rod.length * rod.diameter > limit.least * limit.least", ""},
		{"larger(rod.length, rod.diameter) - smaller(rod.length, 0.0) > limit.least", ""},
		{"round_up(rod.length, limit.least) > rod.length", ""},
		{"(rod.sound ? rod.length : rod.diameter) > limit.least", ""},
		{"kit.rods.all(r, r.length > limit.least)", ""},
		{"double(rod.count) * rod.length > limit.least", ""},
		{`rod.length > measure("30 mm")`, ""},
		{"rod.length > 30.0", "this joins a length with a plain number"},
		{"rod.length > rod.voltage", "this joins a length with a voltage"},
		{"rod.length + rod.voltage > rod.length", "this joins a length with a voltage"},
		{"rod.length == limit.share", "this joins a length with a plain number"},
		{"rod.length / kit.width > limit.least", "this joins a plain number with a length"},
		{"rod.length * rod.diameter > limit.least", "this joins an area with a length"},
		{"larger(rod.length, rod.share) > limit.least", "this joins a length with a plain number"},
		{"round_up(rod.length, rod.share) > limit.least", "this joins a length with a plain number"},
		{"-rod.length < limit.share", "this joins a length with a plain number"},
		{"(rod.sound ? rod.length : rod.voltage) > limit.least", "this joins a length with a voltage"},
		{"kit.rods.all(r, r.length > r.voltage)", "this joins a length with a voltage"},
		{"double(rod.count) > limit.least", "this joins a plain number with a length"},
		{"size(kit.rods) > 1 && rod.length > rod.warmth", "this joins a length with a temperature"},
		{`rod.length > measure("30 V")`, "this joins a length with a voltage"},
	}
	for _, tt := range tests {
		found := problems(t, ruleText("rod", "must: '"+tt.must+"'", "says: s"))
		switch {
		case tt.message == "" && len(found) > 0:
			t.Errorf("%s: got %v, want none", tt.must, found)
		case tt.message != "" && (len(found) != 1 || found[0].Message != tt.message || found[0].Remedy != joins):
			t.Errorf("%s: got %v, want %s", tt.must, found, tt.message)
		}
	}
	found := problems(t, ruleText("rod", "compare: {value: rod.length, at_most: rod.voltage}", "says: s"))
	if len(found) != 1 || found[0].Message != "a length is compared with a voltage" {
		t.Errorf("a comparison: got %v", found)
	}
}

// A pack whose shape is wrong says so, each fault once.
func TestPackProblems(t *testing.T) {
	good := ruleText("rod", "must: rod.sound", "says: s")
	tests := []struct{ old, new, want string }{
		{"pack: p\n", "", "pack.yaml:1:1: pack is missing; write pack: and its text"},
		{"title: P\n", "title: [x]\n", "pack.yaml:2:8: title is a list; text is needed"},
		{"rules:", "rulez:", "pack.yaml:1:1: rules is missing; write rules: with an item for each"},
		{"of: rod", "of: rope", `pack.yaml:9:9: a rule cannot look at "rope"; it can look at kit, rod`},
		{"severity: major", "severity: bad", "pack.yaml:10:15: severity is no severity; write critical, major or minor"},
		{"severity: major", "severity: none", "severity is no severity"},
		{"    severity: major\n", "", "severity is missing"},
		{"must: rod.sound", "must: ''", "must is empty; write an expression or leave it out"},
		{"    must: rod.sound\n", "", "the rule has no condition; write must: or compare:"},
		{"must: rod.sound", "compare: {value: rod.length}", "compare needs value and either at_least or at_most"},
		{"must: rod.sound", "compare: {value: rod.length, at_least: limit.least, at_most: limit.least}", "compare needs value and either at_least or at_most"},
		{"says: s", "says: 'it is {rod.length'", "a brace { in says is not closed; close it with }"},
		{"says: s", "says: 'it is {} long'", "this expression cannot be read: it ends too early"},
		{"    says: s\n", "", "says is missing"},
		{"is: 30 mm", "is: 30 furlong", `"30 furlong" has no unit that is known`},
		{"is: 30 mm", "is: mm", `"mm"`},
		{"basis: b, about: a}\n  share", "about: a}\n  share", "least has no basis"},
	}
	for _, tt := range tests {
		if !strings.Contains(good, tt.old) {
			t.Fatalf("%q is not in the pack", tt.old)
		}
		found := problems(t, strings.Replace(good, tt.old, tt.new, 1))
		if len(found) == 0 || !strings.Contains(found[0].Error(), tt.want) {
			t.Errorf("%q for %q: got %v, want %s", tt.new, tt.old, found, tt.want)
		}
	}
	twice := good + strings.TrimPrefix(good[strings.Index(good, "  - id"):], "")
	if found := problems(t, twice); len(found) != 1 || !strings.Contains(found[0].Message, `rule "p/r" stands twice in this pack`) {
		t.Errorf("a rule twice: got %v", found)
	}
	if found := problems(t, "[]"); len(found) == 0 {
		t.Error("a list passes for a pack")
	}
}

// A rule knows its texts and the limits that it names.
func TestRuleTexts(t *testing.T) {
	p := pack(t, ruleText("rod", "given: rod.sound", "compare: {value: rod.length, at_least: limit.least}", "raise: {to: critical, when: rod.length < 0.0}", "says: '{limit.share}'"))
	r := p.Rules[0]
	severity, when := r.Raised()
	if r.ID != "p/r" || r.Given() != "rod.sound" || r.Must() != "rod.length >= limit.least" || severity.String() != "critical" || when != "rod.length < 0.0" {
		t.Errorf("got %q, given %q, must %q, raised to %v when %q", r.ID, r.Given(), r.Must(), severity, when)
	}
	var used []string
	for _, l := range r.UsedLimits() {
		used = append(used, l.Name+" "+l.Text)
	}
	if got := strings.Join(used, ", "); got != "least 30 mm, share 0.05" {
		t.Errorf("got limits %s", got)
	}
	bare := pack(t, ruleText("rod", "must: rod.length > limit.least_of_all", "says: s")).Rules[0]
	if severity, when := bare.Raised(); len(bare.UsedLimits()) > 0 || bare.Given() != "" || when != "" || severity != 0 {
		t.Error("limit.least_of_all is taken for limit.least, or a condition is made up")
	}
}

func FuzzCompile(f *testing.F) {
	for _, e := range []string{"rod.length > limit.least", "rod.", "kit.rods.map(r, r.length)[0] > 1", "(((", `"{"`, "rod.next.next.next.sound", "[1,2].exists(x, x>1)", "measure('1 mm') > rod.length", "ä"} {
		f.Add(e)
	}
	f.Fuzz(func(t *testing.T, expression string) {
		if strings.ContainsAny(expression, "\n\r\x00") || !utf8.ValidString(expression) {
			t.Skip()
		}
		quoted := "'" + strings.ReplaceAll(expression, "'", "''") + "'"
		compiles(t, expression, ruleText("rod", "must: "+quoted, "says: s"))
		compiles(t, expression, ruleText("rod", "with: {named: "+quoted+"}", "must: named == named", "says: '{named}'"))
	})
}

// compiles holds a pack with an expression in it to its problems, or to an
// evaluation that is the same a second time.
func compiles(t *testing.T, expression, text string) {
	docs, faults := source.Parse("pack.yaml", []byte(text))
	if len(faults) > 0 {
		t.Skip()
	}
	p, found := engine.ReadPack(docs[0], vocabulary)
	found = append(found, p.Compile()...)
	for _, problem := range found {
		if problem.Message == "" || problem.Pos.Line < 1 || strings.Contains(problem.Message, "ref.Val") {
			t.Errorf("%q: problem %v", expression, problem)
		}
	}
	if len(found) > 0 {
		return
	}
	first, broken := p.Evaluate(rods(t, 0.1, 0.2), engine.Options{})
	if len(broken) > 0 {
		t.Errorf("%q: compiles, and then %v", expression, broken[0])
	}
	if second, _ := p.Evaluate(rods(t, 0.1, 0.2), engine.Options{}); !cmp.Equal(first, second, cmpopts.EquateEmpty()) {
		t.Errorf("%q: a second time %+v, want %+v", expression, second, first)
	}
}
