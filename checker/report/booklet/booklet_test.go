package booklet_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"kitgauge/checker"
	_ "kitgauge/checker/internal/ample"
	"kitgauge/checker/internal/fleet"
	"kitgauge/checker/report/booklet"
	"kitgauge/checker/report/sheet"
)

const top = "../../.."

var kits = []string{
	"examples/gritter/gritter.kit.yaml", "examples/gritter-faulty/gritter-faulty.kit.yaml", "examples/loader/loader.kit.yaml",
	"examples/trailer/trailer.kit.yaml", "testdata/kits/large.kit.yaml",
}

// input checks a kit as the command does.
func input(t testing.TB, file, language string) booklet.Input {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(top, file))
	if err != nil {
		t.Fatal(err)
	}
	return checked(t, checker.New(checker.Options{Dir: top, NoSettings: true, On: "2026-11-25"}), file, text, language)
}

func checked(t testing.TB, c *checker.Checker, file string, text []byte, language string) booklet.Input {
	t.Helper()
	results, err := c.Check(file, text)
	if err != nil {
		t.Fatal(err)
	}
	run, err := c.Report("0.1.0", results[0])
	if err != nil {
		t.Fatal(err)
	}
	words, err := booklet.OwnWords().Language(language)
	if err != nil {
		t.Fatal(err)
	}
	return booklet.Input{Run: run, Facts: results[0].Facts, Language: words}
}

func write(t testing.TB, in booklet.Input) string {
	t.Helper()
	var b bytes.Buffer
	if err := booklet.Write(&b, in); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// words are the texts of a page as they are read, without the style.
func words(t *testing.T, page string) string {
	t.Helper()
	var b strings.Builder
	z := html.NewTokenizer(strings.NewReader(page))
	style := false
	for {
		switch z.Next() {
		case html.ErrorToken:
			return b.String()
		case html.StartTagToken:
			name, _ := z.TagName()
			style = string(name) == "style"
		case html.EndTagToken:
			style = false
		case html.TextToken:
			if !style {
				b.WriteString(html.UnescapeString(string(z.Text())) + "\n")
			}
		}
	}
}

// TestEverythingIsThere: whatever a fitter has to know of a kit stands in its
// booklet, and no rule does.
func TestEverythingIsThere(t *testing.T) {
	for _, file := range kits {
		for _, language := range []string{"en", "de"} {
			t.Run(filepath.Base(file)+"/"+language, func(t *testing.T) {
				in := input(t, file, language)
				page := write(t, in)
				if again := write(t, in); again != page {
					t.Error("written again: got other bytes")
				}
				text := words(t, page)
				for _, want := range wanted(in) {
					if !strings.Contains(text, want) {
						t.Errorf("%q is missing", want)
					}
				}
				for _, r := range in.Run.Rules {
					if strings.Contains(text, r.ID) {
						t.Errorf("rule %s stands in it", r.ID)
					}
				}
				if left := regexp.MustCompile(`\{[a-z]+\}`).FindString(text); left != "" {
					t.Errorf("%s was not filled in", left)
				}
			})
		}
	}
}

// wanted are the stations, points, lines, bundles and parts of a kit, and the
// texts of its steps.
func wanted(in booklet.Input) []string {
	k := in.Facts
	list := []string{k.Header.Number.V, k.Documents.SafetyNotice.V, k.Vehicle.Datum.V}
	for _, p := range k.Points {
		list = append(list, p.ID.V, p.Name.V)
	}
	for _, b := range k.Bundles {
		list = append(list, b.ID.V)
		for _, s := range b.Route {
			list = append(list, s.ID.V)
		}
	}
	for _, l := range k.Lines {
		list = append(list, l.Tube.ID.V, l.PumpFitting.ID.V, l.PointFitting.ID.V, l.LeavesAt.V)
	}
	for _, s := range k.Procedure {
		list = append(list, s.Text.V)
	}
	for _, row := range sheet.PartsList(k).Rows {
		list = append(list, row[0].Text)
	}
	return list
}

// TestCutLengths: the booklet and the cut list state the same lengths, in
// inches sixteenths as fractions.
func TestCutLengths(t *testing.T) {
	for _, file := range kits {
		in := input(t, file, "en")
		text := words(t, write(t, in))
		cut := sheet.CutList(in.Facts, sheet.ByLength)
		for _, row := range cut.Rows {
			if !row[2].IsNumber || row[1].Text == "" {
				continue
			}
			want := row[2].Text + " mm"
			if cut.Columns[2].Unit == "in" {
				want = inFractions(row[2].Number) + " in"
			}
			if !strings.Contains(text, want) {
				t.Errorf("%s: line %s: %q is missing", file, row[1].Text, want)
			}
		}
	}
}

// inFractions writes a number of inches as on a rule.
func inFractions(x float64) string {
	whole := int(x)
	for _, of := range []int{1, 2, 4, 8, 16} {
		if n := (x - float64(whole)) * float64(of); n == float64(int(n)) {
			switch {
			case n == 0:
				return fmt.Sprint(whole)
			case whole == 0:
				return fmt.Sprintf("%d/%d", int(n), of)
			}
			return fmt.Sprintf("%d %d/%d", whole, int(n), of)
		}
	}
	return "not on a rule"
}

// TestNotToBeFitted: whoever holds the first page of a kit that did not pass
// knows it, and finds nothing to sign.
func TestNotToBeFitted(t *testing.T) {
	for _, tt := range []struct{ file, says string }{
		{"examples/gritter/gritter.kit.yaml", ""},
		{"examples/gritter-faulty/gritter-faulty.kit.yaml", "10 critical and 5 major findings"},
		{"examples/trailer/trailer.kit.yaml", "The kit is a draft"},
	} {
		page := write(t, input(t, tt.file, "en"))
		first, _, _ := strings.Cut(page, "<main>")
		if got := strings.Contains(first, "Not to be fitted"); got != (tt.says != "") || !strings.Contains(first, tt.says) {
			t.Errorf("%s: the first page says so: %v, and does not say %q", tt.file, got, tt.says)
		}
		if got := strings.Contains(page, "Fitted as described"); got != (tt.says == "") {
			t.Errorf("%s: room for a signature: %v", tt.file, got)
		}
	}
}

// TestFleetBooklets: kits of all sizes and shapes have a booklet in which no
// name lies on another and all are there.
func TestFleetBooklets(t *testing.T) {
	c := checker.New(checker.Options{ReadFile: fleet.ReadFile, NoSettings: true, Packs: []string{}})
	for seed := range uint64(24) {
		k, err := fleet.New(seed, 4+int(seed*29%81), fleet.Options{})
		if err != nil {
			t.Fatal(err)
		}
		in := checked(t, c, "fleet.kit.yaml", k.YAML(), []string{"en", "de"}[seed%2])
		page := write(t, in)
		text := words(t, page)
		for _, want := range wanted(in) {
			if !strings.Contains(text, want) {
				t.Errorf("seed %d: %q is missing", seed, want)
			}
		}
		namesApart(t, fmt.Sprintf("seed %d", seed), page)
	}
}

var labelOf = regexp.MustCompile(`<text class="halo" x="([\d.]+)" y="([\d.]+)" font-size="([\d.]+)" text-anchor="middle">([^<]*)</text>`)

// TestNamesApart: in no picture one name lies on another.
func TestNamesApart(t *testing.T) {
	for _, file := range kits {
		namesApart(t, file, write(t, input(t, file, "en")))
	}
}

func namesApart(t *testing.T, name, page string) {
	t.Helper()
	const ofHeight = 0.56 // the width of a letter, as the pictures take it
	type box struct{ x0, y0, x1, y1 float64 }
	for _, picture := range regexp.MustCompile(`(?s)<svg .*?</svg>`).FindAllString(page, -1) {
		var boxes []box
		for _, m := range labelOf.FindAllStringSubmatch(picture, -1) {
			var x, y, h float64
			if _, err := fmt.Sscan(m[1]+" "+m[2]+" "+m[3], &x, &y, &h); err != nil {
				t.Fatal(err)
			}
			w := float64(len([]rune(html.UnescapeString(m[4])))) * ofHeight * h / 2
			b := box{x - w, y - 0.7*h, x + w, y}
			if slices.ContainsFunc(boxes, func(c box) bool { return b.x0 < c.x1 && c.x0 < b.x1 && b.y0 < c.y1 && c.y0 < b.y1 }) {
				t.Errorf("%s: %q lies on another name", name, m[4])
			}
			boxes = append(boxes, b)
		}
	}
}
