package faultsheet

import (
	"fmt"
	"slices"
	"strings"
)

// Sheet is a file of cases with what became of them.
type Sheet struct {
	Title    string
	Cases    []Case
	Verdicts []Verdict
}

// Table writes a row for each group: how many mistakes, and what became of
// them.
func (s *Sheet) Table(b *strings.Builder) {
	fmt.Fprintf(b, "\n## %s\n\n| group | mistakes | right | late | weak | elsewhere | missed |\n| --- | ---: | ---: | ---: | ---: | ---: | ---: |\n", s.Title)
	var groups []string
	counts := map[string]*[Missed + 1]int{}
	var all [Missed + 1]int
	for i, c := range s.Cases {
		if counts[c.Group] == nil {
			groups = append(groups, c.Group)
			counts[c.Group] = new([Missed + 1]int)
		}
		counts[c.Group][s.Verdicts[i].Outcome]++
		all[s.Verdicts[i].Outcome]++
	}
	slices.SortStableFunc(groups, strings.Compare)
	for _, g := range groups {
		row(b, g, *counts[g])
	}
	row(b, "all", all)
}

func row(b *strings.Builder, group string, counts [Missed + 1]int) {
	sum := 0
	for _, n := range counts {
		sum += n
	}
	fmt.Fprintf(b, "| %s | %d |", group, sum)
	for _, n := range counts {
		fmt.Fprintf(b, " %d |", n)
	}
	b.WriteByte('\n')
}

// Open writes a row for each mistake that is not right yet, with what is said
// instead.
func (s *Sheet) Open(b *strings.Builder) {
	fmt.Fprintf(b, "\n## %s: not right yet\n\n| id | mistake | outcome | said instead |\n| --- | --- | --- | --- |\n", s.Title)
	for i, c := range s.Cases {
		if v := s.Verdicts[i]; v.Outcome != Right {
			fmt.Fprintf(b, "| %s | %s | %s | %s |\n", c.ID, cell(c.Words), v.Outcome, cell(v.Said))
		}
	}
}

func cell(text string) string { return strings.ReplaceAll(text, "|", `\|`) }
