package injection_test

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"

	"kitgauge/checker/quantities/dosing"
	"kitgauge/checker/quantities/power"
)

var feedOpinions = []opinion{
	{
		quantity: "voltage at the pump", against: "nodal analysis of the loop as a ladder of resistors, solved with gonum/mat",
		measure: "V", bound: 1e-6, inputs: [2]int{60, 1000},
		deviation: func(r *rand.Rand, _ bool) (float64, error) {
			f := someFeed(r)
			got, err := f.PumpVoltage()
			if err != nil {
				return 0, err
			}
			want, err := nodal(r, f, 0)
			return math.Abs(got - max(0, want)), err
		},
	},
	{
		quantity: "voltage at the pump at its start", against: "nodal analysis of the same ladder with the motor at rest as one of its resistors, solved with gonum/mat",
		measure: "V", bound: 1e-6, inputs: [2]int{60, 1000}, deviation: startApart,
	},
	{
		quantity: "rating of a cable in warm air", against: "balance of heat: the current that warms the copper to the limit, by bisection",
		measure: "relative", bound: 1e-9, inputs: [2]int{60, 1000}, deviation: ratingApart,
	},
	{
		quantity: "highest draw of the pump", against: "constant power through the resistance that leaves the minimum voltage, by fixed-point iteration",
		measure: "relative", bound: 1e-9, inputs: [2]int{100, 2000}, deviation: drawApart,
	},
	{
		quantity: "voltage at the pump", against: "constant power by fixed-point iteration: never less than what is said",
		measure: "V too high", bound: 1e-9, inputs: [2]int{100, 2000}, deviation: tooHigh,
	},
}

func someFeed(r *rand.Rand) power.Feed {
	return power.Feed{
		SupplyVoltage: []float64{12, 24}[r.IntN(2)], Draw: uniform(r, 0.5, 12),
		Cable: power.Conductor{
			Length: uniform(r, 1, 25), Area: []float64{0.75e-6, 1e-6, 1.5e-6, 2.5e-6, 4e-6}[r.IntN(5)],
			Temperature: uniform(r, 250, 350), Allowance: power.FlexibleAllowance,
		},
		ReturnLength: uniform(r, 0, 25), ReturnResistance: uniform(r, 0, 0.1),
	}
}

// perMetre is the resistance of a metre of copper core: IEC 60028.
func perMetre(c power.Conductor) float64 {
	return c.Allowance / 58e6 / c.Area * (1 + 0.00393*(c.Temperature-293.15))
}

// nodal cuts out and return into pieces of uneven length, and solves for the
// voltages of all the nodes between them, with the pump as a source of its
// current, or as the resistance of its motor at rest where that is not 0. The resistivity of copper is 1/58 ohm mm2/m, of which the constant
// in package power is rounded to five figures.
func nodal(r *rand.Rand, f power.Feed, motor float64) (float64, error) {
	out, back := pieces(r, f.Cable.Length), pieces(r, f.ReturnLength)
	var ohms []float64
	for _, l := range out {
		ohms = append(ohms, l*power.CopperResistivity*58e6*perMetre(f.Cable))
	}
	pump := len(ohms) // the node at the pump's plus
	ohms = append(ohms, motor)
	for _, l := range back { // and from its minus to the source
		ohms = append(ohms, l*power.CopperResistivity*58e6*perMetre(f.Cable))
	}
	ohms = append(ohms, f.ReturnResistance+1e-9)
	n := len(ohms) // nodes 1 to n-1 are not known; 0 is the source, n is 0 V
	g, i := mat.NewDense(n-1, n-1, nil), mat.NewVecDense(n-1, nil)
	for k, ohm := range ohms { // between the nodes k and k+1
		if k == pump && motor == 0 {
			i.SetVec(k-1, i.AtVec(k-1)-f.Draw)
			i.SetVec(k, i.AtVec(k)+f.Draw)
			continue
		}
		s := 1 / ohm
		for _, at := range [][2]int{{k, k + 1}, {k + 1, k}} {
			if at[0] == 0 || at[0] == n {
				continue
			}
			g.Set(at[0]-1, at[0]-1, g.At(at[0]-1, at[0]-1)+s)
			switch at[1] {
			case 0:
				i.SetVec(at[0]-1, i.AtVec(at[0]-1)+s*f.SupplyVoltage)
			case n:
			default:
				g.Set(at[0]-1, at[1]-1, g.At(at[0]-1, at[1]-1)-s)
			}
		}
	}
	var v mat.VecDense
	if err := v.SolveVec(g, i); err != nil {
		if _, poor := err.(mat.Condition); !poor {
			return 0, err
		}
	}
	return v.AtVec(pump-1) - v.AtVec(pump), nil
}

func startApart(r *rand.Rand, _ bool) (float64, error) {
	f := someFeed(r)
	ohm, err := f.Resistance()
	if err != nil {
		return 0, err
	}
	s := power.Start{Supply: f.SupplyVoltage, Resistance: ohm, Current: f.Draw * uniform(r, 2, 8), Voltage: f.SupplyVoltage * uniform(r, 0.8, 1.2)}
	got, err := s.PumpVoltage()
	if err != nil {
		return 0, err
	}
	want, err := nodal(r, f, s.Voltage/s.Current)
	return math.Abs(got - want), err
}

// ratingApart lets a cable lose h to the air for every kelvin, as the rating
// that is stated for it asks for.
func ratingApart(r *rand.Rand, _ bool) (float64, error) {
	a := power.Ampacity{Rating: uniform(r, 3, 60), Reference: uniform(r, 293, 318), Limit: uniform(r, 343, 523), Conductors: 1 + r.IntN(2)}
	a.Temperature = uniform(r, a.Reference, a.Limit)
	got, err := a.Derated()
	if err != nil {
		return 0, err
	}
	ohm := uniform(r, 1e-3, 0.05) // a metre, at the limit
	h := a.Rating * a.Rating * ohm / (a.Limit - a.Reference)
	low, high := 0., 2*a.Rating
	for range 100 {
		if i := (low + high) / 2; a.Temperature+i*i*ohm/h > a.Limit {
			high = i
		} else {
			low = i
		}
	}
	return math.Abs(got-low) / a.Rating, nil
}

// pieces cuts a length into a few.
func pieces(r *rand.Rand, length float64) []float64 {
	var out []float64
	for n := 2 + r.IntN(12); n > 1 && length > 1e-3; n-- {
		l := length * uniform(r, 0.1, 0.9)
		out = append(out, l)
		length -= l
	}
	return append(out, max(length, 1e-6))
}

// settle iterates the current of a constant power behind a resistance.
func settle(supply, ohm, watt float64) (current float64) {
	for range 4000 {
		current = watt / (supply - current*ohm)
	}
	return current
}

func drawApart(r *rand.Rand, _ bool) (float64, error) {
	m := power.Motor{Draw: uniform(r, 0.5, 12), Voltage: []float64{12, 24}[r.IntN(2)]}
	m.MinimumVoltage = m.Voltage * uniform(r, 0.6, 1)
	got, err := m.HighestDraw()
	if err != nil {
		return 0, err
	}
	supply := m.Voltage * uniform(r, 1, 1.1)
	if m.MinimumVoltage < supply*0.58 { // where half is lost no current settles
		return 0, nil
	}
	ohm := (supply - m.MinimumVoltage) / got
	return math.Abs(settle(supply, ohm, m.Draw*m.Voltage)/got - 1), nil
}

func tooHigh(r *rand.Rand, _ bool) (float64, error) {
	f := someFeed(r)
	m := power.Motor{Draw: f.Draw, Voltage: f.SupplyVoltage, MinimumVoltage: f.SupplyVoltage * uniform(r, 0.6, 0.95)}
	var err error
	if f.Draw, err = m.HighestDraw(); err != nil {
		return 0, err
	}
	got, err := f.PumpVoltage()
	if err != nil || got < m.MinimumVoltage {
		return 0, err // then the rule fires
	}
	ohm, err := f.Resistance()
	if err != nil {
		return 0, err
	}
	return got - (f.SupplyVoltage - ohm*settle(f.SupplyVoltage, ohm, m.Draw*m.Voltage)), nil
}

var dosingOpinions = []opinion{
	{
		quantity: "consumption over a refill interval", against: "simulated day by day, stroke by stroke, the timer keeping its place overnight",
		measure: "cycles", bound: 1, inputs: [2]int{15, 120},
		deviation: func(r *rand.Rand, _ bool) (float64, error) { used, _, err := simulated(r); return used, err },
	},
	{
		quantity: "time to the lower mark", against: "simulated day by day, stroke by stroke, the timer keeping its place overnight",
		measure: "days", bound: 7, inputs: [2]int{15, 120},
		deviation: func(r *rand.Rand, _ bool) (float64, error) { _, lasts, err := simulated(r); return lasts, err },
	},
}

// simulated runs a vehicle through its days: used is how many cycles the
// consumption is apart over whole weeks, lasts how many days the lower mark.
func simulated(r *rand.Rand) (used, lasts float64, err error) {
	stroke := uniform(r, 20, 90)
	c := dosing.Cycle{Pause: uniform(r, 900, 7200), StrokeTime: stroke, Run: stroke * (float64(1+r.IntN(4)) + uniform(r, 0.01, 0.99))}
	volumes := 0.0
	for range 4 + r.IntN(80) {
		volumes += []float64{15e-9, 25e-9, 35e-9, 50e-9}[r.IntN(4)]
	}
	rate, err := dosing.Delivery{Cycle: c, StrokeVolume: volumes}.Rate()
	if err != nil {
		return 0, 0, err
	}
	hours, days := uniform(r, 4, 16), 1+r.IntN(7)
	usage := dosing.Usage{Rate: rate, RunningPerDay: hours * 3600, DaysPerWeek: float64(days)}
	weeks := 1 + r.IntN(8)
	consumption, err := usage.Consumption(float64(weeks) * 7 * 86400)
	if err != nil {
		return 0, 0, err
	}
	marks := dosing.Reservoir{UpperMark: 0.004, LowerMark: 0.0004, Fill: uniform(r, 0.001, 0.004)}
	usable, err := marks.Usable()
	if err != nil {
		return 0, 0, err
	}
	time, err := usage.Lasts(usable)
	if err != nil {
		return 0, 0, err
	}
	v := vehicle{cycle: c, stroke: volumes, hours: hours, days: days}
	atWeeks, atMark := v.drive(weeks, usable)
	perCycle := volumes * math.Floor(c.Run/c.StrokeTime)
	return math.Abs(atWeeks-consumption) / perCycle, math.Abs(atMark - time/86400), nil
}

// vehicle is one that is driven on the first days of each week.
type vehicle struct {
	cycle  dosing.Cycle
	stroke float64 // of all elements together
	hours  float64
	days   int
}

// drive counts strokes until both are known: what is used in so many weeks,
// and the day on which so much is used up.
func (v vehicle) drive(weeks int, usable float64) (used, day float64) {
	at, strokes, total := 0.0, 0, 0.0 // where in its cycle the timer stands, strokes of this run
	for d := 0; ; d++ {
		if d == 7*weeks {
			used = total
		}
		if d >= 7*weeks && day > 0 {
			return used, day
		}
		if d%7 >= v.days {
			continue
		}
		for left := v.hours * 3600; ; {
			next := v.cycle.Pause + float64(strokes+1)*v.cycle.StrokeTime
			whole := v.cycle.Pause + v.cycle.Run
			stroke := next <= whole
			if !stroke {
				next = whole
			}
			if next-at > left {
				at += left
				break
			}
			left -= next - at
			at = next
			if !stroke {
				at, strokes = 0, 0
				continue
			}
			strokes++
			total += v.stroke
			if total >= usable && day == 0 {
				day = float64(d) + (v.hours*3600-left)/86400
			}
		}
	}
}
