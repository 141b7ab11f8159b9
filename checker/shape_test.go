package checker_test

import (
	"testing"

	"kitgauge/checker"
)

// TestRespelt: the edit of a misspelt key, put to use, takes the finding away.
func TestRespelt(t *testing.T) {
	const kit = "header: {number: WS-1, revision: A, title: Yard loader, status: draft}\npump: {part: FG-P12}\npoints: [{id: a}]\nlines:\n"
	tests := []struct{ name, line, want string }{
		{"plain", "  - {number: 1, oulet: 1, point: a}\n", "  - {number: 1, outlet: 1, point: a}\n"},
		{"in double quotes", "  - {number: 1, \"oulet\": 1, point: a}\n", "  - {number: 1, \"outlet\": 1, point: a}\n"},
		{"in single quotes", "  - {number: 1, 'oulet': 1, point: a}\n", "  - {number: 1, 'outlet': 1, point: a}\n"},
		{"behind wide characters", "  - {point: 北, oulet: 1, number: 1}\n", "  - {point: 北, outlet: 1, number: 1}\n"},
		{"on a line of its own", "  - number: 1\n    cut_lenght: 3 m\n", "  - number: 1\n    cut_length: 3 m\n"},
		{"the key is there already", "  - {number: 1, oulet: 1, outlet: 1}\n", ""},
		{"nothing is near", "  - {number: 1, weather: snow}\n", ""},
		{"written with an escape", "  - {number: 1, \"o\\u0075let\": 1}\n", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			shape := func(text string) (found bool, after string) {
				results, err := checker.New(checker.Options{Packs: []string{}, NoSettings: true}).Check("a.kit.yaml", []byte(text))
				if err != nil {
					t.Fatal(err)
				}
				for _, f := range results[0].Findings {
					if f.Rule != "file/shape" {
						continue
					}
					found = true
					if e := f.Edit; e != nil {
						after = apply(text, e.Pos.Line, e.Pos.Column, e.Delete, e.Insert)
					}
				}
				return found, after
			}
			found, after := shape(kit + tt.line)
			if !found {
				t.Fatal("the misspelt key is not found")
			}
			if tt.want == "" {
				if after != "" {
					t.Fatalf("got an edit that makes %q, want none", after)
				}
				return
			}
			if after != kit+tt.want {
				t.Fatalf("the edit makes %q, want %q", after, kit+tt.want)
			}
			if found, _ := shape(after); found {
				t.Error("the finding is still there")
			}
		})
	}
}

// apply edits a text by line and column, in code points from 1.
func apply(text string, line, column, remove int, insert string) string {
	runes, at := []rune(text), 0
	for line > 1 {
		if runes[at] == '\n' {
			line--
		}
		at++
	}
	at += column - 1
	return string(runes[:at]) + insert + string(runes[at+remove:])
}
