package circuit_test

import (
	"bytes"
	"image/png"
	"os/exec"
	"testing"

	"kitgauge/checker/report/circuit"
	"kitgauge/checker/report/drawing"
)

// TestRendered holds librsvg, which shares no code with browsers, to show every
// conductor of a sheet black on white.
func TestRendered(t *testing.T) {
	program, err := exec.LookPath("rsvg-convert")
	if err != nil {
		t.Skip("rsvg-convert is not here")
	}
	r := example(t, kits[0])
	svg := circuit.Hydraulic(drawing.Input{Kit: r.Facts, Paper: drawing.PaperA4})[0].SVG
	const scale = 8 // pixels to a millimetre
	c := exec.Command(program, "--width=1680", "--height=2376")
	c.Stdin = bytes.NewReader(svg)
	out, err := c.Output()
	if err != nil {
		t.Fatal(err)
	}
	picture, err := png.Decode(bytes.NewReader(out))
	if err != nil {
		t.Fatal(err)
	}
	dark := func(x, y float64) bool {
		red, green, blue, alpha := picture.At(int(x*scale), int(y*scale)).RGBA()
		return alpha > 0xf000 && red+green+blue < 3*0x6000
	}
	wires := read(t, svg).wires
	for _, w := range wires {
		x, y := float64(w.ends[0][0]+w.ends[1][0])/200, float64(w.ends[0][1]+w.ends[1][1])/200
		if w.ends[0][0] != w.ends[1][0] && w.ends[0][1] != w.ends[1][1] || w.of != nil && w.of.kind == "reservoir" {
			continue // it may have a corner
		}
		if !dark(x, y) {
			t.Errorf("the conductor at %.2f, %.2f is not shown", x, y)
		}
	}
	if len(wires) < 40 {
		t.Errorf("the sheet has %d conductors", len(wires))
	}
	if dark(5, 5) {
		t.Error("the margin is dark")
	}
}
