package circuit

// Symbols after ISO 1219-1, drawn from memory.

// reservoir is open above; the line leaves at the middle of its bottom.
func (p *pen) reservoir(name string, x, y float64) {
	p.Symbol("reservoir", name, func() {
		p.path("wire", false, [2]float64{x - 7, y}, [2]float64{x - 7, y + 8}, [2]float64{x + 7, y + 8}, [2]float64{x + 7, y})
		p.wire(x, y+8, x, y+12)
	})
}

// fluidPump is a pump of fixed displacement: a circle with a full triangle in the
// direction of flow, here downwards.
func (p *pen) fluidPump(name string, x, y float64) {
	p.Symbol("pump", name, func() {
		p.wire(x, y, x, y+2)
		p.circle("thin", x, y+8, 6)
		p.path("solid", true, [2]float64{x, y + 14}, [2]float64{x - 2.2, y + 10.2}, [2]float64{x + 2.2, y + 10.2})
		p.wire(x, y+14, x, y+18)
	})
}

// drive is the electric motor beside a pump, with its shaft.
func (p *pen) drive(name string, from, x, y float64) {
	p.Symbol("drive", name, func() {
		p.line("thin", from, y-0.6, x-5, y-0.6)
		p.line("thin", from, y+0.6, x-5, y+0.6)
		p.circle("thin", x, y, 5)
	})
	p.text("bold", x, y+letters*0.35, "middle", "M")
}

// outlet is a port on the gallery behind the pump.
func (p *pen) outlet(name string, x, to, y float64) {
	p.Symbol("outlet", name, func() {
		p.circle("solid", x, y, 0.8)
		p.wire(x, y, to, y)
	})
}

// element is a metering element: a cylinder with its piston, for ISO 1219-1 has
// no symbol for it. 10 wide.
func (p *pen) element(name string, x, y float64) {
	p.Symbol("element", name, func() {
		p.wire(x, y, x+1.5, y)
		p.rect("thin", x+1.5, y-2, x+8.5, y+2, 0)
		p.line("wire", x+4, y-2, x+4, y+2)
		p.line("wire", x+5.2, y-2, x+5.2, y+2)
		p.wire(x+8.5, y, x+10, y)
	})
}

// plugged is a port that is closed.
func (p *pen) plugged(name string, x, y float64) {
	p.Symbol("plug", name, func() {
		p.wire(x, y, x+4, y)
		p.line("wire", x+2.6, y-1.4, x+5.4, y+1.4)
		p.line("wire", x+2.6, y+1.4, x+5.4, y-1.4)
	})
}

// open is a port at which nothing is known to be.
func (p *pen) open(name string, x, y float64) {
	p.Symbol("open", name, func() {
		p.wire(x, y, x+4, y)
		p.circle("thin", x+5, y, 1)
	})
}

// tag is the number of a line, on it; it returns how wide it is with its ends.
func (p *pen) tag(name, number string, x, y float64) float64 {
	w := max(wide(number, true)+2, 5)
	p.Symbol("line", name, func() {
		p.wire(x, y, x+1.5, y)
		p.rect("balloon", x+1.5, y-2.2, x+1.5+w, y+2.2, 2.2)
		p.wire(x+1.5+w, y, x+3+w, y)
	})
	p.text("bold", x+1.5+w/2, y+letters*0.35, "middle", number)
	return w + 3
}

// point is a grease point.
func (p *pen) point(name string, x, y float64) {
	p.Symbol("point", name, func() {
		p.wire(x, y, x+2, y)
		p.circle("solid", x+3, y, 1.2)
	})
}
