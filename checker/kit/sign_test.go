package kit_test

import (
	"reflect"
	"strings"
	"testing"

	"kitgauge/checker/decode"
	"kitgauge/checker/kit"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// mayBeBelow lists what can be below 0, beside temperatures: places and
// directions, how far a joint moves from rest, and a clearance, of which a rule
// says it.
var mayBeBelow = map[string]bool{
	"Outline.from": true, "Outline.to": true, "Joint.pivot": true, "Joint.axis": true, "Joint.range": true,
	"Point.position": true, "PumpFit.position": true, "PumpFit.up": true, "PumpFit.filler": true, "Stop.position": true, "Station.position": true,
	"Zone.from": true, "Zone.to": true, "Zone.clearance": true,
}

// Every measured member of kits and catalogues refuses what is below 0, but for
// those of the table. Source: what the members are (geometry and arithmetic).
func TestBelowZero(t *testing.T) {
	seen := map[reflect.Type]bool{}
	measured := 0
	measured += belowZero(t, reflect.TypeFor[kit.Kit](), seen)
	for _, of := range []reflect.Type{
		reflect.TypeFor[kit.Pump](), reflect.TypeFor[kit.Element](), reflect.TypeFor[kit.Tube](), reflect.TypeFor[kit.Conduit](),
		reflect.TypeFor[kit.Fitting](), reflect.TypeFor[kit.Fuse](), reflect.TypeFor[kit.Cable](), reflect.TypeFor[kit.Connector](),
		reflect.TypeFor[kit.Grease](), reflect.TypeFor[kit.Bolt](), reflect.TypeFor[kit.Tie](), reflect.TypeFor[kit.Blank](), reflect.TypeFor[kit.Piece](),
	} {
		measured += belowZero(t, of, seen)
	}
	if measured < 90 {
		t.Errorf("got %d measured members; want all of the model", measured)
	}
}

func belowZero(t *testing.T, of reflect.Type, seen map[reflect.Type]bool) int {
	for of.Kind() == reflect.Pointer || of.Kind() == reflect.Slice {
		of = of.Elem()
	}
	if of.Kind() != reflect.Struct || seen[of] || !strings.HasSuffix(of.PkgPath(), "checker/kit") {
		return 0
	}
	seen[of] = true
	measured := 0
	for _, m := range value.Members(of) {
		switch m.Type {
		case reflect.TypeFor[value.Number](), reflect.TypeFor[kit.Range](), reflect.TypeFor[kit.Vector]():
			if m.HasDim || m.Varies {
				measured++
				refuses(t, of, m)
			}
		default:
			measured += belowZero(t, m.Type, seen)
		}
	}
	return measured
}

// refuses holds one member to the table.
func refuses(t *testing.T, of reflect.Type, m value.Member) {
	t.Helper()
	below := "-1"
	switch unit := units.Accepted(m.Dim); {
	case m.Varies:
		below = "-1 deg"
	case m.Spread:
		below = "-1 K"
	case m.Dim != units.Plain:
		below += " " + unit[0]
	}
	text := m.Key + ": " + below
	switch m.Type {
	case reflect.TypeFor[kit.Range]():
		text = m.Key + ": {from: " + below + ", to: " + below + "}"
	case reflect.TypeFor[kit.Vector]():
		text = m.Key + ": [" + below + ", " + below + ", " + below + "]"
	}
	name := of.Name() + "." + m.Key
	may := mayBeBelow[name] || m.Dim == units.Temperature && m.HasDim && !m.Spread
	var told []string
	for _, p := range decode.Into(parse(t, "k.kit.yaml", text+"\n").Root, reflect.New(of).Interface()) {
		if strings.Contains(p.Message, "cannot be below 0") {
			told = append(told, p.Message)
		}
	}
	if may == (len(told) > 0) {
		t.Errorf("%s: %s: told %q; may be below 0: %v", name, text, told, may)
	}
}
