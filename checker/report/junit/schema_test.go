package junit_test

import (
	"bytes"
	"encoding/xml"
	"io"
	"regexp"
	"slices"
	"strconv"
	"testing"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
)

// element is what two published schemas agree on of an element: the schema of
// the Maven Surefire report (surefire-test-report.xsd, Apache) and that of the
// xUnit plugin of Jenkins (junit-10.xsd). Beside are attributes that they do
// not have, and that are read widely.
type element struct {
	needs, may, beside []string
	holds              []string // in this order
	most               int      // of each that it holds; 0 is any number
}

var elements = map[string]element{
	"testsuites": {may: []string{"name", "time", "tests", "failures", "errors"}, beside: []string{"skipped"}, holds: []string{"testsuite"}},
	"testsuite": {needs: []string{"name", "tests", "errors", "skipped", "failures", "time"}, beside: []string{"file"},
		holds: []string{"properties", "testcase"}},
	"properties": {holds: []string{"property"}},
	"property":   {needs: []string{"name", "value"}},
	"testcase": {needs: []string{"name", "time"}, may: []string{"classname"}, beside: []string{"file", "line"},
		holds: []string{"failure", "skipped", "error", "system-out"}, most: 1},
	"failure":    {needs: []string{"type"}, may: []string{"message"}},
	"error":      {needs: []string{"type"}, may: []string{"message"}},
	"skipped":    {may: []string{"message"}},
	"system-out": {},
}

// surefireTime is the pattern of both schemas for a time.
var surefireTime = regexp.MustCompile(`^((([0-9]{0,3},)*[0-9]{3}|[0-9]{0,3})*(\.[0-9]{0,3})?)$`)

// node is an element as it stands.
type node struct {
	XMLName xml.Name
	Attrs   []xml.Attr `xml:",any,attr"`
	Nodes   []node     `xml:",any"`
}

func TestSchemas(t *testing.T) {
	for _, tt := range runs {
		var root node
		if err := xml.Unmarshal(write(t, tt.run), &root); err != nil {
			t.Fatal(err)
		}
		if root.XMLName.Local != "testsuites" {
			t.Errorf("%s: the root is %s", tt.name, root.XMLName.Local)
		}
		root.valid(t, tt.name)
	}
}

func (n *node) valid(t *testing.T, where string) {
	is, known := elements[n.XMLName.Local]
	where += "/" + n.XMLName.Local
	if !known {
		t.Errorf("%s: there is no such element", where)
	}
	var keys []string
	for _, a := range n.Attrs {
		key := a.Name.Local
		keys = append(keys, key)
		switch {
		case !slices.Contains(slices.Concat(is.needs, is.may, is.beside), key):
			t.Errorf("%s: there is no attribute %s", where, key)
		case key == "time" && !surefireTime.MatchString(a.Value):
			t.Errorf("%s: %q is no time", where, a.Value)
		case key == "line":
			if line, err := strconv.Atoi(a.Value); err != nil || line < 1 {
				t.Errorf("%s: line %q", where, a.Value)
			}
		}
	}
	for _, key := range is.needs {
		if !slices.Contains(keys, key) {
			t.Errorf("%s: the attribute %s is missing", where, key)
		}
	}
	last, count := 0, map[string]int{}
	for i := range n.Nodes {
		below := n.Nodes[i].XMLName.Local
		at := slices.Index(is.holds, below)
		if count[below]++; at < last || is.most > 0 && count[below] > is.most {
			t.Errorf("%s: %s stands out of order, or again", where, below)
		}
		last = max(at, 0)
		n.Nodes[i].valid(t, where)
	}
}

// A code host reads file and line of a case, and the first failure of it: that
// is where the first finding stands that fails the case, and tells all.
func TestWhereCasesFailed(t *testing.T) {
	at := func(line int, severity finding.Severity, status finding.Status, place string) finding.Finding {
		f := finding.Finding{Rule: "slack/steered", Status: status, Severity: severity, Place: place, Message: "too short"}
		f.Pos.File, f.Pos.Line, f.Pos.Column = "a.kit.yaml", line, 3
		return f
	}
	run := report.Run{Gate: finding.Major, Rules: []report.Rule{{ID: "slack/steered"}, {ID: "slack/sprung"}}, Kits: []report.Kit{{File: "a.kit.yaml", Rules: 2, Shaped: true,
		Findings: []finding.Finding{at(3, finding.Minor, finding.Violated, "line 1"), at(7, finding.Major, finding.Violated, "line 2"), at(9, finding.Critical, finding.Violated, "line 3"), at(11, finding.Major, finding.NotEvaluated, "line 4")}}}}
	d := xml.NewDecoder(bytes.NewReader(write(t, run)))
	var seen []string
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		if start, ok := token.(xml.StartElement); ok && (start.Name.Local == "testcase" || start.Name.Local == "failure" || start.Name.Local == "error") {
			text := start.Name.Local
			for _, a := range start.Attr {
				text += " " + a.Name.Local + "=" + a.Value
			}
			seen = append(seen, text)
		}
	}
	want := []string{
		"failure message=line 2: too short (and 2 more) type=critical",
		"testcase classname=slack name=slack/sprung time=0 file=a.kit.yaml",
		"testcase classname=slack name=slack/steered time=0 file=a.kit.yaml line=7",
	}
	slices.Sort(seen)
	if !slices.Equal(seen, want) {
		t.Errorf("got %q, want %q", seen, want)
	}
	c := read(t, write(t, run)).Suites[0].Cases
	for _, one := range c {
		if len(one.Failures) == 1 && (bytes.Count([]byte(one.Failures[0].Text), []byte("place: ")) != 3 || len(one.Out) != 1) {
			t.Errorf("the failure tells %s", one.Failures[0].Text)
		}
	}
}
