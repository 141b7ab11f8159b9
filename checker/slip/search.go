package slip

import (
	"cmp"
	"fmt"
	"slices"
	"sync"

	"kitgauge/checker/finding"
)

// Trial checks a kit whose tree may have been changed in one of its documents.
type Trial func(tree Tree, changed int) []finding.Finding

// Options says how a search goes.
type Options struct {
	Choices Choices
	// Trials is how often the kit may be checked again. It is a number and no
	// time, so that the same kit always gets the same answer.
	Trials  int
	Workers int         // how many trials go on at once; 1 at the least
	Stop    func() bool // ends the search early; nil never does
}

// Usual is how many trials take some one to two seconds for a kit of 34 points
// on two cores.
const Usual = 800

// Explanation is a change with what it leaves.
type Explanation struct {
	Change
	Cleared int // of the findings
	Left    int // of the findings
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

// mostEqual is how many equally good changes are shown: of more than that
// none is more likely meant than another.
const mostEqual = 3

// Search looks for the one change that clears most of the findings and adds
// none. New makes trees of the kit, one for each worker.
func Search(newTree func() Tree, findings []finding.Finding, trial Trial, o Options) Report {
	s := search{
		open: finding.Count(findings, finding.Violated, finding.NotEvaluated), violated: finding.Count(findings, finding.Violated),
		settled: finding.Count(findings, finding.Conceded, finding.Known),
		trial:   trial, options: o,
	}
	r := Report{Findings: total(s.open)}
	if len(s.open) == 0 || o.Trials <= 0 {
		return r
	}
	for range max(1, o.Workers) {
		s.trees = append(s.trees, newTree())
	}
	list := s.ordered()
	r.Untried = max(0, len(list)-s.left)
	list = list[:len(list)-r.Untried]
	r.Tried = len(list)
	results := make([]outcome, len(list))
	s.each(len(list), func(tree Tree, i int) { results[i] = s.try(tree, &list[i].Change) })
	r.Best = s.best(list, results)
	return r
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
	trial          Trial
	options        Options
	trees          []Tree
	left           int // trials
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
}

func (s *search) try(tree Tree, c *Change) outcome {
	undo, ok := c.Apply(tree)
	if !ok {
		return outcome{}
	}
	defer undo()
	return s.compare(s.trial(tree, c.Edits[0].Document))
}

func (s *search) compare(list []finding.Finding) outcome {
	out := outcome{done: true}
	for k, n := range finding.Count(list, finding.Violated, finding.NotEvaluated) {
		before := s.open[k]
		out.left += min(n, before)
		out.added += max(0, n-before-s.settled[k])
	}
	return out
}

// ranked is a change with how many of the findings hang on its place.
type ranked struct {
	Change
	hang int
}

// ordered lists the changes to try: first those at places on which most of
// the findings hang.
func (s *search) ordered() []ranked {
	s.left = s.options.Trials
	var list []ranked
	root := s.trees[0][0].Root
	for _, p := range s.parts() {
		for _, c := range candidates(p, root, s.options.Choices) {
			list = append(list, ranked{c, p.hang})
		}
	}
	slices.SortStableFunc(list, func(a, b ranked) int {
		return cmp.Or(cmp.Compare(b.hang, a.hang), cmp.Compare(rarity[a.Kind], rarity[b.Kind]))
	})
	return list
}

// best is the change that leaves least and adds nothing, with those that are
// as good: as likely a slip, and no other clears more.
func (s *search) best(list []ranked, results []outcome) []Explanation {
	total := total(s.open)
	least := total
	for _, r := range results {
		if r.done && r.added == 0 {
			least = min(least, r.left)
		}
	}
	if cleared := total - least; cleared*2 <= total {
		return nil // it explains less than half of what is found
	}
	first := len(rarity)
	for i, r := range results {
		if r.done && r.added == 0 && r.left == least {
			first = min(first, rarity[list[i].Kind])
		}
	}
	var best []Explanation
	for i, r := range results {
		if r.done && r.added == 0 && r.left == least && rarity[list[i].Kind] == first {
			best = append(best, Explanation{list[i].Change, total - least, least})
		}
	}
	if len(best) > mostEqual {
		return nil
	}
	return best
}
