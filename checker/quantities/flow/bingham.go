package flow

import "math"

// Bingham is a lubricant that is rigid below its yield stress and above it
// resists in proportion to the shear rate: τ = Yield + Viscosity·γ.
type Bingham struct {
	Yield     float64 // yield stress, Pa
	Viscosity float64 // plastic viscosity, Pa·s
}

// Flow returns the flow [m³/s] that a pressure drop [Pa] drives, the
// Buckingham-Reiner law: q = π R⁴ Δp / (8 μ L) · (1 - 4φ/3 + φ⁴/3), with
// φ = yield stress over wall stress. It is zero at or below
// [Tube.StartPressure].
//
// Shape: rises from zero at the start-up pressure, first with its square, far
// above it in proportion.
// Range: laminar flow; yield zero or more, viscosity positive, pressure zero
// or more.
// Source: Buckingham-Reiner equation as in Chhabra and Richardson,
// Non-Newtonian Flow and Applied Rheology, chapter 3. The linear formula of
// some field handbooks is not used: near the yield stress it is a third too
// high.
func (f Bingham) Flow(t Tube, pressure float64) (float64, error) {
	start, err := f.start(t)
	if err != nil {
		return 0, err
	}
	if err := notNegative("pressure drop", pressure, "Pa"); err != nil {
		return 0, err
	}
	if pressure <= start {
		return 0, nil
	}
	return finite("flow", f.flow(t, t.wallStress(pressure-start)))
}

// Pressure returns the pressure drop [Pa] at flow [m³/s], the inverse of
// [Bingham.Flow]. At zero flow it is the start-up pressure.
//
// Shape: rises from the start-up pressure with the square root of the flow,
// then in proportion.
// Range: laminar flow; yield zero or more, viscosity positive, flow zero or
// more.
// Source: as [Bingham.Flow]; solved by bisection to the last digits.
func (f Bingham) Pressure(t Tube, flow float64) (float64, error) {
	start, err := f.start(t)
	if err != nil {
		return 0, err
	}
	return runningPressure(t, start, flow, func(excess float64) float64 {
		return math.Log(f.flow(t, excess))
	})
}

// flow is the law in terms of the wall stress in excess of the yield stress.
// 1 - 4φ/3 + φ⁴/3 is written as (1-φ)²(3 + 2φ + φ²)/3, which keeps its digits
// where φ is close to 1, the usual case for a cold grease.
func (f Bingham) flow(t Tube, excess float64) float64 {
	wall := f.Yield + excess
	phi, open := f.Yield/wall, excess/wall
	radius := t.Bore / 2
	return math.Pi * math.Pow(radius, 3) * wall / (4 * f.Viscosity) *
		open * open * (3 + 2*phi + phi*phi) / 3
}

func (f Bingham) start(t Tube) (float64, error) {
	if err := positive("plastic viscosity", f.Viscosity, "Pa s"); err != nil {
		return 0, err
	}
	return t.StartPressure(f.Yield)
}
