package fleet

import (
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"
)

// The grease points that a site may have, in the order in which they are
// taken. The kind of bearing follows from the name.
var (
	knuckleParts = []string{"Kingpin upper bush", "Kingpin lower bush", "Tie rod end", "Brake camshaft", "Slack adjuster",
		"Drag link end", "Kingpin thrust bearing", "Steering arm pin", "Brake anchor pin", "Steering ram pin"}
	springParts = []string{"Spring eye pin", "Spring shackle upper pin", "Spring shackle lower pin", "Stabiliser bush", "Cab pivot bush",
		"Brake rod guide", "Steering shaft bearing", "Winch drum bearing", "Step hinge", "Tool box hinge"}
	axleParts = []string{"Brake camshaft inner bush", "Brake camshaft outer bush", "Slack adjuster", "Spring saddle pin", "Torque rod pin",
		"Track rod pin", "Brake anchor pin", "Diff lock fork", "Hub bearing", "Axle stop guide"}
	hopperParts = []string{"Conveyor rear bearing", "Conveyor front bearing", "Hopper hinge", "Tipping ram upper pin", "Auger bearing",
		"Tailgate pivot", "Chain tensioner", "Roller bearing", "Vibrator bush", "Cover hinge"}
	chuteParts = []string{"Chute hinge", "Spreader disc bearing", "Disc drive shaft bush", "Chute latch", "Deflector pivot",
		"Agitator bearing", "Chute ram pin", "Flap hinge", "Pre-wetting valve pin", "Disc arm bush"}
	ploughParts = []string{"Lift arm pivot", "Lift ram upper pin", "Lift ram lower pin", "Float link", "Carrier bush",
		"Latch pin", "Balance spring eye", "Damper pin", "Push rod pin", "Stop lever"}
	bladeParts = []string{"Blade swivel pin", "Swing ram pin", "Blade hinge", "Trip spring eye", "Caster pivot",
		"Caster wheel bearing", "Edge lever", "Trip lever pin", "Side plate hinge", "Guide shoe pin"}
	frameParts = []string{"Axle trunnion bush", "Hitch pin", "Fan shaft bearing", "Propeller shaft bearing", "Articulation ram pin",
		"Bonnet hinge", "Brake pedal shaft", "Step hinge", "Battery tray hinge", "Radiator mount"}
	boomParts = []string{"Boom pivot pin", "Boom ram pin", "Bell crank pin", "Link rod pin", "Tilt ram pin",
		"Boom cross bush", "Hose guide pivot", "Lock lever", "Link lower pin", "Boom stop"}
	bucketParts = []string{"Bucket pivot pin", "Bucket link pin", "Coupler pin", "Coupler ram pin", "Grapple hinge",
		"Grapple ram pin", "Auger bearing", "Auger thrust bearing", "Side gate hinge", "Spreader roll bearing"}
	drawbarParts = []string{"Drawbar hinge pin", "Towing eye sleeve", "Support leg spindle", "Overrun shaft bush", "Brake lever pin",
		"Height spring eye", "Stay pivot", "Cross member bush", "Support leg pivot", "Chain guide"}
)

// wheelIn is where the wheels begin on steered and on other axles, counted
// from the centre line; wheelOut is where they end.
const (
	steeredIn = 1010.0
	rigidIn   = 740.0
	wheelOut  = 1240.0
)

func (v *vehicle) wheel(b *body, name string, x, in, side float64) {
	v.zones = append(v.zones, &zone{
		id: "wheel-" + strconv.Itoa(len(v.zones)+1), name: name + ", wheel " + sideName(side), kind: "wheel", body: b,
		from: v.at(x-500, side*in, 0), to: v.at(x+500, side*wheelOut, 1000),
	})
}

// truck has one or two steered axles, up to three others, a tipping hopper
// with its spreader, and a plough.
func (v *vehicle) truck() {
	fronts, rears := 1+v.rand.IntN(2), 1+v.rand.IntN(3)
	lastFront := -1850 * float64(fronts-1)
	v.pump = v.at(lastFront-1500, v.pumpSide*620, 1050)
	firstRear := v.pump.X - 1700
	lastRear := firstRear - 1350*float64(rears-1)
	v.description = "Invented gritter truck with " + strconv.Itoa(fronts+rears) + " axles, tipping hopper and plough"
	v.datum = "centre of the first axle, on the ground"
	for i := range fronts {
		x := -1850 * float64(i)
		v.steeredAxle(numbered("front axle", i+1, fronts), "F"+strconv.Itoa(i+1), x)
		v.springs(numbered("front axle", i+1, fronts), "SF"+strconv.Itoa(i+1), x, 1)
	}
	for i := range rears {
		x := firstRear - 1350*float64(i)
		v.sprungAxle(numbered("rear axle", i+1, rears), "R"+strconv.Itoa(i+1), x, -1)
		v.springs(numbered("rear axle", i+1, rears), "SR"+strconv.Itoa(i+1), x, -1)
	}
	v.tippingBody("hopper", lastRear-1150)
	v.plough(1150)
	v.zones = append(v.zones,
		&zone{id: "exhaust", name: "exhaust silencer", kind: "heat", body: v.chassis, celsius: 320, shielded: true,
			from: v.at(v.pump.X-300, -820, 500), to: v.at(v.pump.X-900, -820, 500), radius: v.snap(120)},
		&zone{id: "shaft", name: "propeller shaft", kind: "moving", body: v.chassis,
			from: v.at(v.pump.X+600, 0, 560), to: v.at(firstRear, 0, 520), radius: v.snap(60)})
}

// loader is two frames joined by an articulation, with a boom and a tool.
func (v *vehicle) loader() {
	v.pump = v.at(-2700, v.pumpSide*620, 1050)
	v.description = "Invented electric articulated yard loader with boom and tool"
	v.datum = "articulation joint, on the ground"
	v.chassis.name = "rear frame"
	v.swingAxle("rear axle", "R1", -1450)
	v.springs("rear frame", "FR", -1000, 1)
	front := v.body("front-frame", "front frame", true)
	v.pivot(v.chassis, front, "articulation", "articulation", v.at(0, 0, 800), upward, -v.turn(32, 42), v.turn(32, 42))
	over := func(side float64) []stop {
		return []stop{
			v.on(v.chassis, -700, 470, 930, side), v.on(v.chassis, -420, 200, 910, side), v.on(v.chassis, -160, 60, 900, side),
			v.on(front, 160, 60, 900, side), v.on(front, 430, 130, 980, side),
		}
	}
	v.pair("FF", "front frame", frameParts, r3.Vec{X: 1, Y: 0, Z: .2}, 560, func(side float64) []stop {
		return append(over(side), v.on(front, 760, 300, 1000, side))
	})
	for _, side := range []float64{1, -1} {
		v.wheel(front, "front frame", 1500, rigidIn, side)
	}
	boom := v.body("boom", "boom", true)
	v.pivot(front, boom, "boom-pivot", "boom", v.at(900, 0, 1350), lifting, -v.turn(20, 30), v.turn(36, 45))
	toBoom := func(side float64) []stop {
		return append(over(side), v.on(front, 740, 150, 1250, side), v.on(boom, 1030, 150, 1290, side))
	}
	v.pair("BM", "boom", boomParts, forward, 500, func(side float64) []stop {
		return append(toBoom(side), v.on(boom, 1320, 150, 1240, side))
	})
	v.tool(boom, toBoom)
}

// tool is what the boom carries: a bucket, and on half of the loaders a head
// that slides on it.
func (v *vehicle) tool(boom *body, toBoom func(side float64) []stop) {
	bucket := v.body("bucket", "bucket", true)
	v.pivot(boom, bucket, "bucket-pivot", "boom", v.at(2000, 0, 1000), lifting, -v.turn(30, 50), v.turn(30, 50))
	toBucket := func(side float64) []stop {
		return append(toBoom(side), v.on(boom, 1600, 150, 1160, side), v.on(boom, 1860, 150, 1080, side), v.on(bucket, 2140, 150, 1060, side))
	}
	v.pair("BU", "bucket", bucketParts, forward, 500, func(side float64) []stop {
		return append(toBucket(side), v.on(bucket, 2330, 170, 1060, side))
	})
	if v.rand.IntN(2) == 0 {
		return
	}
	head := v.body("side-head", "side head", true)
	v.slide(bucket, head, "head-slide", "slide", leftward, -60, 60)
	past := v.rand.IntN(2) == 0 // the bucket, in one span over two joints
	v.pair("SH", "side head", bladeParts, forward, 500, func(side float64) []stop {
		if past {
			return append(toBoom(side), v.on(boom, 1600, 150, 1160, side), v.on(boom, 1860, 150+aside, 1080, side), v.on(head, 2140, 170+aside, 1060, side))
		}
		return append(toBucket(side), v.on(bucket, 2330, 170, 1060, side), v.on(head, 2620, 190, 1080, side))
	})
}

// trailer has a drawbar, one to three axles and a tipping body.
func (v *vehicle) trailer() {
	axles := 1 + v.rand.IntN(3)
	v.pump = v.at(1500, v.pumpSide*620, 1050)
	v.description = "Invented salt trailer with " + strconv.Itoa(axles) + " axles, drawbar and tipping body"
	v.datum = "below the centre of the first axle, on the ground"
	for i := range axles {
		x := -1300 * float64(i)
		v.sprungAxle(numbered("axle", i+1, axles), "A"+strconv.Itoa(i+1), x, -1)
		v.springs(numbered("axle", i+1, axles), "SA"+strconv.Itoa(i+1), x, -1)
	}
	v.tippingBody("body", -1300*float64(axles-1)-1150)
	v.drawbar(2950)
}

// turn draws an angle in whole degrees.
func (v *vehicle) turn(from, to int) int { return from + v.rand.IntN(to-from+1) }

// travel draws a distance in mm.
func (v *vehicle) travel(from, to int) float64 { return float64(from + v.rand.IntN(to-from+1)) }
