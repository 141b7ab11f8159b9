package command

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"kitgauge/checker/report"
	"kitgauge/checker/report/circuit"
	"kitgauge/checker/report/drawing"
)

// viewOptions choose a diagram, and a sheet of it.
type viewOptions struct {
	view  string
	paper string
	sheet string
}

// schematicView is the view to scale; the others are diagrams.
const schematicView = "schematic"

// views are what draw can show, in the order of the help.
var views = []struct {
	name string
	draw func(in drawing.Input) []drawing.Sheet
}{{schematicView, drawing.Sheets}, {"wiring", circuit.Wiring}, {"hydraulic", circuit.Hydraulic}}

func viewNames() []string {
	var names []string
	for _, v := range views {
		names = append(names, v.name)
	}
	return names
}

func (o *viewOptions) flags(c *cobra.Command) {
	f := c.Flags()
	f.StringVar(&o.view, "view", schematicView, "the `VIEW` to draw: "+strings.Join(viewNames(), ", "))
	f.StringVar(&o.paper, "paper", "a3", "the `SIZE` of the sheets: "+strings.Join(paperNames(), ", "))
	f.StringVar(&o.sheet, "sheet", "", "draw this `SHEET`, by its number or name, or all (default the first)")
	_ = c.RegisterFlagCompletionFunc("view", cobra.FixedCompletions(viewNames(), cobra.ShellCompDirectiveNoFileComp))
	_ = c.RegisterFlagCompletionFunc("paper", cobra.FixedCompletions(paperNames(), cobra.ShellCompDirectiveNoFileComp))
}

// valid refuses what there is not, before anything is checked.
func (o *viewOptions) valid() error {
	if !slices.Contains(viewNames(), o.view) {
		return wrong("--view: there is no view %q: %s", report.Visible(o.view), strings.Join(viewNames(), ", "))
	}
	if _, err := drawing.PaperOf(o.paper); err != nil {
		return wrong("--paper: %s", err)
	}
	return nil
}

func paperNames() []string {
	var names []string
	for _, p := range drawing.Papers() {
		names = append(names, string(p))
	}
	return names
}

// sheetsOf makes the sheets of what is asked for.
func (o *viewOptions) sheetsOf(in drawing.Input) []drawing.Sheet {
	return views[slices.Index(viewNames(), o.view)].draw(in)
}

// chosen is the sheet that is asked for: the first where none is. Of a diagram
// it is told when there are more.
func (o *viewOptions) chosen(s Streams, list []drawing.Sheet) (*drawing.Sheet, error) {
	sheet, err := drawing.FindSheet(list, o.sheet)
	if err != nil {
		return nil, wrong("--sheet: %s", err)
	}
	if sheet.Of > 1 && o.view != schematicView && o.sheet == "" {
		say(s.Err, "this is sheet %d of %d: --sheet chooses another", sheet.Number, sheet.Of)
	}
	return sheet, nil
}
