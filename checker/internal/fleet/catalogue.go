package fleet

import (
	"fmt"
	"path"
	"sync"

	"kitgauge/checker/source"
	"kitgauge/checker/units"
	"kitgauge/examples"
)

// exampleCatalogue is the place of the example catalogue in package examples.
const exampleCatalogue = "parts/winter.parts.yaml"

// figures are the catalogue's parts by number.
type figures map[string]*source.Node

// catalogue reads the example catalogue, so that no figure of it stands here
// a second time.
var catalogue = sync.OnceValue(func() figures {
	text, err := examples.ReadFile("", exampleCatalogue)
	if err != nil {
		panic(err) // the catalogue is part of the program
	}
	docs, problems := source.Parse(exampleCatalogue, text)
	if len(problems) > 0 {
		panic(problems[0])
	}
	parts := figures{}
	for _, p := range docs[0].Root.Get("parts").Items {
		parts[p.Get("number").Scalar] = p
	}
	return parts
})

// text returns a member of a part as it is written.
func (f figures) text(number, key string) string {
	if part := f[number]; part != nil && part.Get(key) != nil {
		return part.Get(key).Scalar
	}
	panic(fmt.Sprintf("fleet: the catalogue has no %s of part %s", key, number))
}

func (f figures) si(number, key string, d units.Dimension) float64 {
	v, err := units.Parse(f.text(number, key), d)
	if err != nil {
		panic(fmt.Sprintf("fleet: %s of part %s: %v", key, number, err))
	}
	return v
}

// length is a length of a part in mm.
func (f figures) length(number, key string) float64 {
	return f.si(number, key, units.Length) * 1000
}

// largestKit is how many lines a kit has at most; more are for measuring
// speed, and need a pump that nobody could lift.
const largestKit = 84

// benchCatalogue is beside the example catalogue for kits beyond that.
const benchCatalogue = "bench.parts.yaml"

const benchPump = `title: A pump for measuring speed
revision: "1"
parts:
  - number: FG-P2000
    kind: pump
    description: Pump with as many outlets as a file may have lines, for measuring the speed of a check
    maker: Fjellgrease
    voltage: 24 V
    minimum_voltage: 18 V
    draw: 4 A
    start_current: 8 A
    outlets: 2000
    element_series: [E]
    reservoir: 200 l
    pressure: 120 bar
    softest_grease: "00"
    stiffest_grease: "2"
    temperature: {from: -35 degC, to: 70 degC}
    pause: {from: 10 min, to: 24 h}
    run: {from: 1 min, to: 30 min}
    counts_strokes: true
    stroke_time: 1 min
    duty_share: 0.25
    needs_ignition: true
    enclosure: IP66/IP67
    tilt: 15 deg
    bolt_count: 3
    bolt_size: M8
    mass: 14 kg
    low_level_switch: true
    line_limit: 12 m
    outlet_thread: M10x1
`

// ReadFile reads the catalogues that generated kits name, wherever they are
// said to be. It is what their check reads catalogues with.
func ReadFile(_, file string) ([]byte, error) {
	switch path.Base(file) {
	case path.Base(exampleCatalogue):
		return examples.ReadFile("", exampleCatalogue)
	case benchCatalogue:
		return []byte(benchPump), nil
	}
	return nil, fmt.Errorf("%s is no catalogue of the fleet", file)
}
