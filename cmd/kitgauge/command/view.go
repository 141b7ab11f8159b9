package command

import (
	"io"
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
	draw func(in drawing.Input, paper circuit.Paper) []circuit.Sheet
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
	f.StringVar(&o.paper, "paper", "a3", "the `SIZE` of the sheets: a3, a4 or letter")
	f.StringVar(&o.sheet, "sheet", "", "the `NUMBER` or name of the sheet, where there are several (default the first)")
	_ = c.RegisterFlagCompletionFunc("view", cobra.FixedCompletions(viewNames(), cobra.ShellCompDirectiveNoFileComp))
	_ = c.RegisterFlagCompletionFunc("paper", cobra.FixedCompletions([]string{"a3", "a4", "letter"}, cobra.ShellCompDirectiveNoFileComp))
}

// diagram makes the sheet that is asked for, and says of how many it is one.
func (o *viewOptions) diagram(s Streams, in drawing.Input, span bool) (func(io.Writer) error, error) {
	i := slices.Index(viewNames(), o.view)
	switch {
	case i < 0:
		return nil, wrong("--view: %q is no view: there is %s", report.Visible(o.view), strings.Join(viewNames(), ", "))
	case span:
		return nil, wrong("--span draws a free span, and --view %s none: give one of them", o.view)
	}
	paper, err := circuit.PaperOf(o.paper)
	if err != nil {
		return nil, wrong("--paper: %s", err)
	}
	sheets := views[i].draw(in, paper)
	sheet, err := circuit.FindSheet(sheets, o.sheet)
	if err != nil {
		return nil, wrong("--sheet: %s", err)
	}
	if sheet.Of > 1 {
		say(s.Err, "this is sheet %d of %d: --sheet chooses another", sheet.Number, sheet.Of)
	}
	return func(w io.Writer) error {
		_, err := w.Write(sheet.SVG)
		return err
	}, nil
}
