package command

import (
	"fmt"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/engine"
	"kitgauge/rules"
)

func rulesCommand(s Streams) *cobra.Command {
	return &cobra.Command{
		Use:   "rules [PACK...]",
		Short: "List the rules",
		Long:  `List the rules of all packs, or of those named, with severity and title.`,
		Example: `  kitgauge rules
  kitgauge rules slack power`,
		ValidArgs: rules.Names(),
		RunE: func(_ *cobra.Command, names []string) error {
			for _, name := range names {
				if _, _, found := rules.Pack(name); !found {
					return wrong("there is no rule pack %q: there are %s", name, strings.Join(rules.Names(), ", "))
				}
			}
			packs, err := loadPacks(names)
			if err != nil {
				return err
			}
			return listRules(s, packs)
		},
	}
}

func loadPacks(names []string) ([]*engine.Pack, error) {
	if len(names) == 0 {
		names = nil
	}
	packs, problems := checker.New(checker.Options{Packs: names}).Packs()
	if len(problems) > 0 {
		return nil, failed(&checker.BrokenPacks{Problems: problems})
	}
	return packs, nil
}

func listRules(s Streams, packs []*engine.Pack) error {
	w := tabwriter.NewWriter(s.Out, 0, 0, 2, ' ', 0)
	total := 0
	for i, p := range packs {
		if i > 0 {
			fmt.Fprintln(w)
		}
		fmt.Fprintf(w, "%s: %s\n", p.Name, p.Title)
		for _, r := range p.Rules {
			severity := r.Severity.String()
			if up, _ := r.Raised(); up > r.Severity {
				severity += " to " + up.String()
			}
			fmt.Fprintf(w, "  %s\t%s\t%s\n", r.ID, severity, r.Title)
			total++
		}
	}
	fmt.Fprintf(w, "\n%d rules in %d packs. What a rule is about: kitgauge rule ID\n", total, len(packs))
	return w.Flush()
}
