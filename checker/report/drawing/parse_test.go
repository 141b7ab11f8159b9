package drawing_test

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/report/drawing"
)

// drawn is what a test reads back from the file, without help of the package
// but for the width of letters.
type drawn struct {
	width, height float64
	texts         []text
	shapes        []shape
	names         map[string]int // of elements
	attributes    []string       // their values, for what must not be in them
}

type text struct {
	said           string
	x0, y0, x1, y1 float64
}

// shape is an element with its class, the view it stands in, and its numbers.
type shape struct {
	element, class, view string
	at                   map[string]float64
	path                 [][2]float64
}

// failer is a test, of package testing or of rapid.
type failer interface {
	Helper()
	Fatalf(format string, args ...any)
}

func read(t failer, svg []byte) *drawn {
	t.Helper()
	d := &drawn{names: map[string]int{}}
	decoder := xml.NewDecoder(strings.NewReader(string(svg)))
	view := ""
	var open []string
	var inText *text
	var attr map[string]string
	for {
		token, err := decoder.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("the drawing is not XML: %v", err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			attr = map[string]string{}
			for _, a := range e.Attr {
				attr[a.Name.Local] = a.Value
				d.attributes = append(d.attributes, a.Name.Local+"="+a.Value)
			}
			d.names[e.Name.Local]++
			open = append(open, e.Name.Local+" "+attr["class"])
			if c := attr["class"]; c == "side-view" || c == "top-view" {
				view = c
			}
			switch e.Name.Local {
			case "svg":
				box := strings.Fields(attr["viewBox"])
				d.width, d.height = number(t, box[2]), number(t, box[3])
			case "text":
				inText = &text{}
			default:
				d.shapes = append(d.shapes, newShape(t, e.Name.Local, view, attr))
			}
		case xml.CharData:
			if inText != nil {
				inText.said += string(e)
			}
		case xml.EndElement:
			if inText != nil && e.Name.Local == "text" {
				inText.x0, inText.y0, inText.x1, inText.y1 = drawing.TextBox(number(t, attr["x"]), number(t, attr["y"]), attr["text-anchor"], number(t, attr["font-size"]), inText.said, strings.Contains(attr["class"], "bold"))
				d.texts = append(d.texts, *inText)
				inText = nil
			}
			if last := open[len(open)-1]; last == "g "+view {
				view = ""
			}
			open = open[:len(open)-1]
		}
	}
	return d
}

func newShape(t failer, element, view string, attr map[string]string) shape {
	s := shape{element: element, class: attr["class"], view: view, at: map[string]float64{}}
	for _, name := range []string{"x", "y", "width", "height", "cx", "cy", "r"} {
		if v, given := attr[name]; given && element != "pattern" {
			s.at[name] = number(t, v)
		}
	}
	if path := attr["d"]; element == "path" && !strings.ContainsAny(path, "aAhHvV") {
		for _, pair := range strings.FieldsFunc(path, func(r rune) bool { return strings.ContainsRune("MLZ", r) }) {
			xy := strings.Fields(pair)
			s.path = append(s.path, [2]float64{number(t, xy[0]), number(t, xy[1])})
		}
	}
	return s
}

func number(t failer, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(strings.TrimSuffix(text, "mm"), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		t.Fatalf("%q is no number", text)
	}
	return v
}

// legible holds a drawing to it that no text lies on another or leaves the
// frame of the sheet.
func (d *drawn) legible() error { return d.within(20, 10) }

// within is legible with margins of so much at the left and at the other sides.
func (d *drawn) within(left, margin float64) error {
	for i, a := range d.texts {
		if a.x0 < left || a.y0 < margin || a.x1 > d.width-margin || a.y1 > d.height-margin {
			return fmt.Errorf("%q at %.1f, %.1f leaves the frame", a.said, a.x0, a.y0)
		}
		for _, b := range d.texts[:i] {
			const hair = 0.02 // numbers are rounded to 0.01 mm
			if a.x0 < b.x1-hair && b.x0 < a.x1-hair && a.y0 < b.y1-hair && b.y0 < a.y1-hair {
				return fmt.Errorf("%q and %q overlap at %.1f, %.1f and %.1f, %.1f", a.said, b.said, a.x0, a.y0, b.x0, b.y0)
			}
		}
	}
	return nil
}

// check checks a kit and returns its only result.
func check(t testing.TB, c *checker.Checker, file string, text []byte) *checker.Result {
	t.Helper()
	results, err := c.Check(file, text)
	if err != nil {
		t.Fatal(err)
	}
	return results[0]
}

var kits = []string{
	"examples/trailer/trailer.kit.yaml", "examples/loader/loader.kit.yaml", "examples/gritter/gritter.kit.yaml",
	"examples/gritter-faulty/gritter-faulty.kit.yaml", "testdata/kits/large.kit.yaml",
}

// examples are checked once: no drawing changes a kit.
func examples(t testing.TB) map[string]*checker.Result {
	t.Helper()
	if checked == nil {
		c := checker.New(checker.Options{NoSettings: true, On: "2026-11-25"})
		checked = map[string]*checker.Result{}
		for _, name := range kits {
			checked[filepath.Base(name)] = check(t, c, filepath.Join("../../..", name), kitText(t, name))
		}
	}
	return checked
}

var checked map[string]*checker.Result

func kitText(t testing.TB, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("../../..", name))
	if err != nil {
		t.Fatal(err)
	}
	return text
}
