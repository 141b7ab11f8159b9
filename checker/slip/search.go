package slip

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sync"

	"kitgauge/checker/finding"
)

// Trial checks a kit whose tree may have been changed in one of its documents:
// wholly, or by the packs alone of which something was found.
type Trial func(tree Tree, changed int, whole bool) Checked

// Checked is what a check gave.
type Checked struct {
	Findings []finding.Finding
	Judged   map[string]int // at how many places each rule could be judged
}

// Options says how a search goes.
type Options struct {
	Choices Choices
	// Trials is how often the kit may be checked again. It is a number and no
	// time, so that the same kit always gets the same answer.
	Trials  int
	Workers int         // how many trials go on at once; 1 at the least
	Stop    func() bool // ends the search early; nil never does
}

// Usual is how many trials take some two seconds for a kit of 34 points on two
// cores.
const Usual = 500

// Explanation is a change with what it leaves.
type Explanation struct {
	Change
	Cleared int                 // of the findings
	Left    int                 // of the findings
	Clears  map[finding.Key]int // the same, one by one
}

// Report is what a search came to.
type Report struct {
	Findings int           // that were to be explained
	Best     []Explanation // equally good ones, in the order of the file; none where it cannot be told
	Tried    int           // changes that were tried
	Untried  int           // changes for which the trials did not suffice
}

// Says tells in a sentence for each of the best what it would clear.
func (r *Report) Says() []string {
	if r == nil {
		return nil
	}
	var out []string
	for _, e := range r.Best {
		left := "that leaves nothing"
		if e.Left > 0 {
			left = fmt.Sprintf("that leaves %d", e.Left)
		}
		out = append(out, fmt.Sprintf("one slip may explain %d of %d: %s; %s", e.Cleared, r.Findings, e.Change.String(), left))
	}
	return out
}

// Rest says what was not tried; "" where all was.
func (r *Report) Rest() string {
	if r == nil || r.Untried == 0 {
		return ""
	}
	return fmt.Sprintf("%d changes were tried; for %d the trials did not suffice", r.Tried, r.Untried)
}

// mostEqual is how many equally good changes are shown, those that change least
// first: of more than that none is more likely meant than another.
const mostEqual = 3

// Search looks for the one change that clears most of the findings and adds
// none. New makes trees of the kit, one for each worker.
func Search(newTree func() Tree, findings []finding.Finding, trial Trial, o Options) Report {
	s := search{
		open: finding.Count(findings, finding.Violated, finding.NotEvaluated), violated: finding.Count(findings, finding.Violated),
		settled: finding.Count(findings, finding.Conceded, finding.Known),
		trial:   trial, options: o, left: o.Trials,
	}
	r := Report{Findings: total(s.open)}
	if len(s.open) == 0 || o.Trials <= 0 {
		return r
	}
	for range max(1, o.Workers) {
		s.trees = append(s.trees, newTree())
	}
	s.clues = newClues(s.trees[0], findings)
	s.base = s.trial(s.trees[0], 0, false)
	for document := range s.trees[0] {
		if document > 0 && s.bound() < math.MaxInt && !s.clues.in(document) {
			continue // what a catalogue says is wrong in all kits
		}
		s.document(document)
	}
	r.Tried, r.Untried = len(s.tried), s.untried
	r.Best = s.best()
	return r
}

// document tries what findings name in a document, then what they hang on.
func (s *search) document(at int) {
	g := &generator{document: at, kit: s.trees[0][0].Root, file: s.trees[0][at].Root, choices: s.options.Choices, clues: s.clues}
	g.mentioned()
	s.run(g, early)
	if s.bound() <= sure {
		return
	}
	for _, p := range s.parts(at) {
		g.part(p.node)
	}
	s.run(g, math.MaxInt)
}

// early is the cost up to which what findings name is tried before it is known
// on what they hang.
const early = 3

// run tries the changes that were made and not yet tried, the likeliest first,
// up to a cost.
func (s *search) run(g *generator, most int) {
	list := g.out
	for _, c := range list {
		c.cost = s.clues.cost(c)
	}
	slices.SortStableFunc(list, func(a, b *candidate) int {
		return cmp.Or(cmp.Compare(a.cost, b.cost), cmp.Compare(a.far, b.far))
	})
	for len(list) > 0 && list[0].cost <= min(most, s.bound()) {
		n := 1
		for n < len(list) && list[n].cost == list[0].cost {
			n++
		}
		s.level(list[:min(n, s.left)])
		s.untried += n - min(n, s.left)
		s.left -= min(n, s.left)
		list = list[n:]
	}
	g.out = list
}

// level tries changes that are equally likely.
func (s *search) level(list []*candidate) {
	results := make([]outcome, len(list))
	s.each(len(list), func(tree Tree, i int) { results[i] = s.try(tree, &list[i].Change) })
	for i, r := range results {
		if !r.done {
			continue
		}
		if r.silenced > 0 && r.silenced*2 >= total(s.open)-r.left {
			if len(list[i].kinds) == 1 && list[i].Kind == Word {
				continue // a switch that turns a rule off explains nothing
			}
			if !list[i].vouched() {
				list[i].cost += silent
			}
		}
		s.tried = append(s.tried, attempt{list[i], r})
	}
}

// silent is what it costs a change that most of what it clears is no longer
// judged.
const silent = 4

// sure is the cost of a change that leaves nothing at which no other is looked
// for away from what findings name.
const sure = 2

// bound is the cost of the likeliest change that leaves nothing: less likely
// ones need not be tried.
func (s *search) bound() int {
	least := math.MaxInt
	for _, a := range s.tried {
		if a.left+a.added == 0 {
			least = min(least, a.cost)
		}
	}
	return least
}

func total(of map[finding.Key]int) int {
	sum := 0
	for _, n := range of {
		sum += n
	}
	return sum
}

type search struct {
	open, violated map[finding.Key]int
	settled        map[finding.Key]int // found too, and not to be explained
	base           Checked             // the kit as it is
	trial          Trial
	options        Options
	trees          []Tree
	clues          *clues
	left           int // trials
	tried          []attempt
	untried        int
}

// attempt is a change with what became of the findings.
type attempt struct {
	*candidate
	outcome
}

// each does something for every index, on as many trees as there are.
func (s *search) each(n int, do func(tree Tree, i int)) {
	var wg sync.WaitGroup
	next := make(chan int, n)
	for i := range n {
		next <- i
	}
	close(next)
	for _, tree := range s.trees {
		wg.Go(func() {
			for i := range next {
				if s.options.Stop != nil && s.options.Stop() {
					return
				}
				do(tree, i)
			}
		})
	}
	wg.Wait()
}

// outcome is what became of the findings in one trial.
type outcome struct {
	done        bool
	left, added int
	silenced    int // findings that are gone because nothing is judged there
	cleared     map[finding.Key]int
}

func (s *search) try(tree Tree, c *Change) outcome {
	undo, ok := c.Apply(tree)
	if !ok {
		return outcome{}
	}
	defer undo()
	rough := s.compare(s.trial(tree, c.Edits[0].Document, false))
	if rough.left*2 >= total(s.open) || rough.added > 0 {
		return rough
	}
	return s.compare(s.trial(tree, c.Edits[0].Document, true))
}

// compare holds what a trial found against what there was. What it clears at
// places that it no longer judges it only silences.
func (s *search) compare(c Checked) outcome {
	out := outcome{done: true}
	now := finding.Count(c.Findings, finding.Violated, finding.NotEvaluated)
	for k, n := range now {
		before := s.open[k]
		out.left += min(n, before)
		out.added += max(0, n-before-s.settled[k])
	}
	if out.left < total(s.open) {
		out.cleared = map[finding.Key]int{}
		for k, n := range s.open {
			if gone := n - now[k]; gone > 0 {
				out.cleared[k] = gone
			}
		}
	}
	cleared := map[string]int{}
	for k, n := range s.violated {
		cleared[k.Rule] += max(0, n-now[k])
	}
	for rule, n := range cleared {
		out.silenced += min(n, max(0, s.base.Judged[rule]-c.Judged[rule]))
	}
	return out
}

// best is the change that leaves least and adds nothing, with those that are
// as good: as likely a slip, and no other clears more.
func (s *search) best() []Explanation {
	total := total(s.open)
	good := slices.DeleteFunc(slices.Clone(s.tried), func(a attempt) bool { return a.added > 0 })
	slices.SortStableFunc(good, func(a, b attempt) int {
		return cmp.Or(cmp.Compare(a.left, b.left), cmp.Compare(a.cost, b.cost), cmp.Compare(a.far, b.far))
	})
	if len(good) == 0 || (total-good[0].left)*2 <= total {
		return nil // it explains less than half of what is found
	}
	good = slices.DeleteFunc(good, func(a attempt) bool { return a.left > good[0].left || a.cost > good[0].cost })
	if len(good) > mostEqual {
		n := mostEqual
		for n > 0 && good[n].far <= good[n-1].far {
			n-- // of so many none is likelier than another
		}
		good = good[:n]
	}
	var best []Explanation
	for _, a := range good {
		best = append(best, Explanation{a.Change, total - a.left, a.left, a.cleared})
	}
	return best
}
