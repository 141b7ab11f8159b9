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
	draw func(in drawing.Input, paper drawing.Paper) []drawing.Sheet // nil for the schematic
}{{schematicView, nil}, {"wiring", circuit.Wiring}, {"hydraulic", circuit.Hydraulic}}

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

func paperNames() []string {
	var names []string
	for _, p := range drawing.Papers() {
		names = append(names, string(p))
	}
	return names
}

// sheetsOf makes the sheets of what is asked for.
func (o *viewOptions) sheetsOf(in drawing.Input) ([]drawing.Sheet, error) {
	i := slices.Index(viewNames(), o.view)
	if i < 0 {
		return nil, wrong("--view: %q is no view: there is %s", report.Visible(o.view), strings.Join(viewNames(), ", "))
	}
	if views[i].draw == nil {
		return drawing.Sheets(in), nil
	}
	return views[i].draw(in, in.Paper), nil
}

// chosen is the sheet that is asked for: the first where none is. Of a diagram
// it is told when there are more.
func (o *viewOptions) chosen(s Streams, list []drawing.Sheet) (*drawing.Sheet, error) {
	find := circuit.FindSheet
	if o.view == schematicView {
		find = drawing.FindSheet
	}
	sheet, err := find(list, o.sheet)
	if err != nil {
		return nil, wrong("--sheet: %s", err)
	}
	if sheet.Of > 1 && o.view != schematicView && o.sheet == "" {
		say(s.Err, "this is sheet %d of %d: --sheet chooses another", sheet.Number, sheet.Of)
	}
	return sheet, nil
}
