// Package fleet makes kits: whole, valid kit files for invented
// winter-service vehicles, any number of them, each from a seed. Tests,
// benchmarks and fuzzing need more kits than anybody would write, in shapes
// that nobody would think of: four points or eighty-four, steered and sprung
// axles, articulated frames, tipping bodies, booms and drawbars with up to
// four joints in a row, in millimetres or in inches.
//
// A generated kit is clean: no built-in rule finds anything in it. Its free
// lengths, cut lengths, elements, conduits and fuse are worked out with the
// pure functions below package quantities, with more to spare than the rules
// ask for. That a generated kit passes therefore says that generator and
// checker agree, and not that either is right: what the functions return has
// to be held against independent methods, here with the kits as the inputs.
//
// The same seed, size and options give the same bytes.
package fleet

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"path"

	"kitgauge/checker/document"
)

// The sizes of kit that New makes. What is larger than the largest kit that
// the trade builds, 84 points, is for measuring speed: rules that look at the
// size alone may fire.
const (
	LeastPoints = 4
	MostPoints  = 2000
)

// Options changes what New makes.
type Options struct {
	// Catalogue is the path by which the kit names the example catalogue; ""
	// means that it lies beside the kit.
	Catalogue string
}

// Kit is a generated kit.
type Kit struct {
	Seed   uint64
	Points int
	Inch   bool // every third seed
	head   string
	root   object
}

// New makes the kit of a seed with so many points.
func New(seed uint64, points int, o Options) (*Kit, error) {
	if points < LeastPoints || points > MostPoints {
		return nil, fmt.Errorf("a kit of %d points: from %d to %d can be made", points, LeastPoints, MostPoints)
	}
	if o.Catalogue == "" {
		o.Catalogue = path.Base(exampleCatalogue)
	}
	k := &Kit{Seed: seed, Points: points, Inch: seed%3 == 2}
	r := rand.New(rand.NewPCG(seed, uint64(points)))
	f := &fitter{vehicle: newVehicle(grid{k.Inch}, r)}
	for _, s := range f.allot(points) {
		f.fit(s)
	}
	f.stopTipping()
	s := f.service(points)
	f.outlets(s)
	for _, step := range []func() error{f.measure, func() error { return f.dose(s) }, func() error { return f.refill(s) }} {
		if err := step(); err != nil {
			return nil, fmt.Errorf("seed %d, %d points: %w", seed, points, err)
		}
	}
	w := &writer{fitter: f, service: s, kit: k}
	k.root = w.document(o.Catalogue)
	k.head = fmt.Sprintf("# An invented vehicle, generated: seed %d, %d points.\n", seed, points)
	return k, nil
}

// outlets gives every line an outlet, on one kit in three not in the order of
// the lines.
func (f *fitter) outlets(s *service) {
	order := make([]int, s.pump.outlets)
	for i := range order {
		order[i] = i
	}
	if f.rand.IntN(3) == 0 {
		order = f.rand.Perm(s.pump.outlets)
	}
	for i, l := range f.lines {
		l.outlet = order[i] + 1
	}
}

// YAML returns the text of the kit file.
func (k *Kit) YAML() []byte {
	var b bytes.Buffer
	b.WriteString(k.head)
	document.YAML(&b, k.root.written())
	return b.Bytes()
}

// JSON returns the same kit as JSON.
func (k *Kit) JSON() []byte {
	var b bytes.Buffer
	document.JSON(&b, k.root.written())
	b.WriteByte('\n')
	return b.Bytes()
}

// largeSeed is that of the kit that Large makes.
const largeSeed = 147

// Large is the text of testdata/kits/large.kit.yaml: the largest kit that the
// trade builds, for tests and measurements from the command line.
func Large() []byte {
	k, err := New(largeSeed, 84, Options{Catalogue: "../../examples/" + exampleCatalogue})
	if err != nil {
		panic(err) // seed and size are constants, and a test makes it
	}
	return append([]byte("# yaml-language-server: $schema=../../schema/kit.schema.json\n"), k.YAML()...)
}
