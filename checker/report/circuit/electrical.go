package circuit

import "math"

// Symbols after IEC 60617, drawn from memory; the numbers are those of its
// database, from memory too. Each begins and ends on its conductor.

// battery is a cell, S00898: the long stroke is the positive pole. The
// conductors leave at plus and minus, both at the height y.
func (p *pen) battery(name string, minus, plus, y float64) {
	mid := (minus + plus) / 2
	p.Symbol("battery", name, func() {
		p.wire(minus, y, mid-1, y)
		p.line("frame", mid-1, y-2, mid-1, y+2)
		p.line("wire", mid+1, y-4, mid+1, y+4)
		p.wire(mid+1, y, plus, y)
	})
	p.text("bold", plus+2, y+1, "start", "+")
	p.text("bold", minus-2, y+1, "end", "−")
}

// keySwitch is a make contact, S00227, operated by a key: 16 high.
func (p *pen) keySwitch(name string, x, y float64) {
	p.Symbol("switch", name, func() {
		p.wire(x, y, x, y+4)
		p.path("wire", false, [2]float64{x, y + 16}, [2]float64{x, y + 12}, [2]float64{x - 4, y + 4.5})
		for i := range 3 {
			p.line("thin", x-3.6-2*float64(i), y+8, x-2.4-2*float64(i), y+8)
		}
		p.circle("thin", x-10.2, y+8, 1.3)
		p.path("thin", false, [2]float64{x - 8.9, y + 8}, [2]float64{x - 8, y + 8}, [2]float64{x - 8, y + 9.2})
	})
}

const fuseHeight = 14.0

// fuse is S00362.
func (p *pen) fuse(name string, x, y float64) {
	p.Symbol("fuse", name, func() {
		p.rect("thin", x-2, y+3, x+2, y+11, 0)
		p.wire(x, y, x, y+fuseHeight)
	})
}

// terminal is S00017, with the conductor through it: 6 high.
func (p *pen) terminal(name string, x, y float64) {
	p.Symbol("terminal", name, func() {
		p.wire(x, y, x, y+2)
		p.circle("thin", x, y+3, 1)
		p.wire(x, y+4, x, y+6)
	})
}

// branch is a junction, S00016, from which something else is supplied: 6 high.
func (p *pen) branch(name string, x, y, to float64) {
	p.Symbol("junction", name, func() {
		p.wire(x, y, x, y+6)
		p.circle("solid", x, y+3, 0.8)
		p.line("thin", x, y+3, to-1.8, y+3)
		p.path("solid", true, [2]float64{to, y + 3}, [2]float64{to - 2, y + 2.2}, [2]float64{to - 2, y + 3.8})
	})
}

// plug is a plug and its socket, S00033: one contact of a connector, 14 high.
func (p *pen) plug(name string, x, y float64) {
	p.Symbol("connector", name, func() {
		p.wire(x, y, x, y+5)
		var arc [][2]float64
		for i := range 13 {
			sin, cos := math.Sincos(math.Pi * float64(i) / 12)
			arc = append(arc, [2]float64{x - 2*cos, y + 7 - 2*sin})
		}
		p.path("wire", false, arc...)
		p.rect("solid", x-0.5, y+6, x+0.5, y+10, 0)
		p.wire(x, y+10, x, y+14)
	})
}

// unknown stands where the kit does not state what sits there, as high as a fuse.
func (p *pen) unknown(name string, x, y float64) {
	p.Symbol("unknown", name, func() {
		p.wire(x, y, x, y+3)
		p.rect("ghost", x-4, y+3, x+4, y+11, 0)
		p.wire(x, y+11, x, y+fuseHeight)
	})
	p.text("bold", x, y+8, "middle", "?")
}

// motor is a machine, S00819, with the sign of direct current, S01401: 20 high.
func (p *pen) motor(name string, x, y float64) {
	p.Symbol("motor", name, func() {
		p.wire(x, y, x, y+3)
		p.circle("thin", x, y+10, 7)
		p.line("thin", x-2, y+12.6, x+2, y+12.6)
		for i := range 3 {
			p.line("thin", x-2+1.5*float64(i), y+13.8, x-1+1.5*float64(i), y+13.8)
		}
		p.wire(x, y+17, x, y+20)
	})
	p.text("bold", x, y+10.8, "middle", "M")
}

// chassis is the frame of the vehicle, S00203: 7 high.
func (p *pen) chassis(name string, x, y float64) {
	p.Symbol("chassis", name, func() {
		p.wire(x, y, x, y+4)
		p.line("wire", x-3, y+4, x+3, y+4)
		for i := range 3 {
			at := x - 3 + 3*float64(i)
			p.line("thin", at, y+4, at-1.5, y+6.6)
		}
	})
}

// sheetMetal is a passage through sheet metal: IEC 60617 has no symbol for it. A
// grommet lines its edges. The conductors cross it at xs: 8 high.
func (p *pen) sheetMetal(name string, grommet bool, y, from, to float64, xs ...float64) {
	for _, x := range xs {
		p.wire(x, y, x, y+8)
	}
	p.Symbol("passage", name, func() {
		left := from
		for _, x := range xs {
			p.line("frame", left, y+4, x-2, y+4)
			left = x + 2
			if grommet {
				p.rect("stop", x-2.2, y+2.6, x-1, y+5.4, 0.5)
				p.rect("stop", x+1, y+2.6, x+2.2, y+5.4, 0.5)
			}
		}
		p.line("frame", left, y+4, to, y+4)
	})
}
