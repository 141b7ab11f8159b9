package terminal_test

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/rivo/uniseg"

	"kitgauge/checker/compare"
	"kitgauge/checker/golden"
	"kitgauge/checker/internal/reporttest"
	"kitgauge/checker/report/terminal"
)

func writeComparison(t testing.TB, c *compare.Comparison, o terminal.Options) string {
	t.Helper()
	var b bytes.Buffer
	if err := terminal.WriteComparison(&b, c, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestGoldenComparison(t *testing.T) {
	same := reporttest.Comparison()
	same.Changes, same.Figures, same.Findings = nil, nil, nil
	part := reporttest.Comparison()
	part.New.Shaped, part.Figures, part.Findings = false, nil, nil
	tests := []struct {
		file    string
		c       *compare.Comparison
		options terminal.Options
	}{
		{"comparison-40.txt", reporttest.Comparison(), terminal.Options{Width: 40}},
		{"comparison-80.txt", reporttest.Comparison(), terminal.Options{Width: 80}},
		{"comparison-colour.txt", reporttest.Comparison(), terminal.Options{Width: 80, Colour: true}},
		{"comparison-same.txt", same, terminal.Options{Width: 80}},
		{"comparison-part.txt", part, terminal.Options{Width: 80}},
		{"comparison-harmful.txt", reporttest.HarmfulComparison(reporttest.HarmfulText), terminal.Options{Width: 80}},
	}
	for _, tt := range tests {
		t.Run(tt.file, func(t *testing.T) {
			got := writeComparison(t, tt.c, tt.options)
			name := filepath.Join("testdata", tt.file)
			golden.Compare(t, name, []byte(got))
		})
	}
}

// Whatever stands in a kit, lines keep to the width (but for the place of a
// finding), and nothing steers the terminal.
func TestComparisonHarmless(t *testing.T) {
	for _, bad := range []string{reporttest.HarmfulText, strings.Repeat("x", 500), "", "<b>=1+1</b>", "北\u202e"} {
		for _, width := range []int{40, 80, 120} {
			text := writeComparison(t, reporttest.HarmfulComparison(bad), terminal.Options{Width: width})
			for _, line := range strings.Split(text, "\n") {
				if n := uniseg.StringWidth(line); n > width && !strings.Contains(line, ":1:5") {
					t.Errorf("%d cells of %d: %q", n, width, line)
				}
			}
			for _, r := range text {
				if r != '\n' && unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) {
					t.Fatalf("%q gives %U", bad, r)
				}
			}
		}
	}
}

// Every section of a kit file has a name that fits its column.
func TestSections(t *testing.T) {
	for _, section := range []string{
		"header", "catalogues", "vehicle", "bodies", "joints", "points", "pump", "lines", "bundles", "zones", "feed", "documents",
		"parts_list", "procedure", "concessions", "parts",
	} {
		c := &compare.Comparison{Changes: []compare.Change{{Section: section, Text: "it changed"}}}
		line := strings.Split(writeComparison(t, c, terminal.Options{}), "it changed")[0]
		line = line[strings.LastIndexByte(line, '\n')+1:]
		if len(line) != 10 || strings.TrimSpace(line) == "" {
			t.Errorf("%s is called %q; want a name in a column of 10", section, line)
		}
	}
}
