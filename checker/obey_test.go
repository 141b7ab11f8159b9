package checker_test

import (
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"kitgauge/checker/finding"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
)

// op is an operation of a JSON Patch.
type op struct {
	Op    string `json:"op"`
	Path  string `json:"path"`
	From  string `json:"from,omitempty"`
	Value any    `json:"value"`
}

// order is a remedy with the file that it is to be obeyed in.
type order struct {
	finding.Finding
	root  *source.Node // of the kit, or of the catalogue that the finding stands in
	parts *source.Node // of the catalogue
}

// deed is how a sentence of a remedy is obeyed: nil where it does not fit here.
type deed struct {
	says *regexp.Regexp
	do   func(o *order, m []string) []op
}

const (
	figureForm = `(-?[0-9.]*[0-9](?: (?:m?ohm|mm2/s|mm[23]?|cm3/[hd]|cm[23]?|m/s2|gn|deg[CF]?|min|[dhs]|wk|l|k?g/?m?3?|in3?|ft|k?m|US gal|m?A|m?V|m?bar|MPa|Pa|k?psi|ksi|lbf?|oz|k?N|K)\b)?)`
	coordForm  = `((?:[xyz]: -?[0-9.]+ [a-z]+(?:, )?)+)`
	vectorForm = `(\[[^\]]+\])`
)

func says(text string, do func(o *order, m []string) []op) deed {
	text = strings.NewReplacer("FIG", figureForm, "COORD", coordForm, "VECTOR", vectorForm, "ID", `([A-Za-z0-9.-]+)`).Replace(text)
	return deed{regexp.MustCompile(text), do}
}

// deeds is the grammar of remedies: what their imperatives mean, the first that
// fits first.
var deeds = []deed{
	// parts
	says(`take (tube) ID for line ([0-9]+)`, func(o *order, m []string) []op {
		return set(o.line(m[3])+"/tube", m[2])
	}),
	says(`take cable ID \([^)]*\), and fit fuse ID`, func(o *order, m []string) []op {
		return append(set("/feed/cable", m[1]), set("/feed/fuse", m[2])...)
	}),
	says(`take tube ID there`, func(o *order, m []string) []op { return o.tubes(m[1]) }),
	says(`take fitting ID at the (pump|point)(?: and fitting ID at the point)?`, func(o *order, m []string) []op {
		ops := set(o.Pointer+"/"+m[2]+"_fitting", m[1])
		if m[3] != "" {
			ops = append(ops, set(o.Pointer+"/point_fitting", m[3])...)
		}
		return ops
	}),
	says(`(?:take|fit) (tube|conduit|fitting|cable|element|pump|grease|bolt|fuse|connector) ID in its place`, func(o *order, m []string) []op {
		old := strings.Fields(o.Place)[1]
		return o.everywhere(old, m[2])
	}),
	says(`fit element ID at outlet ([0-9]+)`, func(o *order, m []string) []op {
		at := o.outlet(m[2])
		return append(set(at+"/element", m[1]), o.without(at+"/stroke_volume")...)
	}),
	says(`(?:take|fit) (tube|conduit|fitting|cable|element|pump|grease|bolt|fuse|connector) ID`, func(o *order, m []string) []op {
		return set(o.holder(m[1]), m[2])
	}),
	says(`add ID to the parts list with a (length|quantity|volume) of FIG or more`, func(o *order, m []string) []op {
		return []op{{Op: "add", Path: "/parts_list/-", Value: map[string]any{"part": m[1], m[2]: number(m[3])}}}
	}),
	says(`list tie ID, ([0-9]+) or more`, func(o *order, m []string) []op {
		return []op{{Op: "add", Path: "/parts_list/-", Value: map[string]any{"part": m[1], "quantity": number(m[2])}}}
	}),
	// the catalogue
	says(`write (\S+ ?\S*) for ([a-z ]+?) and (\S+ ?\S*) for ([a-z ]+?),`, func(o *order, m []string) []op {
		at := parent(o.Pointer)
		return append(set(at+"/"+m[2], m[1]), set(at+"/"+m[4], m[3])...)
	}),
	says(`correct the entry: FIG or less at FIG, or another designation`, func(o *order, m []string) []op { return o.flows(m[1], m[2]) }),
	says(`write (.+) for (.+) in the text`, func(o *order, m []string) []op {
		return set(o.Pointer, strings.ReplaceAll(o.at(o.Pointer), m[2], m[1]))
	}),
	says(`write (.+?) for [a-z ]+, or`, here),
	says(`write (\S+) for the outlet thread`, text),
	says(`write FIG(?: if|,|;|$)`, here),
	says(`write one of (\d+),`, text),
	says(`stamped on its head: ([0-9.]+),`, text),
	says(`correct the angle in the entry: ([0-9]+),`, func(o *order, m []string) []op { return set(o.Pointer, m[1]+" deg") }),
	says(`correct the entry: FIG to FIG`, func(o *order, m []string) []op { return set(o.Pointer, m[2]) }),
	says(`exchange the two in the entry: FIG at 40 degC and FIG at 100`, func(o *order, m []string) []op {
		at := parent(o.Pointer)
		return append(set(at+"/oil_viscosity_40", m[1]), set(at+"/oil_viscosity_100", m[2])...)
	}),
	says(`correct the one that is wrong in the entry: FIG at 40 degC go with some FIG at 100`, func(o *order, m []string) []op {
		return set(o.Pointer, m[2]+" mm2/s")
	}),
	says(`exchange the two in the entry[;:] the (?:cold end|shorter)`, exchangeFromTo),
	says(`exchange (\w+) and (\w+) in the entry`, func(o *order, m []string) []op {
		return o.swap(parent(o.Pointer)+"/"+m[1], parent(o.Pointer)+"/"+m[2])
	}),
	says(`correct (from|to), to between FIG and FIG`, func(o *order, m []string) []op { return set(o.Pointer+"/"+m[1], m[3]) }),
	says(`correct the two in the entry: the shorter first, from FIG on, the longer FIG to FIG`, func(o *order, m []string) []op {
		return append(set(o.Pointer+"/from", m[1]), set(o.Pointer+"/to", m[3])...)
	}),
	// timer, fill, feed
	says(`set a count of ([0-9]+) of its strokes`, func(o *order, m []string) []op { return set(o.holder("strokes"), number(m[1])) }),
	says(`set a run of FIG instead`, func(o *order, m []string) []op {
		return append(o.without(o.Pointer), op{Op: "add", Path: parent(o.Pointer) + "/run", Value: m[1]})
	}),
	says(`set a pause of FIG(?: or (?:more|less)|,)`, func(o *order, m []string) []op { return set(o.holder("pause"), m[1]) }),
	says(`set (?:a|the) run (?:of|to) FIG or (?:more|less)`, func(o *order, m []string) []op {
		return append(o.without(o.holder("strokes")), set(o.holder("run"), m[1])...)
	}),
	says(`correct stroke_volume to FIG`, here),
	says(`(?:fill it|fill) to (?:between )?FIG`, here),
	says(`set the warning (?:above the lower mark and )?to FIG`, here),
	says(`refill every FIG`, func(o *order, m []string) []op { return set("/vehicle/refill_interval", m[1]) }),
	says(`to within FIG of the source`, here),
	says(`better the earth of the pump until the way back has FIG or less`, func(o *order, m []string) []op { return set("/feed/return_resistance", m[1]) }),
	says(`a circuit with FIG or more to spare`, func(o *order, m []string) []op {
		return set("/feed/circuit/load", minus(o.at("/feed/circuit/rating"), m[1]))
	}),
	says(`fused for at least FIG`, func(o *order, m []string) []op { return set("/feed/circuit/rating", m[1]) }),
	says(`of FIG together or less: connectors have FIG, fuse and holder FIG`, func(o *order, m []string) []op {
		more := minus(plus(m[2], m[3]), m[1])
		return set("/feed/holder_resistance", minus(o.at("/feed/holder_resistance"), more))
	}),
	// lengths
	says(`lengthen the shortest tube by FIG to FIG`, func(o *order, m []string) []op { return o.shortest(m[2]) }),
	says(`(?:lengthen the free length by FIG|shorten the free length) to FIG`, func(o *order, m []string) []op { return set(o.holder("free_length"), m[2]) }),
	says(`cut them alike, to FIG,`, func(o *order, m []string) []op {
		return append(o.without(o.Pointer), set(o.holder("free_length"), m[1])...)
	}),
	says(`shorten the line to FIG`, func(o *order, m []string) []op { return set(o.holder("cut_length"), m[1]) }),
	says(`shorten the route by FIG`, func(o *order, m []string) []op { return set(o.Pointer, minus(o.at(o.Pointer), m[1])) }),
	says(`state (\w+) of [^:]+: FIG`, func(o *order, m []string) []op { return set(o.Pointer+"/"+m[1], m[2]) }),
	says(`^state (first_fill|cut_length): FIG`, func(o *order, m []string) []op { return set(o.Pointer+"/"+m[1], m[2]) }),
	says(`bend it to FIG or more`, func(o *order, m []string) []op { return set(o.holder("bend_radius"), m[1]) }),
	says(`(?:cut it to|^list|^state) FIG(?: |,|$)`, here),
	// places
	says(`bring pump and filler up by FIG`, func(o *order, m []string) []op {
		return append(o.shift("/pump/position", "up", m[1]), o.shift("/pump/filler", "up", m[1])...)
	}),
	says(`move pump and filler in by FIG, from the (\w+)`, func(o *order, m []string) []op {
		way := map[string]string{"left": "to the right", "right": "to the left", "front": "backwards", "rear": "forwards"}[m[2]]
		return append(o.shift("/pump/position", way, m[1]), o.shift("/pump/filler", way, m[1])...)
	}),
	says(`state filler_side: (\w+)`, func(o *order, m []string) []op { return set(o.holder("filler_side"), m[1]) }),
	says(`raise it by FIG`, func(o *order, m []string) []op { return o.shift(o.Pointer, "up", m[1]) }),
	says(`lower it by FIG`, func(o *order, m []string) []op { return o.shift(o.Pointer, "down", m[1]) }),
	says(`bring it out by FIG (to the \w+)`, func(o *order, m []string) []op { return o.shift(o.Pointer, m[2], m[1]) }),
	says(`move it (up|to the left|to the right|down|forwards|backwards) by FIG`, func(o *order, m []string) []op { return o.shift(o.Pointer, m[1], m[2]) }),
	says(`set it upright by FIG`, func(o *order, m []string) []op { return o.upright(m[1]) }),
	says(`add a step "([a-z-]+)" with the text: (.+)$`, func(o *order, m []string) []op {
		return []op{{Op: "add", Path: "/procedure/0", Value: map[string]any{"step": m[1], "text": m[2]}}}
	}),
	says(`name every line in a step "([a-z-]+)"; a step that names none means all of them`, func(o *order, m []string) []op {
		if at := o.last(m[1]); at >= 0 {
			return o.without(fmt.Sprintf("/procedure/%d/lines", at))
		}
		return o.insert(m[1], o.last("fill", "connect-line", "fit-line")+1)
	}),
	says(`move the pump (to the left|to the right|up|down|forwards|backwards) by FIG`, func(o *order, m []string) []op {
		return o.shift("/pump/position", m[1], m[2])
	}),
	says(`move the route (?:there|away from it|away) by FIG (to the left|to the right|up|down|forwards|backwards)`, func(o *order, m []string) []op {
		return o.shiftEnds(m[2], m[1])
	}),
	says(`correct the filler, to COORD`, func(o *order, m []string) []op { return o.coordinates("/pump/filler", m[1]) }),
	says(`(?:correct the (?:position|pivot), to|mirrored, (?:that is|the twin says)|measure it again;) COORD`, func(o *order, m []string) []op { return o.coordinates(o.Pointer, m[1]) }),
	says(`correct the outline, not the places: to hold them it has to go to COORD`, func(o *order, m []string) []op { return o.outline(m[1]) }),
	says(`exchange the positions and the bodies of ID and ID`, func(o *order, m []string) []op {
		a, b := o.item("/points", "id", m[1]), o.item("/points", "id", m[2])
		return append(o.swap(a+"/position", b+"/position"), o.swap(a+"/body", b+"/body")...)
	}),
	says(`exchange the positions of ID and ID,`, func(o *order, m []string) []op {
		return o.swap(o.item("/points", "id", m[1])+"/position", o.item("/points", "id", m[2])+"/position")
	}),
	says(`exchange the elements of outlets ([0-9]+) and ([0-9]+)`, func(o *order, m []string) []op {
		return o.swap(o.outlet(m[1])+"/element", o.outlet(m[2])+"/element")
	}),
	says(`correct the sign of y of each station of its tail`, func(o *order, _ []string) []op { return o.mirrorTail() }),
	says(`let it go to ID,`, func(o *order, m []string) []op { return set(o.holder("point"), m[1]) }),
	says(`exchange the names of ID and ID`, func(o *order, m []string) []op {
		return o.swap(o.item("/points", "id", m[1])+"/name", o.item("/points", "id", m[2])+"/name")
	}),
	says(`exchange the points of this line and line ([0-9]+)`, func(o *order, m []string) []op { return o.swap(o.Pointer, o.line(m[1])+"/point") }),
	says(`put it into bundle ID, .* leave at ID`, func(o *order, m []string) []op {
		return append(set(o.Pointer, m[1]), set(parent(o.Pointer)+"/leaves_at", m[2])...)
	}),
	says(`goes (?:from )?VECTOR to VECTOR`, func(o *order, m []string) []op {
		at := parent(o.Pointer)
		return append(set(at+"/from", list(m[1])), set(at+"/to", list(m[2]))...)
	}),
	// joints and bodies
	says(`correct the axis, to VECTOR`, vector),
	says(`(?:the mirror image of its twin [a-z ]+ is|mirrored, the twin says) VECTOR`, vector),
	says(`(?:is, mirrored,|this one would go) FIG to FIG`, func(o *order, m []string) []op {
		return append(set(o.Pointer+"/from", m[1]), set(o.Pointer+"/to", m[2])...)
	}),
	says(`(?:look for a lost sign, which makes it|correct the sign of one end:) FIG to FIG`, func(o *order, m []string) []op {
		return append(set(o.Pointer+"/from", m[1]), set(o.Pointer+"/to", m[2])...)
	}),
	says(`correct the axis(?:: | \()(across|along) the vehicle`, func(o *order, m []string) []op {
		if m[1] == "across" {
			return set(o.Pointer, []int{0, 1, 0})
		}
		return set(o.Pointer, []int{1, 0, 0})
	}),
	says(`stands on its springs: FIG or more to either side`, func(o *order, m []string) []op { return o.bothWays(m[1]) }),
	says(`^exchange from and to`, exchangeFromTo),
	says(`correct its body, to ([a-z ]+)(?:,|$)`, body),
	says(`correct the (?:child|parent), to ([a-z ]+)$`, body),
	says(`write the place (\w+)`, here),
	says(`name ([a-z]+) in its text`, func(o *order, m []string) []op { return set(o.Pointer, o.at(o.Pointer)+" Drain the "+m[1]+".") }),
	says(`correct the name, to (front|rear)`, func(o *order, m []string) []op {
		return set(o.Pointer, regexp.MustCompile(`^(?:Front|Rear)`).ReplaceAllString(o.at(o.Pointer), strings.ToUpper(m[1][:1])+m[1][1:]))
	}),
	says(`write the kind (\w+)`, func(o *order, m []string) []op { return set(parent(o.Pointer)+"/kind", m[1]) }),
	says(`write sprung: (true|false)`, func(o *order, m []string) []op { return set(o.holder("sprung"), m[1] == "true") }),
	// the survey
	says(`as from: FIG`, func(o *order, m []string) []op { return set(o.Pointer+"/from", m[1]) }),
	says(`an overhang of FIG or less and a spacing of FIG or more`, func(o *order, m []string) []op {
		return append(set(o.Pointer+"/overhang", m[1]), set(o.Pointer+"/spacing", m[2])...)
	}),
	says(`measure the (?:diameter|width)[a-z ]* again; as its twin it has FIG`, func(o *order, m []string) []op { return o.bearing(m[1]) }),
	says(`to FIG across or less`, func(o *order, m []string) []op { return set(parent(o.Pointer)+"/radius", times(m[1], 0.5)) }),
	says(`(?:, from|again along its way; from|elements are changed: any from) FIG to FIG`, func(o *order, m []string) []op { return set(o.Pointer, m[2]) }),
	says(`^state FIG or more, as the pump maker asks`, func(o *order, m []string) []op { return set(o.Pointer+"/acceleration", m[1]) }),
	says(`(?:correct the temperature, to|;) FIG (?:or less|is usual|follows)`, here),
	says(`^state (?:the hottest air along the cable|how hot the point becomes), FIG to FIG`, func(o *order, m []string) []op { return set(o.Pointer, m[1]) }),
	says(`^state the nominal voltage of the vehicle, FIG or FIG for most`, here),
	says(`correct the radius, to FIG or less`, here),
	says(`fit ([0-9]+) bolts`, here),
	says(`correct the title, to ([0-9]+) points`, func(o *order, m []string) []op {
		return set(o.Pointer, regexp.MustCompile(`\d+ points`).ReplaceAllString(o.at(o.Pointer), m[1]+" points"))
	}),
	// papers and numbers
	says(`mark both ends with ([0-9]+)`, func(o *order, m []string) []op {
		return append(set(o.Pointer+"/pump_marker", m[1]), set(o.Pointer+"/point_marker", m[1])...)
	}),
	says(`add a row with line ([0-9]+) and the name of its point`, func(o *order, m []string) []op {
		name := o.at(o.item("/points", "id", o.at(o.line(m[1])+"/point")) + "/name")
		return []op{{Op: "add", Path: "/documents/call_out_sheet/rows/-", Value: map[string]any{"line": number(m[1]), "name": name}}}
	}),
	says(`bring the document to revision (\S+)`, func(o *order, m []string) []op { return set(o.holder("revision"), m[1]) }),
	says(`write (\S+) as the number of the kit`, text),
	says(`whose number begins with (\S+)`, func(o *order, m []string) []op { return set(o.Pointer, m[1]+"-9") }),
	says(`^write "([^"]+)"`, text),
	says(`write (FG-\S+);`, text),
	says(`put "(left|right)" into the name(, once)?`, func(o *order, m []string) []op { return set(o.Pointer, o.sided(m[1])) }),
	says(`(?:give the line|move this line to) outlet ([0-9]+)`, func(o *order, m []string) []op { return set(o.holder("outlet"), number(m[1])) }),
	says(`number this line ([0-9]+)`, here),
	says(`number the lines from 1 to ([0-9]+) without gaps`, func(o *order, m []string) []op { return o.renumber() }),
	says(`name ID, or another of its stations in leaves_at:`, func(o *order, m []string) []op { return set(o.holder("leaves_at"), m[1]) }),
	says(`in leaves_at: ID,`, func(o *order, m []string) []op { return set(o.holder("leaves_at"), m[1]) }),
	says(`name one of the lines of the span \(([0-9]+)`, func(o *order, m []string) []op { return set(o.Pointer+"/0/line", number(m[1])) }),
	says(`name ([0-9]+) as well`, func(o *order, m []string) []op { return []op{{Op: "add", Path: o.Pointer + "/-", Value: number(m[1])}} }),
	says(`take ([0-9]+) out`, func(o *order, m []string) []op { return o.takeOut(m[1]) }),
	// flags
	says(`(?:state|write) (\w+): (true|false)`, func(o *order, m []string) []op { return set(o.holder(m[1]), m[2] == "true") }),
	says(`list the outlet with blanked: true`, func(o *order, m []string) []op {
		return []op{{Op: "add", Path: "/pump/outlets/-", Value: map[string]any{"number": number(strings.Fields(o.Place)[1]), "blanked": true}}}
	}),
	says(`state heat_sources: none under vehicle`, func(o *order, m []string) []op { return set("/vehicle/heat_sources", "none") }),
	// steps
	says(`put the steps into the order ([a-z, -]+?),? and`, func(o *order, m []string) []op {
		kinds := strings.Split(m[1], ", ")
		if !strings.Contains(o.Message, "given back") {
			return o.steps(kinds...)
		}
		at, _ := strconv.Atoi(o.Pointer[strings.LastIndex(o.Pointer, "/")+1:])
		var ops []op
		for i, kind := range kinds { // go through them again
			ops = append(ops, o.insert(kind, at+i)...)
		}
		return ops
	}),
	says(`put "([a-z-]+)" after "([a-z-]+)", and "([a-z-]+)" after`, func(o *order, m []string) []op { return o.steps(m[2], m[1], m[3]) }),
	says(`put "([a-z-]+)", "([a-z-]+)" and "([a-z-]+)" .*before "([a-z-]+)"`, func(o *order, m []string) []op { return o.steps(m[1:]...) }),
	says(`put the tests and the hand-over after "([a-z-]+)" and "([a-z-]+)"`, func(o *order, m []string) []op {
		return o.steps(m[1], m[2], "test-run", "leak-check", "slack-check", "hand-over")
	}),
	says(`put "(reconnect-battery)" after every connection`, func(o *order, m []string) []op { return o.insert(m[1], o.last("connect-feed", "connect-line")+1) }),
	says(`put a step "([a-z-]+)" (?:after "([a-z-]+)"|(before it|before this one|first|after the (?:tests|isolation|work behind the wheel)))`, func(o *order, m []string) []op {
		switch {
		case m[2] != "":
			return o.insert(m[1], o.last(m[2])+1)
		case m[3] == "first":
			return o.insert(m[1], 0)
		case m[3] == "after the tests":
			return o.insert(m[1], o.last("test-run", "leak-check", "slack-check")+1)
		case m[3] == "after the isolation":
			return o.insert(m[1], o.last("isolate-battery")+1)
		case m[3] == "after the work behind the wheel":
			return o.insert(m[1], o.last("connect-line", "fit-line", "prime-line")+1)
		}
		at, err := strconv.Atoi(o.Pointer[strings.LastIndex(o.Pointer, "/")+1:])
		if err != nil {
			return nil
		}
		return o.insert(m[1], at)
	}),
	says(`put this step after ([a-z-]+)`, func(o *order, m []string) []op { return o.after(m[1]) }),
	says(`put in a step for each: ([a-z, -]+)$`, func(o *order, m []string) []op {
		var ops []op
		at := o.last("hand-over")
		for i, kind := range strings.Split(m[1], ", ") {
			ops = append(ops, o.insert(kind, at+i)...)
		}
		return ops
	}),
}

// here writes what is said where the finding stands, where that is a value of
// the same sort.
func here(o *order, m []string) []op {
	n := o.root.Lookup(o.Pointer)
	if n == nil || n.Kind == source.Map || n.Kind == source.List {
		return nil
	}
	if strings.ContainsAny(m[1], " ") && !alike(n.Scalar, m[1]) {
		return nil
	}
	return set(o.Pointer, number(m[1]))
}

func text(o *order, m []string) []op {
	if o.root.Lookup(o.Pointer).Kind == source.Map {
		return set(o.Pointer+"/name", m[1])
	}
	return set(o.Pointer, m[1])
}

func vector(o *order, m []string) []op {
	var v []any
	for _, x := range list(m[1]) {
		f, _ := strconv.ParseFloat(x.(string), 64)
		v = append(v, f)
	}
	return set(o.Pointer, v)
}

func exchangeFromTo(o *order, _ []string) []op { return o.swap(o.Pointer+"/from", o.Pointer+"/to") }

// body writes the id of the body of that name.
func body(o *order, m []string) []op {
	for _, b := range o.root.Get("bodies").Items {
		if name := b.Get("name"); name != nil && name.Scalar == m[1] {
			return set(o.Pointer, b.Get("id").Scalar)
		}
	}
	return nil
}

func set(path string, v any) []op { return []op{{Op: "add", Path: path, Value: v}} }

// number is a bare number as one, and anything else as text.
func number(text string) any {
	if _, err := strconv.ParseFloat(text, 64); err == nil {
		return json.Number(text)
	}
	return text
}

func list(text string) []any {
	var items []any
	for _, x := range strings.Split(strings.Trim(text, "[]"), ", ") {
		items = append(items, x)
	}
	return items
}

func parent(pointer string) string { return pointer[:strings.LastIndex(pointer, "/")] }

// at is the scalar there.
func (o *order) at(pointer string) string {
	if n := o.root.Lookup(pointer); n != nil {
		return n.Scalar
	}
	return ""
}

// holder is where a member of that name is, from the finding outwards; else the
// one that a kit has one of.
func (o *order) holder(key string) string {
	if key == "pump" {
		return "/pump/part"
	}
	for p := o.Pointer; p != ""; p = parent(p) {
		if p[strings.LastIndex(p, "/")+1:] == key {
			return p
		}
		if n := o.root.Lookup(p); n != nil && n.Get(key) != nil {
			return p + "/" + key
		}
	}
	switch key {
	case "grease":
		return "/pump/grease"
	case "bolt":
		return "/pump/bolts/part"
	case "fuse", "cable":
		return "/feed/" + key
	case "fitting", "connector", "part":
		return o.Pointer
	case "pause", "run", "strokes":
		return "/pump/timer/" + key
	case "element":
		if n := o.root.Lookup(o.Pointer); n.Kind == source.Map {
			return o.Pointer + "/element"
		}
	case "blanked", "outlet", "conduit", "grommet", "leaves_at", "revision", "sprung", "free_length", "cut_length", "bend_radius", "pulled", "single":
		if n := o.root.Lookup(o.Pointer); n.Kind == source.Map {
			return o.Pointer + "/" + key
		}
		return parent(o.Pointer) + "/" + key
	case "raised_body":
		return "/vehicle/raised_body"
	}
	return o.Pointer
}

func (o *order) without(pointer string) []op {
	if o.root.Lookup(pointer) == nil {
		return nil
	}
	return []op{{Op: "remove", Path: pointer}}
}

// item is the place of the item of a list by the value of one of its members.
func (o *order) item(of, key, is string) string {
	for i, n := range o.root.Lookup(of).Items {
		if v := n.Get(key); v != nil && v.Scalar == is {
			return fmt.Sprintf("%s/%d", of, i)
		}
	}
	return ""
}

func (o *order) line(n string) string   { return o.item("/lines", "number", n) }
func (o *order) outlet(n string) string { return o.item("/pump/outlets", "number", n) }

func (o *order) swap(a, b string) []op {
	x, y := o.root.Lookup(a), o.root.Lookup(b)
	if x == nil || y == nil {
		return nil
	}
	return []op{{Op: "replace", Path: a, Value: json.RawMessage(y.JSON())}, {Op: "replace", Path: b, Value: json.RawMessage(x.JSON())}}
}

// everywhere writes another part wherever the kit names one.
func (o *order) everywhere(old, part string) []op {
	var ops []op
	scalars(o.root, func(n *source.Node) {
		if n.Scalar == old && !strings.HasPrefix(n.Pointer(), "/parts_list") {
			ops = append(ops, set(n.Pointer(), part)...)
		}
	})
	return ops
}

var axes = map[string]struct {
	index int
	sign  float64
}{"forwards": {0, 1}, "backwards": {0, -1}, "to the front": {0, 1}, "to the rear": {0, -1}, "to the left": {1, 1}, "to the right": {1, -1}, "up": {2, 1}, "down": {2, -1}}

// shift moves a position in a direction.
func (o *order) shift(pointer, way, by string) []op {
	a, known := axes[way]
	at := fmt.Sprintf("%s/%d", pointer, a.index)
	if !known || o.root.Lookup(at) == nil {
		return nil
	}
	if a.sign < 0 {
		return set(at, minus(o.at(at), by))
	}
	return set(at, plus(o.at(at), by))
}

// shiftEnds moves both ends of the segment that a finding is about: "l-1 to l-2".
func (o *order) shiftEnds(way, by string) []op {
	var ops []op
	ends := regexp.MustCompile(`, (.+) to (.+), near`).FindStringSubmatch(o.Place)
	if ends == nil {
		return nil
	}
	for _, end := range ends[1:] {
		if at := o.stop(end); at != "" {
			ops = append(ops, o.shift(at, way, by)...)
		}
	}
	return ops
}

// stop is where the position of a stop of a route stands; "" for the pump and
// for points, which stay where they are.
func (o *order) stop(name string) string {
	if n, is := strings.CutPrefix(name, "tail "); is {
		i, _ := strconv.Atoi(n)
		line := regexp.MustCompile(`^line (\d+)`).FindStringSubmatch(o.Place)
		return fmt.Sprintf("%s/tail/%d/position", o.line(line[1]), i-1)
	}
	for i := range o.root.Get("bundles").Items {
		if at := o.item(fmt.Sprintf("/bundles/%d/route", i), "id", name); at != "" {
			return at + "/position"
		}
	}
	return ""
}

var coordinate = regexp.MustCompile(`([xyz]): (-?[0-9.]+ [a-z]+)`)

func (o *order) coordinates(pointer, text string) []op {
	var ops []op
	for _, c := range coordinate.FindAllStringSubmatch(text, -1) {
		ops = append(ops, set(fmt.Sprintf("%s/%d", pointer, strings.Index("xyz", c[1])), c[2])...)
	}
	return ops
}

// outline widens the outline to a place.
func (o *order) outline(text string) []op {
	var ops []op
	for _, c := range coordinate.FindAllStringSubmatch(text, -1) {
		i, corner := strings.Index("xyz", c[1]), "/from/"
		if units.Format(0, units.Length, units.Metric); !strings.HasPrefix(c[2], "-") {
			corner = "/to/"
		}
		ops = append(ops, set(fmt.Sprintf("/vehicle/outline%s%d", corner, i), c[2])...)
	}
	return ops
}

// shortest writes the length of the shortest tube of a span.
func (o *order) shortest(to string) []op {
	at := parent(o.Pointer) + "/member_lengths"
	least, which := math.Inf(1), -1
	for i, n := range o.root.Lookup(at).Items {
		if l, _ := units.Parse(n.Get("length").Scalar, units.Length); l < least {
			least, which = l, i
		}
	}
	return set(fmt.Sprintf("%s/%d/length", at, which), to)
}

// bearing writes the figure to the side of the bearing that is farther from it.
func (o *order) bearing(to string) []op {
	want, _ := units.Parse(to, units.Length)
	d, _ := units.Parse(o.at(o.Pointer+"/diameter"), units.Length)
	w, _ := units.Parse(o.at(o.Pointer+"/width"), units.Length)
	if math.Abs(math.Log(d/want)) > math.Abs(math.Log(w/want)) {
		return set(o.Pointer+"/diameter", to)
	}
	return set(o.Pointer+"/width", to)
}

// upright turns the direction of the pump towards straight up.
func (o *order) upright(by string) []op {
	turn, _ := units.Parse(by, units.Angle)
	var v [3]float64
	for i := range v {
		v[i], _ = strconv.ParseFloat(o.at(fmt.Sprintf("/pump/up/%d", i)), 64)
	}
	flat := math.Hypot(v[0], v[1])
	lean := math.Atan2(flat, v[2]) - turn
	return set("/pump/up", []float64{v[0] / flat * math.Sin(lean), v[1] / flat * math.Sin(lean), math.Cos(lean)})
}

// bothWays counts the range from elsewhere, so that it goes that far to either
// side.
func (o *order) bothWays(least string) []op {
	from, to := o.at(o.Pointer+"/from"), o.at(o.Pointer+"/to")
	low, _ := units.Parse(from, units.Length)
	side, _ := units.Parse(least, units.Length)
	shift := minus(least, to)
	if low > -side {
		shift = minus(minus("0"+strings.TrimLeft(least, "0123456789."), least), from)
	}
	return append(set(o.Pointer+"/from", plus(from, shift)), set(o.Pointer+"/to", plus(to, shift))...)
}

// mirrorTail turns the tail of the line to the other side.
func (o *order) mirrorTail() []op {
	var ops []op
	for i := range o.root.Lookup(o.Pointer).Items {
		at := fmt.Sprintf("%s/%d/position/1", o.Pointer, i)
		if y := o.at(at); strings.HasPrefix(y, "-") {
			ops = append(ops, set(at, y[1:])...)
		} else {
			ops = append(ops, set(at, "-"+y)...)
		}
	}
	return ops
}

// flows states the flow pressure at a temperature.
func (o *order) flows(pressure, temperature string) []op {
	stated := map[string]any{"temperature": temperature, "pressure": pressure}
	want, _ := units.Parse(temperature, units.Temperature)
	for i, n := range o.root.Lookup(o.Pointer).Items {
		if is, _ := units.Parse(n.Get("temperature").Scalar, units.Temperature); math.Abs(is-want) < 0.1 {
			return []op{{Op: "replace", Path: fmt.Sprintf("%s/%d", o.Pointer, i), Value: stated}}
		}
	}
	return set(o.Pointer+"/-", stated)
}

// tubes writes the tube of every line that the place names, or that its bundle
// holds.
func (o *order) tubes(tube string) []op {
	var ops []op
	what, name, _ := strings.Cut(strings.Split(o.Place, ",")[0], " ")
	for i, l := range o.root.Get("lines").Items {
		if n := l.Get(map[string]string{"line": "number", "bundle": "bundle"}[what]); n != nil && n.Scalar == name {
			ops = append(ops, set(fmt.Sprintf("/lines/%d/tube", i), tube)...)
		}
	}
	return ops
}

func (o *order) sided(side string) string {
	name := o.at(o.Pointer)
	for _, word := range []string{", left", ", right", " left", " right"} {
		name = strings.ReplaceAll(name, word, "")
	}
	return name + ", " + side
}

func (o *order) renumber() []op {
	var ops []op
	for i := range o.root.Get("lines").Items {
		ops = append(ops, set(fmt.Sprintf("/lines/%d/number", i), i+1)...)
	}
	return ops
}

func (o *order) takeOut(line string) []op {
	for i, n := range o.root.Lookup(o.Pointer).Items {
		if n.Scalar == line {
			return []op{{Op: "remove", Path: fmt.Sprintf("%s/%d", o.Pointer, i)}}
		}
	}
	return nil
}

// step is a step of that kind, with words that say what it is.
func step(kind string) any {
	return map[string]any{"step": kind, "text": "Do what this step is about: " + strings.ReplaceAll(kind, "-", " ") + "."}
}

func (o *order) insert(kind string, at int) []op {
	if o.root.Get("procedure") == nil || at < 0 {
		return nil
	}
	return []op{{Op: "add", Path: fmt.Sprintf("/procedure/%d", at), Value: step(kind)}}
}

// last is the place of the last step of one of the kinds.
func (o *order) last(kinds ...string) int {
	at := -1
	if p := o.root.Get("procedure"); p != nil {
		for i, s := range p.Items {
			if slices.Contains(kinds, s.Get("step").Scalar) {
				at = i
			}
		}
	}
	return at
}

// steps writes the procedure with the first step of each kind in this order,
// where the first of them that is there stands now.
func (o *order) steps(kinds ...string) []op {
	p := o.root.Get("procedure")
	if p == nil {
		return nil
	}
	var rest, ordered []any
	found, at := map[string]any{}, -1
	for i, s := range p.Items {
		kind := s.Get("step").Scalar
		if slices.Contains(kinds, kind) && found[kind] == nil {
			found[kind] = json.RawMessage(s.JSON())
			if at < 0 || at == len(rest) && i == at {
				at = len(rest)
			}
			continue
		}
		rest = append(rest, json.RawMessage(s.JSON()))
	}
	for _, kind := range kinds {
		if found[kind] == nil {
			found[kind] = step(kind)
		}
		ordered = append(ordered, found[kind])
	}
	return []op{{Op: "replace", Path: "/procedure", Value: slices.Insert(rest, max(at, 0), ordered...)}}
}

// after moves the step of the finding behind the last of a kind.
func (o *order) after(kind string) []op {
	to := o.last(kind)
	if to < 0 {
		return nil
	}
	return []op{{Op: "move", From: o.Pointer, Path: fmt.Sprintf("/procedure/%d", to)}}
}

// The sum, the difference and the multiple of measured values, in metres,
// amperes and so on with all their digits.
func plus(a, b string) string  { return combine(a, b, 1) }
func minus(a, b string) string { return combine(a, b, -1) }

func combine(a, b string, sign float64) string {
	numberA, unitA, _ := strings.Cut(a, " ")
	of, _ := units.Lookup(unitA)
	x, _ := units.Parse(a, of.Dim)
	y, _ := units.Parse(b, of.Dim)
	was, _ := strconv.ParseFloat(numberA, 64)
	one, _ := units.Parse("1 "+unitA, of.Dim)
	if x == 0 {
		was = 0
	}
	return strconv.FormatFloat(math.Round((was+sign*y/one)*1e9)/1e9, 'f', -1, 64) + " " + unitA
}

func times(a string, by float64) string {
	n, unit, _ := strings.Cut(a, " ")
	x, _ := strconv.ParseFloat(n, 64)
	return strconv.FormatFloat(x*by, 'f', -1, 64) + " " + unit
}
