// Package campaign_test puts single mistakes of every class into generated
// kits, and holds what the checker says against what it has to say: every
// mistake at its place, and nothing else. It also holds the quantities against
// independent methods, over random inputs, and measures what a check costs.
//
// A small part runs with all tests. All of it runs with
//
//	go test ./checker/internal/injection -full
//
// and its tables stand in testdata/measured.
package injection_test

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"path"
	"slices"
	"sort"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/finding"
	_ "kitgauge/checker/internal/ample"
	"kitgauge/checker/internal/fleet"
)

var (
	full = flag.Bool("full", false, "run the whole campaign, not its beginning")
	kits = flag.Int("kits", smallKits, "without -full: how many kits")
)

// The size of the campaign: kits, each with some mistakes, one at a time.
const (
	seed       = 20261125
	fullKits   = 2000
	smallKits  = 50
	perKit     = 3
	batch      = 10 // kits that are made at the same time
	farthest   = 84 // points
	complaints = 60 // that are printed
)

// trial is one mistake in one kit.
type trial struct {
	fault  *fault
	seed   uint64
	points int
	text   []byte
	effect *effect
	says   []string
	scores map[string]*score
}

// campaign is a run: the mistakes that wait for a kit with a place for them,
// and what came of those that found one.
type campaign struct {
	checker  *checker.Checker
	waiting  []*fault
	order    []fault
	next     int
	trials   []*trial
	kits     int
	dirty    int // kits without a mistake in which something was found
	clean    map[string]int
	says     []string
	byFault  map[string]int
	byPoints [2]int
	inch     int
}

func newCampaign() *campaign {
	c := &campaign{
		checker: checker.New(checker.Options{ReadFile: readFile, NoSettings: true}),
		order:   catalogue(), clean: map[string]int{}, byFault: map[string]int{}, byPoints: [2]int{farthest, 0},
	}
	r := rand.New(rand.NewPCG(seed, 0))
	r.Shuffle(len(c.order), func(i, j int) { c.order[i], c.order[j] = c.order[j], c.order[i] })
	return c
}

// specimen is a kit without a mistake.
type specimen struct {
	seed   uint64
	points int
	kit    *fleet.Kit
	result *checker.Result
	err    error
}

// pointsOf is the size of the kit of a number: from 4 to 84, small ones oftener.
func pointsOf(i int) int {
	r := rand.New(rand.NewPCG(seed, uint64(i)))
	if r.IntN(2) == 0 {
		return 4 + r.IntN(21)
	}
	return 4 + r.IntN(farthest-3)
}

func (c *campaign) specimens(from, to int) []specimen {
	out := make([]specimen, to-from)
	checker.Parallel(len(out), func(i int) {
		out[i] = c.specimen(seed+uint64(from+i), pointsOf(from+i))
	})
	return out
}

func (c *campaign) specimen(seed uint64, points int) specimen {
	s := specimen{seed: seed, points: points}
	if s.kit, s.err = fleet.New(seed, points, fleet.Options{}); s.err != nil {
		return s
	}
	s.result, s.err = c.check(s.kit.JSON())
	return s
}

func (c *campaign) check(text []byte) (*checker.Result, error) {
	results, err := c.checker.Check("fleet.kit.json", text)
	if err != nil {
		return nil, err
	}
	return results[0], nil
}

// run takes the campaign on to so many kits.
func (c *campaign) run(kits int) error {
	for from := c.kits; from < kits; from += batch {
		var trials []*trial
		for _, s := range c.specimens(from, min(from+batch, kits)) {
			if s.err != nil {
				return fmt.Errorf("seed %d, %d points: %w", s.seed, s.points, s.err)
			}
			c.look(&s)
			trials = append(trials, c.assign(&s)...)
		}
		if err := c.try(trials); err != nil {
			return err
		}
	}
	return nil
}

// look counts what is found in a kit without a mistake.
func (c *campaign) look(s *specimen) {
	c.kits++
	if s.kit.Inch {
		c.inch++
	}
	c.byPoints = [2]int{min(c.byPoints[0], s.points), max(c.byPoints[1], s.points)}
	if len(s.result.Findings) > 0 {
		c.dirty++
	}
	for _, f := range s.result.Findings {
		c.clean[f.Rule]++
		c.says = append(c.says, fmt.Sprintf("seed %d, %d points, no mistake: %s at %s: %s", s.seed, s.points, f.Rule, f.Place, f.Message))
	}
}

// assign gives a kit the next mistakes that have a place in it.
func (c *campaign) assign(s *specimen) []*trial {
	var out []*trial
	waiting := c.waiting
	c.waiting = nil
	for tries := 0; len(out) < perKit && tries < 3*perKit; tries++ {
		var f *fault
		if len(waiting) > 0 {
			f, waiting = waiting[0], waiting[1:]
		} else {
			f = &c.order[c.next%len(c.order)]
			c.next++
		}
		t := c.put(f, s)
		if t == nil {
			if !slices.Contains(c.waiting, f) {
				c.waiting = append(c.waiting, f)
			}
			continue
		}
		out = append(out, t)
	}
	c.waiting = append(c.waiting, waiting...)
	return out
}

// put makes one mistake in a copy of the kit; nil where it has no place there.
func (c *campaign) put(f *fault, s *specimen) *trial {
	seed, kit, result := s.seed, s.kit, s.result
	if f.size > 0 {
		larger := c.specimen(seed, f.size)
		if larger.err != nil {
			return nil
		}
		kit, result = larger.kit, larger.result
	}
	root, err := parse(kit.JSON())
	if err != nil {
		panic(err) // the fleet writes JSON
	}
	t := &tree{root: root, inch: kit.Inch, rand: rand.New(rand.NewPCG(seed, uint64(c.byFault[f.name]))), facts: result.Facts}
	e := f.put(t)
	if e == nil {
		return nil
	}
	c.byFault[f.name]++
	return &trial{fault: f, seed: seed, points: kit.Points, text: t.text(), effect: e}
}

// try checks the kits with mistakes and judges what was found.
func (c *campaign) try(trials []*trial) error {
	errs := make([]error, len(trials))
	checker.Parallel(len(trials), func(i int) {
		t := trials[i]
		r, err := c.check(t.text)
		if errs[i] = err; err != nil {
			return
		}
		t.scores = map[string]*score{}
		t.says = t.effect.judge(ofTheKit(r.Findings), t.scores)
		t.text = nil
	})
	for i, t := range trials {
		if errs[i] != nil {
			return fmt.Errorf("seed %d, %d points, %s: %w", t.seed, t.points, t.fault.name, errs[i])
		}
		for _, s := range t.says {
			c.says = append(c.says, fmt.Sprintf("seed %d, %d points, %s: %s", t.seed, t.points, t.fault.name, s))
		}
		c.trials = append(c.trials, t)
	}
	return nil
}

// scores adds up, rule by rule; sum is that of all.
func (c *campaign) scores() (by map[string]*score, sum score) {
	by = map[string]*score{}
	for _, t := range c.trials {
		for rule, s := range t.scores {
			if by[rule] == nil {
				by[rule] = &score{}
			}
			by[rule].add(*s)
			sum.add(*s)
		}
	}
	return by, sum
}

// never are the mistakes that found no kit.
func (c *campaign) never() []string {
	var out []string
	for i := range c.order {
		if f := &c.order[i]; c.byFault[f.name] == 0 {
			out = append(out, f.name)
		}
	}
	sort.Strings(out)
	return out
}

// TestCampaign finds every mistake at its place and nothing else.
func TestCampaign(t *testing.T) {
	c := newCampaign()
	if err := c.run(*kits); err != nil {
		t.Fatal(err)
	}
	if *full {
		if err := c.run(fullKits); err != nil {
			t.Fatal(err)
		}
	}
	for i, s := range c.says {
		if i == complaints {
			t.Errorf("... and %d more", len(c.says)-complaints)
			break
		}
		t.Error(s)
	}
	if !*full {
		return
	}
	if len(c.never()) > 0 {
		t.Errorf("these mistakes found no kit: %q", c.never())
	}
	write(t, faultPage, c.faultTable(ruleIDs(t)))
}

// TestJudge sees to it that the campaign can fail: what is missed, elsewhere or
// not expected is counted as such.
func TestJudge(t *testing.T) {
	at := func(rule, place string, status finding.Status) finding.Finding {
		return finding.Finding{Rule: rule, Place: place, Status: status}
	}
	right := at("a/b", "line 1", finding.Violated)
	for _, tt := range []struct {
		name  string
		found []finding.Finding
		want  score
	}{
		{"at its place", []finding.Finding{right}, score{seeded: 1, atPlace: 1}},
		{"with what follows", []finding.Finding{right, at("a/c", "line 1, tail 2", finding.NotEvaluated)}, score{seeded: 1, atPlace: 1, follow: 1}},
		{"missed", nil, score{seeded: 1, missed: 1}},
		{"elsewhere", []finding.Finding{at("a/b", "line 12", finding.Violated)}, score{seeded: 1, elsewhere: 1}},
		{"not evaluated", []finding.Finding{at("a/b", "line 1", finding.NotEvaluated)}, score{seeded: 1, elsewhere: 1}},
		{"twice", []finding.Finding{right, right}, score{seeded: 1, atPlace: 1, falseAlarms: 1}},
		{"what does not follow", []finding.Finding{right, at("a/c", "line 12, tail 2", finding.Violated)}, score{seeded: 1, atPlace: 1, falseAlarms: 1}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			scores := map[string]*score{}
			says := find("a/b", "line 1").with("a/c", "line 1, *").judge(tt.found, scores)
			var got score
			for _, s := range scores {
				got.add(*s)
			}
			if got != tt.want {
				t.Errorf("got %+v, want %+v", got, tt.want)
			}
			if clean := tt.want.atPlace == 1 && tt.want.falseAlarms == 0; clean != (len(says) == 0) {
				t.Errorf("got the complaints %q", says)
			}
		})
	}
}

// ofTheKit leaves out what is found in the catalogues that are made for the
// campaign: their parts are wrong in one figure, or larger than there are.
func ofTheKit(list []finding.Finding) []finding.Finding {
	return slices.DeleteFunc(slices.Clone(list), func(f finding.Finding) bool {
		return strings.HasPrefix(f.Rule, "catalogue/") && path.Base(f.Pos.File) != "winter.parts.yaml"
	})
}
