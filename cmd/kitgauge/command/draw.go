package command

import (
	"cmp"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/finding"
	"kitgauge/checker/report/drawing"
)

type drawOptions struct {
	checkFlags
	oneKit
	span  string
	plain bool
	viewOptions
}

func drawCommand(s Streams) *cobra.Command {
	var o drawOptions
	c := &cobra.Command{
		Use:   "draw KIT",
		Short: "Draw the schematic, or a free span, as SVG",
		Long: `Check a kit and draw it on as many sheets as it takes: an overview with side
view and top view to scale, the bundles with their stations and free lengths,
details at a larger scale, and tables. Without --sheet the overview is drawn.
SHEET is a number, a name (overview, bundles-1, details-1, tables-1), the id of
a bundle or the letter of a detail; "all" writes every sheet to a file of its
own, beside --out: kit.svg becomes kit-1-overview.svg and so on.
With --span one free span is drawn instead, at rest, where its ends are nearest
and where they are farthest; PLACE is what findings call it. --view wiring draws
the feed from the battery to the pump and back instead, with symbols after IEC
60617, and --view hydraulic the way of the grease to the points, with symbols
after ISO 1219-1. What one sheet of them does not hold is on the next.

The SVG holds no script, font or picture from elsewhere, follows the light or
dark setting of the viewer, and prints black on white on --paper a3, a4 or
letter. No letters are smaller than 1.8 mm on that paper.

Exit status:
  0  the drawing is written
  2  the kit could not be read, or does not have the shape of a kit; what of it
     can be drawn is still written
  3  wrong use of the command, or a broken rule pack`,
		Example: `  kitgauge draw --out gritter.svg examples/gritter/gritter.kit.yaml
  kitgauge draw --sheet all --paper a4 --out gritter.svg examples/gritter/gritter.kit.yaml
  kitgauge draw --span "bundle FL, span chassis to front axle" examples/gritter/gritter.kit.yaml > span.svg
  kitgauge draw --view hydraulic --paper a4 --sheet 2 examples/gritter/gritter.kit.yaml > sheet2.svg`,
		RunE: func(_ *cobra.Command, args []string) error { return draw(s, &o, args[0]) },
	}
	o.checkFlags.flags(c)
	o.oneKit.flags(c, toFile)
	_ = c.Flags().MarkHidden("gate") // a drawing does not gate
	f := c.Flags()
	f.StringVar(&o.span, "span", "", "draw the free span at this `PLACE`")
	f.BoolVar(&o.plain, "plain", false, "leave the findings out")
	o.viewOptions.flags(c)
	_ = c.RegisterFlagCompletionFunc("span", inKits(noRules, spanPlaces))
	_ = c.RegisterFlagCompletionFunc("sheet", o.sheetNames)
	return c
}

func draw(s Streams, o *drawOptions, name string) error {
	if err := o.valid(); err != nil {
		return err
	}
	c, err := o.checker(s, checker.Options{})
	if err != nil {
		return err
	}
	r, err := o.read(c, name)
	if err != nil {
		return err
	}
	gate, err := c.GateFor(name)
	if err != nil {
		return failed(err)
	}
	if err = o.write(s, r, gate); err == nil && !r.Shaped {
		say(s.Err, "%s was not checked in full, so the drawing may lack something (kitgauge check)", r.File)
		err = exit(exitUnread)
	}
	return err
}

// valid refuses what cannot be drawn, before anything is checked.
func (o *drawOptions) valid() error {
	switch {
	case o.span != "" && o.view != schematicView:
		return wrong("--span draws a free span, and --view %s none: give one of them", o.view)
	case o.span != "" && o.sheet != "":
		return wrong("--span and --sheet are two drawings: leave one out")
	case o.sheet == "all" && o.out == "":
		return wrong("--sheet all writes several files: name them with --out, as kit.svg")
	}
	return o.viewOptions.valid()
}

// write writes the drawings that are asked for.
func (o *drawOptions) write(s Streams, r *checker.Result, gate finding.Severity) error {
	paper, err := drawing.PaperOf(o.paper)
	if err != nil {
		return wrong("--paper: %s", err)
	}
	in := drawing.Input{Kit: r.Facts, Findings: r.Findings, Plain: o.plain, Paper: paper, Gate: gate}
	if o.span != "" {
		span, err := drawing.SpanAt(r.Facts, o.span)
		if err != nil {
			return wrong("--span: %s", err)
		}
		return writeWhole(s, o.time, o.out, func(w io.Writer) error { return drawing.Span(w, in, span) })
	}
	list, err := o.sheets(in)
	if err != nil {
		return err
	}
	if o.sheet == "all" {
		return o.writeSheets(s, list)
	}
	sheet, err := o.chosen(s, list)
	if err != nil {
		return err
	}
	return writeWhole(s, o.time, o.out, func(w io.Writer) error { _, err := w.Write(sheet.SVG); return err })
}

// writeSheets writes every sheet to a file of its own: all of them or none.
func (o *drawOptions) writeSheets(s Streams, list []drawing.Sheet) error {
	set := &s.during.files
	defer set.Discard()
	ending := filepath.Ext(o.out)
	for i := range list {
		file := fmt.Sprintf("%s-%d-%s%s", strings.TrimSuffix(o.out, ending), list[i].Number, list[i].Name, ending)
		if err := refuseKit(file); err != nil {
			return err
		}
		if err := set.Add(file, list[i].SVG); err != nil {
			return unwritten(file, err)
		}
	}
	if err := set.Keep(); err != nil {
		return unwritten("", err)
	}
	return nil
}

// sheets draws them all within the time limit.
func (o *drawOptions) sheets(in drawing.Input) ([]drawing.Sheet, error) {
	done := make(chan []drawing.Sheet, 1)
	_, late := whole(toWrite(o.time), 1, func(io.Writer) error {
		done <- o.sheetsOf(in)
		return nil
	})
	if late != nil {
		return nil, unwritten(cmp.Or(o.out, "standard output"), late)
	}
	return <-done, nil
}

// spanPlaces are the places of the free spans of a kit.
func spanPlaces(r *checker.Result) []string {
	if r.Facts == nil {
		return nil
	}
	var places []string
	for _, s := range r.Facts.Spans {
		places = append(places, s.Place())
	}
	return places
}

// sheetNames completes the names of the sheets of the view.
func (o *drawOptions) sheetNames(c *cobra.Command, kits []string, prefix string) ([]string, cobra.ShellCompDirective) {
	return inKits(noRules, func(r *checker.Result) []string {
		paper, err := drawing.PaperOf(o.paper)
		if err != nil || r.Facts == nil || !slices.Contains(viewNames(), o.view) {
			return nil
		}
		names := []string{"all"}
		for _, s := range o.sheetsOf(drawing.Input{Kit: r.Facts, Paper: paper}) {
			names = append(names, s.Name)
		}
		return names
	})(c, kits, prefix)
}
