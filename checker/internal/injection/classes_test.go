package injection_test

// classes are the mistakes that the built-in packs are there to catch, pack by
// pack; a fault names its class as "ports 1".
var classes = []struct {
	pack string
	say  []string
}{
	{"ports", []string{
		"every line has an outlet, within the pump's count; no outlet twice",
		"every point has exactly one line; every line ends at a known point; duplicate point ids",
		"every outlet in use has a metering element of a kind that fits the pump; an outlet without a line is blanked; an element without a line",
		"number of lines within pump and kit maximum",
		"line numbers unique and without gaps",
	}},
	{"survey", []string{
		"joints stand and move as their roles do, on the vehicle",
		"outline, air, counts, feed and mounting are those of a vehicle",
	}},
	{"slack", []string{
		"steered span: slack left at the longest position",
		"articulated and sprung-axle span: slack left at the longest position",
		"a free span between bodies states its free length; a run between bodies that no joint joins",
		"surplus at the shortest position: loop radius and loop sag",
		"clip or tie near each end of a free span; no tie inside a free span",
		"a span that crosses a joint in a bundle: every member has the same free length",
		"joint range stated for every joint that a span crosses; zero range is suspicious",
	}},
	{"routing", []string{
		"heat: no segment nearer to a heat source than its clearance; tube and conduit rated for the zone's temperature",
		"moving parts and wheel envelopes: clearance over the whole joint range",
		"sharp edges and bulkheads: a grommet at every passage",
		"ties: spacing on fixed runs; never tied to a brake, fuel, steering or hot line",
		"corners: radius available at least the minimum bend radius",
		"cut length covers what is needed, surplus small; cut length stated for every line",
		"ground clearance of the lowest station; every break-out near its point or explained",
		"station order makes a route; what the route needs is stated",
	}},
	{"bundles", []string{
		"every line in exactly one bundle, or marked as single",
		"conduit inner diameter and fill",
		"the bundle is covered by conduit over its whole length; conduit rated for its zone",
		"lines of one bundle serve one side of one axle or body; few lines in a bundle that crosses a joint",
	}},
	{"flow", []string{
		"pressure to start at the lowest ambient within pump, element, fitting and tube",
		"running pressure with the point's back pressure within the same limits",
		"grease may be pumped by this pump; line longer than the pump maker's limit",
		"lines of very unequal resistance on one pump",
	}},
	{"dosing", []string{
		"delivered over demand within its band",
		"the timer setting is one that the pump has; run time long enough for a full stroke",
		"pump duty cycle within its rating; element's stroke volume as fitted and as listed agree",
	}},
	{"reservoir", []string{
		"usable fill covers consumption over the refill interval with some to spare",
		"the fill is not above the upper mark nor below the lower",
		"grease for first fill covers reservoir and priming; low-level warning before empty",
	}},
	{"power", []string{
		"fuse covers the highest draw; fuse at most the cable's rating",
		"fuse is a standard rating and no larger than the next above the need",
		"pump voltage equals supply voltage; voltage at the pump, drop",
		"fed from an ignition-switched circuit where the timer needs it; that circuit can carry the added draw",
		"fuse near the source; grommet at the bulkhead; connectors sealed for where they sit",
	}},
	{"fittings", []string{
		"thread of the fitting equals the point's; look-alikes called out by name",
		"fitting fits the tube's outer diameter; pressure and temperature rating cover the line",
		"point with tight access has an angle fitting; every fitting in the parts list, with a spare",
	}},
	{"mounting", []string{
		"pump reachable for filling, access side free",
		"protected: not in a wheel envelope, not the lowest or outermost part, clearance to heat",
		"upright within the pump's tilt limit; on a sprung body",
		"bolts: number and size as the pump needs, load within proof load",
		"enclosure suits wash-down; a drilling template is referenced",
	}},
	{"environment", []string{
		"grease lower temperature at or below the lowest ambient; upper temperature above the hottest point",
		"tube, conduit, fitting, pump temperature range cover ambient and their zones",
		"water class suits wash-down; thickener compatible with the grease that was in the points",
		"one grease for all points, or the exceptions stated",
	}},
	{"paperwork", []string{
		"schematic, call-out sheet, instructions present, each at the kit's revision",
		"call-out sheet: one row a line, numbers and names equal to the kit's; names unique and say side and place",
		"title block complete; drawn and checked by different people when for review or released",
		"both ends of every line marked; parts list quantities cover the kit; safety notice present",
		"concession expired or without reason; concession that matches nothing",
	}},
	{"safety", []string{
		"energy control is there, every element of it",
		"in its order, and before the first step that touches the vehicle; restore only after tools are clear and people told",
		"chock before work under the vehicle; support before a wheel comes off; raised body or cab propped",
		"eye and hand protection before pressure work; never a hand over a pressurised end",
		"grease fittings cleaned before removal; each line primed before it is connected",
		"wheels that were removed: torque, and re-torque after the first distance",
		"battery reconnected last; test run, leak check, slack check before hand-over",
	}},
}

// catalogue is every fault, in the order in which they are put in.
func catalogue() []fault {
	var all []fault
	for _, list := range [][]fault{
		portFaults, slackFaults, routingFaults, zoneFaults, bundleFaults, flowFaults, dosingFaults, reservoirFaults,
		powerFaults, fittingFaults, mountingFaults, environmentFaults, paperworkFaults, listFaults, safetyFaults, surveyFaults,
	} {
		all = append(all, list...)
	}
	return all
}
