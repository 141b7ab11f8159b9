package command

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/report"
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
		Long: `Check a kit and draw it: side view and top view to scale with pump, bundles,
points, zones and joints with their range, and a mark where something is found.
With --span one free span is drawn instead, at rest, where its ends are nearest
and where they are farthest; PLACE is what findings call it. --view wiring draws
the feed from the battery to the pump and back instead, with symbols after IEC
60617, and --view hydraulic the way of the grease to the points, with symbols
after ISO 1219-1. What one sheet of them does not hold is on the next.

The SVG holds no script, font or picture from elsewhere, follows the light or
dark setting of the viewer, and prints black on white on A3.

Exit status:
  0  the drawing is written
  2  the kit could not be read, or does not have the shape of a kit; what of it
     can be drawn is still written
  3  wrong use of the command, or a broken rule pack`,
		Example: `  kitgauge draw --out gritter.svg examples/gritter/gritter.kit.yaml
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
	_ = c.RegisterFlagCompletionFunc("span", spanPlaces)
	return c
}

func draw(s Streams, o *drawOptions, name string) error {
	c, err := o.checker(s, checker.Options{})
	if err != nil {
		return err
	}
	r, err := o.check(c, name)
	if err != nil {
		return err
	}
	if r.Facts == nil {
		return &failure{exitUnread, fmt.Errorf("%s cannot be read: correct it first (kitgauge check)", report.Visible(r.File))}
	}
	write, err := o.writer(s, r)
	if err != nil {
		return err
	}
	err = writeWhole(s, o.time, o.out, write)
	if err == nil && !r.Shaped {
		say(s.Err, "%s was not checked in full, so the drawing may lack something (kitgauge check)", r.File)
		err = exit(exitUnread)
	}
	return err
}

// writer makes the drawing that is asked for.
func (o *drawOptions) writer(s Streams, r *checker.Result) (func(io.Writer) error, error) {
	in := drawing.Input{Kit: r.Facts, Findings: r.Findings, Plain: o.plain}
	if o.view != schematicView {
		return o.diagram(s, in, o.span != "")
	}
	if o.span == "" {
		return func(w io.Writer) error { return drawing.Schematic(w, in) }, nil
	}
	span, err := drawing.SpanAt(r.Facts, o.span)
	if err != nil {
		return nil, wrong("--span: %s", err)
	}
	return func(w io.Writer) error { return drawing.Span(w, in, span) }, nil
}

// spanPlaces completes the places of the spans of the kit named before.
func spanPlaces(_ *cobra.Command, args []string, prefix string) ([]string, cobra.ShellCompDirective) {
	if len(args) == 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	results, err := checker.New(checker.Options{NoSettings: true, Packs: []string{}}).CheckFile(args[0])
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	var places []string
	for _, r := range results {
		if r.Facts == nil {
			continue
		}
		for _, s := range r.Facts.Spans {
			if p := report.Visible(s.Place()); strings.HasPrefix(p, prefix) && !slices.Contains(places, p) {
				places = append(places, p)
			}
		}
	}
	return places, cobra.ShellCompDirectiveNoFileComp
}
