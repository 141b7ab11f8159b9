// The files in testdata are summaries as they are written. They are refreshed
// by go generate ./..., and the difference is read.
package markdown_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"html"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"kitgauge/checker/finding"
	"kitgauge/checker/golden"
	"kitgauge/checker/internal/reporttest"
	"kitgauge/checker/npmtest"
	"kitgauge/checker/report"
	"kitgauge/checker/report/markdown"
	"kitgauge/checker/source"
)

func write(t testing.TB, run report.Run, o markdown.Options) string {
	t.Helper()
	var b bytes.Buffer
	if err := markdown.Write(&b, run, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestGolden(t *testing.T) {
	tests := []struct {
		name string
		run  report.Run
		o    markdown.Options
	}{
		{"fleet", reporttest.Fleet(), markdown.Options{}},
		{"clean", report.Run{Kits: []report.Kit{reporttest.Clean()}, Gate: finding.Major}, markdown.Options{}},
		{"empty", report.Run{Gate: finding.Major}, markdown.Options{}},
		{"harmful", reporttest.Harmful(), markdown.Options{}},
		{"cut", reporttest.Fleet(), markdown.Options{Limit: 2500}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := write(t, tt.run, tt.o)
			name := filepath.Join("testdata", tt.name+".md")
			golden.Compare(t, name, []byte(got))
			if again := write(t, tt.run, tt.o); again != got {
				t.Error("written again: got other bytes")
			}
		})
	}
}

// hostile holds texts that would be markup, HTML, links, mentions or images
// outside of a code span, or that try to leave one.
var hostile = []string{
	"`", "``", "```", "``` x", "`a` <b>", "a`", strings.Repeat("`", 1500) + "<img src=x>", "\\`<b>\\`", "~~~\n# a",
	"<script>alert(1)</script>", "<img src=x onerror=y>", "<!-- ", "-->", "<details>", "&lt;b&gt; &#64;depot",
	"[a](https://depot.example)", "![a](https://depot.example/a.png)", "https://depot.example www.depot.example", "a@depot.example", "@depot", "#1", "GH-1", ":snowflake:",
	"| a | b |", "\\| a", "\\\\| a", "a |", "|", "\\", "a\\",
	"# a", "- a", "1. a", "> a", "    a", "---", "===", "***a***", "__a__", "~~a~~", "[^1]", "[^1]: a", "[ ] a", "$a$", "a\n\n# b", "a\r\n| - |",
	reporttest.HarmfulText, " ", "", "\u2028# a",
}

// TestNothingIsMarkup has another program render the summary: whatever a kit
// says, the page is built as it is for a kit that says "x", and the text comes
// back from code spans.
func TestNothingIsMarkup(t *testing.T) {
	if testing.Short() {
		t.Skip("needs npm and packages from the registry")
	}
	t.Parallel()
	dir := npmtest.Install(t, filepath.Join("..", "..", "..", "testdata", "markdown"))
	texts := []string{write(t, reporttest.HarmfulWith("x"), markdown.Options{})}
	for _, h := range hostile {
		texts = append(texts, write(t, reporttest.HarmfulWith(h), markdown.Options{}))
	}
	input, err := json.Marshal(texts)
	if err != nil {
		t.Fatal(err)
	}
	var pages []string
	if err := json.Unmarshal(npmtest.Run(t, dir, bytes.NewBuffer(input), "node", "render.mjs"), &pages); err != nil {
		t.Fatal(err)
	}
	want, _ := taken(pages[0])
	if !strings.Contains(want, "<table>") || !strings.Contains(want, "<h2>Critical</h2>") || strings.Contains(want, "<a") {
		t.Fatalf("the page of a harmless kit is not as it should be:\n%s", want)
	}
	for i, h := range hostile {
		got, spans := taken(pages[i+1])
		// An empty text leaves out its line, in a harmless way.
		if diff := cmp.Diff(want, got); diff != "" && strings.TrimSpace(report.Visible(h)) != "" {
			t.Errorf("%q: -want +got:\n%s", h, diff)
		}
		if strings.Contains(got, "<a") || strings.Contains(got, "<img") {
			t.Errorf("%q: a link or an image in\n%s", h, got)
		}
		if shown := strings.TrimSpace(report.Visible(h)); len(shown) < 500 && shown != "" && !strings.Contains(shown, "```") && !contains(spans, shown) {
			t.Errorf("%q: is not in the code spans %q", h, spans)
		}
	}
}

var span = regexp.MustCompile(`(?s)<code>(.*?)</code>`)

// taken takes the code spans out of a page.
func taken(page string) (rest string, spans []string) {
	for _, m := range span.FindAllStringSubmatch(page, -1) {
		spans = append(spans, html.UnescapeString(m[1]))
	}
	return span.ReplaceAllString(page, "<code/>"), spans
}

func contains(spans []string, text string) bool {
	for _, s := range spans {
		if s == text {
			return true
		}
	}
	return false
}

// TestOrder: the verdict first, then what is gravest.
func TestOrder(t *testing.T) {
	out := write(t, reporttest.Fleet(), markdown.Options{})
	from := 0
	for _, want := range []string{
		"# Kit check: no verdict", "| kit |", "| `WS-114 revision B` |", "## Critical", "slack/steered", "## Major", "## Minor", "## Not evaluated",
		"## Conceded", "granted by: `H. Brandt, quality`", "until: `2027-03-31`", "## No longer found", "slack/articulated", "## Known", "easy-to-reach", "Caution",
	} {
		i := strings.Index(out[from:], want)
		if i < 0 {
			t.Fatalf("%q is missing, or stands too early, in\n%s", want, out)
		}
		from += i
	}
	if !strings.HasSuffix(out, report.Caution+"\n") {
		t.Error("the caution is not at the end")
	}
}

// TestSize: a summary never outgrows what a job may write, the gravest comes
// first, and what is left out is counted.
func TestSize(t *testing.T) {
	run := report.Run{Gate: finding.Major}
	for i := range 300 {
		k := report.Kit{File: fmt.Sprintf("fleet/%d.kit.yaml", i), Number: fmt.Sprintf("WS-%d", i), Shaped: true}
		for j := range 100 {
			k.Findings = append(k.Findings, finding.Finding{
				Rule: "slack/steered", Severity: finding.Severity(1 + j%3), Status: finding.Violated, Pos: source.Pos{File: k.File, Line: j + 1, Column: 1},
				Place: "line 7", Message: strings.Repeat("too short ", 10),
			})
		}
		run.Kits = append(run.Kits, k)
	}
	for _, limit := range []int{0, 2000, 20_000, 500_000} {
		out := write(t, run, markdown.Options{Limit: limit})
		most := limit
		if limit == 0 {
			most = 1 << 20 // what a code host takes for a step
		}
		if len(out) > most {
			t.Errorf("limit %d: got %d bytes", limit, len(out))
		}
		shown := strings.Count(out, "- **`slack/steered`**")
		rows := strings.Count(out, "| `WS-")
		note := fmt.Sprintf("%s and %s in the table above are not shown", report.Count(30_000-shown, "entry", "entries"), report.Count(300-rows, "kit", "kits"))
		if !strings.Contains(out, note) {
			t.Errorf("limit %d: %q is missing", limit, note)
		}
		if shown < 9900 && strings.Contains(out, "## Major") {
			t.Errorf("limit %d: major findings are shown, and not all critical ones", limit)
		}
		if !strings.HasSuffix(out, report.Caution+"\n") {
			t.Errorf("limit %d: the caution is not at the end", limit)
		}
	}
	one := run.Kits[0].Findings[:1]
	one[0].Message = strings.Repeat("too short ", 500_000)
	if out := write(t, report.Run{Kits: []report.Kit{{Shaped: true, Findings: one}}}, markdown.Options{}); len(out) > 10_000 {
		t.Errorf("one long text: got %d bytes", len(out))
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no room left") }

func TestWriteError(t *testing.T) {
	if err := markdown.Write(full{}, reporttest.Fleet(), markdown.Options{}); err == nil {
		t.Error("got no error from a writer that fails")
	}
}
