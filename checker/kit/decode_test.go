package kit_test

import (
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/kit"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

func parse(t testing.TB, name, text string) *source.Document {
	t.Helper()
	docs, problems := source.Parse(name, []byte(text))
	if len(problems) > 0 || len(docs) != 1 {
		t.Fatalf("%q: %v", text, problems)
	}
	return docs[0]
}

// A value of the wrong kind is told with its place, its name and what it
// takes.
func TestDecodeProblems(t *testing.T) {
	tests := []struct{ text, want string }{
		{"[]", "1:1: this is a list; a group of members is needed; write its members below it"},
		{"x", "1:1: this is text; a group of members is needed"},
		{"vehicle: 5", "1:10: this is a number; a group of members is needed"},
		{"vehicle:", "1:9: this is nothing; a group of members is needed"},
		{"points: [A]", "1:10: this is text; a group of members is needed"},
		{"points: {id: A}", "1:9: points is a group of members; a list is needed; write its items below it, each after a dash"},
		{"catalogues: x", "1:13: catalogues is text; a list is needed"},
		{"vehicle: {supply: 24}", `1:19: supply: "24" has no unit: a voltage takes V, mV`},
		{"vehicle: {supply: 24 mm}", `1:19: supply: "24 mm" is a length; a voltage is needed: V, mV`},
		{"vehicle: {supply: [1]}", "1:19: supply is a list; a voltage is needed; write a number with its unit: V, mV"},
		{"vehicle: {supply: true}", "1:19: supply is true or false; a voltage is needed"},
		{"vehicle: {supply:}", "supply is nothing; a voltage is needed"},
		{"vehicle: {days_a_week: 5 d}", `1:24: days_a_week is "5 d"; a whole number is needed; write it without quotes and without a unit`},
		{"vehicle: {days_a_week: 5.5}", `1:24: days_a_week is "5.5"; a whole number is needed`},
		{`vehicle: {days_a_week: "5"}`, `1:24: days_a_week is "5"; a whole number is needed; write it without quotes`},
		{"vehicle: {days_a_week: 99999999999}", `1:24: days_a_week is "99999999999", which is too large to be meant`},
		{"vehicle: {raised_body: yes}", `1:24: raised_body is "yes"; true or false is needed; write true or false without quotes`},
		{"header: {number: [x]}", "1:18: number is a list; text is needed; write one value after the colon"},
		{"header: {number: true}", "1:18: number is true or false; text is needed; put quotes round it"},
		{"header: {number: ~}", "1:18: number is nothing; text is needed; write its value after the colon, or leave the key out"},
		{"points: [{position: [1 mm, 2 mm]}]", "1:21: position is not a list of three; write [x, y, z]: x forward, y left, z up (ISO 8855)"},
		{"points: [{position: [1 mm, 2, 3 mm]}]", `1:28: position: "2" has no unit: a length takes mm, cm, m, in, ft`},
		{"joints: [{kind: prismatic, range: {from: 1 deg, to: 2 mm}}]", `1:42: from: "1 deg" is an angle; a length is needed: mm, cm, m, in, ft`},
		{"joints: [{kind: revolute, range: {from: 1 deg, to: 2 mm}}]", `1:52: to: "2 mm" is a length; an angle is needed: deg, rad`},
		{"header: {title: " + strings.Repeat("x", 4001) + "}", "1:17: title has 4001 characters; at most 4000 are possible; shorten it"},
		{"vehicle: {supply: " + strings.Repeat("9", 1001) + " V}", `1:19: supply is "` + strings.Repeat("9", 100) + `..."; a voltage is needed; write a number with its unit`},
		{"vehicle: {days_a_week: " + strings.Repeat("x", 101) + "}", `1:24: days_a_week is "` + strings.Repeat("x", 100) + `..."; a whole number is needed`},
		{"procedure: [{step: prime-line, lines: [1, a]}]", `1:43: lines is "a"; a whole number is needed`},
		{"vehicle: {ambient: {from: 20, to: 30 degC}}", `1:27: from: "20" has no unit: a temperature takes degC, degF, K`},
	}
	for _, tt := range tests {
		_, problems := kit.Read(parse(t, "k", tt.text))
		if len(problems) != 1 || !strings.HasPrefix(problems[0].Error(), "k:"+tt.want) && !strings.Contains(problems[0].Error(), tt.want) {
			t.Errorf("%s: got %v, want one problem %s", tt.text, problems, tt.want)
			continue
		}
		if problems[0].Node == nil {
			t.Errorf("%s: the problem has no value", tt.text)
		}
	}
}

// A value that could not be read is not known, with the message as the
// reason; what is not stated has no reason of its own.
func TestDecodeValues(t *testing.T) {
	k, problems := kit.Read(parse(t, "k", `
header: {number: 207, revision: C, units: inch}
vehicle: {supply: 24 V, days_a_week: 6, raised_body: true, hours_a_day: ten, ambient: {from: -30 degC, to: 95 degF}}
joints: [{kind: prismatic, axis: [0, 0, 1], range: {from: -70 mm, to: 6 cm}}]
catalogues: [a.parts.yaml]
`))
	if len(problems) != 1 {
		t.Fatalf("got %v, want one problem", problems)
	}
	v := k.Vehicle
	for _, tt := range []struct {
		name string
		got  value.Number
		want float64
	}{
		{"24 V", v.Supply, 24}, {"-30 degC", v.Ambient.From, 243.15}, {"95 degF", v.Ambient.To, 308.15},
		{"-70 mm", k.Joints[0].Range.From, -0.07}, {"6 cm", k.Joints[0].Range.To, 0.06}, {"a bare component of a direction", k.Joints[0].Axis.Z, 1},
	} {
		if !tt.got.Known || tt.got.V < tt.want-1e-9 || tt.got.V > tt.want+1e-9 || tt.got.Node == nil {
			t.Errorf("%s: got %v (%s), want %v", tt.name, tt.got.V, tt.got.Why, tt.want)
		}
	}
	if k.Header.Number.V != "207" || v.DaysAWeek.V != 6 || !v.RaisedBody.V || k.Catalogues[0].V != "a.parts.yaml" || k.Family() != units.Inch {
		t.Errorf("got %+v, %+v", k.Header, v)
	}
	if v.HoursADay.Known || v.HoursADay.Why != problems[0].Message || v.HoursADay.Node == nil {
		t.Errorf("what cannot be read: got %+v, want the message as the reason", v.HoursADay)
	}
	if v.RefillInterval.Known || v.RefillInterval.Why != "" || v.RefillInterval.Node != nil {
		t.Errorf("what is not stated: got %+v, want neither reason nor place", v.RefillInterval)
	}
	if k.Pump.Timer.Node != nil || k.Vehicle.Node == nil {
		t.Error("a group knows whether it is stated")
	}
}

var models = []reflect.Type{
	reflect.TypeFor[kit.Kit](), reflect.TypeFor[kit.File](), reflect.TypeFor[kit.Pump](), reflect.TypeFor[kit.Element](),
	reflect.TypeFor[kit.Tube](), reflect.TypeFor[kit.Conduit](), reflect.TypeFor[kit.Fitting](), reflect.TypeFor[kit.Fuse](),
	reflect.TypeFor[kit.Cable](), reflect.TypeFor[kit.Connector](), reflect.TypeFor[kit.Grease](), reflect.TypeFor[kit.Bolt](), reflect.TypeFor[kit.Tie](),
}

// The struct tags are the one list of members: every number says its
// dimension, every range and vector that of its parts, and no key stands
// twice in a group.
func TestTags(t *testing.T) {
	seen := map[reflect.Type]bool{}
	for _, m := range models {
		tagged(t, m, seen)
	}
	if len(seen) < 40 {
		t.Errorf("only %d structs were reached", len(seen))
	}
}

var (
	word    = regexp.MustCompile(`^[a-z][a-z0-9]*(_[a-z0-9]+)*$`)
	measure = []reflect.Type{reflect.TypeFor[value.Number](), reflect.TypeFor[kit.Range](), reflect.TypeFor[kit.Vector]()}
)

func tagged(t *testing.T, typ reflect.Type, seen map[reflect.Type]bool) {
	if seen[typ] {
		return
	}
	seen[typ] = true
	var keys []string
	collect(t, typ, &keys, seen)
	slices.Sort(keys)
	if once := slices.Compact(slices.Clone(keys)); len(once) != len(keys) {
		t.Errorf("%v: a key stands twice in %v", typ, keys)
	}
}

func collect(t *testing.T, typ reflect.Type, keys *[]string, seen map[reflect.Type]bool) {
	for i := range typ.NumField() {
		f := typ.Field(i)
		key, dim := f.Tag.Get("key"), f.Tag.Get("dim")
		if f.Anonymous {
			collect(t, f.Type, keys, seen)
			continue
		}
		if key == "" {
			continue
		}
		*keys = append(*keys, key)
		if !word.MatchString(key) {
			t.Errorf("%v.%s: key %q is not of lower case with underscores", typ, f.Name, key)
		}
		if slices.Contains(measure, f.Type) != (dim != "") {
			t.Errorf("%v.%s of %v: dimension %q", typ, f.Name, f.Type, dim)
		}
		if _, named := units.Named(dim); !named && !slices.Contains([]string{"", "inherit", "any", "temperature_difference"}, dim) {
			t.Errorf("%v.%s: there is no dimension %q", typ, f.Name, dim)
		}
		next := f.Type
		for next.Kind() == reflect.Slice || next.Kind() == reflect.Pointer {
			next = next.Elem()
		}
		if next.Kind() == reflect.Struct && next.PkgPath() == typ.PkgPath() && !strings.HasPrefix(next.Name(), "Ref[") {
			tagged(t, next, seen)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add("header: {number: A}\npoints: [{id: P, position: [1 mm, 2 mm, 3 mm]}]\nlines: [{number: 1, point: P}]")
	f.Add("joints: [{kind: prismatic, range: {from: 1}}, {range: [x]}, 5]")
	f.Add("vehicle: {ambient: 5, outline: {from: [[], {}, ~]}}\npump: []\nbundles: [{route: [{member_lengths: [{line: 1e9}]}]}]")
	f.Add("parts: [{kind: pump, number: A, include: [x]}, {kind: tube, number: A}, {kind: x}, ~]\ninclude: [a, 1, ~]")
	f.Fuzz(func(t *testing.T, text string) {
		docs, _ := source.Parse("k", []byte(text))
		for _, doc := range docs {
			problems := readAll(doc)
			for _, p := range problems {
				if p.Pos.File != "k" || p.Pos.Line == 0 || p.Message == "" || p.Node == nil || strings.Contains(p.Message, "%!") && !strings.Contains(text, "%!") ||
					strings.Contains(p.Message, "kit.") && !strings.Contains(text, "kit.") || strings.Contains(p.Message, "*") && !strings.Contains(text, "*") {
					t.Errorf("%q: problem %q at %v", text, p.Message, p.Pos)
				}
			}
			if len(problems) > 100+20*len(text) {
				t.Errorf("%d problems of %d bytes", len(problems), len(text))
			}
			again := readAll(doc)
			if !slices.EqualFunc(problems, again, func(a, b *source.Problem) bool { return a.Error() == b.Error() }) {
				t.Errorf("%q: a second time %v, want %v", text, again, problems)
			}
		}
	})
}

// readAll reads a document as a kit, and as a catalogue for it.
func readAll(doc *source.Document) []*source.Problem {
	k, problems := kit.Read(doc)
	_, more := kit.ReadConcessions(doc)
	problems = append(problems, more...)
	file, more := kit.ReadFile(doc)
	problems = append(problems, more...)
	catalogue, more := kit.NewCatalogue([]*kit.File{file, file}, "")
	problems = append(problems, more...)
	return append(problems, k.Resolve(catalogue)...)
}
