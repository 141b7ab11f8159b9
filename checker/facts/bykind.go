package facts

import (
	"maps"

	"kitgauge/checker/kit"
	"kitgauge/checker/quantities/fittings"
	"kitgauge/checker/value"
)

// taken are the kinds of part of which a kit takes some without naming one,
// with how many.
var taken = map[string]func(*kit.Kit) int64{
	"tie": func(k *kit.Kit) int64 {
		return stationsWith(k, func(s *kit.Station) int64 {
			return int64(len(s.Ties)) + one(s.Hold.V == "tie" && s.Part.ID.Node == nil)
		}) + lastTies(k)
	},
	"clip": func(k *kit.Kit) int64 {
		return stationsWith(k, func(s *kit.Station) int64 { return one(s.Hold.V == "clip" && s.Part.ID.Node == nil) })
	},
	"grommet": func(k *kit.Kit) int64 {
		n := stationsWith(k, func(s *kit.Station) int64 {
			return one(s.Grommet.V || s.Hold.V == "grommet" && s.Part.ID.Node == nil)
		})
		for _, p := range k.Feed.Passages {
			n += one(p.Grommet.V)
		}
		return n
	},
	"blank": func(k *kit.Kit) int64 {
		n := int64(0)
		for _, o := range k.Pump.Outlets {
			n += one(o.Blanked.V)
		}
		return n
	},
	"marker": func(k *kit.Kit) int64 {
		n := int64(0)
		for _, l := range k.Lines {
			n += one(l.PumpMarker.Known) + one(l.PointMarker.Known)
		}
		return n
	},
	"fuse-holder": func(k *kit.Kit) int64 { return one(k.Feed.Fuse.ID.Known) },
	"bracket":     func(k *kit.Kit) int64 { return one(k.Pump.Part.ID.Known) },
}

// takenByKind reports whether a kit takes parts of a kind without naming them.
func takenByKind(kind string) bool { return taken[kind] != nil }

// Taken counts the parts of each kind that the kit takes without naming one:
// clips and ties where tubes are held, grommets where they pass, blanks for
// outlets without a line, markers for the ends of the tubes, a holder for the
// fuse and a bracket for the pump.
func (k *Kit) Taken() map[string]int64 {
	counts := map[string]int64{}
	for kind := range maps.Keys(taken) {
		counts[kind] = taken[kind](k.Kit)
	}
	return counts
}

// Fitting lists the parts of such a kind that stand the air of the vehicle, and
// whose thread is that of the pump's outlets.
func (k *Kit) Fitting(kind string) []*kit.Part {
	var list []*kit.Part
	for _, e := range k.Kit.Parts.OfKind(kind) {
		r, has := madeFor(e)
		air := k.Kit.Vehicle.Ambient
		if has && !stands(r.From, r.To, air.From, air.To) {
			continue
		}
		if b, is := e.(*kit.Blank); is && !plugs(k.Kit, b) {
			continue
		}
		list = append(list, kit.Common(e))
	}
	return list
}

// plugs reports whether a blank goes into the outlets of the pump.
func plugs(k *kit.Kit, b *kit.Blank) bool {
	if k.Pump.Part.To == nil {
		return false
	}
	has, err := fittings.Parse(b.Thread.V)
	hole, errHole := fittings.Parse(k.Pump.Part.To.OutletThread.V)
	if err != nil || errHole != nil {
		return false
	}
	goes, _ := fittings.Screw(has, hole)
	return goes
}

// byKind notes at the first row of each such kind how many the kit takes and
// the list has. Where the list has no clips, ties do their work; a row whose
// part is not known may be of clips.
func byKind(k *kit.Kit, rows []*ListRow) {
	first, clips := map[string]*ListRow{}, false
	for _, row := range rows {
		clips = clips || row.Entry == nil || row.Entry.Kind.V == "clip"
		if row.Entry == nil || !takenByKind(row.Entry.Kind.V) || !row.Quantity.Known {
			continue
		}
		at := first[row.Entry.Kind.V]
		if at == nil {
			at = row
			first[row.Entry.Kind.V] = row
			row.KindNeeded, row.KindCount = value.Known(taken[row.Entry.Kind.V](k)), value.Known[int64](0)
		}
		at.KindCount.V += row.Quantity.V
	}
	if ties := first["tie"]; ties != nil {
		ties.KindNeeded.V += stationsWith(k, func(s *kit.Station) int64 { return one(s.Part.To != nil && s.Part.To.Kind.V == "tie") })
		if !clips {
			ties.KindNeeded.V += taken["clip"](k)
		}
	}
}

func one(is bool) int64 {
	if is {
		return 1
	}
	return 0
}

// stationsWith adds up what is counted at every station of the kit.
func stationsWith(k *kit.Kit, count func(*kit.Station) int64) int64 {
	n := int64(0)
	for _, b := range k.Bundles {
		for _, s := range b.Route {
			n += count(s)
		}
	}
	for _, l := range k.Lines {
		for _, s := range l.Tail {
			n += count(s)
		}
	}
	return n
}

func lastTies(k *kit.Kit) int64 {
	n := int64(0)
	for _, l := range k.Lines {
		n += int64(len(l.LastTies))
	}
	return n
}
