package preview_test

import (
	"encoding/json"
	"encoding/xml"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
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

// TestLined: a passage that a grommet protects, of which the check says nothing,
// alarms nobody, and comes after what something is asked of; without its grommet
// the check and the page say so.
func TestLined(t *testing.T) {
	const lined = "hold: clip, grommet: true}"
	for _, tt := range []struct {
		name      string
		pairs     []string
		says, but string
		alarm     bool
	}{
		{"with its grommet", nil, "passes through, protected by the grommet at station pl-3", "1 passage with a grommet left out", false},
		{"with a grommet that holds", []string{lined, "hold: grommet}"}, "passes through, protected by the grommet at station pl-3", "1 passage with a grommet left out", false},
		{"without", []string{lined, "hold: clip}"}, "nearer than 15 mm", "", true},
	} {
		in, r := checked(t, "examples/gritter/gritter.kit.yaml", tt.pairs...)
		text, err := preview.New(1, in, nil).Pose(make([]float64, len(r.Facts.Joints)))
		data, _ := answer(t, text, err)
		list := data["gaps"].([]any)
		n := slices.IndexFunc(list, func(g any) bool {
			return g.(map[string]any)["place"] == "bundle PL, pl-2 to pl-3, near edge of the battery tray"
		})
		if n < 0 {
			t.Fatal("the gritter passes no battery tray")
		}
		g := list[n].(map[string]any)
		if g["says"] != tt.says || g["alarm"] != tt.alarm || (n == 0) != tt.alarm {
			t.Errorf("%s: row %d is %v, want %q, alarm %v", tt.name, n, g, tt.says, tt.alarm)
		}
		if least := data["gap"].(map[string]any); least["but"] != tt.but || (least["place"] == g["place"]) != tt.alarm {
			t.Errorf("%s: the least is %v, want %q", tt.name, least, tt.but)
		}
		if found := slices.ContainsFunc(in.Run.Kits[0].Findings, func(f finding.Finding) bool { return f.Place == g["place"] }); found != tt.alarm {
			t.Errorf("%s: the check found something there: %v", tt.name, found)
		}
	}
}

// TestNoAlarm: where the check finds nothing the page alarms nobody, wherever the
// joints stand.
func TestNoAlarm(t *testing.T) {
	for _, name := range []string{trailer, "examples/gritter/gritter.kit.yaml", "examples/loader/loader.kit.yaml"} {
		in, r := checked(t, name)
		state := preview.New(1, in, nil)
		for i := 0; i < len(r.Facts.Spans); i += 5 {
			text, err := state.Pose(r.Facts.Extreme(r.Facts.Spans[i], i%2 == 0))
			data, _ := answer(t, text, err)
			for _, kind := range []string{"spans", "gaps"} {
				for _, one := range data[kind].([]any) {
					if one.(map[string]any)["alarm"] != false {
						t.Errorf("%s: %v", name, one)
					}
				}
			}
		}
	}
}

// TestNowAndOver: what depends on the joints is told as they stand and over their
// range, where the range has it; moved there, both are one. The finding about it
// leads there as well.
func TestNowAndOver(t *testing.T) {
	in, r := checked(t, "examples/gritter-faulty/gritter-faulty.kit.yaml")
	state := preview.New(1, in, nil)
	const place = "bundle FL, span front axle to left knuckle"
	i := slices.IndexFunc(r.Facts.Spans, func(s *facts.Span) bool { return s.Place() == place })
	span := r.Facts.Spans[i]
	of := func(name string, q []float64) map[string]any {
		text, err := state.Figures(span.Source().Pointer(), q)
		data, _ := answer(t, text, err)
		for _, thing := range data["things"].([]any) {
			for _, f := range thing.(map[string]any)["figures"].([]any) {
				if f := f.(map[string]any); f["name"] == name && thing.(map[string]any)["place"] == place {
					return f
				}
			}
		}
		t.Fatalf("%s has no %s", place, name)
		return nil
	}
	for name, want := range map[string]string{"slack": "least over the range of all joints", "loop sag": "most over the range of all joints", "bend radius": ""} {
		if f := of(name, nil); f["over"] != want || (f["now"] != "") != (want != "") {
			t.Errorf("%s: got %v, want %q", name, f, want)
		}
	}
	rest, there := of("slack", nil), of("slack", r.Facts.Extreme(span, true))
	if rest["now"] == rest["text"] || there["now"] != there["text"] || there["text"] != units.Format(span.Slack.V, units.Length, r.Facts.Family()) || rest["stands"] != span.LongestAt.V {
		t.Errorf("the slack is %v at rest, %v at its least", rest, there)
	}
	text, err := state.XML()
	data, _ := answer(t, text, err)
	for _, f := range data["report"].(map[string]any)["findings"].([]any) {
		f := f.(map[string]any)
		if moves := f["rule"] == "slack/steered"; moves != (f["stand"] != nil) || moves && (f["stands"] != rest["stands"] || !reflect.DeepEqual(f["stand"], rest["stand"])) {
			t.Errorf("%v: stands %v at %v", f["place"], f["stands"], f["stand"])
		}
	}
}

// TestDetails: every point of a detail is named in its drawing, at once legible
// and with the links of the page; the frames lead to it.
func TestDetails(t *testing.T) {
	in, _ := checked(t, "testdata/kits/large.kit.yaml")
	state := preview.New(1, in, nil)
	text, err := state.XML()
	data, whole := answer(t, text, err)
	list := data["details"].([]any)
	if len(list) < 5 {
		t.Fatalf("got %d details", len(list))
	}
	for _, d := range list {
		letter := d.(map[string]any)["letter"].(string)
		if n := strings.Count(whole, fmt.Sprintf(`href="#detail-%s"`, letter)); n != 2 {
			t.Errorf("detail %s: %d links lead there, want the frame and its letter", letter, n)
		}
		text, err := state.Detail(letter)
		_, svg := answer(t, text, err)
		for _, n := range numbers(t, d.(map[string]any)["shows"].(string)) {
			if !strings.Contains(svg, fmt.Sprintf(">%d</text>", n)) {
				t.Errorf("detail %s does not name %d", letter, n)
			}
		}
	}
	if _, err := state.Detail("ZZ"); err == nil {
		t.Error("there is a detail ZZ")
	}
}

// numbers are those of "lines 1–5, 8; bundle FL".
func numbers(t *testing.T, shows string) (list []int) {
	t.Helper()
	lines, _, _ := strings.Cut(strings.TrimPrefix(strings.TrimPrefix(shows, "lines "), "line "), ";")
	for _, part := range strings.Split(lines, ", ") {
		var from, to int
		if n, _ := fmt.Sscanf(strings.ReplaceAll(part, "–", " "), "%d %d", &from, &to); n == 1 {
			to = from
		} else if n == 0 {
			t.Fatalf("no numbers in %q", shows)
		}
		for i := from; i <= to; i++ {
			list = append(list, i)
		}
	}
	return list
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

// TestLeastOfAll: what is least over the range of all joints is that of every
// span and piece, and not of the one that is least as the joints stand.
func TestLeastOfAll(t *testing.T) {
	in, r := checked(t, "testdata/kits/large.kit.yaml")
	want := r.Facts.Spans[0]
	for _, s := range r.Facts.Spans {
		if s.Slack.Known && s.Slack.V < want.Slack.V {
			want = s
		}
	}
	text, err := preview.New(1, in, nil).Pose(make([]float64, len(r.Facts.Joints)))
	data, _ := answer(t, text, err)
	got := data["slack"].(map[string]any)
	if got["range"] != units.Format(want.Slack.V, units.Length, r.Facts.Family()) || got["where"] != want.Place() || got["place"] == got["where"] {
		t.Errorf("got %v, want the range of %s, %g m", got, want.Place(), want.Slack.V)
	}
}
