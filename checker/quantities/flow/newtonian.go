package flow

import "math"

// Newtonian is a liquid without yield stress, such as oil.
type Newtonian struct {
	Viscosity float64 // dynamic viscosity, Pa·s
}

// Pressure returns the pressure drop [Pa] at flow [m³/s], the Hagen-Poiseuille
// law: Δp = 128 μ L q / (π D⁴).
//
// Shape: linear in viscosity, length and flow; half the bore needs 16 times
// the pressure.
// Range: laminar flow (see [Reynolds]); viscosity positive, flow zero or more.
// Source: Bird, Stewart and Lightfoot, Transport Phenomena, section 2.3.
func (f Newtonian) Pressure(t Tube, flow float64) (float64, error) {
	if err := f.check(t); err != nil {
		return 0, err
	}
	if err := notNegative("flow", flow, "m3/s"); err != nil {
		return 0, err
	}
	return finite("pressure drop", 128*f.Viscosity*t.Length*flow/(math.Pi*math.Pow(t.Bore, 4)))
}

// Flow returns the flow [m³/s] that a pressure drop [Pa] drives:
// q = π D⁴ Δp / (128 μ L), the inverse of [Newtonian.Pressure].
//
// Range: laminar flow; viscosity positive, pressure zero or more.
// Source: as [Newtonian.Pressure].
func (f Newtonian) Flow(t Tube, pressure float64) (float64, error) {
	if err := f.check(t); err != nil {
		return 0, err
	}
	if err := notNegative("pressure drop", pressure, "Pa"); err != nil {
		return 0, err
	}
	return finite("flow", math.Pi*math.Pow(t.Bore, 4)*pressure/(128*f.Viscosity*t.Length))
}

func (f Newtonian) check(t Tube) error {
	if err := t.check(); err != nil {
		return err
	}
	return positive("viscosity", f.Viscosity, "Pa s")
}
