package injection_test

import (
	"encoding/json"
	"fmt"
	"math"
	"path"
	"strconv"
	"sync"

	"kitgauge/checker/internal/fleet"
	"kitgauge/checker/source"
)

// wrongCatalogue holds parts like those of the example catalogue, each with
// one figure that is wrong for the kit that gets it.
const wrongCatalogue = "wrong.parts.json"

// readFile reads the catalogues of the fleet, and the wrong one.
func readFile(from, file string) ([]byte, error) {
	if path.Base(file) == wrongCatalogue {
		return wrong(), nil
	}
	return fleet.ReadFile(from, file)
}

// parts is the example catalogue by number.
var parts = sync.OnceValue(func() map[string]object {
	text, err := fleet.ReadFile("", "winter.parts.yaml")
	if err != nil {
		panic(err)
	}
	docs, problems := source.Parse("winter.parts.yaml", text)
	if len(problems) > 0 {
		panic(problems[0])
	}
	root, err := parse(docs[0].Root.JSON())
	if err != nil {
		panic(err)
	}
	out := map[string]object{}
	for _, p := range items(root, "parts") {
		out[textOf(p, "number")] = p
	}
	return out
})

var textOf = text // as a parameter may be called text

// Pressures and diameters of which there is a wrong part.
const (
	leastPressure, mostPressure, pressureStep = 6, 120, 2 // bar
	leastInner, mostInner                     = 30, 180   // tenths of a mm
)

var stiffRadii = []int{60, 90, 130, 200, 300, 450, 700, 1100, 1800, 3000}

func within(from, to string) object { return object{"from": from, "to": to} }

// pumpWrongs are the figures that are wrong in a pump.
func pumpWrongs(outlets int) map[string]object {
	return map[string]object{
		"few": {"outlets": outlets}, "nocount": {"counts_strokes": false},
		"longrun": {"run": within("5 min", "30 min")}, "shortrun": {"run": within("10 s", "30 s")},
		"longpause": {"pause": within("2 h", "24 h")}, "shortpause": {"pause": within("5 min", "20 min")},
		"hotmotor": {"duty_share": 0.005}, "nothread": {"outlet_thread": nil}, "open": {"enclosure": "IP20"},
		"nolevel": {"low_level_switch": false}, "summer": {"temperature": within("0 degC", "70 degC")},
		"winter": {"temperature": within("-35 degC", "20 degC")}, "half": {"voltage": "12 V", "minimum_voltage": "9 V"},
		"soft": {"stiffest_grease": "0"}, "stiff": {"softest_grease": "2"}, "tiny": {"reservoir": "1 l"},
	}
}

// wrong writes the wrong catalogue.
var wrong = sync.OnceValue(func() []byte {
	var list []any
	like := func(number, tag string, change object) {
		p := clone(parts()[number])
		p["number"] = number + "-" + tag
		for k, v := range change {
			p[k] = v
			if v == nil {
				delete(p, k)
			}
		}
		list = append(list, p)
	}
	for number, outlets := range map[string]int{"FG-P12": 3, "FG-P36": 12, "FG-P84": 36} {
		for tag, change := range pumpWrongs(outlets) {
			like(number, tag, change)
		}
	}
	for _, number := range []string{"FG-T4", "FG-C14", "FG-C17", "FG-F4S", "FG-F4P", "FG-W25", "FG-Y1"} {
		like(number, "summer", object{"temperature": within("0 degC", "120 degC")})
		like(number, "winter", object{"temperature": within("-40 degC", "20 degC")})
	}
	for p := leastPressure; p <= mostPressure; p += pressureStep {
		like("FG-T4", "p"+strconv.Itoa(p), object{"pressure": fmt.Sprintf("%d bar", p)})
		like("FG-F4S", "p"+strconv.Itoa(p), object{"pressure": fmt.Sprintf("%d bar", p)})
	}
	for d := leastInner; d <= mostInner; d++ {
		like("FG-C14", "i"+strconv.Itoa(d), object{"inner": fmt.Sprintf("%.1f mm", float64(d)/10)})
	}
	for _, number := range []string{"FG-C14", "FG-C17"} {
		like(number, "closed", object{"split": false})
		like(number, "soft", object{"temperature": within("-40 degC", "70 degC")})
		for _, r := range stiffRadii {
			like(number, "r"+strconv.Itoa(r), object{"bend_radius": fmt.Sprintf("%d mm", r)})
		}
	}
	like("FG-K67", "open", object{"enclosure": "IP20"})
	like("FG-G1", "autumn", object{"designation": "KP1K-10"})
	text, err := json.Marshal(object{"title": "Wrong parts", "revision": "1", "parts": list})
	if err != nil {
		panic(err)
	}
	return text
})

// use names the wrong catalogue in the kit and returns the number of its part
// that is like number.
func (t *tree) use(number, tag string) string {
	list := t.root["catalogues"].([]any)
	if list[len(list)-1] != wrongCatalogue {
		t.root["catalogues"] = append(list, wrongCatalogue)
	}
	return number + "-" + tag
}

// pump exchanges the pump for a wrong one.
func (t *tree) pump(tag string) {
	p := t.at("pump")
	p["part"] = t.use(text(p, "part"), tag)
	t.relist()
}

// relist writes the parts list anew, so that it is right for the kit as it is.
func (t *tree) relist() {
	var order []string
	pieces, metres := map[string]int{}, map[string]float64{}
	seen := map[string]bool{}
	use := func(part string) bool {
		if part != "" && !seen[part] {
			seen[part] = true
			order = append(order, part)
		}
		return part != ""
	}
	count := func(part string, n int) {
		if use(part) {
			pieces[part] += n
		}
	}
	roll := func(part string, mm float64) {
		if use(part) {
			metres[part] += mm / 1000
		}
	}
	p := t.at("pump")
	count(text(p, "part"), 1)
	count(text(t.at("pump", "bolts"), "part"), number(t.at("pump", "bolts"), "count"))
	for _, o := range items(p, "outlets") {
		count(text(o, "element"), 1)
	}
	for _, l := range t.items("lines") {
		t.listLine(l, count, roll)
	}
	for _, b := range t.items("bundles") {
		roll(text(b, "conduit"), t.covered(b))
		ties(items(b, "route"), count)
	}
	feed := t.at("feed")
	count(text(feed, "fuse"), 2)
	if use(text(feed, "cable")) {
		metres[text(feed, "cable")] = 2*mm(feed, "length")/1000 + 0.5
	}
	for _, c := range items(feed, "connectors") {
		count(text(c, "part"), 1)
	}
	for _, row := range t.items("parts_list") { // ties are listed for more than the stations that name one
		part := text(row, "part")
		if text(parts()[part], "kind") == "tie" {
			count(part, max(0, number(row, "quantity")-pieces[part]))
		}
	}
	t.writeList(order, pieces, metres)
}

func (t *tree) listLine(l object, count func(string, int), roll func(string, float64)) {
	if has(l, "cut_length") {
		roll(text(l, "tube"), mm(l, "cut_length"))
	} else {
		roll(text(l, "tube"), 20000)
	}
	count(text(l, "pump_fitting"), 1)
	count(text(l, "point_fitting"), 1)
	ties(items(l, "tail"), count)
}

func ties(route []object, count func(string, int)) {
	for _, s := range route {
		count(text(s, "part"), 1)
	}
}

// covered is the length of a bundle's conduit in mm.
func (t *tree) covered(b object) float64 {
	w, sum := t.bundleWalk(b), 0.0
	for i := 1; i < len(w.stops); i++ {
		if h := (hop{w, i}); !h.fixed() {
			sum += mm(h.b().node, "free_length")
		} else {
			sum += h.long()
		}
	}
	return sum
}

// writeList writes the rows: a spare and a few more of what is counted, a
// twentieth more of what is cut.
func (t *tree) writeList(order []string, pieces map[string]int, metres map[string]float64) {
	grease := object{}
	for _, r := range t.items("parts_list") {
		if has(r, "volume") {
			grease = r
		}
	}
	var rows []object
	for _, part := range order {
		switch {
		case metres[part] > 0:
			rows = append(rows, object{"part": part, "length": t.length(math.Ceil(metres[part]*1.05) * 1000)})
		case spared(part):
			rows = append(rows, object{"part": part, "quantity": pieces[part] + 2})
		default:
			rows = append(rows, object{"part": part, "quantity": pieces[part]})
		}
	}
	grease["part"] = text(t.at("pump"), "grease")
	t.setAll("parts_list", append(rows, grease))
}

// spared tells of which kinds a spare is packed: fittings and ties.
func spared(part string) bool { return contains(part, "FG-F") || contains(part, "FG-Y") }
