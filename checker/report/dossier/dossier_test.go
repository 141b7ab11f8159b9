// The files in testdata are dossiers as they are written, without the style
// sheet and the drawings. They are refreshed by go generate ./..., and the
// difference is read.
package dossier_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	unescape "html"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"kitgauge/checker"
	"kitgauge/checker/compare"
	"kitgauge/checker/engine"
	"kitgauge/checker/golden"
	_ "kitgauge/checker/internal/ample"
	"kitgauge/checker/internal/reporttest"
	"kitgauge/checker/report"
	"kitgauge/checker/report/dossier"
	"kitgauge/checker/source"
)

const top = "../../.."

// kits are those that the tests make dossiers of, and names their order.
var (
	kits = map[string]string{
		"gritter": "examples/gritter/gritter.kit.yaml", "gritter, faulty": "examples/gritter-faulty/gritter-faulty.kit.yaml",
		"loader": "examples/loader/loader.kit.yaml", "trailer": "examples/trailer/trailer.kit.yaml", "84 points": "testdata/kits/large.kit.yaml",
	}
	names = []string{"gritter", "gritter, faulty", "loader", "trailer", "84 points"}
)

// check checks a kit as the command does.
func check(t testing.TB, c *checker.Checker, file string, text []byte) (*checker.Result, dossier.Input) {
	t.Helper()
	results, err := c.Check(file, text)
	if err != nil {
		t.Fatal(err)
	}
	in, err := dossier.Of(c, "0.1.0", results[0], nil, "")
	if err != nil {
		t.Fatal(err)
	}
	in.Run.On, in.Files = "2026-11-25", results[0].Inputs
	return results[0], in
}

func newChecker() *checker.Checker {
	return checker.New(checker.Options{Dir: top, NoSettings: true, Margins: true, Figures: true, On: "2026-11-25"})
}

func readKit(t testing.TB, name string) (file string, text []byte) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(top, kits[name]))
	if err != nil {
		t.Fatal(err)
	}
	return kits[name], text
}

func write(t testing.TB, in dossier.Input) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := dossier.Write(&b, in); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// dossiers makes one of each kit; the faulty gritter is compared with the
// other.
func dossiers(t testing.TB) map[string][]byte {
	t.Helper()
	if made == nil {
		made = makeDossiers(t)
	}
	return maps.Clone(made)
}

// made are the dossiers that the tests share.
var made map[string][]byte

func makeDossiers(t testing.TB) map[string][]byte {
	t.Helper()
	pages := map[string][]byte{}
	c := newChecker()
	var gritter compare.Revision
	for _, name := range names {
		file, text := readKit(t, name)
		r, in := check(t, c, file, text)
		is := r.RevisionAs(r.File)
		switch name {
		case "gritter":
			gritter = is
		case "gritter, faulty":
			compared := compare.Of(gritter, is)
			in.Against = &compared
			in.LeftOut = []string{"flow"}
			in.Changes = []checker.Change{{Name: "slack/steered_slack", Was: "30 mm", Is: "25 mm", Reason: "the depot measures at full lock", Pos: source.Pos{File: "kitgauge.settings.yaml", Line: 4, Column: 3}}}
		}
		pages[name] = write(t, in)
	}
	return pages
}

var (
	styleOf   = regexp.MustCompile(`(?s)<style>(.*?)</style>`)
	policyOf  = regexp.MustCompile(`style-src &#39;sha256-([A-Za-z0-9/=]|&#43;)+&#39;`)
	drawingOf = regexp.MustCompile(`(?s)<svg [^>]*class="kit-drawing".*?</svg>`)
)

// plain takes style sheet, drawings and the digest of the style sheet out.
func plain(html []byte) string {
	html = styleOf.ReplaceAll(html, []byte("<style></style>"))
	html = policyOf.ReplaceAll(html, []byte("style-src"))
	return string(drawingOf.ReplaceAll(html, []byte("<svg></svg>")))
}

// shownMargins are the rules whose margins the kept dossier shows: on the limit
// and inside it, with a limit of nought and without a dimension.
var shownMargins = []string{
	"fittings/spares", "power/fuse-not-larger", "routing/cut-length", "environment/part-cold", "slack/articulated", "slack/loop-sag",
	"flow/runs", "dosing/enough", "power/voltage-drop", "mounting/upright", "power/circuit-carries-draw", "reservoir/covers-interval",
}

func TestGolden(t *testing.T) {
	file, text := readKit(t, "trailer")
	_, trailer := check(t, newChecker(), file, text)
	trailer.Full = true
	trailer.Run.Kits[0].Figures = trailer.Run.Kits[0].Figures[:12]
	trailer.Run.Kits[0].Margins = slices.DeleteFunc(trailer.Run.Kits[0].Margins, func(m engine.Margin) bool { return !slices.Contains(shownMargins, m.Rule) })
	faulty := reporttest.Fleet()
	faulty.Kits = faulty.Kits[:1]
	unread := reporttest.Fleet()
	unread.Kits, unread.Gone = unread.Kits[2:], nil
	for name, in := range map[string]dossier.Input{"trailer": trailer, "faulty": {Run: faulty}, "unread": {Run: unread}} {
		t.Run(name, func(t *testing.T) {
			html := write(t, in)
			got := plain(html)
			if name == "trailer" { // the others are invented runs, which no rule changes
				got = string(golden.Steady([]byte(got)))
			}
			golden.Compare(t, filepath.Join("testdata", name+".html"), []byte(got))
			if again := write(t, in); !bytes.Equal(again, html) {
				t.Error("written again: got other bytes")
			}
		})
	}
}

// TestPolicy: the only style that the page lets through is its own
// (Content Security Policy 3, 2.3.1: the digest of the element's text).
func TestPolicy(t *testing.T) {
	for name, html := range dossiers(t) {
		styles := styleOf.FindAllSubmatch(html, -1)
		if len(styles) != 1 {
			t.Fatalf("%s: got %d styles, want 1", name, len(styles))
		}
		sum := sha256.Sum256(styles[0][1])
		want := "style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
		if got := unescape.UnescapeString(string(policyOf.Find(html))); got != want {
			t.Errorf("%s: got %s, want %s", name, got, want)
		}
		if !bytes.Contains(html, []byte(`content="default-src &#39;none&#39;; style-src`)) {
			t.Errorf("%s: the policy is not there", name)
		}
	}
}

// TestVerdictFirst: the reviewer reads the verdict before anything else, then
// the findings, the gravest first.
func TestVerdictFirst(t *testing.T) {
	html := string(dossiers(t)["gritter, faulty"])
	from := 0
	for _, want := range []string{
		"WS-0207X revision C", "Outside the gate: 15 findings at or above major", "Not to be signed", "Not all rule packs were used. Left out: flow",
		"href=\"#finding-1\"", "href=\"#finding-15\"", "Changes since revision C", "line 9: outlet 9 to 8", report.Caution,
		"<h2 id=\"contents\">", "Critical <", "Major <", "fuse 7.5 A to 25 A", "Schematic", "Free spans with findings", "Free spans<",
		"Call-out sheet", "Cut list", "Parts list", "Before the work", "What went in", "What the settings change", "the depot measures at full lock",
	} {
		i := strings.Index(strings.ReplaceAll(html[from:], "&#39;", "'"), want)
		if i < 0 {
			t.Fatalf("%q is missing, or stands too early", want)
		}
		from += i
	}
}

// TestEveryFinding: each has its element, and each mark of the schematic leads
// to one.
func TestEveryFinding(t *testing.T) {
	file, text := readKit(t, "gritter, faulty")
	r, in := check(t, newChecker(), file, text)
	html := string(write(t, in))
	ids := regexp.MustCompile(`id="(finding-\d+)"`).FindAllStringSubmatch(html, -1)
	if len(ids) != len(r.Findings) {
		t.Errorf("got %d findings, want %d", len(ids), len(r.Findings))
	}
	linked := 0
	for _, m := range regexp.MustCompile(`href="#(finding-\d+)" tabindex="-1"`).FindAllStringSubmatch(html, -1) {
		linked++
		if !slices.ContainsFunc(ids, func(id []string) bool { return id[1] == m[1] }) {
			t.Errorf("a mark leads to %s, which is not there", m[1])
		}
	}
	if linked == 0 {
		t.Error("no mark leads to a finding")
	}
}

// TestIDs: no two elements of a dossier have one id, and every link leads to one.
func TestIDs(t *testing.T) {
	for name, page := range dossiers(t) {
		ids := map[string]bool{}
		for _, m := range regexp.MustCompile(`\bid="([^"]+)"`).FindAllSubmatch(page, -1) {
			if ids[string(m[1])] {
				t.Errorf("%s: two elements have the id %s", name, m[1])
			}
			ids[string(m[1])] = true
		}
		for _, m := range regexp.MustCompile(`<a [^>]*href="#([^"]+)"`).FindAllSubmatch(page, -1) {
			if !ids[string(m[1])] {
				t.Errorf("%s: a link leads to %s, which is not there", name, m[1])
			}
		}
	}
}

// TestMarginsSorted: the rule that is nearest to its limit stands first.
func TestMarginsSorted(t *testing.T) {
	in := dossier.Input{Run: reporttest.Fleet(), Full: true}
	in.Run.Kits = in.Run.Kits[:1]
	m := in.Run.Kits[0].Margins[0]
	in.Run.Kits[0].Margins = nil
	for i, share := range []float64{0.4, -0.2, 3, 0, 1e-9, 0.1} {
		one := m
		one.Share, one.Rule = share, []string{"a/five", "b/one", "c/six", "d/two", "e/three", "f/four"}[i]
		in.Run.Kits[0].Margins = append(in.Run.Kits[0].Margins, one)
	}
	var got []string
	for _, found := range regexp.MustCompile(`rowheader">[^<]*<code>[a-f]/(\w+)</code>|rowgroup" role="rowheader" colspan="5">([\w ]+) <`).FindAllStringSubmatch(afterVerdict(write(t, in)), -1) {
		got = append(got, strings.TrimSpace(found[1]+found[2]))
	}
	want := []string{"Beyond the limit", "one", "On the limit", "two", "three", "Inside the limit", "four", "five", "six"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
}

// afterVerdict leaves out the verdict, which shows some of the margins too.
func afterVerdict(html []byte) string {
	_, after, _ := strings.Cut(string(html), `<section id="margins"`)
	return after
}

// TestTwoKits: a dossier is about one.
func TestTwoKits(t *testing.T) {
	if err := dossier.Write(&bytes.Buffer{}, dossier.Input{Run: reporttest.Fleet()}); err == nil {
		t.Error("got no error for a run of three kits")
	}
}
