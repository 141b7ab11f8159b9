package command

import (
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/affected"
	"kitgauge/checker/files"
	"kitgauge/checker/report"
	"kitgauge/checker/report/terminal"
	"kitgauge/checker/slip"
)

type checkOptions struct {
	checkFlags
	reports []string
	since   string
	staged  bool
	as      string          // the file whose text standard input is
	index   *affected.Index // that of git, where it is what is checked
	colour  string
	brief   bool
	unfold  bool
	slips   string
	margins bool
	figures bool
	screen  io.Writer // that the text is for; nil for a file
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
documents. The catalogues that a kit names are read from beside it. What nearly
looks like a kit and is not checked (.kit.YAML, a hidden or linked directory) is
named.

` + asHelp + policyHelp + sinceHelp + exitHelp,
		Example: `  kitgauge check examples/gritter/gritter.kit.yaml
  kitgauge check --gate critical kits/
  kitgauge check --report json kits/ > result.json
  kitgauge check --report annotations --report sarif=kits.sarif --report markdown=summary.md kits/
  kitgauge check --since origin/main --policy origin/main kits/
  kitgauge check --staged --since HEAD kits/
  kitgauge check - < draft.kit.yaml
  kitgauge check - --as kits/gritter.kit.yaml < draft.txt`,
		Args:              needs(1, math.MaxInt, "check needs a kit file, a directory or -"),
		ValidArgsFunction: kitFiles,
		RunE:              func(c *cobra.Command, args []string) error { return check(s, c, o, args) },
	}
	f := c.Flags()
	o.checkFlags.flags(c)
	f.StringArrayVar(&o.reports, "report", nil, "a `NAME` or NAME=FILE, as often as wanted: text, json, sarif, junit, annotations or markdown (default text)")
	asFlag(c, &o.as)
	sinceFlag(c, &o.since)
	f.BoolVar(&o.staged, "staged", false, "check what is staged for a commit: read all files from git's index")
	colourFlag(c, &o.colour)
	f.BoolVar(&o.unfold, "unfold", false, "show in full what follows from another finding")
	f.StringVar(&o.slips, "slips", "auto", "look for the one slip that explains what is found: auto (one kit, in which much or something grave is found), always or never")
	f.BoolVar(&o.brief, "brief", false, "leave out the working of each finding")
	f.BoolVar(&o.figures, "figures", false, "show the computed figures: lengths, pressures, amounts, voltages")
	f.BoolVar(&o.margins, "margins", false, "show how near each rule came to its limit")
	_ = c.RegisterFlagCompletionFunc("report", reportNames)
	words(c, "slips", "auto", "always", "never")
	return c
}

func check(s Streams, command *cobra.Command, o checkOptions, names []string) error {
	reports, err := outputs(o.reports)
	if err != nil {
		return err
	}
	if err := checkColour(o.colour); err != nil {
		return err
	}
	found, faults, err := o.find(s, names)
	if err != nil {
		return err
	}
	if found, faults, err = o.standIn(command, found, faults); err != nil {
		return err
	}
	if found, faults, err = o.limit(s, command, names, found, faults); err != nil {
		return err
	}
	if len(found) == 1 {
		collectLate()
	}
	options := checker.Options{Margins: o.margins, Figures: o.figures, StdinAs: o.as}
	if o.index != nil {
		options.Files = o.index
	}
	switch {
	case o.slips != "auto" && o.slips != "always" && o.slips != "never":
		return wrong("--slips: %q is neither auto, always nor never", o.slips)
	case o.slips == "always" || o.slips == "auto" && len(found) == 1:
		options.Slips, options.EverySlip = slip.Usual, o.slips == "always"
	}
	c, err := o.checker(s, options)
	if err != nil {
		return err
	}
	passed := o.passedOver(s, names)
	run, err := checkRun(s, c, found, faults)
	if err != nil {
		return err
	}
	run.Passed = passed
	if err := writeAll(s, o, reports, run); err != nil {
		return err
	}
	return exit(run.Exit())
}

// passedOver names on standard error what nearly looks like a kit and is not
// checked.
func passedOver(s Streams, names []string) []string { return sayPassed(s, files.PassedOver(names)) }

// passedOver is that of the working tree, or of git's index.
func (o *checkOptions) passedOver(s Streams, names []string) []string {
	if o.index != nil {
		return sayPassed(s, o.index.PassedOver(names))
	}
	return passedOver(s, names)
}

func sayPassed(s Streams, list []string) []string {
	for _, passed := range list {
		say(s.Err, "not checked: %s", passed)
	}
	return list
}

// checkRun checks every kit for a report.
func checkRun(s Streams, c *checker.Checker, names []string, faults []*files.Error) (report.Run, error) {
	results, err := checkAll(s, c, names, faults)
	if err != nil {
		return report.Run{}, err
	}
	run, err := c.Report(version, results...)
	if err != nil {
		return run, failed(err)
	}
	return run, nil
}

// checkAll checks every kit, and shows on a terminal how far it has come. What
// cannot be read is said on standard error; where nothing at all can be read
// there is nothing to report.
func checkAll(s Streams, c *checker.Checker, names []string, faults []*files.Error) ([]*checker.Result, error) {
	var results []*checker.Result
	err := watched(s, len(names), func(done func(string)) (err error) {
		results, err = c.CheckFiles(names, faults, done)
		return err
	})
	if err != nil {
		return nil, failed(err)
	}
	unread := 0
	for _, r := range results {
		if r.Unread != nil {
			unread++
			say(s.Err, "%s", r.Unread)
		}
	}
	if unread == len(results) && unread > 0 {
		return nil, exit(exitUnread)
	}
	return results, nil
}

func writeText(w io.Writer, o checkOptions, run report.Run) error {
	options := look(o.screen, o.colour)
	options.Working, options.Unfold = !o.brief, o.unfold
	if err := terminal.Write(w, run, options); err != nil {
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
