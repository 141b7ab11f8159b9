package command

import (
	"bytes"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/files"
	"kitgauge/checker/survey"
	"kitgauge/checker/units"
)

type surveyOptions struct {
	oneKit
	from  string
	units string
	paper string
}

func surveyCommand(s Streams) *cobra.Command {
	var o surveyOptions
	c := &cobra.Command{
		Use:   "survey --out FILE",
		Short: "Write the sheet on which a vehicle is surveyed",
		Long: `Write the sheet on which a vehicle is surveyed, to be printed and filled in by
hand, or at a screen: the vehicle, its bodies and joints with sketches of how
each range is measured, the grease points, the stations where clips can go, the
places to keep away from, the place of the pump and the feed. It is in the terms
of the kit file, one row a thing, with the units in the heads and the words to
choose from.

A FILE.xlsx is a workbook; any other name is a directory, in which each sheet
is a CSV file. --from fills the sheet in from a kit, as far as a survey goes.

What is filled in becomes a kit with kitgauge propose.

Exit status:
  0  the survey is written
  2  the kit could not be read, or the survey could not be written
  3  wrong use of the command`,
		Example: `  kitgauge survey --out survey.xlsx
  kitgauge survey --from examples/trailer/trailer.kit.yaml --out trailer.xlsx`,
		Args:              needs(0, 0, "survey takes no file: name the survey with --out, and a kit with --from"),
		ValidArgsFunction: cobra.NoFileCompletions,
		RunE:              func(c *cobra.Command, _ []string) error { return writeSurvey(s, o, c.Flags().Changed) },
	}
	f := c.Flags()
	f.StringVar(&o.out, "out", "", "write to this `FILE`.xlsx, or CSV files into this directory")
	f.StringVar(&o.from, "from", "", "fill the survey in from this `KIT`, or - for standard input")
	numberFlag(c, &o.number, "the file holds")
	_ = c.RegisterFlagCompletionFunc("from", kitFiles)
	f.StringVar(&o.units, "units", "metric", "the units of a blank survey: metric or inch")
	f.StringVar(&o.paper, "paper", "", "paper of the workbook: a4 or letter (default a4 for metric units, letter for inches)")
	words(c, "units", "metric", "inch")
	words(c, "paper", "a4", "letter")
	return c
}

// faulty says what is wrong with the options.
func (o *surveyOptions) faulty(changed func(string) bool) error {
	_, sized := papers[o.paper]
	switch {
	case o.out == "":
		return wrong("survey needs --out: a FILE.xlsx, or a directory for CSV files")
	case files.IsKitName(o.out):
		return refuseKit(o.out)
	case o.units != "metric" && o.units != "inch":
		return wrong("--units: %q is neither metric nor inch", o.units)
	case o.from != "" && changed("units"):
		return wrong("--units is for a blank survey: one that is filled in from a kit has the units of the kit")
	case o.from == "" && changed("number"):
		return wrong("--number is for a survey that is filled in from a kit: name it with --from")
	case !sized:
		return wrong("--paper: %q is neither a4 nor letter", o.paper)
	case filepath.Ext(o.out) != ".xlsx" && changed("paper"):
		return wrong("--paper is for a workbook: name a FILE.xlsx with --out")
	}
	return nil
}

func writeSurvey(s Streams, o surveyOptions, changed func(string) bool) error {
	if err := o.faulty(changed); err != nil {
		return err
	}
	sheets := survey.Blank(map[string]units.Family{"metric": units.Metric, "inch": units.Inch}[o.units])
	if o.from != "" {
		r, err := o.read(checker.New(checker.Options{Stdin: s.In, Packs: []string{}, NoSettings: true}), o.from)
		if err != nil {
			return err
		}
		sheets = survey.FromKit(r.Text.Root)
	}
	if filepath.Ext(o.out) == ".xlsx" {
		var b bytes.Buffer
		if err := sheets.WriteXLSX(&b, papers[o.paper]); err != nil {
			return unwritten(o.out, err)
		}
		return s.keep(o.out, survey.File{Name: "", Text: b.Bytes()})
	}
	list, err := sheets.CSV()
	if err != nil {
		return unwritten(o.out, err)
	}
	if err := os.Mkdir(o.out, 0o777); err != nil && !os.IsExist(err) {
		return unwritten(o.out, &files.Error{File: o.out, Err: err})
	}
	return s.keep(o.out, list...)
}

// keep writes files below a path that appear together.
func (s Streams) keep(path string, list ...survey.File) error {
	set := &s.during.files
	for _, f := range list {
		if err := set.Add(filepath.Join(path, f.Name), f.Text); err != nil {
			set.Discard()
			return unwritten(path, err)
		}
	}
	if err := set.Keep(); err != nil {
		return unwritten(path, err)
	}
	return nil
}
