package terminal_test

import (
	"strings"
	"testing"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/report/terminal"
	"kitgauge/checker/source"
)

// TestExcerpt holds the line shown and the caret below it. Widths of characters: UAX #11 (W and F take two
// cells), UAX #29 (what a person sees as one character).
func TestExcerpt(t *testing.T) {
	long := strings.Repeat("ab ", 30) + "HERE" + strings.Repeat(" yz", 30)
	tests := []struct {
		name   string
		line   string
		column int
		want   string // line and caret line, without the margin
	}{
		{"first column", "number: 7", 1, "number: 7\n^"},
		{"indentation left out", "      tube: 4", 13, "tube: 4\n      ^"},
		{"in the indentation", "   tube: 4", 2, "  tube: 4\n^"},
		{"tab before", "\t\tx: 1", 6, "x: 1\n   ^"},
		{"tab within", "x:\t1", 4, "x:  1\n    ^"},
		{"wide characters before", "北の: 7", 5, "北の: 7\n      ^"},
		{"combining characters before", "u\u0308b: 7", 6, "u\u0308b: 7\n    ^"},
		{"within a character of several code points", "u\u0308b: 7", 2, "u\u0308b: 7\n^"},
		{"behind the end", "x: 1", 5, "x: 1\n    ^"},
		{"far behind the end", "x: 1", 500, "x: 1\n    ^"},
		{"escapes before", "\u202ex: 1", 5, "\\u202ex: 1\n         ^"},
		{"cut at both sides", long, 91, "...ab ab ab HERE yz yz yz y...\n            ^"},
		{"cut at the right", long, 1, "ab ab ab ab ab ab ab ab ab ...\n^"},
		{"cut at the left", long, 184, "... yz yz yz yz yz yz yz yz yz\n                             ^"},
		{"in a line of many thousand", strings.Repeat("ab ", 5000) + "HERE" + strings.Repeat(" yz", 5000), 15001, "...ab ab ab HERE yz yz yz y...\n            ^"},
		{"at the end of one", strings.Repeat(" yz", 5000), 14998, "... yz yz yz yz yz yz yz yz yz\n                           ^"},
		{"just wide enough", strings.Repeat("x", 30), 30, strings.Repeat("x", 30) + "\n" + strings.Repeat(" ", 29) + "^"},
		{"one too wide", strings.Repeat("x", 31), 1, strings.Repeat("x", 27) + "...\n^"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			k := report.Kit{File: "a.kit.yaml", Shaped: true, Line: func(source.Pos) string { return tt.line }, Findings: []finding.Finding{
				{Rule: "x/y", Severity: finding.Minor, Status: finding.Violated, Pos: source.Pos{File: "a.kit.yaml", Line: 5, Column: tt.column}, Message: "wrong"},
			}}
			out := write(t, report.Run{Kits: []report.Kit{k}}, terminal.Options{Width: 40})
			_, rest, found := strings.Cut(out, "wrong\n")
			lines := strings.SplitN(rest, "\n", 3)
			if !found || !strings.HasPrefix(lines[0], "       5  ") {
				t.Fatalf("no excerpt in:\n%s", out)
			}
			if got := lines[0][10:] + "\n" + lines[1][10:]; got != tt.want {
				t.Errorf("got\n%s\nwant\n%s", got, tt.want)
			}
		})
	}
}

// TestNoExcerpt: nothing is shown where there is no line.
func TestNoExcerpt(t *testing.T) {
	for _, k := range []report.Kit{
		{Line: nil},
		{Line: func(source.Pos) string { return "" }},
		{Line: func(source.Pos) string { return " \t " }},
	} {
		k.File, k.Shaped = "a.kit.yaml", true
		k.Findings = []finding.Finding{{Rule: "x/y", Severity: finding.Minor, Status: finding.Violated, Pos: source.Pos{File: k.File, Line: 5, Column: 1}}}
		if out := write(t, report.Run{Kits: []report.Kit{k}}, terminal.Options{}); strings.Contains(out, "^") {
			t.Errorf("got a caret below nothing:\n%s", out)
		}
	}
}

// TestNoPlace: a finding without a line names the file alone, one without a
// file the kit's.
func TestNoPlace(t *testing.T) {
	k := report.Kit{File: "a.kit.yaml", Line: func(source.Pos) string { return "not to be asked for" }, Findings: []finding.Finding{
		{Rule: "file/syntax", Severity: finding.Major, Status: finding.Violated, Message: "there is no such file"},
	}}
	out := write(t, report.Run{Kits: []report.Kit{k}}, terminal.Options{})
	if !strings.Contains(out, "MAJOR     file/syntax  a.kit.yaml\n") || strings.Contains(out, "asked") {
		t.Errorf("got\n%s", out)
	}
}
