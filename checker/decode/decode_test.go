package decode_test

import (
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/decode"
	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

// file has every way in which a member can be written; what a kit has besides
// is tested in package kit.
type file struct {
	Node   *source.Node
	Title  string       `key:"title" need:"write title: and what it is about"`
	Raw    *source.Node `key:"raw"`
	Words  []string     `key:"words"`
	At     place        `key:"at"`
	Raise  *raise       `key:"raise"`
	Limits []*limit     `key:"limits"`
	Short  []short      `key:"short"`
}

type place struct {
	Whole string `key:"."`
	Path  string `key:"path"`
	Line  string `key:"line"`
}

type raise struct {
	To   string     `key:"to" need:"write to: and a severity"`
	When value.Text `key:"when"`
}

type limit struct {
	Node  *source.Node
	Name  string       `key:"*"`
	Is    value.Number `key:"is" dim:"length"`
	About string       `key:"about" need:"write about: and what it limits"`
}

type short struct {
	Name string `key:"*"`
	Is   string `key:"."`
}

func read(t testing.TB, text string) (*file, []*source.Problem) {
	t.Helper()
	docs, problems := source.Parse("f.yaml", []byte(text))
	if len(docs) != 1 || len(problems) > 0 {
		t.Fatalf("%q: %v", text, problems)
	}
	f := new(file)
	return f, decode.Into(docs[0].Root, f)
}

func TestInto(t *testing.T) {
	f, problems := read(t, `
title: yard
raw: [1, {a: b}]
words: [one, 2]
at: header.date
limits: {zeta: {is: 30 mm, about: last in the alphabet}, alpha: {is: 2 m, about: first}}
short: {tie_gap: 300 mm}
`)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if f.Title != "yard" || string(f.Raw.JSON()) != `[1,{"a":"b"}]` || !slices.Equal(f.Words, []string{"one", "2"}) || f.Node == nil {
		t.Errorf("got %+v", f)
	}
	if f.At != (place{Whole: "header.date"}) {
		t.Errorf("a text for a group: got %+v", f.At)
	}
	if f.Raise != nil {
		t.Errorf("a group that is not stated: got %+v", f.Raise)
	}
	if l := f.Limits; len(l) != 2 || l[0].Name != "zeta" || l[0].Is.V != 0.03 || l[1].Name != "alpha" || l[1].Node.Key() != "alpha" {
		t.Errorf("named groups in the order of the file: got %+v", l)
	}
	if want := []short{{"tie_gap", "300 mm"}}; !slices.Equal(f.Short, want) {
		t.Errorf("got %+v, want %+v", f.Short, want)
	}
	f, problems = read(t, "{title: t, at: {path: a, line: b}, raise: {to: critical, when: x}}")
	if len(problems) > 0 || f.At != (place{Path: "a", Line: "b"}) || f.Raise == nil || f.Raise.When.V != "x" {
		t.Errorf("got %+v, %v", f, problems)
	}
}

func TestIntoFaulty(t *testing.T) {
	for _, tt := range []struct{ text, want string }{
		{"{}", "f.yaml:1:1: title is missing; write title: and what it is about"},
		{"title: ' '", "f.yaml:1:8: title is missing; write title: and what it is about"},
		{"title:", "title is missing; write title: and what it is about"},
		{"title: [x]", "f.yaml:1:8: title is a list; text is needed; write one value after the colon"},
		{"{title: t, words: x}", "f.yaml:1:19: words is text; a list is needed; write its items below it, each after a dash"},
		{"{title: t, words: [x, [y]]}", "f.yaml:1:23: words is a list; text is needed"},
		{"{title: t, at: [x]}", "f.yaml:1:16: at is a list; text is needed"},
		{"{title: t, raise: {}}", "f.yaml:1:19: raise has no to; write to: and a severity"},
		{"{title: t, raise: x}", "f.yaml:1:19: this is text; a group of members is needed"},
		{"{title: t, limits: [a]}", "f.yaml:1:20: limits is a list; a group of members is needed; write its members below it, each with its name before the colon"},
		{"{title: t, limits: {a: 5}}", "f.yaml:1:24: this is a number; a group of members is needed"},
		{"{title: t, limits: {a: {is: 5, about: b}}}", `f.yaml:1:29: is: "5" has no unit: a length takes mm`},
		{"{title: t, short: {a: {b: c}}}", "f.yaml:1:23: a is a group of members; text is needed"},
		{"[]", "f.yaml:1:1: this is a list; a group of members is needed"},
	} {
		_, problems := read(t, tt.text)
		if len(problems) != 1 || !strings.Contains(problems[0].Error(), tt.want) || problems[0].Node == nil {
			t.Errorf("%s: got %v, want one problem %s", tt.text, problems, tt.want)
		}
	}
}
