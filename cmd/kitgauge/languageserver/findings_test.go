package languageserver

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"kitgauge/checker"
	"kitgauge/checker/edit"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
)

const faulty = "examples/gritter-faulty/gritter-faulty.kit.yaml"

// TestAsCheck holds what is shown of a kit to what a check of it finds: each
// finding once, where it begins, with its rule and its severity.
func TestAsCheck(t *testing.T) {
	c := start(t, Options{}, capable)
	c.open(faulty)
	list := c.until(faulty, "told", func(list []diagnostic) bool { return len(list) > 0 })
	results, err := checker.New(checker.Options{Dir: c.dir, On: "2026-11-25"}).Check(faulty, []byte(c.read(faulty)))
	if err != nil {
		t.Fatal(err)
	}
	severities := map[finding.Severity]int{finding.Critical: severityError, finding.Major: severityWarning, finding.Minor: severityInformation}
	var got, want []string
	for _, d := range list {
		got = append(got, fmt.Sprintf("%d:%d %s %d", d.Range.Start.Line+1, d.Range.Start.Character+1, d.Code, d.Severity))
		if d.Source != "kitgauge" || d.Range.Start.Line != d.Range.End.Line || !d.Range.Start.before(d.Range.End) {
			t.Errorf("shown: %s", asJSON(d))
		}
	}
	for _, f := range results[0].Findings {
		want = append(want, fmt.Sprintf("%d:%d %s %d", f.Pos.Line, f.Pos.Column, f.Rule, severities[f.Severity]))
	}
	slices.Sort(got)
	slices.Sort(want)
	if !slices.Equal(got, want) {
		t.Errorf("shown:\n%s\nfound:\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	twice := c.finds(faulty, "ports/outlet-used-once")
	if c.at(faulty, twice.Range) != "8" || len(twice.Related) != 1 || !strings.HasPrefix(c.from(faulty, twice.Related[0].Location.Range), "8") {
		t.Errorf("the outlet that is used twice: %s", asJSON(twice))
	}
}

// TestDecision offers what somebody has to decide on as such, and not as the
// action to be preferred.
func TestDecision(t *testing.T) {
	c := start(t, Options{}, capable)
	c.open(faulty)
	found := c.finds(faulty, "power/fuse-protects-cable")
	list := c.actions(faulty, found.Range, kindQuickFix)
	for _, a := range list {
		if a.Preferred && len(a.Diagnostics) == 1 && a.Diagnostics[0].Code == found.Code {
			t.Errorf("preferred: %s", a.Title)
		}
	}
	if len(list) == 0 || !strings.Contains(list[0].Title, "to be decided") && !strings.Contains(list[0].Title, "look first") {
		t.Errorf("offered: %s", asJSON(list))
	}
	c.apply(list[0].Edit)
	c.until(faulty, "mended", func(list []diagnostic) bool { return withCode(list, found.Code) < 0 })
}

// TestAskedFrom offers the correction of a finding from the start of its line,
// and from anywhere where the editor names the finding, beside those of other
// programs.
func TestAskedFrom(t *testing.T) {
	c := start(t, ofPacks("routing"), capable)
	c.open(gritter)
	c.typed(gritter, "cut_length: 2700 mm", "cut_length: 2610 mm")
	found := c.finds(gritter, "routing/cut-length")
	line := found.Range.Start.Line
	ask := func(at span, diagnostics ...any) (list []codeAction) {
		c.call("textDocument/codeAction", map[string]any{"textDocument": map[string]any{"uri": c.uri(gritter)}, "range": at, "context": map[string]any{"diagnostics": diagnostics, "only": []string{kindQuickFix}}}, &list)
		return list
	}
	begin, other := span{position{line, 0}, position{line, 0}}, span{position{line + 1, 0}, position{line + 1, 0}}
	lint := map[string]any{"range": begin, "message": "of a linter", "code": 5}
	for name, list := range map[string][]codeAction{"begin": ask(begin), "named": ask(other, lint, found), "named, no list": ask(begin, "x")} {
		if len(list) == 0 || !list[0].Preferred || list[0].Diagnostics[0].Code != found.Code {
			t.Errorf("%s: %s", name, asJSON(list))
		}
	}
	if list := ask(other, lint); len(list) > 0 {
		t.Errorf("in another line: %s", asJSON(list))
	}
	c.quit(exitAsked)
}

// TestNearest offers the name that is nearest to one that leads nowhere, where
// several are, as somebody's decision.
func TestNearest(t *testing.T) {
	c := start(t, ofPacks("fittings"), capable)
	c.open(trailer)
	whole := string(c.texts[trailer].bytes)
	at := strings.Index(whole, "tube: FG-T4") + len("tube: FG-T4")
	c.edit(trailer, textEdit{c.texts[trailer].span(at-1, at), "5"})
	found := c.finds(trailer, "file/reference")
	if !strings.Contains(found.Message, `nearest is "FG-T4"`) {
		t.Fatalf("told: %s", found.Message)
	}
	list := c.actions(trailer, found.Range, kindQuickFix)
	if len(list) == 0 || list[0].Title != "Write FG-T4, the nearest (to be decided)" || list[0].Preferred {
		t.Fatalf("offered: %s", asJSON(list))
	}
	c.apply(list[0].Edit)
	c.until(trailer, "mended", func(list []diagnostic) bool { return withCode(list, "file/reference") < 0 })
	c.quit(exitAsked)
}

// TestOfferedOnce offers an edit that mends several findings once, and not as
// the preferred one where somebody has to decide on it for one of them.
func TestOfferedOnce(t *testing.T) {
	text := newText([]byte("a: 1\n"), utf16)
	s := newServer(Options{base: ofPower()})
	j := &judgement{text: text, place: place{"/k", "a.kit.yaml"}}
	change := []report.Piece{{Splice: edit.Splice{From: 3, To: 4, With: "2"}}}
	safe := s.offer(nil, shown{diagnostic: diagnostic{Code: "x"}, of: j}, "Write 2", true, "a.kit.yaml", change)
	list := s.offer(safe, shown{diagnostic: diagnostic{Code: "y"}, of: j}, "Write 2 (to be decided)", false, "a.kit.yaml", change)
	if len(list) != 1 || list[0].Preferred || list[0].Title != "Write 2 (to be decided)" || len(list[0].Diagnostics) != 2 {
		t.Errorf("offered: %s", asJSON(list))
	}
}

// TestNotEvaluated shows what could not be judged as hints.
func TestNotEvaluated(t *testing.T) {
	c := start(t, ofPacks("power"), capable)
	c.open(trailer)
	c.clean(trailer)
	c.typed(trailer, "fuse_distance: 150 mm", "")
	list := c.until(trailer, "told", func(list []diagnostic) bool { return len(list) > 0 })
	if i := slices.IndexFunc(list, func(d diagnostic) bool { return d.Severity == severityHint }); i < 0 || !strings.Contains(list[i].Message, ": not evaluated: ") {
		t.Errorf("shown: %s", asJSON(list))
	}
}

// TestSlipFirst types a sign away: once nothing more is typed, the slip behind
// all that is found is told first, where it stands.
func TestSlipFirst(t *testing.T) {
	c := start(t, Options{Slips: true}, capable)
	c.open(gritter)
	c.clean(gritter)
	c.typed(gritter, "position: [-1600 mm, 620 mm, ", "position: [-1600 mm, -620 mm, ")
	list := c.until(gritter, "explained", func(list []diagnostic) bool { return withCode(list, "slip") >= 0 })
	if list[0].Code != "slip" || c.at(gritter, list[0].Range) != "-620 mm" || !strings.Contains(list[0].Message, "and 620 mm may be meant") {
		t.Errorf("shown first: %s", asJSON(list[0]))
	}
	back := c.actions(gritter, list[0].Range)
	if back[0].Title != "Write 620 mm (look at the vehicle before anything is changed)" || back[0].Preferred {
		t.Errorf("offered: %s", asJSON(back[0]))
	}
	c.apply(back[0].Edit)
	c.clean(gritter)
}

// TestTypedOver types on while a check goes on: what is told at last is of the
// last text, and nothing is told of a text behind its time.
func TestTypedOver(t *testing.T) {
	c := start(t, Options{}, capable)
	c.open(gritter)
	for i := range 40 {
		c.typed(gritter, fmt.Sprintf("cut_length: %d mm", 2700+i), fmt.Sprintf("cut_length: %d mm", 2701+i))
	}
	c.typed(gritter, "cut_length: 2740 mm", "cut_length: 2600 mm")
	if d := c.finds(gritter, "routing/cut-length"); !strings.Contains(d.Message, "cut to 2600 mm") {
		t.Errorf("told: %s", d.Message)
	}
	c.typed(gritter, "cut_length: 2600 mm", "cut_length: 2700 mm")
	c.clean(gritter)
	c.quit(exitAsked)
}

// TestBroken types a fault of the syntax, and takes it back: what is found in
// the rest comes back with it.
func TestBroken(t *testing.T) {
	c := start(t, Options{}, capable)
	c.open(faulty)
	n := len(c.until(faulty, "told", func(list []diagnostic) bool { return len(list) > 5 }))
	c.typed(faulty, "- {number: 9, element: FG-E15}", "- {number: 9, element: FG-E15")
	c.finds(faulty, "file/syntax")
	c.typed(faulty, "- {number: 9, element: FG-E15\n", "- {number: 9, element: FG-E15}\n")
	c.until(faulty, "told", func(list []diagnostic) bool { return len(list) == n })
	c.shut(faulty)
	c.until(faulty, "taken back", func(list []diagnostic) bool { return len(list) == 0 })
}

// TestNextDay judges concessions for the day on which it is asked, however long
// the server runs.
func TestNextDay(t *testing.T) {
	var day atomic.Value
	day.Store("2026-11-25")
	o := ofPacks("paperwork")
	o.Day = func() string { return day.Load().(string) }
	c := start(t, o, capable)
	c.write("examples/trailer/trailer.concessions.yaml", "concessions:\n  - {rule: paperwork/marker-number, place: line 1, reason: a test, granted_by: I. Halvard, until: 2026-11-26}\n")
	c.open(trailer)
	c.typed(trailer, `pump_marker: "1"`, `pump_marker: "11"`)
	c.until(trailer, "conceded", func(list []diagnostic) bool {
		i := withCode(list, "paperwork/marker-number")
		return i >= 0 && list[i].Severity == severityHint
	})
	day.Store("2026-11-27")
	c.typed(trailer, `pump_marker: "3"`, `pump_marker: "33"`)
	c.finds("examples/trailer/trailer.concessions.yaml", "concession/expired") // where it stands, open or not
}

func TestAddress(t *testing.T) {
	if got := address("ISO 261 (https://www.iso.org/standard/5.html), a house rule"); got == nil || got.Href != "https://www.iso.org/standard/5.html" {
		t.Errorf("address: %v", got)
	}
	if got := address("common practice, no source"); got != nil {
		t.Errorf("address: %v", got)
	}
}

// TestGravest keeps to as many as an editor is given: the gravest, in their
// order, and how many are left out.
func TestGravest(t *testing.T) {
	var list []diagnostic
	for i := range 2 * mostTold {
		list = append(list, diagnostic{Code: fmt.Sprint(i), Severity: []int{severityHint, severityError, severityWarning, severityInformation}[i%4]})
	}
	got := gravest(list)
	count := map[int]int{}
	for _, d := range got[:mostTold] {
		count[d.Severity]++
	}
	last := got[mostTold]
	if len(got) != mostTold+1 || count[severityError] != 250 || count[severityWarning] != 250 || got[0].Code != "1" || !strings.HasPrefix(last.Message, "500 more are found") {
		t.Errorf("%d, %v: %s", len(got), count, asJSON(last))
	}
	if got := gravest(list[:mostTold]); len(got) != mostTold {
		t.Errorf("%d of %d", len(got), mostTold)
	}
}

// TestOfItsVersion types above a fault in a catalogue and in settings that an
// open kit reads: whatever is told of a version stands where it does in that.
func TestOfItsVersion(t *testing.T) {
	for _, of := range []struct{ name, old, now, fault string }{
		{"examples/parts/winter.parts.yaml", "filled polyamide\n    maker: Fjellgrease\n    outer: 4 mm\n    inner: 2.5 mm", "filled polyamide\n    maker: Fjellgrease\n    outer: 4 mm\n    inner: 2.5 bar", "2.5 bar"},
		{"examples/kitgauge.settings.yaml", "gate: major", "gate: majr", "majr"},
	} {
		c := start(t, Options{}, capable)
		c.write("examples/kitgauge.settings.yaml", "gate: major\n")
		c.open(trailer)
		c.clean(trailer)
		c.open(of.name)
		c.typed(of.name, of.old, of.now)
		shown := func(list []diagnostic) bool { return len(list) > 0 }
		c.until(of.name, "faulty", shown)
		c.until(trailer, "told of it", shown)
		texts := map[int]*text{}
		for range 4 {
			c.edit(of.name, textEdit{span{}, "# a remark\n"})
			texts[c.versions[of.name]] = c.texts[of.name]
			time.Sleep(30 * time.Millisecond)
		}
		c.until(of.name, "faulty", shown)
		told := 0
		c.mu.Lock()
		for _, p := range c.all {
			if p.URI != c.uri(of.name) || p.Version == nil || texts[*p.Version] == nil {
				continue
			}
			told++
			for _, d := range p.Diagnostics {
				at := texts[*p.Version]
				if got := string(at.bytes[at.offset(d.Range.Start):at.offset(d.Range.End)]); d.Severity <= severityWarning && got != of.fault {
					t.Errorf("%s: of version %d %q is marked", of.name, *p.Version, got)
				}
			}
		}
		c.mu.Unlock()
		if told == 0 {
			t.Errorf("nothing is told of %s", of.name)
		}
	}
}

// TestNotStarved types in a large kit without a pause: findings come while one
// types, each with the version that it is of.
func TestNotStarved(t *testing.T) {
	c := start(t, Options{}, capable)
	text, err := os.ReadFile("../../../testdata/kits/large.kit.yaml")
	if err != nil {
		t.Fatal(err)
	}
	const large = "examples/large/large.kit.yaml"
	c.write(large, string(text))
	c.open(large)
	c.until(large, "judged", func([]diagnostic) bool { return true })
	before := len(c.publications(large))
	for begun := time.Now(); time.Since(begun) < patience && len(c.publications(large)) < before+2; {
		c.edit(large, textEdit{span{}, "#\n"})
		time.Sleep(20 * time.Millisecond)
	}
	if got := c.publications(large)[before:]; len(got) < 2 || got[0] == nil || *got[0] >= c.versions[large] {
		t.Errorf("while one types there are %d publications, of versions before %d", len(got), c.versions[large])
	}
}

// TestMisspeltKeyFirst offers one preferred fix for a misspelt key, and none for
// what is missing because of it.
func TestMisspeltKeyFirst(t *testing.T) {
	c := start(t, Options{}, capable)
	c.open(trailer)
	c.typed(trailer, "cut_length: 745 mm", "cut_lenght: 745 mm")
	c.finds(trailer, "routing/cut-length-stated")
	lines := span{position{100, 0}, position{115, 0}}
	var fixes []string
	for _, a := range c.actions(trailer, lines, kindQuickFix) {
		if a.Preferred || !strings.HasPrefix(a.Title, "Draft ") {
			fixes = append(fixes, a.Title)
		}
	}
	if want := "Write cut_length in the place of cut_lenght"; len(fixes) != 1 || fixes[0] != want {
		t.Errorf("offered: %q, want %q alone", fixes, want)
	}
}

// TestConcessionValues marks in a file of concessions what is at fault, quoted or
// not, and nothing else.
func TestConcessionValues(t *testing.T) {
	c := start(t, Options{}, capable)
	c.open(trailer)
	c.typed(trailer, "fuse_distance: 150 mm", "fuse_distance: 400 mm")
	c.finds(trailer, "power/fuse-near-source")
	const name, whole = "examples/trailer/trailer.concessions.yaml", `concessions:
  - rule: power/fuse-near-source
    place: the feed
    reason: The maker of the towing vehicle allows 500 mm.
    granted_by: R. Okafor
    until: 2027-03-31
    severity: critical
    value: 450 mm
`
	c.openAs(name, whole)
	c.clean(name)
	for _, of := range []struct{ old, now, rule, at string }{
		{"R. Okafor", "I. Sandvik", "paperwork/concession-by-another", "I. Sandvik"},
		{"R. Okafor", `"I. Sandvik"`, "paperwork/concession-by-another", `"I. Sandvik"`},
		{"near-source", "near-sourc", "concession/no-such-rule", "power/fuse-near-sourc"},
		{"the feed", "the fed", "concession/unused", "the fed"},
		{"2027-03-31", "2026-03-31", "concession/expired", "2026-03-31"},
		{"severity: critical", "severity: minor", "concession/outgrown", "minor"},
		{"450 mm", "200 mm", "concession/outgrown", "200 mm"},
	} {
		c.edit(name, textEdit{span{position{}, position{99, 0}}, strings.Replace(whole, of.old, of.now, 1)})
		list := c.until(name, "a finding for "+of.now, func(list []diagnostic) bool { return len(list) > 0 })
		if d := list[0]; d.Code != of.rule || c.at(name, d.Range) != of.at {
			t.Errorf("%s: %s marks %q", of.now, d.Code, c.at(name, d.Range))
		}
	}
}
