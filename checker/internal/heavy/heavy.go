// Package heavy makes the inputs that cost the most: kits as large as the
// budgets allow, and texts that are hard to read. Tests hold what is counted,
// steps and bytes, to small ones; testdata/measured/slowest.md holds what the
// large ones take.
package heavy

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
)

// Shape is how large a kit is made.
type Shape struct {
	Lines, Bundles, Stations, Joints, Zones int // stations of each bundle
	Longer                                  int // by so many mm every length is more, for a comparison
}

// Kit is a kit of that shape, which names the catalogue winter.parts.yaml
// beside it. Its bodies hang on each other in a chain, and the stations of a
// bundle stand on one after the other in turn, so that nearly every pair of
// neighbours is a free span.
func Kit(s Shape) []byte {
	var b bytes.Buffer
	b.WriteString(`header: {number: WS-9001, revision: A, title: As large as it may be, status: draft, units: metric, drawn_by: I. Sandvik, date: 2026-10-02}
catalogues: [winter.parts.yaml]
vehicle:
  outline: {from: [-1500 mm, -900 mm, 0 mm], to: [3450 mm, 900 mm, 1900 mm]}
  ambient: {from: -30 degC, to: 35 degC}
  supply: 24 V
  hours_a_day: 6 h
  days_a_week: 6
bodies:
`)
	for i := range s.Joints + 1 {
		fmt.Fprintf(&b, "- {id: b%d, name: body %d, sprung: true}\n", i, i)
	}
	if s.Joints > 0 {
		b.WriteString("joints:\n")
	}
	for i := range s.Joints {
		fmt.Fprintf(&b, "- {id: j%d, name: joint %d, role: steering, kind: revolute, parent: b%d, child: b%d, pivot: [%d mm, 0 mm, 700 mm], axis: [0, 0, 1], range: {from: -6 deg, to: 6 deg}}\n", i, i, i, i+1, 100+150*i)
	}
	s.points(&b)
	s.lines(&b)
	s.bundles(&b)
	if s.Zones > 0 {
		b.WriteString("zones:\n")
	}
	for i := range s.Zones {
		x, y := -1400+(i*37)%4800, -880+(i*53)%1700
		fmt.Fprintf(&b, "- {id: z%d, name: zone %d, kind: moving, shape: box, body: b%d, from: [%d mm, %d mm, 1200 mm], to: [%d mm, %d mm, 1300 mm]}\n", i, i, i%(s.Joints+1), x, y, x+40, y+40)
	}
	b.WriteString("feed: {take_off: ignition, fuse: FG-S4, fuse_distance: 150 mm, cable: FG-W25, length: 8 m}\n")
	return b.Bytes()
}

func (s Shape) points(b *bytes.Buffer) {
	b.WriteString("points:\n")
	for i := range s.Lines {
		fmt.Fprintf(b, "- {id: P%d, name: Pin %d, body: b%d, position: [%d mm, %d mm, 600 mm], thread: M10x1, access: free, nipple_removed: true, bearing: {kind: plain, diameter: 24 mm, width: 60 mm}, back_pressure: 5 bar}\n", i, i, i%(s.Joints+1), -1400+(i*31)%4800, -850+(i*17)%1700)
	}
	b.WriteString(`pump:
  part: FG-P12
  body: b0
  position: [900 mm, 550 mm, 800 mm]
  timer: {pause: 58 min, strokes: 2}
  grease: FG-G1
  outlets:
`)
	for i := range s.Lines {
		fmt.Fprintf(b, "  - {number: %d, element: FG-E15}\n", i+1)
	}
}

func (s Shape) lines(b *bytes.Buffer) {
	b.WriteString("lines:\n")
	for i := range s.Lines {
		fmt.Fprintf(b, "- {number: %d, outlet: %d, point: P%d, tube: FG-T4, cut_length: %d mm, pump_fitting: FG-F4P, point_fitting: FG-F4S, pump_marker: \"%d\", point_marker: \"%d\"", i+1, i+1, i, 4000+s.Longer+i, i+1, i+1)
		if s.Bundles > 0 {
			fmt.Fprintf(b, ", bundle: B%d, leaves_at: s%d-%d", i%s.Bundles, i%s.Bundles, s.Stations-1)
		} else {
			b.WriteString(", single: true")
		}
		b.WriteString("}\n")
	}
}

func (s Shape) bundles(b *bytes.Buffer) {
	if s.Bundles > 0 {
		b.WriteString("bundles:\n")
	}
	for i := range s.Bundles {
		fmt.Fprintf(b, "- id: B%d\n  name: bundle %d\n  conduit: FG-C14\n  route:\n", i, i)
		for j := range s.Stations {
			body := j % (s.Joints + 1)
			fmt.Fprintf(b, "  - {id: s%d-%d, body: b%d, position: [%d mm, %d mm, %d mm], hold: clip", i, j, body, -1400+(i*7+j*60)%4800, -850+(i*3)%1700, 300+(i*5+j*3)%1000)
			if j > 0 && s.Joints > 0 {
				fmt.Fprintf(b, ", free_length: %d mm", 90+s.Longer)
			}
			b.WriteString("}\n")
		}
	}
}

// OneLine is a JSON text on one line.
func OneLine(text []byte) []byte {
	var b bytes.Buffer
	if err := json.Compact(&b, text); err != nil {
		panic(err)
	}
	return b.Bytes()
}

// head is the beginning of a kit in block form.
const head = "header: {number: WS-9002, revision: A, title: Hard to read, status: draft}\npump: {part: FG-P12}\npoints: [{id: a}]\nlines: [{number: 1}]\n"

// Numbers is a kit with a list of so many numbers on one line, as JSON or in
// the flow style of YAML.
func Numbers(n int, asJSON bool) []byte {
	list := strings.Repeat("1,", n-1) + "1"
	if asJSON {
		return []byte(`{"header":{"number":"WS-9002"},"points":[{"id":"a"}],"pump":{"part":"FG-P12"},"lines":[` + list + `]}`)
	}
	return []byte(head + "zones: [" + list + "]\n")
}

// Escapes is a kit with a title of so many bytes, all of it escapes.
func Escapes(n int) []byte {
	return []byte(head + "notes: [" + strings.Repeat(`"`+strings.Repeat(`\u0041`, 10_000)+`",`, max(1, n/60_000)) + "]\n")
}

// Keys is a kit with so many keys of so many bytes.
func Keys(n, long int) []byte {
	var b bytes.Buffer
	b.WriteString(head)
	key := strings.Repeat("k", long)
	for i := range n {
		fmt.Fprintf(&b, "? %s%d\n: 1\n", key, i)
	}
	return b.Bytes()
}

// Remarks is a kit with so many bytes of remarks.
func Remarks(n int) []byte {
	return []byte(head + strings.Repeat("# as dull as it may be\n", n/23))
}

// Pack is a rule pack of so many rules alike, each about every line.
func Pack(name string, rules int, must, says string) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "pack: %s\ntitle: Made to take long\nrules:\n", name)
	for i := range rules {
		fmt.Fprintf(&b, "- {id: r%d, title: R, of: line, severity: minor, must: '%s', says: '%s', basis: b, why: w}\n", i, must, says)
	}
	return b.Bytes()
}

// Settings add packs by their names.
func Settings(packs ...string) []byte {
	return []byte("packs: {add: [" + strings.Join(packs, ".pack.yaml, ") + ".pack.yaml]}\n")
}

// Tens is an expression that makes a text ten times as long with join, so many
// times.
func Tens(times int) string {
	return "[string(kit.lines.size())]" + strings.Repeat(".map(s, [s,s,s,s,s,s,s,s,s,s].join())", times) + "[0]"
}
