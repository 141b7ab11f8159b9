package checker_test

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/edit"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
)

// Of a kit with many mistakes every finding with edits has a correction, whose
// pieces make of the text what the edits do; what is safe and without doubt is
// what fix makes, or says that it left.
func TestCorrections(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "examples", "gritter-faulty", "gritter-faulty.kit.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	file, _ := faulty(t, "gritter")
	text, err = edit.Apply(text, 0, setTo("/bundles/0/route/1/hold", `"clipp"`), setTo("/documents/call_out_sheet/rows/3/name", `"Spring"`),
		edit.Change{Do: edit.Remove, At: "/parts_list/3"})
	if err != nil {
		t.Fatal(err)
	}
	fixed := mended(t, file, text, checker.FixOptions{})
	made := map[string]bool{}
	for _, m := range fixed.Made {
		made[m.Rule+m.Place] = true
	}
	for _, u := range fixed.Left {
		made[u.Rule+u.Place] = true
	}
	before := fixed.Before[0]
	count := map[report.CorrectionKind]int{}
	for i := range before.Findings {
		f := &before.Findings[i]
		c := before.Correction(f)
		if (c != nil) != (len(f.Edits) > 0) {
			t.Errorf("%s: %s: correction %+v of %+v", f.Rule, f.Place, c, f.Edits)
		}
		if c == nil {
			continue
		}
		count[c.Kind]++
		want, err := edit.Apply(text, 0, c.Changes...)
		if got := put(string(text), c.Pieces); err != nil || got != string(want) {
			t.Errorf("%s: %s: %v: pieces %+v", f.Rule, f.Place, err, c.Pieces)
		}
		if c.Kind == report.Safe && c.Doubt == "" && !made[f.Rule+f.Place] {
			t.Errorf("%s: %s: fix does not make %q", f.Rule, f.Place, c.Title)
		}
	}
	if count[report.Safe] < 5 || count[report.Decision] < 5 {
		t.Errorf("got %v", count)
	}
}

// What a correction is called, and what speaks against it.
func TestCorrectionWords(t *testing.T) {
	tests := []struct {
		name, kit    string
		changes      []edit.Change
		rule, says   string
		kind         report.CorrectionKind
		title, doubt string
	}{
		{"a length", "trailer", []edit.Change{setTo("/lines/1/cut_length", `"1165 mm"`)}, "routing/cut-length", "", report.Safe, "cut it to 1264 mm", ""},
		{"a misspelt word", "trailer", []edit.Change{setTo("/bundles/0/route/1/hold", `"clipp"`)}, "file/shape", "", report.Safe, "set hold to clip", ""},
		{"a misspelt key", "trailer", []edit.Change{{Do: edit.Rename, At: "/lines/1/cut_length", Key: "cut_lenght"}}, "file/shape", "cut_lenght", report.Safe, "write cut_length in the place of cut_lenght", ""},
		{"a row", "trailer", []edit.Change{{Do: edit.Remove, At: "/documents/call_out_sheet/rows/0"}}, "paperwork/line-on-sheet", "", report.Safe, "add to the rows: line 1, name Spring pin, left", ""},
		{"a fuse", "gritter", []edit.Change{setTo("/feed/fuse", `"FG-S25"`)}, "power/fuse-protects-cable", "", report.Decision, "fit fuse FG-S75 of 7.5 A", ""},
		{"what follows", "gritter", []edit.Change{setTo("/points/2/position/1", `"-700 mm"`)}, "routing/cut-length", "", report.Safe, "cut it to ", "it follows from another finding, which comes first: "},
		{"what is disputed", "trailer", []edit.Change{setTo("/pump/outlets/6/element", `"FG-E15"`)}, "paperwork/enough-pieces", "", report.Safe, "set quantity to 7", "another finding is about the value that it rests on"},
	}
	for _, tt := range tests {
		file, text := faulty(t, tt.kit, tt.changes...)
		results, err := checker.OnExamples().Check(file, text)
		if err != nil {
			t.Fatal(err)
		}
		var got *report.Correction
		for i := range results[0].Findings {
			if f := &results[0].Findings[i]; f.Rule == tt.rule && strings.Contains(f.Message, tt.says) && len(f.Edits) > 0 {
				got = results[0].Correction(f)
				break
			}
		}
		if got == nil || got.Kind != tt.kind || !strings.HasPrefix(got.Title, tt.title) || !strings.HasPrefix(got.Doubt, tt.doubt) || tt.doubt == "" && got.Doubt != "" || got.File != file {
			t.Errorf("%s: got %+v", tt.name, got)
		}
	}
}

// A misspelt key of a catalogue, or of concessions, is corrected there.
func TestCorrectionElsewhere(t *testing.T) {
	dir := t.TempDir()
	kit, err := os.ReadFile(filepath.Join("..", "examples", "trailer", "trailer.kit.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	parts, err := os.ReadFile(filepath.Join("..", "examples", "parts", "winter.parts.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string][]byte{
		"a.kit.yaml":         bytes.ReplaceAll(kit, []byte("../parts/"), nil),
		"winter.parts.yaml":  bytes.Replace(parts, []byte("inner:"), []byte("iner:"), 1),
		"a.concessions.yaml": []byte("concessions:\n  - {rule: power/fuse-near-source, plce: the feed, reason: r, granted_by: R. Okafor, until: 2027-03-31, severity: critical}\n"),
	} {
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	results, err := checker.New(checker.Options{Dir: dir, On: "2026-11-25"}).CheckFile(filepath.Join(dir, "a.kit.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for i := range results[0].Findings {
		f := &results[0].Findings[i]
		c := results[0].Correction(f)
		if f.Status != finding.Violated || c == nil || c.File == f.Place {
			continue
		}
		for _, p := range c.Pieces {
			got = append(got, filepath.Base(c.File)+": "+p.With)
		}
		if c.Doubt == "" {
			t.Errorf("%s: nothing speaks against %+v", f.Rule, c)
		}
	}
	if want := "a.concessions.yaml: place, winter.parts.yaml: inner"; strings.Join(got, ", ") != want {
		t.Errorf("got %v", got)
	}
}

// Of a large file with many rows to add it is not worked out where each goes;
// where a value is set is told all the same.
func TestCorrectionsOfMany(t *testing.T) {
	changes := []edit.Change{setTo("/lines/1/cut_length", `"1165 mm"`)}
	for range 7 {
		changes = append(changes, edit.Change{Do: edit.Remove, At: "/documents/call_out_sheet/rows/0"})
	}
	file, text := faulty(t, "trailer")
	for _, c := range changes {
		var err error
		if text, err = edit.Apply(text, 0, c); err != nil {
			t.Fatal(err)
		}
	}
	for _, tt := range []struct {
		remark int // bytes
		pieces bool
	}{{0, true}, {800_000, false}} {
		results, err := checker.OnExamples().Check(file, append(text, "# "+strings.Repeat("x", tt.remark)+"\n"...))
		if err != nil {
			t.Fatal(err)
		}
		seen := map[string]bool{}
		for i := range results[0].Findings {
			f := &results[0].Findings[i]
			c := results[0].Correction(f)
			if c == nil {
				continue
			}
			seen[f.Rule] = true
			want := tt.pieces || f.Rule == "routing/cut-length"
			if (len(c.Pieces) > 0) != want || !want && !strings.Contains(c.Doubt, "run kitgauge fix") {
				t.Errorf("%d bytes of remark: %s: %+v", tt.remark, f.Rule, c)
			}
		}
		if !seen["routing/cut-length"] || !seen["paperwork/line-on-sheet"] {
			t.Errorf("corrected are %v", seen)
		}
	}
}
