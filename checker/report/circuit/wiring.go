package circuit

import (
	"cmp"
	"fmt"
	"strings"

	"kitgauge/checker/facts"
	"kitgauge/checker/report"
	"kitgauge/checker/report/drawing"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// Where things stand in a column of the wiring diagram [mm].
const (
	returnX = 24.0 // the conductor back to the battery
	feedX   = 46.0 // the conductor to the pump
	saysX   = 62.0 // what is stated
)

// wiring gathers the cells of the wiring diagram.
type wiring struct {
	kit   *facts.Kit
	feed  *facts.Feed
	marks *marks
	w     float64
	cells []*cell
	piece int // of cable, so far
}

// entry is a line of what is stated: a name and a value.
type entry struct{ name, value string }

func newWiring(in drawing.Input, w float64, m *marks) *diagram {
	b := &wiring{kit: in.Kit, feed: &in.Kit.Feed, marks: m, w: w}
	b.battery()
	if b.feed.TakeOff.V == "ignition" {
		b.ignition()
	}
	if !b.feed.TakeOff.Known {
		b.takeOffUnknown()
	}
	if c := &b.feed.Circuit; b.feed.TakeOff.V != "battery" || c.Rating.Node != nil || c.Load.Node != nil {
		b.circuit()
	}
	b.source()
	b.cable("from the source to the fuse", b.feed.FuseDistance, true)
	b.fuse()
	b.way()
	b.pump()
	b.notes()
	return &diagram{cells: b.cells, about: b.about(), mine: electrical}
}

// electrical reports whether a finding may belong on the wiring diagram.
func electrical(rule, pointer string) bool {
	pack, _, _ := strings.Cut(rule, "/")
	for _, part := range []string{"/feed", "/vehicle/supply", "/vehicle/least_supply", "/pump/part"} {
		if pointer == part || strings.HasPrefix(pointer, part+"/") {
			return true
		}
	}
	return pack == "power" || pack == "catalogue" && !strings.HasPrefix(pointer, "/pump")
}

// back reports whether a second core leads back.
func (b *wiring) back() bool { return b.feed.Return.V == "cable" }

// rails are the conductors below a cell.
func (b *wiring) rails() []rail {
	if b.back() {
		return []rail{{returnX, "return (−)"}, {feedX, "feed (+)"}}
	}
	return []rail{{feedX, "feed (+)"}}
}

// add adds a cell with a heading and what is stated; the symbol is high and
// drawn by draw, and its conductors go on to the lower edge.
func (b *wiring) add(symbol float64, name string, stated []entry, at []slot, rails []rail, draw func(p *pen, h float64)) {
	head := wrap(name, b.w-saysX-markWidth-2, true)
	var rows []string
	for _, e := range stated {
		rows = append(rows, wrap(e.name+": "+or(clean(e.value)), b.w-saysX-markWidth-2, false)...)
	}
	marked := 0
	for _, s := range at {
		if b.marks.at(s) != nil {
			marked++
		}
	}
	h := max(symbol, height(head)+height(rows)+3, float64(marked)*markRoom+2)
	b.cells = append(b.cells, &cell{height: h, rails: rails, slots: at, draw: func(p *pen) {
		draw(p, h)
		p.rows("bold", saysX, 1, head)
		p.rows("", saysX, 1+height(head), rows)
		y := 1 + signSize/2
		for _, s := range at {
			if b.marks.at(s) != nil {
				b.marks.draw(p, s, b.w-markWidth+signSize/2+1, y)
				y += markRoom
			}
		}
	}})
}

// through draws the conductors beside and below a symbol of a height.
func (b *wiring) through(p *pen, symbol, h float64) {
	if b.back() {
		p.wire(returnX, 0, returnX, h)
	}
	if symbol < h {
		p.wire(feedX, symbol, feedX, h)
	}
}

func (b *wiring) battery() {
	v := &b.kit.Vehicle
	rails := b.rails()
	b.add(20, "G1 battery of the vehicle", []entry{
		{"supply", amount(b.kit, v.Supply, units.Voltage)},
		{"least supply", amount(b.kit, v.LeastSupply, units.Voltage)},
		{"terminals", b.terminals()}, {"where the minus is connected", ""},
	}, []slot{{pointers: []string{"/vehicle/supply", "/vehicle/least_supply"}}}, rails, func(p *pen, h float64) {
		p.battery("G1 battery", returnX, feedX, 6)
		p.wire(feedX, 6, feedX, h)
		switch {
		case b.back():
			p.wire(returnX, 6, returnX, h)
		case b.feed.Return.V == "chassis":
			p.wire(returnX, 6, returnX, 9)
			p.chassis("chassis at the battery", returnX, 9)
		default:
			p.wire(returnX, 6, returnX, 9)
			p.text("", returnX, 12.5, "middle", "return not stated")
		}
	})
}

// terminals says what leads from either terminal of the battery.
func (b *wiring) terminals() string {
	back := map[string]string{"cable": "− the return", "chassis": "− the chassis"}[b.feed.Return.V]
	return joined(", ", "+ the feed", cmp.Or(back, "− not stated"))
}

func (b *wiring) ignition() {
	b.add(16, "S1 ignition switch of the vehicle", []entry{{"terminals", ""}}, nil, b.rails(), func(p *pen, h float64) {
		p.keySwitch("S1 ignition switch", feedX, 0)
		b.through(p, 16, h)
	})
}

func (b *wiring) takeOffUnknown() {
	b.add(fuseHeight, "Switched by the ignition or not", []entry{{"take-off", ""}}, nil, b.rails(), func(p *pen, h float64) {
		p.unknown("take-off not stated", feedX, 0)
		b.through(p, fuseHeight, h)
	})
}

// circuit is the circuit of the vehicle: its fuse, and what it feeds already.
func (b *wiring) circuit() {
	c := &b.feed.Circuit
	const name = "F0 fuse of the vehicle's circuit"
	load := amount(b.kit, c.Load, units.Current)
	b.add(20, name, []entry{
		{"rating of the circuit", amount(b.kit, c.Rating, units.Current)}, {"load that it has already", load},
		{"spare after this draw, computed", computed(b.kit, b.feed.Spare, units.Current)},
	}, []slot{{pointers: []string{"/feed/circuit"}}}, b.rails(), func(p *pen, h float64) {
		if c.Rating.Node == nil {
			p.unknown(name+": not stated", feedX, 0)
		} else {
			p.fuse(name, feedX, 0)
		}
		if load != "" {
			p.branch("other loads of the circuit: "+load, feedX, fuseHeight, feedX+9)
			b.through(p, fuseHeight+6, h)
			return
		}
		b.through(p, fuseHeight, h)
	})
}

// source is where the feed begins. What is found about the feed as a whole is
// marked here.
func (b *wiring) source() {
	from := map[string]string{"ignition": "a circuit that the ignition switches", "battery": "the battery, not switched"}[b.feed.TakeOff.V]
	b.add(6, "X0 source of the feed", []entry{{"taken off", from}}, []slot{{pointers: []string{"/feed", "/feed/take_off"}, places: []string{"the feed"}}}, b.rails(), func(p *pen, h float64) {
		p.terminal("X0 source of the feed", feedX, 0)
		b.through(p, 6, h)
	})
}

// cable is a piece of the cable; the first says what cable it is.
func (b *wiring) cable(where string, length value.Number, toFuse bool) {
	b.piece++
	name := fmt.Sprintf("W1.%d", b.piece)
	f := b.feed
	stated := []entry{{"length of this piece", amount(b.kit, length, units.Length)}}
	var at []slot
	sheathed := false
	if toFuse {
		sheathed = f.Sheathed.V
		stated = append(stated, entry{"in a sheath", yesNo(f.Sheathed)})
		at = []slot{{pointers: []string{"/feed/fuse_distance", "/feed/sheathed"}}}
	}
	if b.piece == 2 {
		stated = append(stated, b.cableStated()...)
		at = append(at, slot{pointers: []string{"/feed/cable", "/feed/length", "/feed/loaded_conductors", "/feed/temperature", "/feed/return", "/feed/return_resistance"}, places: []string{partPlace(f.Cable)}})
	} else {
		stated = append(stated, entry{"area", b.area()})
	}
	b.add(9, name+" cable "+where, stated, at, b.rails(), func(p *pen, h float64) {
		b.through(p, 0, h)
		p.Symbol("cable", name+" cable "+where, func() {
			from := feedX
			if b.back() {
				from = returnX
			}
			p.path("thin", false, [2]float64{from - 2.5, h/2 + 1.2}, [2]float64{feedX + 2.5, h/2 - 1.2})
			if sheathed {
				p.line("ghost", from-3.5, 0.6, from-3.5, h-0.6)
				p.line("ghost", feedX+3.5, 0.6, feedX+3.5, h-0.6)
			}
		})
	})
}

// area is that of a core, in mm2 in every kit: cables are called by it (ISO
// 19642, from memory).
func (b *wiring) area() string {
	c := b.feed.Cable.To
	switch {
	case c == nil && b.feed.Cable.ID.Node != nil:
		return "not known"
	case c == nil || !c.Area.Known:
		return ""
	}
	text, err := units.FormatIn(c.Area.V, "mm2")
	if err != nil {
		return amount(b.kit, c.Area, units.Area)
	}
	return text
}

// cableStated is what is known of the cable as a whole.
func (b *wiring) cableStated() []entry {
	f := b.feed
	cores := map[string]string{"cable": "2, there and back", "chassis": "1, back through the chassis"}[f.Return.V]
	stated := []entry{
		{"cable", named(f.Cable)},
		{"cores", cores}, {"colours of the cores", ""}, {"area of a core", b.area()},
		{"whole length, one way", amount(b.kit, f.Length, units.Length)},
	}
	if c := f.Cable.To; c != nil {
		stated = append(stated, entry{"rating", joined(" in air of ", amount(b.kit, c.Rating, units.Current), amount(b.kit, c.RatedAt, units.Temperature))},
			entry{"insulation stands", amount(b.kit, c.Limit, units.Temperature)})
	}
	stated = append(stated, entry{"air along it", amount(b.kit, f.Temperature, units.Temperature)}, entry{"loaded conductors that lie together", count(f.Loaded)},
		entry{"carries there for good", computed(b.kit, f.CableRating, units.Current)})
	if f.Return.V == "chassis" {
		stated = append(stated, entry{"resistance of the chassis", amount(b.kit, f.ReturnOhm, units.Resistance)})
		if f.ReturnOhm.Node == nil { // the figures of this sheet rest on it
			stated = append(stated, entry{"taken for it in the figures", computed(b.kit, f.Chassis, units.Resistance)})
		}
	}
	return stated
}

func (b *wiring) fuse() {
	f := b.feed
	stated := []entry{{"fuse", named(f.Fuse)}}
	if p := f.Fuse.To; p != nil {
		stated = append(stated, entry{"rating", amount(b.kit, p.Rating, units.Current)})
	}
	stated = append(stated, entry{"resistance of the holder", amount(b.kit, f.Holder, units.Resistance)}, entry{"air at the fuse", amount(b.kit, f.FuseWarmth, units.Temperature)})
	b.add(fuseHeight, "F1 fuse of the feed", stated, []slot{{pointers: []string{"/feed/fuse", "/feed/holder_resistance", "/feed/fuse_temperature"}, places: []string{partPlace(f.Fuse)}}}, b.rails(), func(p *pen, h float64) {
		if f.Fuse.ID.Node == nil {
			p.unknown("F1 fuse of the feed: not stated", feedX, 0)
		} else {
			p.fuse("F1 fuse of the feed", feedX, 0)
		}
		b.through(p, fuseHeight, h)
	})
}

// pump is the motor of the pump, where the feed ends.
func (b *wiring) pump() {
	k := b.kit
	name := "M1 motor of the pump"
	stated := []entry{{"pump", named(k.Pump.Part)}}
	at := slot{pointers: []string{"/pump/part", "/pump/low_level_warns"}, places: []string{"the pump"}}
	if p := k.Pump.Part.To; p != nil {
		at.places = append(at.places, partPlace(k.Pump.Part))
		stated = append(stated,
			entry{"voltage", amount(b.kit, p.Voltage, units.Voltage)}, entry{"least voltage", amount(b.kit, p.MinimumVoltage, units.Voltage)},
			entry{"draw", amount(b.kit, p.Draw, units.Current)}, entry{"current at the start", amount(b.kit, p.StartCurrent, units.Current)},
			entry{"needs power that the ignition switches", yesNo(p.NeedsIgnition)}, entry{"protection", p.Enclosure.Or("")},
			entry{"low-level switch", yesNo(p.LowLevelSwitch)})
	}
	stated = append(stated, entry{"low level is shown to the driver", yesNo(k.Pump.LowLevelWarns)},
		entry{"wires of the warning, and within the pump", ""},
		entry{"highest draw, computed", computed(b.kit, b.feed.HighestDraw, units.Current)},
		entry{"voltage left at the pump, computed", computed(b.kit, b.feed.PumpVoltage, units.Voltage)},
		entry{"and while it starts", computed(b.kit, b.feed.StartVoltage, units.Voltage)})
	b.add(38, name, stated, []slot{at}, nil, func(p *pen, _ float64) {
		p.rect("outline", feedX-11, 2, feedX+11, 24, 0)
		p.wire(feedX, 0, feedX, 3)
		p.motor(name, feedX, 3)
		p.wire(feedX, 23, feedX, 27)
		switch {
		case b.back():
			p.path("wire", false, [2]float64{feedX, 27}, [2]float64{returnX, 27}, [2]float64{returnX, 0})
		case b.feed.Return.V == "chassis":
			p.chassis("chassis at the pump", feedX, 27)
		default:
			p.text("", feedX, 31, "middle", "return not stated")
		}
	})
}

func (b *wiring) notes() {
	b.cells = append(b.cells, notes(b.w, "Symbols and notes", append([]string{
		"Symbols after IEC 60617, drawn from memory: battery S00898, fuse S00362, make contact S00227 operated by a key, terminal S00017, plug and socket S00033, junction S00016, machine with M, direct current S00819 and S01401, frame or chassis S00203. A stroke across the conductors is a cable. Passages through sheet metal and sheaths have no symbol there: a broken heavy line with its grommets, and broken lines beside the conductors.",
		"The designations G1, S1, F0, F1, W1, X0, X1 and M1 are given by this diagram (letters after IEC 81346-2, from memory). Conductors are shown without current, the switch open.",
		"The kit lists connectors and passages apart: the order between them along the cable is not stated. The order of switch and fuse within the vehicle is not stated either: see the vehicle maker's diagram.",
		joined("", "Note of the kit: ", or(cleanTo(b.feed.Note.Or(""), 1200))),
	}, inFull(b.kit)...))...)
}

func (b *wiring) about() string {
	f := b.feed
	return fmt.Sprintf("From the battery to the pump and back: taken off %s, fuse %s, cable %s, %s, %s, return through %s.",
		f.TakeOff.Or("where it is not stated"), f.Fuse.ID.Or(notKnown), f.Cable.ID.Or(notKnown), report.Count(len(f.Connectors), "connector", "connectors"),
		report.Count(len(f.Passages), "passage", "passages"), f.Return.Or("what is not stated"))
}
