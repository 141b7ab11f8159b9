package dossier_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/report/dossier"
)

// invented is a dossier of a kit with findings of this test's own.
func invented(list []finding.Finding, change func(*dossier.Input)) dossier.Input {
	k := report.Kit{File: "a.kit.yaml", Number: "A-1", Revision: "B", Status: "for-review", Shaped: true, Findings: list}
	in := dossier.Input{Run: report.Run{Gate: finding.Major, Kits: []report.Kit{k}}}
	if change != nil {
		change(&in)
	}
	return in
}

func found(rule string, s finding.Severity, status finding.Status) finding.Finding {
	return finding.Finding{Rule: "a/" + rule, Severity: s, Status: status, Message: rule, Place: "line 1", Fingerprint: rule}
}

// firstPage is what stands before the second section.
func firstPage(t *testing.T, in dossier.Input) string {
	t.Helper()
	page, _, _ := strings.Cut(string(write(t, in)), `<section id="findings"`)
	_, page, _ = strings.Cut(page, `<section id="verdict"`)
	return page
}

// TestFirstPageOrder: criticals come first, causes before what follows from
// them, and what does not count last; a minor finding stands further on.
func TestFirstPageOrder(t *testing.T) {
	cause := found("cause", finding.Major, finding.Violated)
	cause.Cause = true
	symptom := found("symptom", finding.Critical, finding.Violated)
	symptom.Follows = "cause"
	unknown := found("unknown", finding.Major, finding.NotEvaluated)
	again := unknown
	again.Rule, again.Fingerprint = "a/again", "again"
	conceded := found("conceded", finding.Critical, finding.Conceded)
	conceded.Concession = &finding.Concession{}
	in := invented([]finding.Finding{
		found("minor", finding.Minor, finding.Violated), found("major", finding.Major, finding.Violated), conceded, symptom, cause, unknown, again,
		found("critical", finding.Critical, finding.Violated),
	}, nil)
	page := firstPage(t, in)
	var got []string
	for _, m := range regexp.MustCompile(`<li>.*?href="#finding-\d+"><b class="word \w+">([\w, ]+):</b> <bdi>(\w+)</bdi>.*?</li>`).FindAllStringSubmatch(page, -1) {
		got = append(got, m[1]+": "+m[2])
	}
	want := []string{"Major: cause", "Critical: critical", "Critical: symptom", "Major: major", "Major, not evaluated: unknown", "Critical, conceded: conceded"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("-want +got:\n%s", diff)
	}
	if !strings.Contains(page, "follows from 1") || !strings.Contains(page, "line 1 and 1 check more") {
		t.Error("what follows from what, or how much could not be evaluated, is not told")
	}
	if strings.Contains(page, "Nearest to a limit") {
		t.Error("margins that hold stand beside what does not")
	}
	var ids []string
	for _, m := range regexp.MustCompile(`href="(#finding-\d+)"`).FindAllStringSubmatch(page, -1) {
		ids = append(ids, m[1])
	}
	if all := string(write(t, in)); slices.ContainsFunc(ids, func(id string) bool { return !strings.Contains(all, `id="`+id[1:]+`"`) }) {
		t.Error("a line leads nowhere")
	}
}

// TestSignature: only where a sign-off would be taken there is room for one.
func TestSignature(t *testing.T) {
	grave := []finding.Finding{found("grave", finding.Major, finding.Violated)}
	for _, tt := range []struct {
		name   string
		in     dossier.Input
		refuse string // "" where there is a signature line
	}{
		{"within", invented(nil, nil), ""},
		{"outside", invented(grave, nil), "it is outside the gate."},
		{"not evaluated", invented([]finding.Finding{found("x", finding.Critical, finding.NotEvaluated)}, nil), "it is outside the gate."},
		{"not read", invented(nil, func(in *dossier.Input) { in.Run.Kits[0].Shaped = false }), "it was not checked in full."},
		{"no gate", invented(grave, func(in *dossier.Input) { in.Run.Gate = finding.None }), "no gate is set, so nothing could be outside it."},
		{"draft", invented(grave, func(in *dossier.Input) { in.Run.Kits[0].Status = "draft" }), "it is outside the gate, and it is a draft."},
	} {
		page := firstPage(t, tt.in)
		if got := strings.Contains(page, `class="sign-off"`); got != (tt.refuse == "") {
			t.Errorf("%s: room for a signature is %v", tt.name, got)
		}
		if got := strings.Contains(page, "<strong>Not to be signed:</strong> "+tt.refuse); got != (tt.refuse != "") {
			t.Errorf("%s: %q is not said", tt.name, tt.refuse)
		}
	}
}

// TestSinceRelease: without an older revision the first page tells what is not
// as the release record has it, and refers to the rest.
func TestSinceRelease(t *testing.T) {
	in := invented(nil, func(in *dossier.Input) {
		in.AddRelease(&dossier.Release{File: "a.release.json", Revision: "A", On: "2026-11-01", Signer: "r@depot.example", Verdict: "within the gate (major)", Changed: []dossier.ReleaseChange{
			{Says: "the kit file a.kit.yaml changed since the sign-off", Places: []string{"line 1", "line 2", "line 3", "line 4", "line 5", "line 6", "line 7", "line 8"}},
		}})
	})
	page := firstPage(t, in)
	for _, want := range []string{"Revision A was signed off by r@depot.example on 2026-11-01", "line 6", "and 2 more", `href="#changes"`} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is missing", want)
		}
	}
	if strings.Contains(page, "line 7") {
		t.Error("the first page has more than it should")
	}
	if whole := string(write(t, in)); !strings.Contains(whole, "line 8") || !strings.Contains(whole, ">release record<") {
		t.Error("the rest of the changes, or the record among what went in, is missing")
	}
	in = invented(nil, func(in *dossier.Input) {
		in.AddRelease(&dossier.Release{Fault: "the release record a.release.json is none"})
	})
	if page := firstPage(t, in); !strings.Contains(page, "The release record a.release.json is none.") || strings.Contains(page, `href="#changes"`) {
		t.Error("a record that cannot be read is not told, or leads to a section that is not there")
	}
}

// TestOneUnit: amounts beside and under each other stand in one unit.
func TestOneUnit(t *testing.T) {
	volume := func(si float64, text string) finding.Amount {
		return finding.Amount{SI: si, Dimension: "volume", Text: text}
	}
	in := invented(nil, func(in *dossier.Input) {
		in.Full = true
		in.Run.Kits[0].Figures = []report.Figures{
			{Kind: "point", Place: "point A", Figures: []report.Figure{{Name: "equal stroke", Amount: volume(1.436e-8, "0.01436 cm3")}}},
			{Kind: "air", Place: "air C", Figures: []report.Figure{{Name: "coldest", Amount: finding.Amount{SI: 243.15, Dimension: "temperature", Text: "-30 degC"}}}},
			{Kind: "air", Place: "air D", Figures: []report.Figure{{Name: "coldest", Amount: finding.Amount{SI: 5, Dimension: "temperature", Text: "5 K"}}}},
			{Kind: "point", Place: "point B", Figures: []report.Figure{{Name: "equal stroke", Amount: volume(8.379e-9, "8.379 mm3")}}},
		}
		f := found("fill", finding.Major, finding.Violated)
		value, limit, margin := volume(4.3e-3, "4.3 l"), volume(4e-3, "4 l"), volume(-3e-4, "-300 cm3")
		f.Value, f.Limit, f.Margin = &value, &limit, &margin
		in.Run.Kits[0].Findings = []finding.Finding{f}
	})
	page := string(write(t, in))
	for _, want := range []string{"14.36 mm3", "8.379 mm3", "4.3 l", "limit 4 l", "margin -0.3 l", "-30 degC", "5 K"} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is missing", want)
		}
	}
	if in.Run.Kits[0].Figures[0].Figures[0].Amount.Text != "0.01436 cm3" {
		t.Error("the run that was given is changed")
	}
}
