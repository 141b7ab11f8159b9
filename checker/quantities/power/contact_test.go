package power_test

import (
	"testing"

	"kitgauge/checker/quantities/power"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// printed, seen: cold resistances of blade fuses. 10 A: 1 mV at 130 mA (https://www.mvwautotechniek.nl/en/
// voltage-drop-over-fuses); 15 A: 4.8 mohm of the data sheet and 4.5 mohm measured
// (https://www.picoauto.com/support/viewtopic.php?f=482&p=104294); 15 A, small: 1 mV at 218 mA
// (https://www.nxtbook.com/nxtbooks/macs/servicereports_2017, figure 13). What is taken where no resistance is
// stated, 0.15 V at the rating, covers each of them, and is not four times as much.
func TestFuseResistanceCoversBladeFuses(t *testing.T) {
	for _, tt := range []struct{ rating, cold float64 }{
		{10, 0.001 / 0.130}, {15, 4.8e-3}, {15, 4.5e-3}, {15, 0.001 / 0.218},
	} {
		got, err := power.FuseResistance(tt.rating, 0.15)
		if err != nil || got < 1.1*tt.cold || got > 4*tt.cold {
			t.Errorf("%g A: got %g ohm, %v; want %g to %g", tt.rating, got, err, 1.1*tt.cold, 4*tt.cold)
		}
	}
	if got, err := power.FuseResistance(7.5, 0.15); err != nil || !near(got, 0.02, 1e-12) { // recomputed: 0.15 / 7.5
		t.Errorf("7.5 A: got %g ohm, %v; want 0.02", got, err)
	}
}

// printed, seen: a truck gearbox's guide for those who build it in, which counts 8 ft of 12 AWG at 0.0016 ohm a
// foot and six connections of 0.005 ohm: 0.043 ohm together (https://manualshive.com/en/manual/eaton/
// roadranger-fuller-ultrashift-f-406-asw/4075904, page 29). Copper at 20 degC as solid wire is 0.00159 a foot.
func TestLoopAgainstWorkedExample(t *testing.T) {
	f := power.Feed{
		SupplyVoltage: 9, Draw: 20,
		Cable:        power.Conductor{Length: 4 * foot, Area: astmB258[12] * 1e-6, Temperature: kelvin(20), Allowance: 1},
		ReturnLength: 4 * foot, ReturnResistance: 6 * 0.005,
	}
	if got, err := f.Resistance(); err != nil || !near(got, 0.043, 0.0005) {
		t.Errorf("got %.5f ohm, %v; want 0.043", got, err)
	}
}

// printed, seen: 75 % at 25 degC (http://www.circuitprotection.ca/fuseology/), 0.2 % less for every degC above
// (http://www.interfacebus.com/Fuse_Derating_Guide.html); recomputed from there. A vehicle maker's guide for those
// who build bodies is stricter: at 40 degC it lets a fuse carry 3.5 of 5, 10.5 of 15 and 14 of 20 A, which is 0.70
// (https://manualshive.com/ru/manual/hyundai/body-builder-2015, page 217; seen), and ours is 0.72.
func TestShareLeft(t *testing.T) {
	for _, tt := range []struct{ air, want float64 }{
		{-40, 0.75}, {25, 0.75}, {35, 0.73}, {45, 0.71}, {65, 0.67}, {100, 0.60}, {125, 0.55},
	} {
		got, err := power.Warmth{Share: 0.75, Fall: 0.002, Temperature: kelvin(tt.air)}.ShareLeft()
		if err != nil || !near(got, tt.want, 1e-9) {
			t.Errorf("at %g degC: got %g, %v; want %g", tt.air, got, err, tt.want)
		}
	}
	for _, tt := range []struct{ rating, carries float64 }{{5, 3.5}, {10, 7}, {15, 10.5}, {20, 14}, {25, 17.5}, {30, 21}} {
		got, err := power.Warmth{Share: 0.75, Fall: 0.002, Temperature: kelvin(40)}.ShareLeft()
		if err != nil || got*tt.rating < tt.carries || got*tt.rating > 1.03*tt.carries {
			t.Errorf("%g A at 40 degC: got %g A, %v; want %g to 3 %% more", tt.rating, got*tt.rating, err, tt.carries)
		}
	}
	if got, err := (power.Warmth{Share: 0.2, Fall: 0.02, Temperature: kelvin(100)}).ShareLeft(); err == nil || got != 0 {
		t.Errorf("nothing left: got %g, %v; want an error", got, err)
	}
}

// nodes solves a loop of resistances in series by nodal analysis: a source between node 0 and earth, the
// resistances up to the pump, a pump that draws a current or is a resistance, and those back to earth. It
// returns the voltage between the pump's two nodes.
func nodes(supply float64, out, back []float64, draw, motor float64) (float64, error) {
	n := len(out) + len(back) // node 0 is the source; the last resistance ends at earth
	g, current := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
	join := func(a, b int, ohm float64) { // the unknowns are the nodes 1 to n
		for _, at := range [][2]int{{a, b}, {b, a}} {
			if at[0] < 1 || at[0] > n {
				continue
			}
			g.Set(at[0]-1, at[0]-1, g.At(at[0]-1, at[0]-1)+1/ohm)
			switch {
			case at[1] == 0:
				current.SetVec(at[0]-1, current.AtVec(at[0]-1)+supply/ohm)
			case at[1] <= n:
				g.Set(at[0]-1, at[1]-1, g.At(at[0]-1, at[1]-1)-1/ohm)
			}
		}
	}
	for i, ohm := range out {
		join(i, i+1, ohm)
	}
	plus := len(out)
	for i, ohm := range back {
		join(plus+1+i, plus+2+i, ohm)
	}
	if motor > 0 {
		join(plus, plus+1, motor)
	}
	current.SetVec(plus-1, current.AtVec(plus-1)-draw)
	current.SetVec(plus, current.AtVec(plus)+draw)
	var v mat.VecDense
	if err := v.SolveVec(g, current); err != nil {
		return 0, err
	}
	return v.AtVec(plus-1) - v.AtVec(plus), nil
}

// Against an independent method: the voltage at the pump, running and starting, with every contact, the fuse
// and the way back as resistances of a network of their own, by nodal analysis.
func TestVoltageWithContactsAgainstNodes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		positive := func(name string, least, most float64) float64 { return rapid.Float64Range(least, most).Draw(t, name) }
		cable := power.Conductor{
			Length: positive("length", 0.5, 20), Area: positive("area", 0.5e-6, 10e-6),
			Temperature: positive("air", 240, 380), Allowance: power.FlexibleAllowance,
		}
		wire, err := cable.Resistance()
		if err != nil {
			t.Fatal(err)
		}
		out, back := []float64{wire}, []float64{wire}
		contacts := 0.
		for _, ohm := range rapid.SliceOfN(rapid.Float64Range(1e-3, 0.05), 1, 8).Draw(t, "contacts out") {
			out, contacts = append(out, ohm), contacts+ohm
		}
		for _, ohm := range rapid.SliceOfN(rapid.Float64Range(1e-3, 0.05), 1, 8).Draw(t, "contacts back") {
			back, contacts = append(back, ohm), contacts+ohm
		}
		f := power.Feed{
			SupplyVoltage: positive("supply", 9, 32), Draw: positive("draw", 0.1, 3),
			Cable: cable, ReturnLength: cable.Length, ReturnResistance: contacts,
		}
		got, err := f.PumpVoltage()
		want, solved := nodes(f.SupplyVoltage, out, back, f.Draw, 0)
		if err != nil || solved != nil || !near(got, max(0, want), 1e-7) {
			t.Fatalf("running: got %g V, %v; the nodes say %g, %v", got, err, want, solved)
		}
		loop, err := f.Resistance()
		if err != nil {
			t.Fatal(err)
		}
		s := power.Start{Supply: f.SupplyVoltage, Resistance: loop, Current: positive("start", 1, 40), Voltage: positive("nominal", 12, 24)}
		got, err = s.PumpVoltage()
		want, solved = nodes(s.Supply, out, back, 0, s.Voltage/s.Current)
		if err != nil || solved != nil || !near(got, want, 1e-7) {
			t.Fatalf("starting: got %g V, %v; the nodes say %g, %v", got, err, want, solved)
		}
	})
}

// More resistance and more start current never leave more voltage.
func TestStartFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := power.Start{
			Supply: rapid.Float64Range(9, 32).Draw(t, "supply"), Resistance: rapid.Float64Range(0, 2).Draw(t, "ohm"),
			Current: rapid.Float64Range(1, 60).Draw(t, "start"), Voltage: 24,
		}
		before, err := s.PumpVoltage()
		if err != nil || before > s.Supply {
			t.Fatalf("got %g V of %g, %v", before, s.Supply, err)
		}
		s.Resistance *= 1.5
		s.Current *= 1.2
		if after, err := s.PumpVoltage(); err != nil || after > before+1e-9 {
			t.Fatalf("got %g V after %g, %v", after, before, err)
		}
	})
}
