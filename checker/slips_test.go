package checker_test

import (
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/slip"
	"kitgauge/examples"
)

// changed checks the gritter with a text of the kit or of its catalogue put in
// the place of another.
func changed(t *testing.T, o checker.Options, old, new string) *checker.Result {
	t.Helper()
	was := 0
	put := func(text []byte) []byte {
		was += strings.Count(string(text), old)
		return []byte(strings.Replace(string(text), old, new, 1))
	}
	o.NoSettings, o.On = true, "2026-11-25"
	o.ReadFile = func(from, file string) ([]byte, error) {
		text, err := examples.ReadFile(from, file)
		return put(text), err
	}
	file, text, _ := examples.Kit("gritter")
	results, err := checker.New(o).Check(file, put(text))
	if err != nil {
		t.Fatal(err)
	}
	if was == 0 {
		t.Fatalf("%q stands nowhere", old)
	}
	return results[0]
}

// What rests on a value that is said to be wrong follows from that, and what
// has nothing to do with it does not.
func TestFollows(t *testing.T) {
	for _, tt := range []struct{ name, old, new, cause, follows string }{
		{"a faulty entry of the catalogue, and the lines", "outer: 4 mm\n    inner: 2.5 mm", "outer: 2.5 mm\n    inner: 4 mm", "catalogue/tube-hollow", "fittings/tube-size"},
		{"a joint, and its spans", "pivot: [-5100 mm, 0 mm", "pivot: [5100 mm, 0 mm", "survey/pivot-inside", "slack/articulated"},
		{"a point on the other side, and its line", "position: [-20 mm, 880 mm, 630 mm]", "position: [-20 mm, -880 mm, 630 mm]", "survey/point-twin", "routing/cut-length"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := changed(t, checker.Options{}, tt.old, tt.new)
			cause := ""
			for _, f := range r.Findings {
				if f.Rule == tt.cause && f.Follows == "" {
					cause = f.Fingerprint
				}
			}
			follow := 0
			for _, f := range r.Findings {
				if f.Rule == tt.follows && f.Follows == cause {
					follow++
				}
			}
			if cause == "" || follow == 0 {
				t.Fatalf("%d findings of %s follow from %s: %s", follow, tt.follows, tt.cause, rulesOf(r.Findings))
			}
			if shown := report.Standing(r.Findings, finding.Violated); shown[0].Rule != tt.cause {
				t.Errorf("%s is shown first, want %s", shown[0].Rule, tt.cause)
			}
		})
	}
	// two mistakes apart: the fuse has nothing to do with the joint
	r := changed(t, checker.Options{}, "pivot: [-5100 mm, 0 mm", "pivot: [5100 mm, 0 mm")
	for _, f := range r.Findings {
		if strings.HasPrefix(f.Rule, "power/") && f.Follows != "" {
			t.Errorf("%s follows from a joint", f.Rule)
		}
	}
}

// What was not evaluated follows from the fault of the file that is the reason.
func TestFollowsAReason(t *testing.T) {
	r := changed(t, checker.Options{}, "supply: 24 V", "supply: 24 mm")
	file := ""
	for _, f := range r.Findings {
		if f.Rule == "file/value" {
			file = f.Fingerprint
		}
	}
	follow := 0
	for _, f := range r.Findings {
		if f.Status == finding.NotEvaluated && f.Follows == file {
			follow++
		}
	}
	if file == "" || follow == 0 {
		t.Errorf("%d checks follow from the faulty supply: %s", follow, rulesOf(r.Findings))
	}
}

// One slip behind many findings is found in a whole kit, in its catalogue too.
func TestSlipsOfAKit(t *testing.T) {
	for _, tt := range []struct{ old, new, want string }{
		{"position: [-1600 mm, 620 mm, 1050 mm]", "position: [-1600 mm, -620 mm, 1050 mm]", "pump, position y is -620 mm, and 620 mm may be meant"},
		{"pause: 58 min", "pause: 58 h", "pump, timer pause is 58 h, and 58 min may be meant"},
	} {
		r := changed(t, checker.Options{Slips: slip.Usual}, tt.old, tt.new)
		if r.Slips == nil || len(r.Slips.Best) != 1 || r.Slips.Best[0].Change.String() != tt.want {
			t.Errorf("got %v, want %q", r.Slips.Says(), tt.want)
		}
	}
	if r := changed(t, checker.Options{}, "pause: 58 min", "pause: 58 h"); r.Slips != nil {
		t.Error("slips were looked for without being asked for")
	}
}

func rulesOf(list []finding.Finding) string {
	var rules []string
	for _, f := range list {
		rules = append(rules, f.Rule)
	}
	return strings.Join(rules, ", ")
}

// What a pack finds does not depend on whether others look at the facts as
// well: a trial leaves out what they alone need.
func TestPacksAlone(t *testing.T) {
	for _, tt := range []struct{ old, new string }{
		{"position: [-1600 mm, 620 mm, 1050 mm]", "position: [-1600 mm, -620 mm, 1050 mm]"},
		{"position: [-620 mm, 470 mm, 900 mm]", "position: [-620 mm, 200 mm, 700 mm]"},
		{"outer: 4 mm\n    inner: 2.5 mm", "outer: 2.5 mm\n    inner: 4 mm"},
	} {
		for _, f := range checker.Alone(changed(t, checker.Options{}, tt.old, tt.new)) {
			t.Errorf("%s: %s", tt.new, f)
		}
	}
}
