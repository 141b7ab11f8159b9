package engine_test

import (
	"slices"
	"strings"
	"testing"
)

// TestRelated: the places that a rule names belong to its findings, without
// that of the finding itself; what is not known names none.
func TestRelated(t *testing.T) {
	for _, tt := range []struct{ name, related, want string }{
		{"a list", "{things: 'kit.rods.filter(r, r.length == rod.length)', says: 'rod {rod.name} is as short'}", "1:3 /0 rod C is as short; 2:3 /1 rod C is as short"},
		{"a member", "{things: 'kit.rods.filter(r, r.length == rod.length)', at: rest, says: s}", "1:21 /0/rest s; 2:21 /1/rest s; 3:21 /2/rest s"},
		{"one thing", "{things: 'kit.rods[0]', says: s}", "1:3 /0 s"},
		{"itself", "{things: rod, says: s}", ""},
		{"none", "{things: 'kit.rods.filter(r, false)', says: s}", ""},
		{"not known", "{things: 'rod.next', says: s}", ""},
		{"beyond the end", "{things: 'kit.rods[9]', says: s}", ""},
	} {
		text := ruleText("rod", "must: rod.length > limit.least", "related: ["+tt.related+"]", "says: s")
		out := evaluate(t, rods(t, 0.02, 0.02, 0.02, 0.04), text)
		if len(out.Findings) != 3 {
			t.Errorf("%s: %d findings, want 3", tt.name, len(out.Findings))
			continue
		}
		var list []string
		for _, p := range out.Findings[2].Related {
			list = append(list, strings.TrimPrefix(p.Pos.String(), "box.yaml:")+" "+p.Pointer+" "+p.Says)
		}
		slices.Sort(list)
		if got := strings.Join(list, "; "); got != tt.want {
			t.Errorf("%s: got %q, want %q", tt.name, got, tt.want)
		}
	}
	if out := evaluate(t, rods(t, slices.Repeat([]float64{0.02}, 30)...), ruleText("rod", "must: rod.length > limit.least", "related: [{things: kit.rods, says: s}]", "says: s")); len(out.Findings[0].Related) != 10 {
		t.Errorf("%d places, want 10 at most", len(out.Findings[0].Related))
	}
}

// TestRelatedProblems: what is wrong with a related place is told at its place.
func TestRelatedProblems(t *testing.T) {
	for _, tt := range []struct{ name, related, message string }{
		{"a number", "{things: rod.length, says: s}", "this gives a number; things of the kit are needed"},
		{"texts", "{things: rod.marks, says: s}", "this gives a list; things of the kit are needed"},
		{"what is written nowhere", "{things: rod.steel, says: s}", "this gives a grade; things of the kit are needed"},
		{"a misspelt member", "{things: 'kit.rodz', says: s}", `kit has no member "rodz"; nearest is "rods"`},
		{"nothing said", "{things: kit.rods}", "a related place needs things and says"},
		{"a faulty text", "{things: kit.rods, says: '{rod.lenght}'}", `rod has no member "lenght"; nearest is "length"`},
	} {
		text := ruleText("rod", "must: rod.sound", "related: ["+tt.related+"]", "says: s")
		found := problems(t, text)
		if len(found) != 1 || !strings.HasPrefix(found[0].Message, tt.message) {
			t.Errorf("%s: got %v, want %q", tt.name, found, tt.message)
		}
	}
}
