package checker_test

import (
	"slices"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/report"
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
		{"written with an escape", "  - {number: 1, \"o\\u0075let\": 1}\n", "  - {number: 1, \"outlet\": 1}\n"},
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
					if c := results[0].Correction(&f); c != nil {
						after = put(text, c.Pieces)
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

// put makes the pieces of a correction.
func put(text string, pieces []report.Piece) string {
	for _, p := range slices.Backward(pieces) {
		text = text[:p.From] + p.With + text[p.To:]
	}
	return text
}
