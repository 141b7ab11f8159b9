package preview_test

import (
	"encoding/json"
	"encoding/xml"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/report/preview"
	"kitgauge/checker/units"
)

const top = "../../.."

// checked checks a kit, with texts replaced.
func checked(t *testing.T, name string, pairs ...string) (preview.Input, *checker.Result) {
	t.Helper()
	file := filepath.Join(top, name)
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	c := checker.New(checker.Options{Margins: true, Figures: true, NoSettings: true})
	results, err := c.Check(file, []byte(strings.NewReplacer(pairs...).Replace(string(text))))
	if err != nil {
		t.Fatal(err)
	}
	run, err := c.Report("test", results[0])
	if err != nil {
		t.Fatal(err)
	}
	return preview.Input{Run: run, Facts: results[0].Facts, Saved: "2026-11-25 08:00:00"}, results[0]
}

// answer is an answer as the page reads it.
func answer(t *testing.T, text []byte, err error) (data map[string]any, svg string) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	var a struct {
		Data string `xml:"data"`
		SVG  *struct {
			Inner string `xml:",innerxml"`
		} `xml:"svg"`
	}
	if err := xml.Unmarshal(text, &a); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(a.Data), &data); err != nil {
		t.Fatal(err)
	}
	if a.SVG != nil {
		svg = a.SVG.Inner
	}
	return data, svg
}

const trailer = "examples/trailer/trailer.kit.yaml"

// TestState: a kit that is read shows its picture; one that is not keeps the
// one before, and says so.
func TestState(t *testing.T) {
	in, _ := checked(t, trailer)
	good := preview.New(1, in, nil)
	text, err := good.XML()
	data, svg := answer(t, text, err)
	if data["trouble"] != "" || data["old"] != false || len(data["joints"].([]any)) != 2 || !strings.Contains(svg, `class="bundle"`) || strings.Contains(svg, "<style") {
		t.Errorf("got %.300v, a drawing of %d bytes", data, len(svg))
	}
	in, _ = checked(t, trailer, "vehicle:", "vehicle: [")
	broken := preview.New(2, in, good)
	text, err = broken.XML()
	told, again := answer(t, text, err)
	if told["trouble"] != "The file cannot be read: mend what is found first" || told["old"] != true || again != svg {
		t.Errorf("a broken file: got %q, the same drawing: %v", told["trouble"], again == svg)
	}
	if r := told["report"].(map[string]any); r["class"] != "open" || len(r["findings"].([]any)) == 0 {
		t.Errorf("a broken file: got %.300v", r)
	}
	text, err = preview.Failed(3, "the settings are broken", broken).XML()
	told, again = answer(t, text, err)
	if told["trouble"] != "the settings are broken" || again != svg {
		t.Errorf("broken settings: got %q", told["trouble"])
	}
	text, err = preview.Failed(4, "pv/kits/t.kit.yaml: there is no such file", good).XML() // no verdict outlives its file
	told, again = answer(t, text, err)
	if r := told["report"].(map[string]any); r["class"] != "open" || r["verdict"] != "not known now: what stands below is of the kit as saved 2026-11-25 08:00:00" || r["stale"] != true || r["counts"] != nil || told["saved"] != "2026-11-25 08:00:00" || again != svg {
		t.Errorf("the file is gone: got %.300v", told)
	}
	if text, err = good.XML(); err != nil || !strings.Contains(string(text), "within the gate") {
		t.Errorf("the state before is another: %.300s, %v", text, err)
	}
	first := preview.New(1, in, nil) // nothing was ever read
	text, err = first.XML()
	told, again = answer(t, text, err)
	if told["old"] != true || again != "" || told["joints"] != nil {
		t.Errorf("nothing to keep: got %.200v", told)
	}
	if _, err := first.Pose(nil); err == nil {
		t.Error("there is a pose without a picture")
	}
}

// TestPose: the figures of a pose are those of the check where the span is
// longest, and the drawing says where everything stands in the file.
func TestPose(t *testing.T) {
	in, r := checked(t, trailer)
	state := preview.New(1, in, nil)
	k := r.Facts
	at := func(q []float64) (map[string]any, string) {
		text, err := state.Pose(q)
		return answer(t, text, err)
	}
	_, rest := at(make([]float64, len(k.Joints)))
	for i, s := range k.Spans {
		data, svg := at(k.Extreme(s, true))
		span := data["spans"].([]any)[i].(map[string]any)
		if want := units.Format(s.Slack.V, units.Length, k.Family()); span["slack"] != want || span["slackRange"] != want {
			t.Errorf("%s: got %v, want %s", s.Place(), span, want)
		}
		if data["rest"] != false || svg == rest {
			t.Errorf("%s: the drawing is that at rest", s.Place())
		}
	}
	for _, thing := range []string{"/pump", "/points/0", "/zones/0", "/joints/1", "/bundles/0/route/0", "/lines/7/tail/3"} {
		if !strings.Contains(rest, fmt.Sprintf(`data-at="%s"`, thing)) {
			t.Errorf("%s is not in the drawing", thing)
		}
	}
	if _, err := state.Pose([]float64{0, math.NaN()}); err == nil {
		t.Error("there is a pose at NaN")
	}
}

// TestOnEachOther: the drawing of a pose lies on that of the kit at rest, at the
// same scale.
func TestOnEachOther(t *testing.T) {
	pump := regexp.MustCompile(`<circle class="pump"[^>]*>`)
	box := regexp.MustCompile(`viewBox="[^"]*"`)
	for _, name := range []string{trailer, "examples/gritter-faulty/gritter-faulty.kit.yaml", "examples/loader/loader.kit.yaml", "testdata/kits/large.kit.yaml"} {
		in, r := checked(t, name)
		state := preview.New(1, in, nil)
		plan, err := state.XML()
		if err != nil {
			t.Fatal(err)
		}
		posed, err := state.Pose(make([]float64, len(r.Facts.Joints)))
		if err != nil {
			t.Fatal(err)
		}
		for _, same := range []*regexp.Regexp{box, pump} {
			if a, b := same.FindAllString(string(plan), -1), same.FindAllString(string(posed), -1); len(a) == 0 || !slices.Equal(a, b) {
				t.Errorf("%s: got %q and %q", name, a, b)
			}
		}
	}
}

// TestShort: a tube that is too short somewhere is told there, and not
// elsewhere.
func TestShort(t *testing.T) {
	in, r := checked(t, "examples/gritter-faulty/gritter-faulty.kit.yaml")
	state := preview.New(1, in, nil)
	for i, s := range r.Facts.Spans {
		if s.Place() != "bundle FL, span front axle to left knuckle" {
			continue
		}
		for q, want := range map[bool]string{true: "too short here", false: ""} {
			text, err := state.Pose(r.Facts.Extreme(s, q))
			data, _ := answer(t, text, err)
			if got := data["spans"].([]any)[i].(map[string]any)["says"]; got != want {
				t.Errorf("longest %v: says %q, want %q", q, got, want)
			}
		}
	}
}

// TestFigures: of what is pointed at the figures are told, with those of the
// line that it belongs to.
func TestFigures(t *testing.T) {
	in, _ := checked(t, trailer)
	state := preview.New(1, in, nil)
	for at, want := range map[string]string{"/lines/7": "line 8", "/lines/7/tail/3": "line 8, span chassis to drawbar", "/pump": "the pump", "/nowhere": ""} {
		text, err := state.Figures(at, nil)
		data, _ := answer(t, text, err)
		found := want == "" && data["things"] == nil
		if list, is := data["things"].([]any); is {
			for _, thing := range list {
				found = found || thing.(map[string]any)["place"] == want
			}
		}
		if !found {
			t.Errorf("%s: got %.300v, want %q among them", at, data, want)
		}
	}
}

// TestMostListed: of many findings the page lists some, and counts the others.
func TestMostListed(t *testing.T) {
	in, _ := checked(t, trailer, "thread:", "threat:")
	k := &in.Run.Kits[0]
	for len(k.Findings) < 1200 {
		more := k.Findings[0]
		more.Message = fmt.Sprint("another one: ", len(k.Findings))
		k.Findings = append(k.Findings, more)
	}
	text, err := preview.New(1, in, nil).XML()
	data, _ := answer(t, text, err)
	r := data["report"].(map[string]any)
	if n := len(r["findings"].([]any)); n != 500 || r["more"] != float64(700) {
		t.Errorf("got %d and %v more", n, r["more"])
	}
}

// TestPage: the page asks for nothing but its own files, and holds nothing that
// its policy would stop.
func TestPage(t *testing.T) {
	for name, text := range map[string]string{"page": string(preview.Page()), "style": string(preview.Style()), "script": string(preview.Script())} {
		for _, no := range []string{"//depot", "https:", "http:", "@import", "innerHTML", "outerHTML", "insertAdjacent", "document.write", "eval(", " style=", " onclick", "<style"} {
			if strings.Contains(strings.ReplaceAll(text, "http://www.w3.org/2000/svg", ""), no) {
				t.Errorf("the %s holds %q", name, no)
			}
		}
	}
	for _, part := range strings.Split(preview.Policy, "; ") {
		for _, source := range strings.Fields(part)[1:] {
			if source != "'self'" && source != "'none'" && source != "'script'" {
				t.Errorf("the policy lets %s through in %s", source, part)
			}
		}
	}
}
