package terminal_test

import (
	"bytes"
	"regexp"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/rivo/uniseg"
	"pgregory.net/rapid"

	"kitgauge/checker/finding"
	"kitgauge/checker/internal/reporttest"
	"kitgauge/checker/report"
	"kitgauge/checker/report/terminal"
	"kitgauge/checker/source"
)

var colourCode = regexp.MustCompile("\x1b\\[[0-9;]*m")

func colourless(text string) string { return colourCode.ReplaceAllString(text, "") }

// wild draws text with what is hard to lay out: wide and combining characters,
// emoji of several code points, controls, long words.
func wild() *rapid.Generator[string] {
	return rapid.OneOf(
		rapid.String(),
		rapid.StringOfN(rapid.SampledFrom([]rune("ab 7.,/\\\t\n\x1b\u009b\u202e\u0308\u200d\ufe0f北の👩🔧🇩🇪\u1100\u0d4e\u00a0\u3000\u2e3b")), 0, 200, -1),
		rapid.StringMatching(`[a-z ]{0,20}[A-Za-z_.]{0,150} [0-9]{1,4} mm`),
		rapid.Just(reporttest.HarmfulText),
		rapid.Just("\xff\xfe"),
	)
}

func wildFinding(t *rapid.T) finding.Finding {
	text := wild()
	f := finding.Finding{
		Rule: text.Draw(t, "rule"), Severity: finding.Severity(rapid.IntRange(0, 3).Draw(t, "severity")),
		Status: rapid.SampledFrom([]finding.Status{finding.Violated, finding.NotEvaluated, finding.Conceded, finding.Known}).Draw(t, "status"),
		Pos:    source.Pos{File: "fleet/" + text.Draw(t, "file"), Line: rapid.IntRange(0, 99999).Draw(t, "line"), Column: rapid.IntRange(0, 300).Draw(t, "column")},
		Place:  text.Draw(t, "place"), Message: text.Draw(t, "message"), Remedy: text.Draw(t, "remedy"), Basis: text.Draw(t, "basis"),
	}
	if f.Status == finding.Conceded {
		f.Concession = &finding.Concession{Reason: text.Draw(t, "reason"), GrantedBy: text.Draw(t, "grantor"), Until: text.Draw(t, "until")}
	}
	if rapid.Bool().Draw(t, "amounts") {
		f.Value = &finding.Amount{Text: text.Draw(t, "value")}
		f.Limit = &finding.Amount{Text: text.Draw(t, "limit")}
		f.Margin = &finding.Amount{SI: -1, Text: text.Draw(t, "margin")}
	}
	for range rapid.IntRange(0, 4).Draw(t, "terms") {
		f.Working = append(f.Working, finding.Term{Expression: text.Draw(t, "expression"), Value: text.Draw(t, "came to")})
	}
	return f
}

// TestNeverTooWide: no line is wider than asked for, but for a place that is
// wider by itself, which stands alone; and nothing steers the terminal.
func TestNeverTooWide(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		line := wild().Draw(t, "text of the line")
		k := report.Kit{
			File: wild().Draw(t, "kit file"), Number: wild().Draw(t, "number"), Revision: wild().Draw(t, "revision"),
			Title: wild().Draw(t, "title"), Status: wild().Draw(t, "status"), Shaped: rapid.Bool().Draw(t, "shaped"),
			Line: func(source.Pos) string { return line },
		}
		for range rapid.IntRange(0, 5).Draw(t, "findings") {
			k.Findings = append(k.Findings, wildFinding(t))
		}
		run := report.Run{Kits: []report.Kit{k}, Gate: finding.Minor, On: wild().Draw(t, "day"),
			Gone: []finding.Entry{{Rule: wild().Draw(t, "gone rule"), Kit: wild().Draw(t, "gone kit"), Place: wild().Draw(t, "gone place")}}}
		o := terminal.Options{Width: rapid.IntRange(40, 120).Draw(t, "width"), Colour: rapid.Bool().Draw(t, "colour"), Working: true}
		check(t, run, o)
	})
}

type tester interface {
	Errorf(format string, args ...any)
	Fatal(args ...any)
}

func check(t tester, run report.Run, o terminal.Options) {
	var b, again bytes.Buffer
	if err := terminal.Write(&b, run, o); err != nil {
		t.Fatal(err)
	}
	if err := terminal.Write(&again, run, o); err != nil || again.String() != b.String() {
		t.Errorf("written again: got other bytes (%v)", err)
	}
	out := b.String()
	if o.Colour {
		out = colourless(out)
	}
	if !utf8.ValidString(out) {
		t.Errorf("not UTF-8: %q", out)
	}
	for _, r := range out {
		if r != '\n' && (unicode.Is(unicode.Cc, r) || unicode.Is(unicode.Bidi_Control, r)) {
			t.Errorf("%U in %q", r, out)
		}
	}
	places := map[string]bool{}
	for _, k := range run.Kits {
		for _, f := range k.Findings {
			places[strings.Trim(report.Visible(f.Pos.String()), " ")] = true
		}
	}
	for line := range strings.Lines(out) {
		line = strings.TrimSuffix(line, "\n")
		if got := uniseg.StringWidth(line); got > o.Width && !places[line[10:]] {
			t.Errorf("got %d cells, want at most %d: %q", got, o.Width, line)
		}
		if strings.TrimRight(line, " ") != line {
			t.Errorf("spaces at the end: %q", line)
		}
	}
}

func FuzzWrite(f *testing.F) {
	f.Add(reporttest.HarmfulText, "free_length: 412 mm", 14, 60)
	f.Add("the span is 425 mm long", "\tnumber:\t7", 3, 40)
	f.Fuzz(func(t *testing.T, text, line string, column, width int) {
		k := report.Kit{File: text, Number: text, Title: text, Shaped: true, Line: func(source.Pos) string { return line }, Findings: []finding.Finding{
			{Rule: text, Severity: finding.Critical, Status: finding.Violated, Pos: source.Pos{File: "a.kit.yaml", Line: 1, Column: column},
				Place: text, Message: text, Remedy: text, Working: []finding.Term{{Expression: text, Value: line}, {Expression: line, Value: text}}},
			{Rule: text, Severity: finding.Critical, Status: finding.NotEvaluated, Pos: source.Pos{File: "a.kit.yaml", Line: 1, Column: column}, Message: text, Place: text},
		}}
		o := terminal.Options{Width: 40 + abs(width)%81, Working: true}
		check(t, report.Run{Kits: []report.Kit{k}, Gate: finding.Major}, o)
	})
}

func abs(n int) int {
	if n < 0 {
		return -(n + 1)
	}
	return n
}
