package command

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/rogpeppe/go-internal/diff"
	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/files"
	"kitgauge/checker/fill"
	"kitgauge/checker/report"
	"kitgauge/checker/spelling"
)

type fillOptions struct {
	checkFlags
	only   []string
	dryRun bool
}

func fillCommand(s Streams) *cobra.Command {
	var o fillOptions
	names, abouts := fill.Groups()
	c := &cobra.Command{
		Use:   "fill KIT",
		Short: "Write into a kit file what follows from the rest and is not stated",
		Long: `Write into a kit file what follows from the rest of it and is not stated. What
stands is never changed; remarks, order and all that is not touched stay as they
are. Where a part is left out, the smallest of the catalogue is taken with which
no rule finds anything; what cannot be filled in is listed with the reason.

Free lengths are the least that the rules allow, and no measure of the vehicle:
give them more where there is room. Look at what was chosen before it is ordered.

What is filled in, in this order:

` + listed(names, abouts) + `
` + strings.Replace(fixExitHelp, "mended", "filled in", 1),
		Example: `  kitgauge fill --dry-run fleet/gritter.kit.yaml
  kitgauge fill fleet/gritter.kit.yaml
  kitgauge fill --only cut-lengths --only parts-list fleet/gritter.kit.yaml`,
		Args:              needs(1, 1, "fill needs one kit file"),
		ValidArgsFunction: kitsUpTo(1),
		RunE:              func(_ *cobra.Command, args []string) error { return fillIn(s, o, args[0]) },
	}
	f := c.Flags()
	o.checkFlags.flags(c)
	f.Lookup("time-limit").Usage = "how long a check of the kit, and all of the filling in, may take before it is given up, as in 90s or 5m; 0 sets no limit"
	f.StringSliceVar(&o.only, "only", nil, "fill in this alone, by the names above, as often as wanted")
	f.BoolVar(&o.dryRun, "dry-run", false, "write nothing: show the difference, which patch can read")
	lists(c, "only", names...)
	return c
}

// listed is a list of names, each with what it is.
func listed(names, abouts []string) string {
	var b strings.Builder
	for i, name := range names {
		fmt.Fprintf(&b, "  %-13s %s\n", name, abouts[i])
	}
	return b.String()
}

func fillIn(s Streams, o fillOptions, name string) error {
	if name == "-" {
		return wrong("fill writes the file that it reads: name a kit file")
	}
	known, _ := fill.Groups()
	for _, only := range o.only {
		if !slices.Contains(known, only) {
			return wrong("--only: nothing is called %q%s: see kitgauge fill --help", only, spelling.Hint(only, known))
		}
	}
	c, err := o.checker(s, checker.Options{Remember: true})
	if err != nil {
		return err
	}
	if len(o.packs) > 0 {
		return wrong("--pack: what is filled in has to satisfy every rule; check the kit with --pack afterwards")
	}
	text, err := files.ReadFile(name)
	if err != nil {
		return failed(&files.Error{File: name, Err: err})
	}
	filled, err := fill.Kit(c, name, text, fill.Options{Only: o.only, Time: o.time})
	if err != nil {
		return failed(err)
	}
	run, err := c.Report(version, filled.After...)
	if err != nil {
		return failed(err)
	}
	if o.dryRun {
		if _, err := s.Out.Write(diff.Diff(name, text, name, filled.Text)); err != nil {
			return unwritten("standard output", err)
		}
		tellFill(s.Err, filled, "would be ")
		return exit(run.Exit())
	}
	if err := replace(s, name, text, filled.Text); err != nil {
		return err
	}
	tellFill(s.Out, filled, "")
	return exit(run.Exit())
}

// tellFill says what was written, what could not be, and what is still found.
func tellFill(w io.Writer, f *fill.Filled, would string) {
	group := ""
	for _, m := range together(f.Made) {
		if m.Group != group {
			group = m.Group
			fmt.Fprintf(w, "%s%s\n", group, remark(group))
		}
		fmt.Fprintf(w, "    %s  %s\n", report.Visible(m.Says), report.Visible(m.Place))
	}
	if len(f.Open) > 0 {
		fmt.Fprintf(w, "not filled in:\n")
	}
	for i, x := range f.Open {
		if next := i + 1; next < len(f.Open) && f.Open[next].Place == x.Place && f.Open[next].Why == x.Why {
			fmt.Fprintf(w, "    %s\n", x.Group) // the reason stands below the last
			continue
		}
		fmt.Fprintf(w, "    %s, %s\n        %s\n", x.Group, report.Visible(x.Place), report.Visible(x.Why))
	}
	unread(w, f.After)
	fmt.Fprintf(w, "%s %sfilled in, %d not; %s left\n", amounts(len(f.Made), "value", "values"), would, len(f.Open), amounts(open(f.After), "finding is", "findings are"))
}

// together are the places of one group at which the same was written.
func together(made []fill.Made) []fill.Made {
	var list []fill.Made
	for _, m := range made {
		at := slices.IndexFunc(list, func(x fill.Made) bool { return x.Group == m.Group && x.Says == m.Says })
		if at < 0 {
			list = append(list, m)
			continue
		}
		list[at].Place += "; " + m.Place
	}
	return list
}

// remark is what has to be known of what a group writes.
func remark(group string) string {
	if group == "free-lengths" {
		return " (the least that the rules allow; give more where there is room)"
	}
	return ""
}
