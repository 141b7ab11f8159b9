package command

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/facts"
	"kitgauge/checker/report"
	"kitgauge/checker/report/drawing"
	"kitgauge/checker/spelling"
)

type drawOptions struct {
	checkFlags
	span   string
	out    string
	number string
	plain  bool
}

func drawCommand(s Streams) *cobra.Command {
	var o drawOptions
	c := &cobra.Command{
		Use:   "draw KIT",
		Short: "Draw the schematic, or a free span, as SVG",
		Long: `Check a kit and draw it: side view and top view to scale with pump, bundles,
points, zones and joints with their range, and a mark where something is found.
With --span one free span is drawn instead, at rest, where its ends are nearest
and where they are farthest; PLACE is what findings call it.

The SVG holds no script, font or picture from elsewhere, follows the light or
dark setting of the viewer, and prints black on white on A3.

Exit status:
  0  the drawing is written
  2  the kit could not be read, or does not have the shape of a kit; what of it
     can be drawn is still written
  3  wrong use of the command, or a broken rule pack`,
		Example: `  kitgauge draw --out gritter.svg examples/gritter/gritter.kit.yaml
  kitgauge draw --span "bundle FL, span chassis to front axle" examples/gritter/gritter.kit.yaml > span.svg`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return fmt.Errorf("draw needs one kit file, or -")
			}
			return nil
		},
		ValidArgsFunction: kitFiles,
		RunE:              func(_ *cobra.Command, args []string) error { return draw(s, &o, args[0]) },
	}
	o.checkFlags.flags(c)
	_ = c.Flags().MarkHidden("gate") // a drawing does not gate
	f := c.Flags()
	f.StringVar(&o.span, "span", "", "draw the free span at this `PLACE`")
	f.StringVar(&o.out, "out", "", "write to this `FILE` (default standard output)")
	f.StringVar(&o.number, "number", "", "the `NUMBER` of the kit, where the file holds several")
	f.BoolVar(&o.plain, "plain", false, "leave the findings out")
	_ = c.RegisterFlagCompletionFunc("span", spanPlaces)
	return c
}

func draw(s Streams, o *drawOptions, name string) error {
	c, err := o.checker(checker.Options{})
	if err != nil {
		return err
	}
	results, err := checkOne(s, c, name)
	if err != nil {
		return err
	}
	r, err := oneKit(results, o.number)
	if err != nil {
		return err
	}
	if r.Facts == nil {
		return &failure{exitUnread, fmt.Errorf("%s cannot be read: correct it first (kitgauge check)", report.Visible(r.File))}
	}
	write, err := o.writer(r)
	if err != nil {
		return err
	}
	err = writeWhole(s, o.out, write)
	if err == nil && !r.Shaped {
		fmt.Fprintf(s.Err, "kitgauge: %s was not checked in full, so the drawing may lack something (kitgauge check)\n", report.Visible(r.File))
		err = exit(exitUnread)
	}
	return err
}

// writer makes the drawing that is asked for.
func (o *drawOptions) writer(r *checker.Result) (func(io.Writer) error, error) {
	in := drawing.Input{Kit: r.Facts, Findings: r.Findings, Plain: o.plain}
	if o.span == "" {
		return func(w io.Writer) error { return drawing.Schematic(w, in) }, nil
	}
	span, err := spanAt(r.Facts, o.span)
	if err != nil {
		return nil, err
	}
	return func(w io.Writer) error { return drawing.Span(w, in, span) }, nil
}

// spanAt finds the span that a place names, or the JSON Pointer of the station
// at which it arrives, which tells apart spans of one place.
func spanAt(k *facts.Kit, place string) (*facts.Span, error) {
	var found []*facts.Span
	var places, pointers []string
	for _, s := range k.Spans {
		pointer := s.Source().Pointer()
		if s.Place() == place || pointer == place {
			found = append(found, s)
			pointers = append(pointers, pointer)
		}
		places = append(places, s.Place())
	}
	switch {
	case len(found) == 1:
		return found[0], nil
	case len(found) > 1:
		return nil, wrong("--span: there are %d spans at %q: name one by %s", len(found), place, strings.Join(pointers, " or "))
	case len(places) == 0:
		return nil, wrong("--span: the kit has no free span")
	}
	if n := spelling.Nearest(place, places); n != "" {
		return nil, wrong("--span: there is no span %q; nearest is %q", place, report.Visible(n))
	}
	slices.Sort(places)
	return nil, wrong("--span: there is no span %q; the first of %d is %q", place, len(places), report.Visible(places[0]))
}

// spanPlaces completes the places of the spans of the kit named before.
func spanPlaces(_ *cobra.Command, args []string, prefix string) ([]string, cobra.ShellCompDirective) {
	if len(args) == 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	text, err := checker.ReadFile(args[0])
	if err != nil {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	results, err := checker.New(checker.Options{NoSettings: true, Packs: []string{}}).Check(args[0], text)
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
