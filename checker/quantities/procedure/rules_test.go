package procedure_test

import (
	"slices"
	"testing"

	"gonum.org/v1/gonum/graph/simple"
	"gonum.org/v1/gonum/graph/topo"

	"kitgauge/checker/quantities/procedure"
)

// applying is 29 CFR 1910.147(d), "shall be done in the following sequence".
// Printed: text of (d)(1) to (d)(6) at
// lockout-tagout101.webflow.io/relevant-standards/29-cfr-1910-147-application-of-control.
// Two kinds share (d)(3); their order between them is common practice.
var applying = []struct{ clause, kind string }{
	{"(d)(1) knowledge of the energy, the hazards and the control", "brief"},
	{"(d)(2) turned off or shut down", "shut-down"},
	{"(d)(3) all isolating devices located and operated", "remove-key"},
	{"(d)(3) all isolating devices located and operated", "isolate-battery"},
	{"(d)(4) lockout or tagout devices affixed", "lock-out"},
	{"(d)(5) stored energy relieved", "relieve-pressure"},
	{"(d)(6) isolation verified before starting work", "verify-isolation"},
}

// releasing is 29 CFR 1910.147(e) in the order of time: (e)(2)(ii) comes
// "after lockout or tagout devices have been removed and before a machine or
// equipment is started". Printed: text of (e)(1) to (e)(3) at
// lockout-tagout101.webflow.io/relevant-standards/29-cfr-1910-147-release-from-lockout-or-tagout.
var releasing = []struct{ clause, kind string }{
	{"(e)(1) nonessential items removed, components intact", "clear-tools"},
	{"(e)(2)(i) employees safely positioned or removed", "clear-people"},
	{"(e)(3) devices removed by whoever applied them", "remove-locks"},
	{"(e)(2)(ii) affected employees notified", "tell-people"},
	{"(e) energy restored", "restore"},
}

func TestControlSequenceIsThePublishedOne(t *testing.T) {
	var got, want []string
	for _, row := range applying {
		want = append(want, row.kind)
	}
	for _, k := range procedure.Kinds {
		if k.Control {
			got = append(got, k.Name)
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("the kinds of energy control are %q, want %q (29 CFR 1910.147(d))", got, want)
	}
}

func TestPublishedOrderHoldsInTheGraph(t *testing.T) {
	// (e)(1) and (e)(2)(i) bear no order to each other in the text.
	unordered := map[[2]string]bool{{"clear-tools", "clear-people"}: true}
	for _, list := range [][]struct{ clause, kind string }{applying, releasing} {
		for i, a := range list {
			for _, b := range list[i+1:] {
				want := !unordered[[2]string{a.kind, b.kind}]
				if got := procedure.Precedes(a.kind, b.kind, procedure.Conditions{}); got != want {
					t.Errorf("Precedes(%q, %q) = %v, want %v: 29 CFR 1910.147 %s before %s", a.kind, b.kind, got, want, a.clause, b.clause)
				}
			}
		}
	}
}

func TestKindsTable(t *testing.T) {
	seen := make(map[string]bool)
	for i, k := range procedure.Kinds {
		if k.Name == "" || k.Doc == "" {
			t.Errorf("kind %d %q has no name or no doc", i, k.Name)
		}
		if seen[k.Name] {
			t.Errorf("kind %q is listed twice", k.Name)
		}
		seen[k.Name] = true
		if k.Live && !k.Touches {
			t.Errorf("kind %q is live but does not touch", k.Name)
		}
		if k.Control && k.Clause == "" {
			t.Errorf("kind %q applies control but names no clause", k.Name)
		}
		if k.Touches && (k.Control || k.Release) {
			t.Errorf("kind %q is both work and control or release", k.Name)
		}
	}
}

func TestRulesAreWellFormed(t *testing.T) {
	for i, r := range procedure.Rules {
		if _, ok := procedure.Lookup(r.First); !ok {
			t.Errorf("rule %d: First %q is no kind", i, r.First)
		}
		if _, ok := procedure.Lookup(r.Then); ok == (r.Each != procedure.One) {
			t.Errorf("rule %d: wants either a kind in Then or a class in Each, has %q and %d", i, r.Then, r.Each)
		}
		if r.Basis == "" {
			t.Errorf("rule %d (%s) names no basis", i, r.First)
		}
	}
}

// edges expands the table with the flags alone, apart from the package's code.
func edges() [][2]int {
	index := make(map[string]int)
	for i, k := range procedure.Kinds {
		index[k.Name] = i
	}
	var list [][2]int
	for _, r := range procedure.Rules {
		for j, k := range procedure.Kinds {
			in := k.Name == r.Then
			switch r.Each {
			case procedure.EveryTouch:
				in = k.Touches
			case procedure.EveryUnder:
				in = k.Under
			case procedure.EveryPressure:
				in = k.Pressure
			}
			if in {
				list = append(list, [2]int{index[r.First], j})
			}
		}
	}
	return list
}

// The reference is gonum's topological sort, which fails on a cycle.
func TestGraphHasNoCycle(t *testing.T) {
	g := simple.NewDirectedGraph()
	for i := range procedure.Kinds {
		g.AddNode(simple.Node(i))
	}
	for _, e := range edges() {
		if e[0] == e[1] {
			t.Fatalf("%q must come before itself", procedure.Kinds[e[0]].Name)
		}
		g.SetEdge(simple.Edge{F: simple.Node(e[0]), T: simple.Node(e[1])})
	}
	if _, err := topo.Sort(g); err != nil {
		t.Errorf("the order graph has a cycle: %v", err)
	}
	both := procedure.Conditions{RaisedBody: true}
	for i, a := range procedure.Kinds {
		for j, b := range procedure.Kinds {
			reach := i != j && topo.PathExistsIn(g, simple.Node(i), simple.Node(j))
			if reach && !procedure.Precedes(a.Name, b.Name, both) {
				t.Errorf("Precedes(%q, %q) = false, but a path of rules leads there", a.Name, b.Name)
			}
			if procedure.Precedes(a.Name, b.Name, both) && i >= j {
				t.Errorf("%q must precede %q, but the table of kinds lists it later", a.Name, b.Name)
			}
		}
	}
}
