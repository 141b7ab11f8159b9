package facts_test

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kitgauge/checker"
	"kitgauge/checker/facts"
)

// swung is a tube from a frame to an arm that turns about z through a right
// angle, with a rod that stands upright on the arm and one on the frame.
const swung = `
vehicle: {outline: {from: [-1 m, -1 m, 0 m], to: [2 m, 1 m, 2 m]}}
bodies: [{id: frame}, {id: arm}]
joints: [{id: hinge, role: boom, kind: revolute, parent: frame, child: arm, pivot: [0 m, 0 m, 1 m], axis: [0, 0, 1], range: {from: 0 deg, to: 90 deg}}]
pump: {part: PUMP, body: frame, position: [-500 mm, 0 mm, 1 m]}
points: [{id: P, body: arm, position: [400 mm, 0 mm, 1 m]}]
lines:
  - {number: 1, point: P, tube: TUBE, tail: [
      {body: frame, position: [-300 mm, 0 mm, 1 m], hold: grommet},
      {body: arm, position: [400 mm, 0 mm, 1 m], hold: grommet, free_length: 800 mm}]}
zones:
  - {id: rod, kind: moving, shape: capsule, radius: 20 mm, body: arm, from: [200 mm, 200 mm, 500 mm], to: [200 mm, 200 mm, 1500 mm]}
  - {id: post, kind: moving, shape: capsule, radius: 20 mm, body: frame, from: [0 mm, 400 mm, 500 mm], to: [0 mm, 400 mm, 1500 mm]}
`

// TestPose holds a pose to the law of cosines (Euclid, Elements, II.12 and
// II.13) for the ends of a span on either side of a hinge, and what lies on one
// body to staying where it is on that.
func TestPose(t *testing.T) {
	f := fromText(t, swung, spanParts)
	for _, deg := range []float64{0, 30, 60, 90} {
		q := deg * math.Pi / 180
		p, err := f.Pose([]float64{q})
		if err != nil {
			t.Fatal(err)
		}
		s := p.Span(f.Spans[0])
		want := math.Sqrt(0.3*0.3 + 0.4*0.4 - 2*0.3*0.4*math.Cos(math.Pi-q))
		if !alike(s.Apart.V, want, 1e-9) || !alike(s.Slack.V, 0.8-want, 1e-9) {
			t.Errorf("at %g deg: got %v apart (%s) and a slack of %v, want %v and %v", deg, s.Apart.V, s.Apart.Why, s.Slack.V, want, 0.8-want)
		}
		arm := f.Points[0].Body.To
		at := p.Place(arm, r3.Vec{X: 0.4, Z: 1})
		if far := r3.Norm(r3.Sub(at, r3.Vec{X: 0.4 * math.Cos(q), Y: 0.4 * math.Sin(q), Z: 1})); far > 1e-12 {
			t.Errorf("at %g deg: the point is %g beside its circle", deg, far)
		}
		if got := p.Place(nil, at); got != at {
			t.Errorf("what is on no body goes to %v", got)
		}
		curves := s.Curves()
		if len(curves) != 1 || r3.Norm(r3.Sub(curves[0][len(curves[0])-1], at)) > 1e-6 || r3.Norm(r3.Sub(curves[0][0], r3.Vec{X: -0.3, Z: 1})) > 1e-6 {
			t.Errorf("at %g deg: the curve goes from %v", deg, curves)
		}
		for _, c := range curves[0] { // free to swivel, so that it hangs down
			if c.Z > 1+1e-9 {
				t.Errorf("at %g deg: the curve rises to %v", deg, c)
			}
		}
		if p.Stands(f.Joints[0]) != map[float64]string{0: "0 deg", 30: "30 deg", 60: "60 deg", 90: "90 deg"}[deg] || p.Rest() != (deg == 0) {
			t.Errorf("at %g deg: got %s", deg, p.Stands(f.Joints[0]))
		}
	}
}

// TestPoseGaps holds the distance of a piece from a rod to that of two skew
// lines, with the rod on the arm, and with one that the arm swings up to.
func TestPoseGaps(t *testing.T) {
	f := fromText(t, swung, spanParts, "free_length: 800 mm", "free_length: 700 mm")
	p, err := f.Pose([]float64{math.Pi / 2})
	if err != nil {
		t.Fatal(err)
	}
	got := map[string]float64{}
	for _, g := range p.Gaps(nil) { // the line between the clips
		got[g.Approach.Place()] = g.Distance.V
	}
	// after a right angle the arm's clip is at 0, 400 mm: on the post; its rod is
	// at -200 mm, 200 mm, and the line from -300 mm, 0 mm to it runs along (3, 4)
	beside := math.Abs(3*200-4*(-200+300)) / 5 / 1000
	for place, want := range map[string]float64{
		"line 1, tail 1 to tail 2, near post": 0,
		"line 1, tail 1 to tail 2, near rod":  beside - 0.02,
	} {
		if v, found := got[place]; !found || !alike(v, want, 1e-9) {
			t.Errorf("%s: got %v, want %v of %v", place, v, want, got)
		}
	}
}

// TestPoseOfExamples stands the joints of the examples as the check says that
// they stand where a span is longest: the slack there is that of the check. No
// pose has less slack, and at rest nothing moves.
func TestPoseOfExamples(t *testing.T) {
	c := checker.New(checker.Options{NoSettings: true, Packs: []string{}})
	for _, name := range []string{"trailer", "loader", "gritter"} {
		file := filepath.Join("../../examples", name, name+".kit.yaml")
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		results, err := c.Check(file, text)
		if err != nil {
			t.Fatal(err)
		}
		k := results[0].Facts
		for _, s := range k.Spans {
			for _, longest := range []bool{true, false} {
				want := s.Shortest.V
				if longest {
					want = s.Longest.V
				}
				p, err := k.Pose(k.Extreme(s, longest))
				if err != nil {
					t.Fatal(err)
				}
				if got := p.Span(s); !alike(got.Apart.V, want, 1e-8) || longest && !alike(got.Slack.V, s.Slack.V, 1e-8) {
					t.Errorf("%s: %s: got %v apart, slack %v, want %v, %v", name, s.Place(), got.Apart.V, got.Slack.V, want, s.Slack.V)
				}
			}
		}
		for at, share := range []float64{0, 0.25, 0.5, 0.75, 1} {
			q := make([]float64, len(k.Joints))
			for i, j := range k.Joints {
				q[i] = j.Range.From.V + share*(j.Range.To.V-j.Range.From.V)*float64((i+at)%2)
			}
			p, err := k.Pose(q)
			if err != nil {
				t.Fatal(err)
			}
			var spans []facts.SpanPose
			for _, s := range k.Spans {
				got := p.Span(s)
				spans = append(spans, got)
				if got.Slack.V < s.Slack.V-1e-9 {
					t.Errorf("%s: %s: slack %v, less than over the range, %v", name, s.Place(), got.Slack.V, s.Slack.V)
				}
				if got.Radius.Known && got.Radius.V < 0.96*s.LoopRadius.V {
					t.Errorf("%s: %s: radius %v, less than over the range, %v", name, s.Place(), got.Radius.V, s.LoopRadius.V)
				}
			}
			for _, g := range p.Gaps(spans) {
				if g.Distance.V < g.Approach.Distance.V-0.003 {
					t.Errorf("%s: %s: %v, less than over the range, %v", name, g.Approach.Place(), g.Distance.V, g.Approach.Distance.V)
				}
			}
		}
	}
}

// TestPoseRefused: what is no pose of the kit is told.
func TestPoseRefused(t *testing.T) {
	f := fromText(t, swung, spanParts)
	for want, q := range map[string][]float64{
		"there are 0 values for 1 joints":      nil,
		"joint hinge does not stand at NaN":    {math.NaN()},
		"joint hinge does not stand at +Inf":   {math.Inf(1)},
		"joint hinge does not stand at -0.001": {-0.001},
		"joint hinge does not stand at 1.6":    {1.6},
	} {
		if _, err := f.Pose(q); err == nil || err.Error() != want {
			t.Errorf("%v: got %v, want %s", q, err, want)
		}
	}
	f = fromText(t, swung, spanParts, ", range: {from: 0 deg, to: 90 deg}", "")
	p, err := f.Pose([]float64{0})
	if err != nil {
		t.Fatal(err)
	}
	if s := p.Span(f.Spans[0]); s.Apart.Known || s.Slack.Known || s.Radius.Known {
		t.Errorf("a joint without a range: got %+v", s)
	}
	f = fromText(t, swung, spanParts, "axis: [0, 0, 1]", "axis: [0, 0, 0]")
	if p, err = f.Pose([]float64{0}); err != nil {
		t.Fatal(err)
	}
	if s := p.Span(f.Spans[0]); s.Apart.Known || s.Apart.Why == "" {
		t.Errorf("a joint without an axis: got %+v", s)
	}
	if _, err := f.Pose([]float64{0.1}); err == nil {
		t.Error("a joint without an axis moves")
	}
}

func alike(got, want, by float64) bool { return math.Abs(got-want) <= by }
