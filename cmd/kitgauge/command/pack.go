package command

import (
	"cmp"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/files"
	"kitgauge/checker/report"
	"kitgauge/checker/source"
)

func packCommand(s Streams) *cobra.Command {
	return &cobra.Command{
		Use:   "pack FILE...",
		Short: "Check rule packs of your own and play their fault cards",
		Long: `Check rule packs of an organisation, which have the format of the built-in
ones: types, dimensions, limits that no rule uses, conditions that do not
depend on the kit, rules without a fault card. Then play the fault cards of
the file NAME.cards.yaml beside NAME.pack.yaml, together with the built-in
packs. A card puts its fault into an example kit (gritter, loader, trailer) or into
a kit file named relative to the cards, which has to be clean.

Exit status: 0 where all is in order, 1 where a card or a remark says
otherwise, 3 where a pack is faulty.`,
		Example: `  kitgauge pack rules/house.pack.yaml`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return fmt.Errorf("pack needs the file of a rule pack")
			}
			for _, name := range args {
				if !files.IsPackName(name) {
					return fmt.Errorf("%s is not the name of a rule pack: it ends in .pack.yaml or .pack.yml", name)
				}
			}
			return nil
		},
		ValidArgsFunction: endings("pack.yaml", "pack.yml"),
		RunE:              func(_ *cobra.Command, args []string) error { return checkPacks(s, args) },
	}
}

func checkPacks(s Streams, names []string) error {
	status := exitWithin
	for _, name := range names {
		r, err := checker.CheckPack(name)
		if err != nil {
			return &failure{exitUsage, err}
		}
		if err := writePack(s.Out, r); err != nil {
			return err
		}
		switch {
		case len(r.Problems) > 0:
			status = exitUsage
		case !r.Passed():
			status = max(status, exitOutside)
		}
	}
	return exit(status)
}

func writePack(w io.Writer, r *checker.PackReport) error {
	p := &page{w: w}
	p.line("%s", report.Visible(r.Text.File))
	for _, problem := range r.Problems {
		writeProblem(p, "FAULT", r.Text, problem)
	}
	failed := 0
	for _, c := range r.Cards {
		if len(c.Differences) == 0 {
			p.line("  ok      %s: %s", c.Card.Rule, report.Visible(c.Card.Fault))
			continue
		}
		failed++
		p.line("  FAILS   %s: %s (%s)", c.Card.Rule, report.Visible(c.Card.Fault), c.Card.Node.Pos())
		for _, d := range c.Differences {
			p.line("            %s", report.Visible(d))
		}
	}
	for _, remark := range r.Remarks {
		writeProblem(p, "REMARK", r.Text, remark)
	}
	p.line("%s: %s, %s: %d failed; %s, %s", cmp.Or(r.Name, "not read"),
		report.Count(r.Rules, "rule", "rules"), report.Count(len(r.Cards), "card", "cards"), failed,
		report.Count(len(r.Problems), "fault", "faults"), report.Count(len(r.Remarks), "remark", "remarks"))
	return p.err
}

// writeProblem shows a problem of a pack with the line and a caret.
func writeProblem(p *page, word string, doc *source.Document, problem *source.Problem) {
	p.line("  %-7s %s", word, problem.Pos)
	p.line("          %s", report.Visible(problem.Message))
	for _, line := range excerpt(doc, problem.Pos) {
		p.line("          %s", line)
	}
	if problem.Remedy != "" {
		p.line("          %s", report.Visible(problem.Remedy))
	}
}

// longestExcerpt is how long a line may be that is shown whole, in bytes.
const longestExcerpt = 500

// excerpt is the line of a file with a caret under a place in it.
func excerpt(doc *source.Document, at source.Pos) []string {
	if doc == nil || at.File != doc.File || at.Line < 1 {
		return nil
	}
	line := doc.Line(at.Line)
	if line == "" || len(line) > longestExcerpt {
		return nil
	}
	return []string{"| " + report.Visible(line), fmt.Sprintf("| %*s", max(at.Column, 1), "^")}
}

// brokenPacks is the error of packs and settings that cannot be used: each
// problem with its line and a caret.
type brokenPacks struct{ *checker.BrokenPacks }

// say writes the problems.
func (b brokenPacks) say(w io.Writer) {
	for i, p := range b.Problems {
		if i == 0 {
			say(w, "%s", p)
		} else {
			fmt.Fprintln(w, report.Visible(p.Error()))
		}
		if p.Node != nil {
			for _, line := range excerpt(p.Node.Document(), p.Pos) {
				fmt.Fprintln(w, "  "+line)
			}
		}
	}
}

// Unwrap returns the problems as package checker has them.
func (b brokenPacks) Unwrap() error { return b.BrokenPacks }
