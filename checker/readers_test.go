package checker_test

import (
	"os"
	"strings"
	"testing"
	"time"

	"kitgauge/checker"
	"kitgauge/checker/engine"
	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/examples"
)

// small is a kit with little in it, so that bytes more or less in it count.
const small = `header: {number: K, revision: A, title: T, status: draft}
catalogues: [a.parts.yaml, b.parts.yaml]
vehicle: {ambient: {from: -20 degC, to: 40 degC}, supply: 24 V}
bodies: [{id: chassis}, {id: axle}]
joints: [{id: spring, role: suspension, kind: prismatic, parent: chassis, child: axle, axis: [0, 0, 1], range: {from: -50 mm, to: 50 mm}}]
points: [{id: P, name: "Pin, left", body: axle, position: [1 m, 500 mm, 400 mm], thread: M6x1}]
pump: {part: PU, body: chassis, position: [0 m, 0 m, 1 m], outlets: [{number: 1, element: EL}], grease: GR}
lines: [{number: 1, outlet: 1, point: P, tube: TU, bundle: B, cut_length: 2 m}]
bundles: [{id: B, conduit: CO, route: [{id: b1, body: chassis, position: [900 mm, 500 mm, 600 mm], hold: clip}, {id: b2, body: axle, position: [950 mm, 500 mm, 450 mm], free_length: 300 mm}]}]
`

const smallParts = `title: Parts
revision: A
include: [b.parts.yaml]
parts:
  - {kind: pump, number: PU, maker: M, outlets: 2, voltage: 24 V, max_pressure: 250 bar}
  - {kind: element, number: EL, stroke_volume: 0.1 cm3}
  - {kind: tube, number: TU, outer: 4 mm, inner: 2 mm, bend_radius: 30 mm}
`

const moreParts = `title: More
revision: B
include: [../small/a.parts.yaml, c.parts.yaml]
parts:
  - {kind: grease, number: GR, nlgi: "2"}
  - {kind: conduit, number: CO, inner: 10 mm}
  - {kind: tube, number: TU, outer: 6 mm}
`

const smallKit = "small/small.kit.yaml"

// FuzzCheck takes the bytes of a whole kit file through all stages.
func FuzzCheck(f *testing.F) {
	for _, name := range []string{"trailer", "loader"} {
		_, text, _ := examples.Kit(name)
		f.Add(text)
	}
	faulty, err := os.ReadFile("../examples/gritter-faulty/gritter-faulty.kit.yaml")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(faulty)
	f.Add(generated(f, 3, 4))
	f.Add(generated(f, 8, 5))
	f.Add([]byte(small))
	f.Add([]byte(small + "---\n" + small))
	f.Add([]byte("header: {}\nlines: [{number: 1, outlet: 1}, {number: 1, outlet: 1}]\n"))
	f.Add([]byte("points: &p [{id: P, position: &v [1 mm, 2 mm, 3 mm]}]\npump: {position: *v}\nlines: *p\n"))
	f.Add([]byte(`{"header":{"number":"K"},"joints":[{"id":"a","parent":"b","child":"b"}],"bodies":[{"id":"b"}]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		checked(t, "trailer/trailer.kit.yaml", map[string][]byte{"trailer/trailer.kit.yaml": text}, "")
	})
}

// FuzzCatalogue reads two catalogues, which may include each other, for a kit
// that uses parts of both.
func FuzzCatalogue(f *testing.F) {
	f.Add(smallParts, moreParts)
	f.Add("include: [a.parts.yaml]\nparts: []", "")
	f.Add("include: [../../x.parts.yaml, /etc/a.parts.yaml, 'b.parts.yaml/../b.parts.yaml', 5, ~]", "parts: [{kind: pump, number: PU}, {kind: tie, number: PU}]")
	f.Add("- parts", "parts: {kind: pump}")
	f.Fuzz(func(t *testing.T, a, b string) {
		checked(t, smallKit, map[string][]byte{smallKit: []byte(small), "small/a.parts.yaml": []byte(a), "small/b.parts.yaml": []byte(b)}, "")
	})
}

// FuzzConcessions reads concessions within a kit and beside it, as of any day.
func FuzzConcessions(f *testing.F) {
	given := "concessions: [{rule: ports/unused-outlet-blanked, place: outlet 2, reason: r, granted_by: g, until: 2026-12-31}]\n"
	f.Add(given, given, "2026-11-25")
	f.Add(given, "", "2027-01-01")
	f.Add("concessions: [{rule: slack/sprung, place: /lines/0, reason: r, granted_by: g, until: 2026-02-30}, {rule: file/reference, place: line 1}]", "concessions: [~, [], 3]", "")
	f.Add("", "- {rule: x}", "0000-01-01")
	f.Fuzz(func(t *testing.T, within, beside, on string) {
		if _, err := time.Parse(finding.Day, on); err != nil {
			on = "2026-11-25"
		}
		texts := map[string][]byte{smallKit: []byte(small + within), "small/small.concessions.yaml": []byte(beside), "small/a.parts.yaml": []byte(smallParts), "small/b.parts.yaml": []byte(moreParts)}
		for _, r := range checked(t, smallKit, texts, on) {
			for _, found := range r.Findings {
				conceded(t, &found, on)
			}
		}
	})
}

// conceded states what is true of a finding that is conceded.
func conceded(t *testing.T, f *finding.Finding, on string) {
	t.Helper()
	if f.Status != finding.Conceded {
		if f.Concession != nil {
			t.Errorf("%s is %s, and has a concession", f.Rule, f.Status)
		}
		return
	}
	c := f.Concession
	if c == nil || c.Until < on || strings.TrimSpace(c.Reason) == "" || strings.TrimSpace(c.GrantedBy) == "" || c.Pos.Line < 1 {
		t.Errorf("%s is conceded on %s by %+v", f.Rule, on, c)
	}
	if strings.HasPrefix(f.Rule, "file/") || strings.HasPrefix(f.Rule, "concession/") {
		t.Errorf("%s is conceded", f.Rule)
	}
}

const smallPack = `pack: own
title: Own
limits:
  least: {is: 3 m, basis: b, about: a}
rules:
  - id: long-enough
    title: A line is long enough
    of: line
    given: has(line.cut_length)
    compare: {value: line.cut_length, at_least: limit.least}
    severity: minor
    raise: {to: critical, when: line.number > 3}
    says: 'line {line.number} is {line.cut_length}'
    remedy: 'make it {larger(limit.least, line.cut_length)}'
    basis: b
    why: w
`

// FuzzPack reads whole rule packs and runs those without faults over a kit.
func FuzzPack(f *testing.F) {
	f.Add([]byte(smallPack))
	f.Add([]byte(strings.Replace(smallPack, "compare: {value: line.cut_length, at_least: limit.least}", "must: kit.lines.all(a, kit.lines.all(b, kit.lines.exists(c, a.number + b.number < c.number)))", 1)))
	f.Add([]byte(strings.Replace(smallPack, "of: line", "of: span", 1)))
	f.Add([]byte(strings.Replace(smallPack, "of: line", "of: line\n    with: {needed: limit.least * 2.0, in: 1, short: line.cut_length < needed}", 1)))
	f.Add([]byte("pack: p\nlimits: {a: {is: {x: 3 mm, y: b, z: c}, basis: b, about: a}, b: {is: 4 mm, basis: b, about: a}}\nrules: [{id: a, of: line, must: 'limit.a[line.tube.number] > limit.a.x', says: '{limit.a}'}]"))
	f.Add([]byte("pack: p\nlimits: [{is: 3}]\nrules: [~, [], {id: [1], severity: none, says: '{', must: 1, compare: {value: x}}]"))
	f.Add([]byte("pack: p\nrules:\n- {id: a, of: kit, must: '1.0 / 0.0 > kit.points.size()', says: '{kit.points.map(p, p.name)}'}\n- {id: a}"))
	for _, pack := range []string{"../rules/ports.yaml", "../rules/slack.yaml"} {
		text, err := os.ReadFile(pack)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	file, text, _ := examples.Kit("trailer")
	results, err := shared.Check(file, text)
	if err != nil {
		f.Fatal(err)
	}
	facts := results[0].Facts
	f.Fuzz(func(t *testing.T, text []byte) {
		inTime(func() {
			first := played(t, text, facts)
			if second := played(t, text, facts); first != second {
				t.Errorf("a second time: %s", difference([]byte(first), []byte(second)))
			}
		})
	})
}

// played reads a pack and evaluates it, and returns all that comes of it.
func played(t *testing.T, text []byte, facts *facts.Kit) string {
	t.Helper()
	pack, problems := checker.ReadPack("own.pack.yaml", text)
	if pack != nil {
		problems = append(problems, pack.Compile()...)
	}
	var out strings.Builder
	for _, p := range problems {
		if p.Message == "" || p.Pos.File == "" || unfit(p.Message+p.Remedy, string(text)) != "" {
			t.Errorf("problem %q at %v", p.Error(), p.Pos)
		}
		out.WriteString(p.Error() + "\n")
	}
	if pack == nil || len(problems) > 0 {
		return out.String()
	}
	world := &engine.Input{Kit: facts, Family: facts.Family(), Subjects: func(kind string) []engine.Subject {
		var list []engine.Subject
		for _, s := range facts.Subjects(kind) {
			list = append(list, s)
		}
		return list
	}}
	outcome, broken := pack.Evaluate(world, engine.Options{Margins: true})
	if len(broken) > 0 {
		t.Errorf("compiles, and then %v", broken[0])
	}
	for i := range outcome.Findings {
		f := &outcome.Findings[i]
		for _, words := range []string{f.Message, f.Remedy} {
			if m := unfit(words, string(text)); m != "" {
				t.Errorf("%s at %s holds %q: %q", f.Rule, f.Place, m, words)
			}
		}
		out.WriteString(f.Rule + f.Place + f.Message + f.Remedy + "\n")
	}
	return out.String()
}
