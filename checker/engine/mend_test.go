package engine_test

import (
	"fmt"
	"strings"
	"testing"

	"kitgauge/checker/edit"
)

// What a rule writes is type-checked like the rest of it.
func TestChangesChecked(t *testing.T) {
	tests := []struct{ name, member, want string }{
		{"no such member", "mend: [{set: lenght, to: limit.least}]", `rod has no member "lenght"; nearest is "length"`},
		{"beyond a member", "mend: [{set: length.x, to: 1}]", `there is no member "x": what stands before it has none`},
		{"another kind", "mend: [{set: length, to: rod.name}]", "length takes a number, and this is text"},
		{"another dimension", "mend: [{set: length, to: rod.voltage}]", "length takes a length, and this is a voltage"},
		{"a number for a flag", "choice: [{set: sound, to: 1}]", "sound takes a condition, and this is a count"},
		{"no list", "mend: [{insert: length, to: 1}]", "length is no list"},
		{"an item of another kind", "mend: [{insert: marks, to: 1}]", "marks takes text, and this is a count"},
		{"a member of an item", "mend: [{insert: kit.rods, to: {name: rod.length}}]", "name takes text, and this is a number"},
		{"no such member of an item", "mend: [{insert: kit.rods, to: {nome: rod.name}}]", `rod has no member "nome"; nearest is "name"`},
		{"a name that is no text", "mend: [{set: it, to: rod.length}]", "it takes a name, and this is a number"},
		{"an expression that is faulty", "mend: [{set: length, to: rod.lenght}]", `rod has no member "lenght"; nearest is "length"`},
		{"a condition that is none", "mend: [{remove: length, when: rod.length}]", "this gives a number; a condition is needed"},
		{"rounded and no number", "mend: [{set: name, to: at least rod.name}]", "this gives text; a number is needed"},
		{"of no thing", "mend: [{set: length, of: rod.length, to: limit.least}]", "this gives a number; things of the kit are needed"},
		{"no such member of a thing", "mend: [{set: nome, of: kit.rods, to: rod.name}]", `rod has no member "nome"; nearest is "name"`},
		{"no verb", "mend: [{to: 1}]", "the change says neither set, insert nor remove"},
		{"two verbs", "mend: [{set: length, remove: length, to: 1}]", "a change does one thing"},
		{"nothing to write", "mend: [{set: length}]", "the change does not say what is written"},
		{"no list of changes", "mend: {remove: length}", "mend is a group of members; a list of changes is needed"},
		{"both kinds", "mend: [{remove: length}]\n    choice: [{remove: length}]", "mend and choice stand together"},
	}
	for _, tt := range tests {
		found := problems(t, ruleText("rod", "must: rod.sound", "says: s", tt.member))
		if len(found) != 1 || found[0].Message != tt.want {
			t.Errorf("%s: got %v, want %q", tt.name, found, tt.want)
		}
	}
}

// The edits of a finding are those of its rule, at its place, written as its
// words write them.
func TestChangesMade(t *testing.T) {
	tests := []struct{ changes, want string }{
		{"{set: length, to: at least limit.least * 1.00004}", `set /0/length "30.01 mm"`},
		{"{set: length, to: at most limit.least * 1.00004}", `set /0/length "30 mm"`},
		{"{set: share, to: rod.share}", `set /0/share 0.5`},
		{"{set: count, to: rod.count + 1}, {set: sound, to: true}", `set /0/count 4; set /0/sound true`},
		{"{set: kit.title, to: 'rod.name + \"1\"'}", `set /title "A1"`},
		{"{set: next, to: rod.name}", `set /0/next "A"`},
		{"{set: it, to: rod.name}", `set /0 "A"`},
		{"{insert: marks, to: rod.marks}", `insert /0/marks/- "x"; insert /0/marks/- "y"`},
		{"{insert: kit.rods, to: {name: rod.name, length: at least rod.length}}", `insert /rods/- {"name": "A", "length": "10 mm"}`},
		{"{remove: length}, {remove: name, when: '!rod.sound'}", `remove /0/length`},
		{"{set: length, of: 'kit.rods.filter(r, true)', to: limit.least}", `set /0/length "30 mm"`},
		{"{set: length, of: 'kit.rods.filter(r, false)', to: limit.least}", ``}, // none is there
		{"{remove: length, when: rod.next.sound}", ``},                          // not known
		{"{set: name, to: 'rod.marks[5]'}, {remove: length}", ``},               // cannot be worked out
		{"{set: name, to: '\"\"'}", ``},                                         // nothing to write
		{"{set: rod.length, to: limit.least}", `set /0/length "30 mm"`},         // as the kind of thing that it is
	}
	for _, tt := range tests {
		out := evaluate(t, rods(t, 0.01), ruleText("rod", "must: rod.length >= limit.least", "says: s", "choice: ["+tt.changes+"]"))
		var made []string
		for _, c := range out.Findings[0].Edits {
			made = append(made, strings.TrimSpace(fmt.Sprintf("%s %s %s", c.Do, c.At, c.Value)))
		}
		if got := strings.Join(made, "; "); got != tt.want || out.Findings[0].Choice != (got != "") {
			t.Errorf("%s: got %s, want %s", tt.changes, got, tt.want)
		}
	}
}

// A rule tells its changes in the words of the pack.
func TestChangesTold(t *testing.T) {
	p := pack(t, ruleText("rod", "must: rod.sound", "says: s", "mend: [{set: length, of: kit.rods, to: limit.least, when: rod.sound}, {remove: name}, {insert: kit.rods, to: {name: rod.name}}]"))
	list, choice := p.Rules[0].Changes()
	if got, want := strings.Join(list, "; "), "set length to limit.least of kit.rods when rod.sound; remove name; insert kit.rods to {name: rod.name}"; got != want || choice != nil {
		t.Errorf("got %s, want %s", got, want)
	}
	p = pack(t, ruleText("rod", "must: rod.sound", "says: s", "mend: [{set: length, to: limit.least, when: rod.sound}]", "choice: [{remove: name}]"))
	if mend, choice := p.Rules[0].Changes(); len(mend) != 1 || len(choice) != 1 || choice[0] != "remove name" {
		t.Errorf("of both kinds: got %q and %q", mend, choice)
	}
	if edit.Text("ä\"") != `"ä\""` {
		t.Error("a text is not written as JSON")
	}
}
