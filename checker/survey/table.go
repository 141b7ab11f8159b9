// Package survey holds the sheet on which a vehicle is surveyed: what is asked
// for, in the terms of the kit file, one row a thing. A sheet is written blank
// or from a kit, as a workbook or as CSV files, read back cell by cell, and
// made into the part of a kit file that was surveyed. What a cell can hold
// follows from the model of the kit file; nothing of it is stated again here.
package survey

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"sync"

	"kitgauge/checker/kit"
	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

// Table is one sheet of the survey: a list of things with a row for each, or a
// form with a row for each member of one thing.
type Table struct {
	Name    string // of the worksheet and of the CSV file
	Title   string
	About   string // how it is filled in
	Form    bool
	Blank   int // rows of a list that is to be filled in by hand
	Columns []*Column
}

// Column is one column of a list, or one row of a form.
type Column struct {
	Key    string   // the member of the kit file, from the thing on: "bearing.diameter"
	Says   string   // what it is, as the schema of the kit file says
	From   string   // the table whose first column is to choose from; "" where there is none
	Words  []string // to choose from
	Unit   [2]string
	Wide   float64 // of the paper, in characters
	kind   leaf
	dim    units.Dimension
	varies bool // an angle or a length, by the kind of joint
	many   bool // several, with commas between
}

// leaf is what a cell holds.
type leaf int

const (
	text leaf = iota
	number
	plain // a number without a unit
	count
	flag
	day
)

// The members that only the sheet has: on which way a station lies, and which
// of the former greases a point has had.
const (
	wayKey    = "way"
	formerKey = "greased_before"
)

// Tables lists the sheets of a survey in their order.
var Tables = sync.OnceValue(func() []*Table {
	list := []*Table{
		form("vehicle", "The vehicle", "One vehicle, in its rest position: straight ahead, springs at ride height, bodies down. Measure everything from the datum: x forward, y to the left, z up.",
			"header.number header.title header.owner header.drawn_by header.date header.units vehicle.description vehicle.datum vehicle.outline.from.x vehicle.outline.from.y vehicle.outline.from.z vehicle.outline.to.x vehicle.outline.to.y vehicle.outline.to.z vehicle.ambient.from vehicle.ambient.to vehicle.wash_down vehicle.hours_a_day vehicle.days_a_week vehicle.supply vehicle.least_supply vehicle.refill_interval vehicle.raised_body vehicle.heat_sources"),
		list("bodies", "Bodies", "What moves as one piece: the frame, each axle, each knuckle, a hopper, a boom. Sprung: carried by the springs.", 14, "bodies",
			"id name sprung"),
		list("joints", "Joints", "How one body moves against another. The sketches on the last sheet show where each range begins and how it is measured. Axis: 1, 0, 0 lies along the vehicle, 0, 1, 0 across, 0, 0, 1 upright. A slide has no pivot.", 14, "joints",
			"id name role kind parent child pivot.x pivot.y pivot.z axis.x axis.y axis.z range.from range.to"),
		list("greases", "Greases used until now", "Look at the drum or the cartridge, and ask who greases the vehicle.", 4, "vehicle.greased_before",
			"designation thickener may_meet"),
		list("points", "Grease points", "A row for each grease nipple. Measure the thread with a gauge. Bearing: the shaft or pin, and the width of its bush; of a rolling bearing the outside diameter and how often it was greased.", 48, "points",
			"id name body position.x position.y position.z thread access bearing.kind bearing.diameter bearing.width bearing.interval demand back_pressure back_pressure_at temperature greased_before note"),
		list("stations", "Stations", "Places where a clip can go, from the pump outwards. Way: a letter for each way along the vehicle; the id of a point for the last piece to that point; left empty, the nearest tubes use it.", 80, "bundles.route",
			"id way body position.x position.y position.z hold tied_to passage grommet sag_room bend_radius uncovered note"),
		list("zones", "Places to keep away from", "Heat, moving parts, wheels with their travel, sharp edges. A capsule or cylinder has two ends and a radius, a box two opposite corners.", 14, "zones",
			"id name kind shape body from.x from.y from.z to.x to.y to.z radius clearance shielded temperature"),
		form("pump", "The place of the pump", "Where the pump can go, and from which side it is filled. The figures of bracket and reservoir are filled in once the pump is there.",
			"pump.body pump.position.x pump.position.y pump.position.z pump.up.x pump.up.y pump.up.z pump.filler.x pump.filler.y pump.filler.z pump.filler_side pump.side_free pump.bolts.spacing pump.bolts.width pump.bolts.overhang pump.bolts.acceleration pump.hole_pattern pump.fill.lower_mark pump.fill.upper_mark pump.low_level_warns pump.warning_volume"),
		form("feed", "The feed", "Where the current is taken from and along which way it goes. Work on a vehicle's wiring is for people trained for it.",
			"feed.take_off feed.circuit.rating feed.circuit.load feed.fuse_distance feed.sheathed feed.fuse_temperature feed.holder_resistance feed.length feed.loaded_conductors feed.return feed.return_resistance feed.temperature feed.note"),
		list("passages", "Passages of the feed", "Where the cable goes through sheet metal.", 5, "feed.passages", "name grommet"),
		list("connectors", "Connectors of the feed", "Where the cable is joined, and whether that is in the cab or outside.", 5, "feed.connectors", "name place"),
	}
	for _, t := range list {
		t.finish()
	}
	return list
})

// Find is the table of a name; nil where there is none.
func Find(name string) *Table {
	i := slices.IndexFunc(Tables(), func(t *Table) bool { return t.Name == name })
	if i < 0 {
		return nil
	}
	return Tables()[i]
}

// Names lists the tables.
func Names() []string {
	var names []string
	for _, t := range Tables() {
		names = append(names, t.Name)
	}
	return names
}

func form(name, title, about, keys string) *Table {
	t := &Table{Name: name, Title: title, About: about, Form: true}
	t.columns("", keys)
	return t
}

func list(name, title, about string, blank int, at, keys string) *Table {
	t := &Table{Name: name, Title: title, About: about, Blank: blank}
	t.columns(at, keys)
	return t
}

// columns makes the columns of the members that keys names.
func (t *Table) columns(at, keys string) {
	for key := range strings.FieldsSeq(keys) {
		c := &Column{Key: key, Wide: 9}
		if key == wayKey || key == formerKey {
			c.many = key == formerKey
		} else {
			c.resolve(strings.TrimPrefix(at+"."+key, "."))
		}
		t.Columns = append(t.Columns, c)
	}
}

// resolve looks up in the model what a member holds.
func (c *Column) resolve(path string) {
	at, dim := reflect.TypeFor[kit.Kit](), value.Member{}
	for key := range strings.SplitSeq(path, ".") {
		for at.Kind() == reflect.Slice || at.Kind() == reflect.Pointer {
			at = at.Elem()
		}
		members := value.Members(at)
		i := slices.IndexFunc(members, func(m value.Member) bool { return m.Key == key })
		if i < 0 {
			panic(fmt.Sprintf("survey: the kit file has no member %s", path))
		}
		m := members[i]
		at = m.Type
		if m.Inherit {
			m.Dim, m.HasDim, m.Varies = dim.Dim, dim.HasDim, dim.Varies
		}
		dim = m
	}
	c.dim, c.varies = dim.Dim, dim.Varies
	c.Says, c.Words = describe(path)
	switch at {
	case reflect.TypeFor[value.Number]():
		c.kind = number
		if dim.HasDim && dim.Dim == units.Plain {
			c.kind = plain
		}
	case reflect.TypeFor[value.Count]():
		c.kind = count
	case reflect.TypeFor[value.Flag]():
		c.kind = flag
	}
}

// special is what a column has beside its member.
var special = map[string]Column{
	"bodies.id":           {Wide: 26},
	"bodies.name":         {Wide: 60},
	"joints.id":           {Wide: 14},
	"joints.name":         {Wide: 22},
	"joints.role":         {Wide: 12},
	"joints.parent":       {From: "bodies", Wide: 13},
	"joints.child":        {From: "bodies", Wide: 13},
	"greases.designation": {Wide: 26},
	"greases.thickener":   {Wide: 34},
	"greases.may_meet":    {Wide: 60},
	"points.id":           {Wide: 8},
	"points.name":         {Wide: 28},
	"points.body":         {From: "bodies", Wide: 13},
	"points.thread":       {Wide: 10},
	"points.access":       {Wide: 8},
	"points.note":         {Wide: 18},
	"points." + formerKey: {From: "greases", Wide: 13, Says: "The greases that it has had until now, of the sheet greases; several with commas between."},
	"stations.body":       {From: "bodies", Wide: 15},
	"stations." + wayKey:  {Wide: 8, Says: "The way on which it lies, walked from the pump outwards: a letter for each way, or the id of a point for the last piece to it. Empty: any tube may use it."},
	"stations.note":       {Wide: 26},
	"points.temperature":  {Wide: 11},
	"zones.temperature":   {Wide: 11},
	"zones.name":          {Wide: 24},
	"zones.body":          {From: "bodies", Wide: 14},
	"passages.name":       {Wide: 70},
	"connectors.name":     {Wide: 70},
	"pump.pump.body":      {From: "bodies"},
	"vehicle.header.date": {kind: day},

	"vehicle.vehicle.hours_a_day":     {Unit: [2]string{"h", "h"}},
	"vehicle.vehicle.refill_interval": {Unit: [2]string{"wk", "wk"}},
	"feed.feed.length":                {Unit: [2]string{"m", "ft"}},
	"feed.feed.holder_resistance":     {Unit: [2]string{"mohm", "mohm"}},
	"feed.feed.return_resistance":     {Unit: [2]string{"mohm", "mohm"}},
}

// usual are the units in which things are measured under a vehicle, where the
// column has no other: metric and inch.
var usual = map[units.Dimension][2]string{
	units.Length: {"mm", "in"}, units.Temperature: {"degC", "degF"}, units.Pressure: {"bar", "psi"}, units.Voltage: {"V", "V"},
	units.Current: {"A", "A"}, units.VolumeFlow: {"cm3/h", "in3/h"}, units.Volume: {"l", "in3"}, units.Acceleration: {"gn", "gn"}, units.Angle: {"deg", "deg"},
}

// finish fills in what is special, and the units.
func (t *Table) finish() {
	for _, c := range t.Columns {
		s := special[t.Name+"."+c.Key]
		c.From = s.From
		if s.kind != text {
			c.kind = s.kind
		}
		if s.Says != "" {
			c.Says = s.Says
		}
		if s.Wide > 0 {
			c.Wide = s.Wide
		}
		switch {
		case c.kind != number || c.varies:
		case s.Unit[0] != "":
			c.Unit = s.Unit
		default:
			c.Unit = usual[c.dim]
			if c.Unit[0] == "" {
				panic("survey: no unit for " + t.Name + "." + c.Key)
			}
		}
	}
}

// Head is the head of the column: the member's name, with its unit.
func (c *Column) Head(f units.Family) string {
	return c.label() + c.unitHead(f)
}

func (c *Column) label() string {
	return strings.NewReplacer(".", " ", "_", " ").Replace(c.Key)
}

// unitHead is the unit in brackets, "" where there is none.
func (c *Column) unitHead(f units.Family) string {
	if u := c.unit(f); u != "" {
		return " (" + u + ")"
	}
	return ""
}

func (c *Column) unit(f units.Family) string {
	if c.varies {
		return "deg or " + usual[units.Length][f]
	}
	return c.Unit[f]
}
