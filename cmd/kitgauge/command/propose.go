package command

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"kitgauge/checker/files"
	"kitgauge/checker/propose"
	"kitgauge/checker/report"
	"kitgauge/checker/survey"
)

type proposeOptions struct {
	catalogues []string
	out        string
	replace    bool
	time       time.Duration
}

func proposeCommand(s Streams) *cobra.Command {
	var o proposeOptions
	c := &cobra.Command{
		Use:   "propose SURVEY --catalogue PARTS --out KIT",
		Short: "Propose a kit from a survey",
		Long: `Read a survey (a workbook, or a directory of CSV files: see kitgauge survey) and
propose a whole kit: a line from the pump to every point, in bundles along the
stations of the survey by nearness, elements and the timer by what each point
needs, conduits by what goes into them, free lengths by how the bodies move,
ties, cut lengths, the feed, the papers, the parts list, and a procedure with
the steps that this vehicle needs. Figures and limits are those that the rules
use, with the settings that apply where the kit will be.

What only a person can decide is left open: it is marked at its place in the kit
and listed on standard output, as is every cell of the survey that is wrong
(points!D7) and every finding that the kit still has. A proposal is no approval:
look at every decision, then check the kit.

Exit status:
  0  the kit is proposed, and is within the gate
  1  the kit is proposed; cells of the survey are wrong, or there are findings
     at or above the gate
  2  the survey or a catalogue could not be read, or the kit not be written
  3  wrong use of the command, or a broken rule pack`,
		Example: `  kitgauge propose survey.xlsx --catalogue examples/parts/winter.parts.yaml --out new.kit.yaml
  kitgauge check new.kit.yaml`,
		Args:              needs(1, 1, "propose needs one survey: a workbook, or a directory of CSV files"),
		ValidArgsFunction: endings("xlsx"), // and directories
		RunE:              func(_ *cobra.Command, args []string) error { return writeProposal(s, o, args[0]) },
	}
	f := c.Flags()
	f.StringArrayVar(&o.catalogues, "catalogue", nil, "take parts from this catalogue `PARTS`; may be given several times")
	f.StringVar(&o.out, "out", "", "write the kit to this `KIT` file, such as new.kit.yaml")
	f.BoolVar(&o.replace, "replace", false, "let the proposal take the place of a kit that is there")
	timeFlag(c, &o.time)
	f.Lookup("time-limit").Usage = "how long the proposal may take before it is given up, as in 90s or 5m; 0 sets no limit"
	_ = c.RegisterFlagCompletionFunc("catalogue", endings("parts.yaml", "parts.yml", "parts.json"))
	_ = c.RegisterFlagCompletionFunc("out", kitFiles)
	return c
}

// faulty says what is wrong with the options.
func (o *proposeOptions) faulty() error {
	switch _, err := os.Lstat(o.out); {
	case o.time < 0:
		return negative(o.time)
	case len(o.catalogues) == 0:
		return wrong("propose needs --catalogue: the parts of which the kit is made")
	case o.out == "":
		return wrong("propose needs --out: the kit file to write, such as new.kit.yaml")
	case !files.IsKitName(o.out) || filepath.Ext(o.out) == ".json":
		return wrong("--out: %q is no name of a kit in YAML: it ends in .kit.yaml or .kit.yml", o.out)
	case err == nil && !o.replace:
		return wrong("--out: %s is there already: name another file, or write over it with --replace", report.Visible(o.out))
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return unwritten(o.out, &files.Error{File: o.out, Err: err})
	}
	return nil
}

func writeProposal(s Streams, o proposeOptions, name string) error {
	if err := o.faulty(); err != nil {
		return err
	}
	sheets, problems, err := survey.Read(name)
	if err != nil {
		return &failure{exitUnread, err}
	}
	part := sheets.Kit()
	part.Open = append(problems, part.Open...)
	var names []string
	for _, c := range o.catalogues {
		inKit, err := propose.CatalogueFor(o.out, c)
		if err != nil {
			return wrong("--catalogue: %s", err)
		}
		names = append(names, inKit)
	}
	p, err := propose.New(part, propose.Options{File: o.out, Catalogues: names, Time: o.time})
	var unread *propose.Unread
	switch {
	case errors.As(err, &unread):
		return &failure{exitUnread, err}
	case err != nil:
		return failed(err)
	}
	if err := s.keep(o.out, survey.File{Text: p.Text}); err != nil {
		return err
	}
	tell(s, o.out, p)
	if len(part.Open) > 0 || p.Outside() {
		return exit(exitOutside)
	}
	return nil
}

// tell says what was proposed, and what is left open.
func tell(s Streams, file string, p *propose.Proposal) {
	fmt.Fprintf(s.Out, "%s: %s, %s\n", report.Visible(file), report.Count(p.Lines, "line", "lines"), report.Count(p.Ways, "bundle", "bundles"))
	if p.Parts != "" {
		fmt.Fprintf(s.Out, "chosen: %s\n", report.Visible(p.Parts))
	}
	if len(p.Open) == 0 {
		fmt.Fprintln(s.Out, "nothing is left open")
	} else {
		fmt.Fprintf(s.Out, "left open: %d\n", len(p.Open))
	}
	for _, o := range p.Open {
		fmt.Fprintf(s.Out, "  %s: %s\n", report.Visible(o.Place), report.Visible(o.Says))
	}
	fmt.Fprintf(s.Out, "\nA proposal approves nothing: look at every decision. %s\n", report.Caution)
}
