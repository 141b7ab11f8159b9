// Package units turns a measured value as people write it, a number with its unit ("412 mm", "1/4 in",
// "-30 degC"), into SI and back. It holds the one closed list of units that a kit file may use, so that
// every other package works in SI alone and no conversion factor appears anywhere else.
//
// An absolute temperature is written in degC, degF or K and becomes kelvin. A temperature difference is
// written in K: degC and degF always carry their offset.
package units

import (
	"strconv"
	"strings"
)

// Dimension holds the exponents of the base quantities. Dimensions compare with ==. The SI counts an angle as
// a plain number; here it has an exponent of its own, so that a bare count never passes for an angle.
type Dimension struct{ Length, Mass, Time, Current, Temperature, Angle int8 }

// The dimensions that a kit file or a rule can name.
var (
	Plain               = Dimension{}
	Length              = Dimension{Length: 1}
	Area                = Dimension{Length: 2}
	Volume              = Dimension{Length: 3}
	Mass                = Dimension{Mass: 1}
	Time                = Dimension{Time: 1}
	Angle               = Dimension{Angle: 1}
	Current             = Dimension{Current: 1}
	Voltage             = Dimension{Length: 2, Mass: 1, Time: -3, Current: -1}
	Resistance          = Dimension{Length: 2, Mass: 1, Time: -3, Current: -2}
	ResistancePerLength = Dimension{Length: 1, Mass: 1, Time: -3, Current: -2}
	Power               = Dimension{Length: 2, Mass: 1, Time: -3}
	Pressure            = Dimension{Length: -1, Mass: 1, Time: -2}
	Temperature         = Dimension{Temperature: 1}
	Force               = Dimension{Length: 1, Mass: 1, Time: -2}
	Torque              = Dimension{Length: 2, Mass: 1, Time: -2}
	Acceleration        = Dimension{Length: 1, Time: -2}
	VolumeFlow          = Dimension{Length: 3, Time: -1}
	MassFlow            = Dimension{Mass: 1, Time: -1}
	Density             = Dimension{Length: -3, Mass: 1}
	KinematicViscosity  = Dimension{Length: 2, Time: -1}
	DynamicViscosity    = Dimension{Length: -1, Mass: 1, Time: -1}
	Speed               = Dimension{Length: 1, Time: -1}
	Frequency           = Dimension{Time: -1}
)

// named gives each dimension the trade's name; the order is that of the variables above.
var named = []struct {
	dim  Dimension
	name string
}{
	{Plain, "plain number"},
	{Length, "length"},
	{Area, "area"},
	{Volume, "volume"},
	{Mass, "mass"},
	{Time, "time"},
	{Angle, "angle"},
	{Current, "current"},
	{Voltage, "voltage"},
	{Resistance, "resistance"},
	{ResistancePerLength, "resistance per length"},
	{Power, "power"},
	{Pressure, "pressure"},
	{Temperature, "temperature"},
	{Force, "force"},
	{Torque, "torque"},
	{Acceleration, "acceleration"},
	{VolumeFlow, "volume flow"},
	{MassFlow, "mass flow"},
	{Density, "density"},
	{KinematicViscosity, "kinematic viscosity"},
	{DynamicViscosity, "dynamic viscosity"},
	{Speed, "speed"},
	{Frequency, "frequency"},
}

// Named returns the dimension with the given name, as it stands in rule packs and struct tags: the words of
// [Dimension.String] in lower case with underscores for spaces, such as "length", "volume_flow" or "plain_number".
func Named(name string) (Dimension, bool) {
	if strings.Contains(name, " ") {
		return Dimension{}, false
	}
	words := strings.ReplaceAll(name, "_", " ")
	for _, n := range named {
		if n.name == words {
			return n.dim, true
		}
	}
	return Dimension{}, false
}

// Times returns the dimension of a product. Exponents stop at ±127, so that nonsense cannot wrap around to a
// dimension with a meaning.
func (d Dimension) Times(e Dimension) Dimension { return d.plus(e, 1) }

// Per returns the dimension of a quotient, with the bound of [Dimension.Times].
func (d Dimension) Per(e Dimension) Dimension { return d.plus(e, -1) }

func (d Dimension) plus(e Dimension, sign int) Dimension {
	sum := func(a, b int8) int8 { return int8(min(max(int(a)+sign*int(b), -127), 127)) }
	return Dimension{
		Length:      sum(d.Length, e.Length),
		Mass:        sum(d.Mass, e.Mass),
		Time:        sum(d.Time, e.Time),
		Current:     sum(d.Current, e.Current),
		Temperature: sum(d.Temperature, e.Temperature),
		Angle:       sum(d.Angle, e.Angle),
	}
}

// String returns the trade's name of the dimension ("length", "volume flow", "plain number"), or its SI base
// units when it has none ("kg m2/s5", "1/(s2 A)").
func (d Dimension) String() string {
	if name := d.name(); name != "" {
		return name
	}
	return d.baseUnits()
}

func (d Dimension) name() string {
	for _, n := range named {
		if n.dim == d {
			return n.name
		}
	}
	return ""
}

func (d Dimension) baseUnits() string {
	var above, below []string
	for _, f := range []struct {
		symbol   string
		exponent int8
	}{{"kg", d.Mass}, {"m", d.Length}, {"s", d.Time}, {"A", d.Current}, {"K", d.Temperature}, {"rad", d.Angle}} {
		switch n := int(f.exponent); {
		case n == 1:
			above = append(above, f.symbol)
		case n > 1:
			above = append(above, f.symbol+strconv.Itoa(n))
		case n == -1:
			below = append(below, f.symbol)
		case n < -1:
			below = append(below, f.symbol+strconv.Itoa(-n))
		}
	}
	text := strings.Join(above, " ")
	if text == "" {
		text = "1"
	}
	switch len(below) {
	case 0:
		return text
	case 1:
		return text + "/" + below[0]
	}
	return text + "/(" + strings.Join(below, " ") + ")"
}

// Phrase returns the dimension with its article, for use in a sentence: "a length", "an angle".
func (d Dimension) Phrase() string {
	if name := d.name(); name != "" {
		return Article(name)
	}
	return "a quantity in " + d.baseUnits()
}

// Article returns a noun with its article: "a length", "an angle".
func Article(noun string) string {
	if strings.IndexByte("aeiou", noun[0]) >= 0 {
		return "an " + noun
	}
	return "a " + noun
}
