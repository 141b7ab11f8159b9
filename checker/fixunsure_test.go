package checker_test

import (
	"bytes"
	"slices"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/finding"
)

// What rests on a value that another finding disputes waits for that.
func TestFixUnsure(t *testing.T) {
	for name, change := range map[string][2]string{
		"too little":       {"number: 7, element: FG-E25", "number: 7, element: FG-E15"},
		"too much":         {"number: 3, element: FG-E15", "number: 3, element: FG-E25"},
		"no line":          {"number: 12, blanked: true", "number: 12, element: FG-E15"},
		"a number twice":   {"\n  - number: 8\n", "\n  - number: 7\n"},
		"a name":           {`name: "Spring pin, left", body`, `name: "Spring pin, right", body`},
		"a row's number":   {`{line: 3, name: "Slack`, `{line: 4, name: "Slack`},
		"a row of no line": {`{line: 4, name: "Spring`, `{line: 40, name: "Spring`},
	} {
		file, text := faulty(t, "trailer")
		text = bytes.Replace(text, []byte(change[0]), []byte(change[1]), 1)
		fixed := mended(t, file, text, checker.FixOptions{})
		waits := slices.ContainsFunc(fixed.After[0].Findings, func(f finding.Finding) bool { return f.Follows != "" && len(f.Edits) > 0 })
		if !bytes.Equal(fixed.Text, text) || len(fixed.Left) == 0 && !waits {
			t.Errorf("%s: made %+v, left %+v", name, fixed.Made, fixed.Left)
		}
	}
}

// A row of the parts list that is misspelt is written right, and gets no second.
func TestFixListedName(t *testing.T) {
	file, text := faulty(t, "trailer")
	wrong := bytes.Replace(text, []byte("{part: FG-F4P,"), []byte("{part: FG-F4p,"), 1)
	if fixed := mended(t, file, wrong, checker.FixOptions{}); !bytes.Equal(fixed.Text, text) {
		t.Errorf("made %+v, left %+v", fixed.Made, fixed.Left)
	}
}

// What can be mended only after something else is, is mended in the same run.
func TestFixAgain(t *testing.T) {
	file, text := faulty(t, "trailer")
	for _, r := range [][2]string{
		{"WS-0311-S, revision: A", "WS-0311-S, revision: &r \"0\""}, {"WS-0311-I, revision: A", "WS-0311-I, revision: *r"},
	} {
		text = bytes.Replace(text, []byte(r[0]), []byte(r[1]), 1)
	}
	fixed := mended(t, file, text, checker.FixOptions{Rules: []string{"paperwork/document-revision"}})
	if len(fixed.Made) != 2 || len(fixed.Left) > 0 || len(fixed.After[0].Findings) > 0 {
		t.Errorf("made %+v, left %+v", fixed.Made, fixed.Left)
	}
}

// What goes unmended with an edit that was asked for is told.
func TestFixHidden(t *testing.T) {
	file, text := faulty(t, "trailer", setTo("/lines/1/point", `"A3"`))
	fixed := mended(t, file, text, checker.FixOptions{Rules: []string{"paperwork/row-name"}})
	if len(fixed.Made) != 1 || len(fixed.Hidden()) == 0 {
		t.Errorf("made %+v, hidden %+v", fixed.Made, fixed.Hidden())
	}
}
