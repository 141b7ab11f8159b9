package faultcard_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/faultcard"
	"kitgauge/checker/finding"
	"kitgauge/checker/source"
)

func parse(t testing.TB, text string) *source.Document {
	t.Helper()
	docs, problems := source.Parse("cards.yaml", []byte(text))
	if len(problems) > 0 || len(docs) != 1 {
		t.Fatalf("%q: %v", text, problems)
	}
	return docs[0]
}

const cards = `
pack: yard
cards:
  - rule: tie-spacing
    fault: a tie left out
    kit: gritter
    limits: {tie_gap: 300 mm}
    patch:
      - {op: remove, path: /bundles/0/ties/1}
      - {op: replace, path: /lines/0/cut_length, value: 1.9 m}
      - {op: add, path: /lines/-, value: {number: 2}}
      - {op: move, from: /a, path: /b}
    finds:
      - {rule: yard/tie-spacing, place: line 7}
      - {rule: yard/cut, place: line 1, status: not evaluated}
`

const clean = `
bundles: [{ties: [{at: 1}, {at: 2}]}]
lines: [{number: 1, cut_length: 2 m}]
a: ä <b>
`

func TestRead(t *testing.T) {
	pack, list, problems := faultcard.Read(parse(t, cards))
	if pack != "yard" || len(list) != 1 || len(problems) > 0 {
		t.Fatalf("got pack %q, %d cards, %v", pack, len(list), problems)
	}
	c := list[0]
	if c.Rule != "yard/tie-spacing" || c.Fault != "a tie left out" || c.Kit != "gritter" || c.Node.Pos().Line != 4 {
		t.Errorf("got %+v", c)
	}
	if want := []faultcard.Limit{{"tie_gap", "300 mm"}}; !slices.Equal(c.Limits, want) {
		t.Errorf("got limits %v, want %v", c.Limits, want)
	}
	if want := (faultcard.Operation{Op: "add", Path: "/lines/-", Value: `{"number":2}`}); c.Patch[2] != want {
		t.Errorf("got operation %+v, want %+v", c.Patch[2], want)
	}
	want := []faultcard.Expected{{"yard/tie-spacing", "line 7", finding.Violated}, {"yard/cut", "line 1", finding.NotEvaluated}}
	if !slices.Equal(c.Finds, want) {
		t.Errorf("got %v, want %v", c.Finds, want)
	}
}

func TestReadFaulty(t *testing.T) {
	for _, tt := range []struct{ text, want string }{
		{"pack: yard", ""}, {"pack: yard\ncards: [{}]", ""}, // the schema tells what is missing
		{"pack: yard\ncards:\n", "cards.yaml:2:7: cards is nothing; a list is needed"},
		{"[]", "cards.yaml:1:1: this is a list; a group of members is needed"},
		{"pack: yard\ncards: [{patch: {op: add}}]", "cards.yaml:2:17: this is no JSON Patch; write a list of operations"},
		{"pack: yard\ncards: [{patch: [add]}]", "cards.yaml:2:17: this is no JSON Patch; write a list of operations"},
		{"cards: [{patch: [{op: [add]}]}]", "cards.yaml:1:17: this is no JSON Patch"},
		{"cards: [{fault: yes}, {kit: true}]", `cards.yaml:1:29: kit is true or false; text is needed; put quotes round it`},
		{"cards: [{limits: [1]}]", "cards.yaml:1:18: limits is a list; a group of members is needed; write its members below it, each with its name before the colon"},
		{"cards: [{limits: {tie_gap: [1]}}]", "cards.yaml:1:28: tie_gap is a list; text is needed"},
		{"cards: [{finds: [{rule: a, place: {b: c}}]}]", "cards.yaml:1:35: place is a group of members; text is needed"},
	} {
		_, _, problems := faultcard.Read(parse(t, tt.text))
		if tt.want == "" && len(problems) == 0 {
			continue
		}
		if len(problems) != 1 || tt.want == "" || !strings.HasPrefix(problems[0].Error(), tt.want) {
			t.Errorf("%q: got %v, want one problem %s", tt.text, problems, tt.want)
		}
	}
}

func TestApply(t *testing.T) {
	_, list, _ := faultcard.Read(parse(t, cards))
	text, err := list[0].Apply(parse(t, clean))
	if err != nil {
		t.Fatal(err)
	}
	want := `{"bundles":[{"ties":[{"at":1}]}],"lines":[{"number":1,"cut_length":"1.9 m"},{"number":2}],"b":"ä <b>"}`
	if got := parse(t, string(text)); string(got.Root.JSON()) != string(parse(t, want).Root.JSON()) {
		t.Errorf("got %s, want %s", text, want)
	}
}

// A patch that does not fit says so, in the order of RFC 6902 and with its
// faults: a member that is not there, an index past the end, another value.
func TestApplyFaulty(t *testing.T) {
	for _, op := range []string{
		"{op: remove, path: /nothing}", "{op: replace, path: /lines/5, value: 1}", "{op: remove, path: /lines/-1}",
		"{op: test, path: /a, value: b}", "{op: move, from: /nothing, path: /b}", "{op: frob, path: /a}",
		strings.Repeat("{op: copy, from: /lines, path: /lines/-}, ", 40), // each doubles the list
	} {
		_, list, _ := faultcard.Read(parse(t, "pack: yard\ncards: [{kit: gritter, patch: ["+op+"]}]"))
		if _, err := list[0].Apply(parse(t, clean)); err == nil || !strings.HasPrefix(err.Error(), `the patch does not fit the kit "gritter": `) {
			t.Errorf("%s: got %v", op, err)
		}
	}
}

// The examples printed in RFC 6902, appendix A.
func TestApplyPublished(t *testing.T) {
	for _, tt := range []struct{ source, kit, patch, want string }{
		{"A.1", `{"foo": "bar"}`, `[{"op": "add", "path": "/baz", "value": "qux"}]`, `{"foo":"bar","baz":"qux"}`},
		{"A.2", `{"foo": ["bar", "baz"]}`, `[{"op": "add", "path": "/foo/1", "value": "qux"}]`, `{"foo":["bar","qux","baz"]}`},
		{"A.3", `{"baz": "qux", "foo": "bar"}`, `[{"op": "remove", "path": "/baz"}]`, `{"foo":"bar"}`},
		{"A.4", `{"foo": ["bar", "qux", "baz"]}`, `[{"op": "remove", "path": "/foo/1"}]`, `{"foo":["bar","baz"]}`},
		{"A.5", `{"baz": "qux", "foo": "bar"}`, `[{"op": "replace", "path": "/baz", "value": "boo"}]`, `{"baz":"boo","foo":"bar"}`},
		{"A.6", `{"foo": {"bar": "baz", "waldo": "fred"}, "qux": {"corge": "grault"}}`, `[{"op": "move", "from": "/foo/waldo", "path": "/qux/thud"}]`, `{"foo":{"bar":"baz"},"qux":{"corge":"grault","thud":"fred"}}`},
		{"A.7", `{"foo": ["all", "grass", "cows", "eat"]}`, `[{"op": "move", "from": "/foo/1", "path": "/foo/3"}]`, `{"foo":["all","cows","eat","grass"]}`},
		{"A.8", `{"baz": "qux", "foo": ["a", 2, "c"]}`, `[{"op": "test", "path": "/baz", "value": "qux"}, {"op": "test", "path": "/foo/1", "value": 2}]`, `{"baz":"qux","foo":["a",2,"c"]}`},
		{"A.9", `{"baz": "qux"}`, `[{"op": "test", "path": "/baz", "value": "bar"}]`, ""},
		{"A.10", `{"foo": "bar"}`, `[{"op": "add", "path": "/child", "value": {"grandchild": {}}}]`, `{"foo":"bar","child":{"grandchild":{}}}`},
		{"A.11", `{"foo": "bar"}`, `[{"op": "add", "path": "/baz", "value": "qux", "xyz": 123}]`, `{"foo":"bar","baz":"qux"}`},
		{"A.12", `{"foo": "bar"}`, `[{"op": "add", "path": "/baz/bat", "value": "qux"}]`, ""},
		{"A.14", `{"/": 9, "~1": 10}`, `[{"op": "test", "path": "/~01", "value": 10}]`, `{"/":9,"~1":10}`},
		{"A.15", `{"/": 9, "~1": 10}`, `[{"op": "test", "path": "/~01", "value": "10"}]`, ""},
		{"A.16", `{"foo": ["bar"]}`, `[{"op": "add", "path": "/foo/-", "value": ["abc", "def"]}]`, `{"foo":["bar",["abc","def"]]}`},
	} {
		_, list, problems := faultcard.Read(parse(t, `{"pack": "yard", "cards": [{"patch": `+tt.patch+`}]}`))
		if len(problems) > 0 {
			t.Fatalf("%s: %v", tt.source, problems[0])
		}
		text, err := list[0].Apply(parse(t, tt.kit))
		if (err != nil) != (tt.want == "") {
			t.Errorf("%s: got %v", tt.source, err)
		}
		if got := string(text); err == nil && sorted(t, got) != sorted(t, tt.want) {
			t.Errorf("%s: got %s, want %s", tt.source, got, tt.want)
		}
	}
}

// sorted writes JSON with its members in alphabetical order.
func sorted(t *testing.T, text string) string {
	t.Helper()
	b, err := json.Marshal(parse(t, text).Root.Plain())
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestCompare(t *testing.T) {
	_, list, _ := faultcard.Read(parse(t, cards))
	found := func(rule, place string, status finding.Status) finding.Finding {
		return finding.Finding{Rule: rule, Place: place, Status: status}
	}
	tie, cut := found("yard/tie-spacing", "line 7", finding.Violated), found("yard/cut", "line 1", finding.NotEvaluated)
	for _, tt := range []struct {
		name  string
		found []finding.Finding
		want  []string
	}{
		{"as expected, in any order", []finding.Finding{cut, tie}, nil},
		{"one missing", []finding.Finding{tie}, []string{"missing: yard/cut at line 1 (not evaluated)"}},
		{"another status", []finding.Finding{tie, found("yard/cut", "line 1", finding.Violated)}, []string{
			"missing: yard/cut at line 1 (not evaluated)", "not expected: yard/cut at line 1",
		}},
		{"twice", []finding.Finding{tie, tie, cut}, []string{"not expected: yard/tie-spacing at line 7"}},
		{"nothing", nil, []string{"missing: yard/cut at line 1 (not evaluated)", "missing: yard/tie-spacing at line 7"}},
	} {
		if got := list[0].Compare(tt.found); !slices.Equal(got, tt.want) {
			t.Errorf("%s: got %q, want %q", tt.name, got, tt.want)
		}
	}
}

func TestDescribe(t *testing.T) {
	_, list, _ := faultcard.Read(parse(t, cards))
	want := []string{
		`/bundles/0/ties/1: {"at":2} is taken out`,
		`/lines/0/cut_length: "2 m" becomes "1.9 m"`,
		`/lines/-: {"number":2} is added`,
		`/b: move from /a`,
	}
	if got := list[0].Describe(parse(t, clean)); !slices.Equal(got, want) {
		t.Errorf("got %q\nwant %q", got, want)
	}
	_, list, _ = faultcard.Read(parse(t, "pack: yard\ncards: [{patch: [{op: remove, path: /nothing}, {op: add, path: /x, value: "+strings.Repeat("ä", 99)+"}]}]"))
	got := list[0].Describe(parse(t, clean))
	if got[0] != "/nothing: nothing is taken out" || len([]rune(got[1])) > len("/x:  is added")+60 || !strings.Contains(got[1], "...") {
		t.Errorf("got %q", got)
	}
}

func FuzzApply(f *testing.F) {
	f.Add(`[{"op":"add","path":"/a","value":1}]`)
	f.Add(`[{op: copy, from: "", path: /lines/0}]`)
	f.Add(`[{op: remove, path: ""}, {op: test, path: /~1, value: null}]`)
	f.Fuzz(func(t *testing.T, patch string) {
		docs, problems := source.Parse("cards.yaml", []byte("pack: yard\ncards:\n- patch: "+patch))
		if len(problems) > 0 || len(docs) != 1 {
			t.Skip()
		}
		_, list, problems := faultcard.Read(docs[0])
		if len(list) != 1 || len(problems) > 0 {
			t.Skip()
		}
		kit := parse(t, clean)
		list[0].Describe(kit)
		if text, err := list[0].Apply(kit); err == nil {
			if _, problems := source.Parse("kit.json", text); len(problems) > 0 && len(text) < 1<<16 {
				t.Errorf("%s: gave %s: %v", patch, text, problems[0])
			}
		}
	})
}

// FuzzRead reads whole files of cards and plays them on a clean kit.
func FuzzRead(f *testing.F) {
	f.Add([]byte(cards))
	f.Add([]byte("cards: {a: 1}"))
	f.Add([]byte("pack: [x]\ncards: [~, 1, [], {patch: {op: add}, limits: [1], finds: [~, {place: [x]}]}]"))
	f.Add([]byte("cards: [{patch: [{op: replace, path: x, value: 1}, {op: [add], path: ~}, ~]}]"))
	f.Fuzz(func(t *testing.T, text []byte) {
		docs, _ := source.Parse("cards.yaml", text)
		kit := parse(t, clean)
		for _, doc := range docs {
			_, list, problems := faultcard.Read(doc)
			for _, p := range problems {
				if p.Message == "" || p.Pos.File != "cards.yaml" || p.Pos.Line < 1 || p.Node == nil {
					t.Errorf("%q: problem %q at %v", text, p.Message, p.Pos)
				}
			}
			for i := range list {
				c := &list[i]
				if c.Node == nil {
					t.Errorf("%q: card %d stands nowhere", text, i)
				}
				first, err := c.Apply(kit)
				second, again := c.Apply(kit)
				if string(first) != string(second) || (err == nil) != (again == nil) {
					t.Errorf("%q: a second time %s, %v; want %s, %v", text, second, again, first, err)
				}
				for _, line := range c.Describe(kit) {
					if len(line) > len(text)+200 {
						t.Errorf("%q: a change is told in %d bytes", text, len(line))
					}
				}
				if got := c.Compare(nil); len(got) != len(c.Finds) {
					t.Errorf("%q: %d differences where nothing is found, want %d", text, len(got), len(c.Finds))
				}
			}
		}
	})
}
