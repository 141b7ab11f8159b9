package power_test

import (
	"math"
	"regexp"
	"strings"
	"testing"

	"kitgauge/checker/quantities/power"

	"pgregory.net/rapid"
)

// anyFloat draws ordinary values and the ones that break arithmetic.
var anyFloat = rapid.OneOf(
	rapid.Float64Range(1e-6, 100),
	rapid.Float64(),
	rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), 0, math.SmallestNonzeroFloat64, math.MaxFloat64, -1}),
)

// goTypeName finds what a reader of a kit file should never see in a message.
var goTypeName = regexp.MustCompile(`float64|\bint\b|struct|power\.|nil|%!`)

// finite fails the test if a result is not finite, or if an error does not read as a message should.
func finite(t *rapid.T, name string, got float64, err error) {
	if math.IsNaN(got) || math.IsInf(got, 0) {
		t.Fatalf("%s: got %g", name, got)
	}
	if err == nil {
		return
	}
	if got != 0 {
		t.Fatalf("%s: got %g beside the error %v", name, got, err)
	}
	text := err.Error()
	if goTypeName.MatchString(text) || strings.ToLower(text[:1]) != text[:1] || strings.HasSuffix(text, ".") {
		t.Fatalf("%s: error reads %q", name, text)
	}
}

func drawConductor(t *rapid.T) power.Conductor {
	return power.Conductor{
		Length:      rapid.OneOf(rapid.Float64Range(0.01, 200), anyFloat).Draw(t, "length"),
		Area:        rapid.OneOf(rapid.Float64Range(0.05e-6, 125e-6), anyFloat).Draw(t, "area"),
		Temperature: rapid.OneOf(rapid.Float64Range(223.15, 423.15), anyFloat).Draw(t, "temperature"),
		Allowance:   rapid.OneOf(rapid.Float64Range(1, 2), anyFloat).Draw(t, "allowance"),
	}
}

func TestNeverNaNOrInf(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		value := func(name string) float64 { return anyFloat.Draw(t, name) }
		c := drawConductor(t)
		f := power.Feed{SupplyVoltage: value("supply"), Draw: value("draw"), Cable: c,
			ReturnLength: value("return length"), ReturnResistance: value("return resistance")}
		results := []struct {
			name string
			call func() (float64, error)
		}{
			{"ResistancePerLength", c.ResistancePerLength},
			{"Conductor.Resistance", c.Resistance},
			{"Feed.Resistance", f.Resistance},
			{"DropFraction", f.DropFraction},
			{"PumpVoltage", f.PumpVoltage},
			{"NextCableArea", func() (float64, error) { return f.NextCableArea(value("limit")) }},
			{"HighestDraw", power.Motor{Draw: value("stated"), Voltage: value("nominal"), MinimumVoltage: value("minimum")}.HighestDraw},
			{"Spare", power.Circuit{Rating: value("rating"), Existing: value("existing"), Added: value("added")}.Spare},
			{"FuseNeed", power.Load{Draw: value("load"), Share: value("share")}.FuseNeed},
			{"NextFuse", func() (float64, error) { return power.NextFuse(value("current")) }},
			{"LargestFuse", func() (float64, error) { return power.LargestFuse(value("cable rating")) }},
			{"Derated", power.Ampacity{Rating: value("rated"), Reference: value("stated at"), Limit: value("insulation"),
				Temperature: value("air"), Conductors: rapid.Int().Draw(t, "conductors")}.Derated},
			{"FuseResistance", func() (float64, error) { return power.FuseResistance(value("fuse"), value("loss")) }},
			{"ShareLeft", power.Warmth{Share: value("share at 25"), Fall: value("fall"), Temperature: value("at the fuse")}.ShareLeft},
			{"Start.PumpVoltage", power.Start{Supply: value("least"), Resistance: value("loop"), Current: value("start"), Voltage: value("at")}.PumpVoltage},
		}
		for _, r := range results {
			got, err := r.call()
			finite(t, r.name, got, err)
		}
	})
}

// Every field that is out of range is named in the error, with its own unit.
func TestErrorsNameTheField(t *testing.T) {
	tests := []struct {
		name   string
		change func(*power.Feed)
		want   string
	}{
		{"supply", func(f *power.Feed) { f.SupplyVoltage = 240 }, "supply voltage is 240 V; it must be from 1 V to 60 V"},
		{"draw", func(f *power.Feed) { f.Draw = 0 }, "draw of the feed is 0 A; it must be from 0.001 A to 500 A"},
		{"not a number", func(f *power.Feed) { f.Draw = math.NaN() }, "draw of the feed is not a number"},
		{"length", func(f *power.Feed) { f.Cable.Length = 0 }, "cable length is 0 m; it must be from 0.01 m to 200 m"},
		{"area in mm2", func(f *power.Feed) { f.Cable.Area = 1.5 }, "cable area is 1500000 mm2; it must be from 0.05 mm2 to 125 mm2"},
		{"temperature", func(f *power.Feed) { f.Cable.Temperature = 20 }, "cable temperature is -253.1 degC; it must be from -50 degC to 150 degC"},
		{"allowance", func(f *power.Feed) { f.Cable.Allowance = 0 }, "allowance for stranding is 0; it must be from 1 to 2"},
		{"return", func(f *power.Feed) { f.ReturnLength = -1 }, "length of the return cable is -1 m; it must be from 0 m to 200 m"},
		{"resistance", func(f *power.Feed) { f.ReturnResistance = 11 }, "resistance of contacts, fuse and chassis is 11 ohm; it must be from 0 ohm to 10 ohm"},
	}
	for _, tt := range tests {
		f := exampleFeed()
		tt.change(&f)
		if _, err := f.PumpVoltage(); err == nil || err.Error() != tt.want {
			t.Errorf("%s: got %v, want %q", tt.name, err, tt.want)
		}
	}
	_, err := power.Motor{Draw: 2, Voltage: 12, MinimumVoltage: 18}.HighestDraw()
	if want := "minimum voltage of the pump is 18 V, above the 12 V at which its draw is stated"; err == nil || err.Error() != want {
		t.Errorf("minimum above nominal: got %v, want %q", err, want)
	}
}

// A longer, hotter, thinner cable or a higher draw never leaves more voltage at the pump.
func TestPumpVoltageFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := power.Feed{
			SupplyVoltage:    rapid.Float64Range(10, 32).Draw(t, "supply"),
			Draw:             rapid.Float64Range(0.1, 20).Draw(t, "draw"),
			ReturnLength:     rapid.Float64Range(0, 30).Draw(t, "return"),
			ReturnResistance: rapid.Float64Range(0, 0.1).Draw(t, "resistance"),
			Cable: power.Conductor{
				Length:      rapid.Float64Range(0.1, 30).Draw(t, "length"),
				Area:        rapid.Float64Range(0.5e-6, 10e-6).Draw(t, "area"),
				Temperature: rapid.Float64Range(233, 380).Draw(t, "temperature"),
				Allowance:   rapid.Float64Range(1, 1.2).Draw(t, "allowance"),
			},
		}
		before, err := f.DropFraction()
		if err != nil {
			t.Fatal(err)
		}
		worse := f
		switch rapid.IntRange(0, 4).Draw(t, "change") {
		case 0:
			worse.Draw *= 1.5
		case 1:
			worse.Cable.Length *= 1.5
		case 2:
			worse.Cable.Area /= 1.5
		case 3:
			worse.Cable.Temperature += 40
		case 4:
			worse.ReturnLength += 1
		}
		after, err := worse.DropFraction()
		if err != nil || after <= before {
			t.Fatalf("got drop %g after %g, %v; want more", after, before, err)
		}
	})
}

// NextFuse is the least standard rating above the need; LargestFuse the greatest below the cable's.
func TestFuseBrackets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		current := rapid.Float64Range(1, 40).Draw(t, "current")
		next, err := power.NextFuse(current)
		if err != nil {
			t.Fatal(err)
		}
		largest, err := power.LargestFuse(current)
		if err != nil {
			t.Fatal(err)
		}
		if largest > current*(1+1e-8) || next < current*(1-1e-8) {
			t.Fatalf("got %g and %g A around %g A", largest, next, current)
		}
		for _, f := range bladeFuses {
			if f > largest && f < next {
				t.Fatalf("%g A lies between %g and %g A", f, largest, next)
			}
		}
	})
}
