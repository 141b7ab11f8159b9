package checker_test

import (
	"bytes"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/edit"
	"kitgauge/checker/finding"
	"kitgauge/examples"
)

// faulty is an example kit with changes.
func faulty(t *testing.T, name string, changes ...edit.Change) (file string, text []byte) {
	t.Helper()
	file, text, found := examples.Kit(name)
	if !found {
		t.Fatal("no kit", name)
	}
	text, err := edit.Apply(text, 0, changes...)
	if err != nil {
		t.Fatal(err)
	}
	return file, text
}

func setTo(at, value string) edit.Change { return edit.Change{Do: edit.Set, At: at, Value: value} }

// Of a file with several kits each is mended; what is mended in one leaves the
// others, and the line between them, as they are.
func TestFixDocuments(t *testing.T) {
	file, clean := faulty(t, "trailer")
	_, wrong := faulty(t, "trailer", setTo("/lines/1/cut_length", `"900 mm"`), setTo("/lines/2/point_marker", `"9"`))
	join := func(second []byte) []byte { return bytes.Join([][]byte{clean, second}, []byte("---\n# remark\n")) }
	fixed, err := checker.OnExamples().Fix(file, join(wrong), checker.FixOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if len(fixed.Made) != 2 || !bytes.HasPrefix(fixed.Text, clean) || bytes.Count(fixed.Text, []byte("# remark")) != 1 {
		t.Errorf("made %+v, left %+v", fixed.Made, fixed.Left)
	}
	for _, r := range fixed.After {
		if len(r.Findings) > 0 {
			t.Errorf("left: %+v", r.Findings[0])
		}
	}
}

// A value that rests on one that is wrong is not brought in line with it: where
// a point was measured on the wrong side, no tube is cut for it.
func TestFixWaitsForCauses(t *testing.T) {
	file, text := faulty(t, "gritter", setTo("/points/2/position/1", `"-700 mm"`))
	fixed, err := checker.OnExamples().Fix(file, text, checker.FixOptions{})
	if err != nil {
		t.Fatal(err)
	}
	follow := 0
	for _, f := range fixed.After[0].Findings {
		if f.Follows != "" && len(f.Edits) > 0 {
			follow++
		}
	}
	if !bytes.Equal(fixed.Text, text) || follow == 0 {
		t.Errorf("%d findings with an edit follow from another; made %+v", follow, fixed.Made)
	}
}

// A part that somebody decided on comes with its row of the parts list, and the
// row of the part that it takes the place of goes; nothing else is found then.
func TestFixTogether(t *testing.T) {
	file, text := faulty(t, "gritter", setTo("/feed/fuse", `"FG-S25"`))
	text = bytes.Replace(text, []byte("{part: FG-S75,"), []byte("{part: FG-S25,"), 1)
	fixed, err := checker.OnExamples().Fix(file, text, checker.FixOptions{Rules: []string{"power/fuse-protects-cable"}})
	if err != nil {
		t.Fatal(err)
	}
	if len(fixed.Before[0].Findings) == 0 || len(fixed.After[0].Findings) > 0 || strings.Contains(string(fixed.Text), "FG-S25") {
		t.Errorf("made %+v, left %+v, found %+v", fixed.Made, fixed.Left, fixed.After[0].Findings)
	}
}

// A length stays in the unit in which it stands, or in that of its neighbours,
// and a file keeps its byte order mark.
func TestFixKeepsUnits(t *testing.T) {
	for _, tt := range []struct {
		kit, was, wrong, want string
	}{
		{"loader", "FG-W15, length: 26 ft", "FG-W15, length: 20 ft", "FG-W15, length: 24 ft"},
		{"trailer", "cut_length: 1265 mm", "cut_length: 1.165 m", "cut_length: 1.264 m"},
		{"trailer", "cut_length: 1265 mm\n", "\n", "cut_length: 1264 mm"},
	} {
		file, text := faulty(t, tt.kit)
		wrong := bytes.Replace(text, []byte(tt.was), []byte(tt.wrong), 1)
		fixed := mended(t, file, append([]byte("\ufeff"), wrong...), checker.FixOptions{})
		if got := string(fixed.Text); !strings.HasPrefix(got, "\ufeff") || !strings.Contains(got, tt.want) || len(got) > len(wrong)+30 {
			t.Errorf("%s: %q: made %+v, left %+v", tt.kit, tt.wrong, fixed.Made, fixed.Left)
		}
	}
}

// What is conceded is not mended, and no edit is made that would add a finding.
func TestFixLeaves(t *testing.T) {
	file, text := faulty(t, "trailer", setTo("/parts_list/9/part", `"FG-C17"`))
	fixed, err := checker.OnExamples().Fix(file, text, checker.FixOptions{})
	if err != nil {
		t.Fatal(err)
	}
	before, after := finding.Count(fixed.Before[0].Findings, finding.Violated), finding.Count(fixed.After[0].Findings, finding.Violated)
	for key, n := range after {
		if before[key] < n {
			t.Errorf("%v was added", key)
		}
	}
	if len(before) == 0 || len(fixed.Left) == 0 {
		t.Errorf("made %+v, left %+v", fixed.Made, fixed.Left)
	}
}
