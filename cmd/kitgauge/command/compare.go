package command

import (
	"context"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/affected"
	"kitgauge/checker/compare"
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
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 2 {
				return fmt.Errorf("compare needs two kits: OLD and NEW")
			}
			return nil
		},
		ValidArgsFunction: kitFiles,
		RunE:              func(_ *cobra.Command, args []string) error { return compareKits(s, o, args[0], args[1]) },
	}
	o.checkFlags.flags(c)
	_ = c.Flags().MarkHidden("gate")
	_ = c.Flags().MarkHidden("known")
	c.Flags().BoolVar(&o.json, "json", false, "write the comparison as one JSON object (kitgauge schema compare)")
	c.Flags().StringVar(&o.colour, "colour", "auto", "colour the text: auto, always or never")
	c.Flags().StringVar(&o.number, "number", "", "the `NUMBER` of the kit, where the files hold several")
	_ = c.RegisterFlagCompletionFunc("colour", cobra.FixedCompletions([]string{"auto", "always", "never"}, cobra.ShellCompDirectiveNoFileComp))
	return c
}

func compareKits(s Streams, o compareOptions, old, new string) error {
	if o.colour != "auto" && o.colour != "always" && o.colour != "never" {
		return wrong("--colour: %q is neither auto, always nor never", o.colour)
	}
	if old == "-" && new == "-" {
		return wrong("standard input can be one of the two, not both")
	}
	is, err := o.revision(s, new, nil)
	if err != nil {
		return err
	}
	was, err := o.revision(s, old, is.profile)
	if err != nil {
		return err
	}
	c := compare.Of(was.Revision, is.Revision)
	if err := o.write(s.Out, &c); err != nil {
		return unwritten("standard output", err)
	}
	switch {
	case !c.Whole():
		return exit(exitTrouble)
	case !c.Same():
		return exit(exitDiffers)
	}
	return exit(exitSame)
}

func (o *compareOptions) write(w io.Writer, c *compare.Comparison) error {
	if o.json {
		return record.WriteComparison(w, c, version)
	}
	width, is := screen(w)
	colour := o.colour == "always" || o.colour == "auto" && is && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
	return terminal.WriteComparison(w, c, terminal.Options{Width: width, Colour: colour})
}

// checkedRevision is one of the two, with what it was judged by.
type checkedRevision struct {
	compare.Revision
	profile *checker.Config
	result  *checker.Result
}

// revision checks one of the two kits: by the settings of a profile, or by its
// own where there is none yet.
func (o *compareOptions) revision(s Streams, name string, by *checker.Config) (checkedRevision, error) {
	file, from, err := kitIn(name)
	if err != nil {
		return checkedRevision{}, &failure{exitTrouble, fmt.Errorf("%s: %w", report.Visible(name), err)}
	}
	options := checker.Options{}
	judged := o.checkFlags
	if by != nil {
		judged.settings, options.NoSettings = by.File, by.File == ""
	}
	if from != nil {
		options.ReadFile = func(_, file string) ([]byte, error) { return from.ReadFile(context.Background(), file) }
	}
	c, err := judged.checker(options)
	if err != nil {
		return checkedRevision{}, err
	}
	results, err := o.check(s, c, file, from)
	if err != nil {
		return checkedRevision{}, err
	}
	r, err := oneKit(results, o.number)
	if err != nil {
		return checkedRevision{}, err
	}
	if r.Facts == nil {
		return checkedRevision{}, &failure{exitTrouble, fmt.Errorf("%s cannot be compared: %s", report.Visible(name), firstFault(r))}
	}
	profile, err := c.Config(r.File)
	if err != nil {
		return checkedRevision{}, &failure{exitUsage, err}
	}
	return checkedRevision{compare.Revision{File: name, Shaped: r.Shaped, Facts: r.Facts, Findings: r.Findings}, profile, r}, nil
}

// kitIn tells where a kit is: in a file of the name, or in a commit.
func kitIn(name string) (file string, from *affected.Commit, err error) {
	if _, err := os.Stat(name); err == nil || name == "-" {
		return name, nil, nil
	}
	revision, file, found := strings.Cut(name, ":")
	if !found || revision == "" || file == "" {
		return name, nil, nil // and reading it says what is wrong
	}
	if from, err = affected.At(context.Background(), revision); err != nil {
		return "", nil, err
	}
	return from.Beneath(file), from, nil
}

func (o *compareOptions) check(s Streams, c *checker.Checker, file string, from *affected.Commit) ([]*checker.Result, error) {
	if from == nil {
		return checkOne(s, c, file)
	}
	text, err := from.ReadFile(context.Background(), file)
	if err != nil {
		return nil, &failure{exitTrouble, fmt.Errorf("%s in that commit: %s", report.Visible(file), checker.PlainError(err))}
	}
	results, err := c.Check(file, text)
	if err != nil {
		return nil, &failure{exitUsage, err}
	}
	return results, nil
}

// firstFault says why there is nothing of a kit to compare.
func firstFault(r *checker.Result) string {
	for i := range r.Findings {
		f := &r.Findings[i]
		return report.Visible(f.Pos.String() + ": " + f.Message)
	}
	return "it holds no kit"
}
