package command

import (
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/facts"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/report/terminal"
	"kitgauge/checker/source"
	"kitgauge/checker/units"
)

type checkOptions struct {
	checkFlags
	reports []string
	since   string
	colour  string
	brief   bool
	margins bool
	figures bool
}

func checkCommand(s Streams) *cobra.Command {
	var o checkOptions
	c := &cobra.Command{
		Use:   "check KIT...",
		Short: "Check kit files",
		Long: `Check kit files against the rule packs and report what is wrong, where, and
what would be right.

KIT is a kit file, a directory (every *.kit.yaml, *.kit.yml and *.kit.json
below it) or - for standard input. A file may hold several kits as YAML
documents. The catalogues that a kit names are read from beside it.

` + sinceHelp + exitHelp,
		Example: `  kitgauge check examples/gritter/gritter.kit.yaml
  kitgauge check --gate critical kits/
  kitgauge check --report json kits/ > result.json
  kitgauge check --report annotations --report sarif=kits.sarif --report markdown=summary.md kits/
  kitgauge check --since origin/main kits/
  kitgauge check - < draft.kit.yaml`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return fmt.Errorf("check needs a kit file, a directory or -")
			}
			return nil
		},
		ValidArgsFunction: kitFiles,
		RunE:              func(c *cobra.Command, args []string) error { return check(s, c, o, args) },
	}
	f := c.Flags()
	o.checkFlags.flags(c)
	f.StringArrayVar(&o.reports, "report", nil, "a `NAME` or NAME=FILE, as often as wanted: text, json, sarif, junit, annotations or markdown (default text)")
	sinceFlag(c, &o.since)
	f.StringVar(&o.colour, "colour", "auto", "colour the text: auto, always or never")
	f.BoolVar(&o.brief, "brief", false, "leave out the working of each finding")
	f.BoolVar(&o.figures, "figures", false, "show the computed figures: lengths, pressures, amounts, voltages")
	f.BoolVar(&o.margins, "margins", false, "show how near each rule came to its limit")
	complete := func(words ...string) func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp)
	}
	_ = c.RegisterFlagCompletionFunc("report", complete(writerNames()...))
	_ = c.RegisterFlagCompletionFunc("colour", complete("auto", "always", "never"))
	return c
}

func check(s Streams, command *cobra.Command, o checkOptions, names []string) error {
	reports, err := outputs(o.reports)
	if err != nil {
		return err
	}
	if o.colour != "auto" && o.colour != "always" && o.colour != "never" {
		return wrong("--colour: %q is neither auto, always nor never", o.colour)
	}
	files, faults := inputs(names)
	if files, err = o.limit(s, command, names, files); err != nil {
		return err
	}
	if len(files) == 1 && small(files[0]) {
		debug.SetGCPercent(1000) // one kit is done before a collection pays
	}
	c, err := o.checker(checker.Options{Margins: o.margins})
	if err != nil {
		return err
	}
	results, err := checkAll(s, c, files, faults)
	if err != nil {
		return err
	}
	run, err := o.run(c, results)
	if err != nil {
		return err
	}
	if err := writeAll(s, o, reports, run); err != nil {
		return err
	}
	return exit(run.Exit())
}

// small reports whether a file is known to be of the size of a kit.
func small(file string) bool {
	info, err := os.Stat(file)
	return err == nil && info.Mode().IsRegular() && info.Size() < 2<<20
}

// checkAll checks every kit, as many at once as can run, and keeps their
// order. It shows how far it has come on a terminal. What cannot be read is
// told on standard error and gets a result that says so, so that it hides no
// other kit; where nothing at all can be read there is nothing to report.
func checkAll(s Streams, c *checker.Checker, files []string, faults []checker.Fault) ([]*checker.Result, error) {
	lists := make([][]*checker.Result, len(files))
	errs := make([]error, len(files))
	watched(s, files, func(i int) { lists[i], errs[i] = checkOne(s, c, files[i]) })
	var results []*checker.Result
	read := 0
	for i, err := range errs {
		var fault checker.Fault
		switch {
		case errors.As(err, &fault):
			results = append(results, unread(s, fault))
		case err != nil:
			return nil, err
		default:
			results = append(results, lists[i]...)
			read++
		}
	}
	for _, fault := range faults {
		results = append(results, unread(s, fault))
	}
	if read == 0 && len(results) > 0 {
		return nil, exit(exitUnread)
	}
	return results, nil
}

// watched does something for each file, as many at once as can run, and shows
// on a terminal how far it has come.
func watched(s Streams, files []string, do func(i int)) {
	progress := newProgress(s.Err, len(files))
	defer s.during.onEnd(progress.clear)()
	defer progress.clear()
	checker.Parallel(len(files), func(i int) {
		do(i)
		progress.done(files[i])
	})
}

// unread tells of a file that cannot be read, and returns its result.
func unread(s Streams, fault checker.Fault) *checker.Result {
	fmt.Fprintf(s.Err, "kitgauge: %s\n", report.Visible(fault.Error()))
	return checker.Unread(fault.File, nil, &source.Problem{Pos: source.Pos{File: fault.File}, Message: fault.Why, Remedy: "see that it can be read, and check it again"})
}

// run gathers the results for the reports.
func (o *checkOptions) run(c *checker.Checker, results []*checker.Result) (report.Run, error) {
	run := report.Run{Gate: o.over(results), Version: version}
	for _, r := range results {
		if r.Given > 0 {
			run.On = o.on
		}
		for _, g := range r.Gone {
			run.Gone = append(run.Gone, report.Gone(g))
		}
		k := reported(r, c)
		if o.figures && r.Facts != nil {
			k.Figures = figuresOf(r.Facts)
		}
		run.Kits = append(run.Kits, k)
	}
	rules, err := rulesInUse(c, results)
	run.Rules = rules
	return run, err
}

// rulesInUse lists the rules that the kits were checked with, by id.
func rulesInUse(c *checker.Checker, results []*checker.Result) ([]report.Rule, error) {
	byID := map[string]report.Rule{}
	for _, r := range results {
		profile, err := c.Config(r.File)
		if err != nil {
			return nil, &failure{exitUsage, err}
		}
		for _, pack := range profile.Packs {
			for _, rule := range pack.Rules {
				byID[rule.ID] = report.Rule{ID: rule.ID, Title: rule.Title, Severity: rule.Severity, Why: rule.Why, Basis: rule.Basis}
			}
		}
	}
	return slices.SortedFunc(maps.Values(byID), func(a, b report.Rule) int { return strings.Compare(a.ID, b.ID) }), nil
}

// inputs lists the files to check, and the names that lead to none; - is
// standard input and stays as it is.
func inputs(names []string) (files []string, faults []checker.Fault) {
	seen := map[string]bool{}
	for _, name := range names {
		found := []string{name}
		if name != "-" {
			var why []checker.Fault
			found, why = checker.Find([]string{name})
			faults = append(faults, why...)
		}
		for _, f := range found {
			if !seen[f] {
				seen[f] = true
				files = append(files, f)
			}
		}
	}
	return files, faults
}

func checkOne(s Streams, c *checker.Checker, file string) ([]*checker.Result, error) {
	name := file
	var text []byte
	var err error
	if file == "-" {
		name = "standard input"
		text, err = checker.Read(s.In)
	} else {
		text, err = checker.ReadFile(file)
	}
	if err != nil {
		return nil, &failure{exitUnread, checker.Fault{File: name, Why: err.Error()}}
	}
	results, err := c.Check(name, text)
	if err != nil {
		return nil, &failure{exitUsage, err}
	}
	return results, nil
}

// reported makes a result ready for the report packages.
func reported(r *checker.Result, c *checker.Checker) report.Kit {
	return report.Kit{
		File: r.File, Document: r.Document, Number: r.Number, Revision: r.Revision, Title: r.Title, Status: r.Status,
		Shaped: r.Shaped, Findings: r.Findings, Rules: r.Rules, Checks: r.Checks, NotEvaluated: r.NotEvaluated,
		Margins: r.Margins, Line: func(pos source.Pos) string { return c.Line(r, pos) },
	}
}

// figuresOf shows the computed quantities in the kit's own unit family.
func figuresOf(facts *facts.Kit) []report.Figures {
	var out []report.Figures
	for _, thing := range facts.Figures() {
		row := report.Figures{Kind: thing.Kind, Place: thing.Place}
		for _, f := range thing.Figures {
			figure := report.Figure{Name: f.Name, Why: f.Value.Why}
			switch {
			case f.Value.Known:
				figure.Amount = finding.Amount{SI: f.Value.V, Dimension: f.Dimension.String(), Text: units.Format(f.Value.V, f.Dimension, facts.Family())}
			case figure.Why == "":
				continue // it may be stated, and is not
			}
			row.Figures = append(row.Figures, figure)
		}
		out = append(out, row)
	}
	return out
}

func writeText(w io.Writer, o checkOptions, run report.Run) error {
	width, is := screen(w)
	colour := o.colour == "always" || o.colour == "auto" && is && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
	if err := terminal.Write(w, run, terminal.Options{Width: width, Colour: colour, Working: !o.brief}); err != nil {
		return err
	}
	hint(w, run)
	return nil
}

// hint names what to run next.
func hint(w io.Writer, run report.Run) {
	for _, k := range run.Kits {
		for _, f := range k.Findings {
			if !strings.HasPrefix(f.Rule, "file/") {
				fmt.Fprintf(w, "\nWhat a rule is about: kitgauge rule %s\n", f.Rule)
				return
			}
		}
	}
	for _, k := range run.Kits {
		for _, f := range k.Findings {
			if f.Pos.Line > 0 && f.Rule != "file/time" { // what stands in the file is wrong
				fmt.Fprintf(w, "\nWhat a kit file holds: kitgauge schema\n")
				return
			}
		}
	}
}
