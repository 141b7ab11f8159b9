package kit

import (
	"kitgauge/checker/decode"
	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
	"kitgauge/checker/value"
)

// Read makes the model of a kit file; its references are still open.
func Read(doc *source.Document) (*Kit, []*source.Problem) {
	k := new(Kit)
	problems := decode.Into(doc.Root, k)
	return k, problems
}

// ReadConcessions reads a file of concessions, which has the same list as a
// kit file.
func ReadConcessions(doc *source.Document) ([]*Concession, []*source.Problem) {
	var file struct {
		Concessions []*Concession `key:"concessions"`
	}
	problems := decode.Into(doc.Root, &file)
	return file.Concessions, problems
}

// Resolve fills in the references within the kit and to the catalogue. A
// line's references to its point and its bundle are left to the rules, which
// report them in their own words.
func (k *Kit) Resolve(c *Catalogue) []*source.Problem {
	k.Parts = c
	s := new(speller)
	r := resolver{
		speller: s,
		bodies:  newIndex(s, "body", k.Bodies, func(b *Body) value.Text { return b.ID }),
		points:  newIndex(s, "point", k.Points, func(p *Point) value.Text { return p.ID }),
		bundles: newIndex(s, "bundle", k.Bundles, func(b *Bundle) value.Text { return b.ID }),
		parts:   c,
	}
	r.vehicle(k)
	r.pump(&k.Pump)
	for _, l := range k.Lines {
		r.line(l)
	}
	for _, b := range k.Bundles {
		part(&r, &b.Conduit, "conduit")
		r.route(b.Route)
	}
	for _, z := range k.Zones {
		r.body(&z.Body)
	}
	part(&r, &k.Feed.Fuse, "fuse")
	part(&r, &k.Feed.Cable, "cable")
	for _, f := range k.Feed.Connectors {
		part(&r, &f.Part, "connector")
	}
	for _, p := range k.PartsList {
		p.Entry = c.Part(p.Part.V)
		open := Ref[Part]{ID: p.Part}
		if open.ID.Known && p.Entry == nil {
			why := find(c, s, &open, "")
			r.note("part", open.Source(), why, k.listedMeant(s, p.Part.V))
		}
	}
	r.settle(k)
	return r.problems
}

// listedMeant is the part that is meant by a misspelt row of the parts list: one
// that the kit uses, and that has no row.
func (k *Kit) listedMeant(s *speller, name string) string {
	listed := map[string]bool{}
	for _, p := range k.PartsList {
		listed[p.Part.V] = true
	}
	var used []string
	for u := range s.uses {
		if u.what == "part" && !listed[u.name] {
			used = append(used, u.name)
		}
	}
	if meant := spelling.Only(name, used); spelling.Near(name, meant) {
		return meant
	}
	return ""
}

type resolver struct {
	speller  *speller
	bodies   *index[Body]
	points   *index[Point]
	bundles  *index[Bundle]
	parts    *Catalogue
	problems []*source.Problem
	kinds    []string // of what the problems are about
}

// settle keeps of what may be meant what is certain, now that all names were
// seen.
func (r *resolver) settle(k *Kit) {
	for i, p := range r.problems {
		what, name, meant := r.kinds[i], p.Node.Scalar, p.Meant
		p.Meant = r.speller.certain(what, name, meant)
		if what == "body" && r.speller.renamed(what, name, meant) {
			p.Meant, p.Wrong = name, r.bodies.nodes[meant]
		}
	}
	for _, l := range k.Lines {
		r.points.free(&l.Point)
		l.Point.meant = r.speller.certain("point", l.Point.ID.V, l.Point.meant)
		l.Bundle.meant = r.speller.certain("bundle", l.Bundle.ID.V, l.Bundle.meant)
	}
	k.stations(r.speller)
}

func (r *resolver) note(what string, n *source.Node, why, meant string) {
	if why != "" {
		r.kinds = append(r.kinds, what)
		r.problems = append(r.problems, &source.Problem{Pos: n.Pos(), Message: why, Node: n, Meant: meant, Nearest: spelling.Hinted(why)})
	}
}

func (r *resolver) body(ref *Ref[Body]) {
	why := r.bodies.resolve(ref)
	r.note("body", ref.Source(), why, ref.Meant())
}

func part[T any](r *resolver, ref *Ref[T], kind string) {
	why := find(r.parts, r.speller, ref, kind)
	r.note("part", ref.Source(), why, ref.Meant())
}

func (r *resolver) vehicle(k *Kit) {
	for _, j := range k.Joints {
		r.body(&j.Parent)
		r.body(&j.Child)
	}
	for _, p := range k.Points {
		r.body(&p.Body)
		part(r, &p.Grease, "grease")
	}
}

func (r *resolver) pump(p *PumpFit) {
	part(r, &p.Part, "pump")
	part(r, &p.Grease, "grease")
	part(r, &p.Bolts.Part, "bolt")
	r.body(&p.Body)
	for _, o := range p.Outlets {
		part(r, &o.Element, "element")
	}
}

func (r *resolver) line(l *Line) {
	r.points.resolve(&l.Point)
	r.bundles.resolve(&l.Bundle)
	part(r, &l.Tube, "tube")
	part(r, &l.PumpFitting, "fitting")
	part(r, &l.PointFitting, "fitting")
	r.route(l.Tail)
}

func (r *resolver) route(stations []*Station) {
	for _, s := range stations {
		r.body(&s.Body)
		part(r, &s.Part, "tie")
	}
}
