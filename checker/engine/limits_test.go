package engine_test

import (
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/engine"
	"kitgauge/checker/value"
)

// choiceText is a pack with a group of limits.
func choiceText(is string, members ...string) string {
	return strings.Replace(ruleText("rod", members...), "rules:\n", "  room: {is: "+is+", basis: b, about: a}\nrules:\n", 1)
}

// A limit is chosen by a key of the kit, or by one that stands in the rule.
func TestLimitGroup(t *testing.T) {
	const is = "{A: 10 mm, wide: 5 cm, taken: least}"
	for _, tt := range []struct{ name, must, says, want string }{
		{"by the kit", "rod.length < limit.room[rod.name]", "{limit.room[rod.name]}", "10 mm"},
		{"by its name", "rod.length < limit.room.wide && !rod.sound", "{limit.room.wide}", "50 mm"},
		{"by a text", `rod.length < limit.room["A"]`, `{limit.room["A"]}`, "10 mm"},
		{"from another limit", "!rod.sound", "{limit.room.taken}", "30 mm"},
		{"a key in it", `!(rod.name in limit.room)`, "{rod.name in limit.room}, {\"Z\" in limit.room}", "yes, no"},
		{"all of it", "!rod.sound", "{limit.room}; {limit.room.map(k, k)}; {size(limit.room)}", "A 10 mm, wide 50 mm, taken 30 mm; A, wide, taken; 3"},
		{"in a choice", `!rod.sound`, `{rod.name == "B" ? limit.room.wide : limit.least}`, "30 mm"},
	} {
		out := evaluate(t, rods(t, 0.02), strings.Replace(choiceText(is, "must: '"+tt.must+"'", "says: '"+tt.says+"'"), "{A:", "{A:", 1))
		if len(out.Findings) != 1 || out.Findings[0].Message != tt.want {
			t.Errorf("%s: got %+v, want %q", tt.name, out.Findings, tt.want)
		}
	}
}

// A key that is not there leaves the rule not evaluated, with those there are.
func TestLimitGroupWithoutKey(t *testing.T) {
	w := rods(t, 0.02, 0.02, 0.02)
	of(w, 2).Name = value.Unknown[string]("the name is faulty")
	out := evaluate(t, w, choiceText("{A: 30 mm, C: 50 mm}", "must: rod.length > limit.room[rod.name]", "says: s"))
	var got []string
	for _, f := range out.Findings {
		got = append(got, f.Message)
	}
	want := []string{"s", `not evaluated: limit.room has no value for "B"; it has one for A, C`, "not evaluated: the name is faulty"}
	if !slices.Equal(got, want) || out.NotEvaluated != 2 {
		t.Errorf("got %q, want %q", got, want)
	}
}

// Settings change one of a group, and a limit that a group takes its value
// from.
func TestLimitGroupSettings(t *testing.T) {
	text := choiceText("{A: 10 mm, B: least}", "must: rod.length > limit.room[rod.name]", "says: '{limit.room[rod.name]}'")
	for _, tt := range []struct {
		limit string
		want  string
	}{
		{"p/none", "rod B 30 mm"},
		{"p/least", "rod B 70 mm"},
		{"p/room.A", "rod A 70 mm; rod B 30 mm"},
	} {
		out, problems := pack(t, text).Evaluate(rods(t, 0.02, 0.02), engine.Options{Limits: map[string]float64{tt.limit: 0.07}})
		if len(problems) > 0 {
			t.Fatal(problems[0])
		}
		var got []string
		for _, f := range out.Findings {
			got = append(got, f.Place+" "+f.Message)
		}
		if strings.Join(got, "; ") != tt.want {
			t.Errorf("%s: got %q, want %q", tt.limit, got, tt.want)
		}
	}
	var names []string
	p := pack(t, text)
	for _, l := range p.Limits {
		names = append(names, l.Name+" "+l.Text)
	}
	if want := []string{"least 30 mm", "share 0.05", "room.A 10 mm"}; !slices.Equal(names, want) {
		t.Errorf("the limits are %q, want %q", names, want)
	}
}

// What is wrong with a group, at its place.
func TestLimitGroupProblems(t *testing.T) {
	const must = "limit.room.steered > rod.length"
	for _, tt := range []struct{ name, is, must, part, message string }{
		{"two dimensions", "{steered: 30 mm, sprung: 5 V}", must, "5 V", "this is "},
		{"of another limit", "{steered: 30 mm, sprung: share}", must, "share}", "this is a plain number, and steered is a length"},
		{"an unknown limit", "{steered: 30 mm, sprung: leest}", must, "leest", `there is no limit "leest" in this pack; nearest is "least"`},
		{"an unknown unit", "{steered: 30 mm, sprung: 3 furlong}", must, "3 furlong", `"3 furlong" has no unit that is known`},
		{"nothing", "{}", "rod.sound", "{}", "this group of limits is empty"},
		{"a misspelt key", "{steered: 30 mm}", "limit.room.sterred > rod.length", ".sterred", `limit.room has no value for "sterred"; nearest is "steered"`},
		{"a misspelt text", "{steered: 30 mm}", `limit.room["sterred"] > rod.length`, "[\"sterred", `limit.room has no value for "sterred"; nearest is "steered"`},
		{"the whole as a number", "{steered: 30 mm}", "limit.room > rod.length", "> rod", "> cannot be applied to "},
		{"its dimension", "{steered: 30 mm}", "limit.room.steered > rod.voltage", "> rod", "this joins a length with a voltage"},
		{"its dimension, by a key", "{steered: 30 mm}", "limit.room[rod.name] > rod.voltage", "> rod", "this joins a length with a voltage"},
		{"a key that is no text", "{steered: 30 mm}", "limit.room[rod.count] > rod.length", "[rod.count", "[ ] cannot be applied to "},
	} {
		text := choiceText(tt.is, "must: '"+tt.must+"'", "says: s")
		found := problems(t, text)
		if len(found) == 0 || !strings.HasPrefix(found[0].Message, tt.message) || found[0].Pos.String() != placeOf(text, tt.part) {
			t.Errorf("%s: got %v, want %q at %s", tt.name, found, tt.message, placeOf(text, tt.part))
		}
	}
}

// Limits of a group that no rule can choose are remarked on.
func TestUnusedLimitOfGroup(t *testing.T) {
	for _, tt := range []struct {
		must string
		want []string
	}{
		{"rod.length > limit.room[rod.name] && limit.share > 0.0", nil},
		{"rod.length > limit.room.A && limit.share > 0.0", []string{"no rule uses limit.least", "no rule uses limit.room.C"}},
		{"rod.length > limit.least && limit.share > 0.0", []string{"no rule uses limit.room.A", "no rule uses limit.room.C", "no rule uses limit.room"}},
	} {
		var got []string
		for _, r := range pack(t, choiceText("{A: 10 mm, C: 20 mm, D: least}", "must: '"+tt.must+"'", "says: s")).Remarks() {
			got = append(got, r.Message)
		}
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s: got %q, want %q", tt.must, got, tt.want)
		}
	}
}

// A group from which a rule chooses by what the kit says holds no key that the
// kit never says; two rules that choose from it are told once.
func TestLimitGroupWords(t *testing.T) {
	for is, want := range map[string]string{
		"{round: 1 mm, flat: 2 mm}": "",
		"{rund: 1 mm, flat: 2 mm}":  `the shape of rod, by which a rule chooses from limit.room, is never "rund"; nearest is "round"`,
	} {
		text := choiceText(is, "must: rod.length > limit.room[rod.shape]", "says: 'it needs {limit.room[rod.shape]}'")
		found := problems(t, text)
		switch {
		case want == "" && len(found) > 0:
			t.Errorf("%s: got %v, want none", is, found)
		case want != "" && (len(found) != 1 || found[0].Message != want || found[0].Pos.String() != placeOf(text, "rund")):
			t.Errorf("%s: got %v, want %s at %s", is, found, want, placeOf(text, "rund"))
		}
	}
}
