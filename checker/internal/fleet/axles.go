package fleet

import (
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

func slug(name string) string { return strings.ReplaceAll(name, " ", "-") }

// steeredAxle is a sprung axle with a knuckle at each end. The bundles come
// from behind and end on the knuckles; on some vehicles they pass the axle in
// one free span over springs and kingpin.
func (v *vehicle) steeredAxle(name, code string, x float64) {
	axle := v.body(slug(name), name, false)
	v.slide(v.chassis, axle, slug(name)+"-springs", "suspension", upward, -v.travel(60, 90), v.travel(50, 80))
	inner := v.turn(34, 40)
	outer := inner - v.turn(4, 7)
	straight := v.rand.IntN(4) == 0
	knuckles := map[float64]*body{}
	for _, side := range []float64{1, -1} {
		id, called := slug(name)+"-knuckle-"+sideName(side), name+" "+sideName(side)+" knuckle"
		knuckle := v.body(id, called, false)
		knuckles[side] = knuckle
		from, to := -outer, inner
		if side < 0 {
			from, to = -inner, outer
		}
		v.pivot(axle, knuckle, id+"-kingpin", "steering", v.at(x, side*830, 500), r3.Vec{Y: -.1 * side, Z: 1}, from, to)
		v.wheel(knuckle, name, x, steeredIn, side)
	}
	v.pair(code, name, knuckleParts, forward, 890, func(side float64) []stop {
		way := []stop{v.on(v.chassis, x-900, 470, 860, side), v.on(v.chassis, x-620, 470, 780, side)}
		if !straight {
			way = append(way, v.on(axle, x-330, 640, 640, side))
		}
		return append(way, v.on(knuckles[side], x-60, 740, 640, side))
	})
}

// sprungAxle is an axle on springs; d is the direction from the pump.
func (v *vehicle) sprungAxle(name, code string, x, d float64) {
	axle := v.body(slug(name), name, false)
	v.slide(v.chassis, axle, slug(name)+"-springs", "suspension", upward, -v.travel(60, 100), v.travel(50, 85))
	v.axleSites(axle, name, code, x, d)
}

// swingAxle is an axle that swings about the length of the vehicle.
func (v *vehicle) swingAxle(name, code string, x float64) {
	axle := v.body(slug(name), name, false)
	swing := v.turn(8, 12)
	v.pivot(v.chassis, axle, slug(name)+"-swing", "suspension", v.at(x, 0, 600), forward, -swing, swing)
	v.axleSites(axle, name, code, x, 1)
}

func (v *vehicle) axleSites(axle *body, name, code string, x, d float64) {
	for _, side := range []float64{1, -1} {
		v.wheel(axle, name, x, rigidIn, side)
	}
	v.pair(code, name, axleParts, r3.Vec{X: d}, 590, func(side float64) []stop {
		return []stop{
			v.on(v.chassis, x-d*840, 470, 860, side), v.on(v.chassis, x-d*560, 470, 800, side),
			v.on(axle, x-d*280, 500, 640, side), v.on(axle, x-d*90, 500, 620, side),
		}
	})
}

// springs are the points on the frame beside an axle.
func (v *vehicle) springs(name, code string, x, d float64) {
	parts, place := springParts, name+" mount"
	if strings.HasSuffix(name, "frame") {
		parts, place = frameParts, name
	}
	v.pair(code, place, parts, r3.Vec{X: d, Z: -.3}, 520, func(side float64) []stop {
		return []stop{
			v.on(v.chassis, x-d*700, 470, 870, side), v.on(v.chassis, x-d*420, 470, 840, side),
			v.on(v.chassis, x-d*210, 470, 830, side),
		}
	})
}

// aside is how far a loop that passes a body keeps from the loops to that body,
// so that they do not rub.
const aside = 380

// tippingBody hinges at the rear of the frame. Behind it hang a chute and, on
// some vehicles, a disc arm that swings and a disc that slides: four joints
// in a row. They reach far behind the hinge and are high, so that they clear
// the ground when the body tips.
func (v *vehicle) tippingBody(name string, x float64) {
	hopper := v.body(name, name, true)
	v.pivot(v.chassis, hopper, name+"-hinge", "tipping", v.at(x, 0, 1120), lifting, 0, v.turn(38, 50))
	toHopper := func(side float64) []stop {
		return []stop{
			v.on(v.chassis, x+760, 470, 980, side), v.on(v.chassis, x+430, 280, 1020, side), v.on(v.chassis, x+160, 200, 1040, side),
			v.on(hopper, x+100, 200, 1260, side), v.on(hopper, x-120, 190, 1320, side),
		}
	}
	v.pair("TB", name, hopperParts, r3.Vec{X: -1, Z: .2}, 620, func(side float64) []stop {
		return append(toHopper(side), v.on(hopper, x-330, 190, 1330, side))
	})
	chute := v.body("chute", "chute", true)
	v.pivot(hopper, chute, "chute-hinge", "boom", v.at(x-520, 0, 1320), leftward, 0, v.turn(40, 70))
	toChute := func(side float64) []stop {
		return append(toHopper(side), v.on(hopper, x-360, 150, 1340, side), v.on(chute, x-630, 130, 1260, side))
	}
	v.pair("CH", "chute", chuteParts, r3.Vec{X: -1, Z: .1}, 500, func(side float64) []stop {
		return append(toChute(side), v.on(chute, x-820, 130, 1290, side))
	})
	if v.rand.IntN(2) == 0 {
		return
	}
	arm := v.body("disc-arm", "disc arm", true)
	v.pivot(chute, arm, "disc-arm-swivel", "boom", v.at(x-1080, 0, 1300), upward, -v.turn(20, 35), v.turn(20, 35))
	toArm := func(side float64) []stop {
		return append(toChute(side), v.on(chute, x-930, 120, 1310, side), v.on(arm, x-1215, 120, 1320, side))
	}
	v.pair("DA", "disc arm", bladeParts, r3.Vec{X: -1}, 500, func(side float64) []stop {
		return append(toArm(side), v.on(arm, x-1400, 150, 1340, side))
	})
	disc := v.body("disc", "spreader disc", true)
	v.slide(arm, disc, "disc-slide", "slide", r3.Vec{X: -1}, 0, 90)
	past := v.rand.IntN(2) == 0 // the arm, in one span over two joints
	v.pair("SD", "spreader disc", chuteParts, r3.Vec{X: -1}, 500, func(side float64) []stop {
		if past {
			return append(toChute(side), v.on(chute, x-930, 150, 1310+aside, side), v.on(disc, x-1220, 150, 1320+aside, side))
		}
		return append(toArm(side), v.on(arm, x-1400, 150, 1340, side), v.on(disc, x-1640, 170, 1350, side))
	})
}

// plough hangs on an arm in front, with a blade that swivels.
func (v *vehicle) plough(x float64) {
	arm := v.body("plough-arm", "plough arm", true)
	v.pivot(v.chassis, arm, "plough-lift", "boom", v.at(x, 0, 780), lifting, -v.turn(8, 14), v.turn(18, 26))
	toArm := func(side float64) []stop {
		return []stop{
			v.on(v.chassis, x-850, 470, 920, side), v.on(v.chassis, x-480, 300, 900, side), v.on(v.chassis, x-150, 200, 880, side),
			v.on(arm, x+140, 180, 820, side),
		}
	}
	v.pair("PA", "plough arm", ploughParts, forward, 500, func(side float64) []stop {
		return append(toArm(side), v.on(arm, x+340, 160, 790, side))
	})
	blade := v.body("blade", "plough blade", true)
	v.pivot(arm, blade, "blade-swivel", "boom", v.at(x+640, 0, 720), upward, -v.turn(24, 34), v.turn(24, 34))
	v.pair("PB", "plough blade", bladeParts, forward, 560, func(side float64) []stop {
		return append(toArm(side), v.on(arm, x+490, 150, 770, side), v.on(blade, x+780, 150, 740, side))
	})
	if v.rand.IntN(2) == 0 {
		return
	}
	trip := v.body("trip-frame", "trip frame", true)
	v.pivot(blade, trip, "trip-pivot", "boom", v.at(x+720, 0, 600), leftward, -v.turn(6, 12), 0)
	plate := v.body("side-plate", "side plate", true)
	v.slide(trip, plate, "plate-slide", "slide", leftward, -30, 30)
	v.pair("SP", "side plate", ploughParts, forward, 560, func(side float64) []stop { // one span over three joints
		return append(toArm(side), v.on(arm, x+490, 150, 770+aside, side), v.on(plate, x+780, 170, 740+aside, side))
	})
}

// drawbar hinges on a turntable in front of a trailer, or on the frame.
func (v *vehicle) drawbar(x float64) {
	from := v.chassis
	lead := func(side float64) []stop {
		return []stop{v.on(v.chassis, x-900, 470, 900, side), v.on(v.chassis, x-660, 250, 860, side)}
	}
	if v.rand.IntN(2) == 0 {
		table := v.body("turntable", "turntable", true)
		v.pivot(v.chassis, table, "turntable-pivot", "drawbar", v.at(x-400, 0, 800), upward, -v.turn(30, 45), v.turn(30, 45))
		onFrame := lead
		lead = func(side float64) []stop {
			return append(onFrame(side), v.on(v.chassis, x-560, 60, 850, side), v.on(table, x-240, 60, 850, side))
		}
		from = table
	}
	bar := v.body("drawbar", "drawbar", true)
	v.pivot(from, bar, "drawbar-hinge", "drawbar", v.at(x+100, 0, 700), lifting, -v.turn(6, 10), v.turn(10, 16))
	v.pair("DB", "drawbar", drawbarParts, r3.Vec{X: 1, Z: .3}, 500, func(side float64) []stop {
		return append(lead(side), v.on(from, x-50, 120, 800, side), v.on(bar, x+240, 120, 760, side), v.on(bar, x+560, 110, 740, side))
	})
}
