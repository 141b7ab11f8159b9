package command

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/affected"
	"kitgauge/checker/compare"
	"kitgauge/checker/files"
	"kitgauge/checker/report"
	"kitgauge/checker/report/record"
	"kitgauge/checker/report/terminal"
)

// The exit statuses of a comparison, beside exitUsage.
const (
	exitSame    = 0
	exitDiffers = 1
	exitTrouble = 2
)

type compareOptions struct {
	checkFlags
	colour string
	number string
	json   bool
}

func compareCommand(s Streams) *cobra.Command {
	var o compareOptions
	c := &cobra.Command{
		Use:   "compare OLD NEW",
		Short: "Say what differs between two revisions of a kit",
		Long: `Say what differs between two revisions of a kit in the trade's terms: what was
added, removed and changed in the kit file and in the figures of the parts that
it uses, which computed values moved, and which findings came and went. Things
are matched by number, id or part, never by their place in a list; comments and
the way in which a value is written are no difference.

OLD and NEW are kit files, - for standard input, or REV:PATH for a file as it
was in the git history: then its catalogues are those of that commit too. PATH
counts from the top of the working tree, or from here where it begins with ./.
Both are judged by the settings that apply to NEW and by this program's rules,
so that what differs comes from the kit alone.

Exit status:
  0  no difference
  1  there are differences
  2  a kit could not be read in full; what could be compared is written
  3  wrong use of the command, or a broken rule pack`,
		Example: `  kitgauge compare HEAD:kits/gritter.kit.yaml kits/gritter.kit.yaml
  kitgauge compare --json gritter-b.kit.yaml gritter-c.kit.yaml > differences.json`,
		Args:              needs(2, 2, "compare needs two kits: OLD and NEW"),
		ValidArgsFunction: compared,
		RunE:              func(_ *cobra.Command, args []string) error { return compareKits(s, o, args[0], args[1]) },
	}
	o.checkFlags.flags(c)
	_ = c.Flags().MarkHidden("gate")
	_ = c.Flags().MarkHidden("known")
	c.Flags().BoolVar(&o.json, "json", false, "write the comparison as one JSON object (kitgauge schema compare)")
	colourFlag(c, &o.colour)
	numberFlag(c, &o.number, "the files hold")
	return c
}

// compared completes the two kits, of which each may be of a revision.
func compared(c *cobra.Command, args []string, prefix string) ([]string, cobra.ShellCompDirective) {
	if len(args) >= 2 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return orRevision(":", files.IsKitName)(c, args, prefix)
}

func compareKits(s Streams, o compareOptions, old, new string) error {
	if err := checkColour(o.colour); err != nil {
		return err
	}
	if old == "-" && new == "-" {
		return wrong("standard input can be one of the two, not both")
	}
	options, err := o.options(s, checker.Options{Remember: true})
	if err != nil {
		return err
	}
	c, is, err := checkRevision(options, new, o.number)
	if err != nil {
		return err
	}
	was, err := olderRevision(c, is, old, o.number)
	if err != nil {
		return err
	}
	var compared compare.Comparison
	err = writeWhole(s, o.time, "", func(w io.Writer) error {
		c := compare.Of(was.RevisionAs(old), is.RevisionAs(new))
		if err := o.write(w, &c, s.Out); err != nil {
			return err
		}
		compared = c
		return nil
	})
	if err != nil {
		return err
	}
	switch {
	case !compared.Whole():
		return exit(exitTrouble)
	case !compared.Same():
		return exit(exitDiffers)
	}
	return exit(exitSame)
}

func (o *compareOptions) write(w io.Writer, c *compare.Comparison, screen io.Writer) error {
	if o.json {
		return record.WriteComparison(w, c, version)
	}
	return terminal.WriteComparison(w, c, look(screen, o.colour))
}

// checkRevision checks a kit of which there is something to compare.
func checkRevision(o checker.Options, name, number string) (*checker.Checker, *checker.Result, error) {
	c, results, err := affected.Check(context.Background(), o, name)
	if err != nil {
		return nil, nil, failed(err)
	}
	r, err := pick(results, number)
	if err != nil {
		return nil, nil, err
	}
	if r.Facts == nil {
		return nil, nil, &failure{exitTrouble, fmt.Errorf("%s cannot be compared: %s", report.Visible(name), firstFault(r))}
	}
	return c, r, nil
}

// olderRevision checks what a kit is compared with, judged as the kit was.
func olderRevision(c *checker.Checker, is *checker.Result, name, number string) (*checker.Result, error) {
	alike, err := c.Alike(is.File)
	if err != nil {
		return nil, failed(err)
	}
	_, was, err := checkRevision(alike, name, number)
	return was, err
}

// firstFault says why there is nothing of a kit to compare.
func firstFault(r *checker.Result) string {
	for i := range r.Findings {
		f := &r.Findings[i]
		return report.Visible(f.Pos.String() + ": " + f.Message)
	}
	return "it holds no kit"
}
