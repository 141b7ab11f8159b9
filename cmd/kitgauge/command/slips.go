package command

import (
	"math"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/files"
	"kitgauge/checker/report"
	"kitgauge/checker/slip"
)

func slipsCommand(s Streams) *cobra.Command {
	var o checkFlags
	var trials int
	c := &cobra.Command{
		Use:   "slips KIT...",
		Short: "Look for the one slip that explains what is found",
		Long: `Look for the one slip of the pen that explains most of what is found in a kit:
a lost sign, a factor of ten, a unit, the body of a neighbour, the value of the
twin, two things in each other's place, a step or a station too early. What the
findings name, and every value on which most of them rest, is taken back in
these ways, one at a time, the likeliest first, and the kit checked again. Equally good changes are all told, up to three; what cannot be told is
not guessed. Nothing is changed: look at the vehicle first.

` + exitHelp,
		Example:           "  kitgauge slips examples/gritter-faulty/gritter-faulty.kit.yaml",
		Args:              needs(1, math.MaxInt, "slips needs a kit file, a directory or -"),
		ValidArgsFunction: kitFiles,
		RunE: func(_ *cobra.Command, names []string) error {
			if trials < 1 {
				return wrong("--trials: %d is no number of trials: write 1 or more", trials)
			}
			return slips(s, o, trials, names)
		},
	}
	o.flags(c)
	c.Flags().IntVar(&trials, "trials", 4*slip.Usual, "how often a kit may be checked again")
	words(c, "trials")
	return c
}

func slips(s Streams, o checkFlags, trials int, names []string) error {
	found, faults := files.Find(names)
	c, err := o.checker(s, checker.Options{Slips: trials, EverySlip: true})
	if err != nil {
		return err
	}
	run, err := checkRun(s, c, found, faults)
	if err != nil {
		return err
	}
	for i := range run.Kits {
		if err := tellSlips(s, &run.Kits[i]); err != nil {
			return err
		}
	}
	return exit(run.Exit())
}

// tellSlips writes what was found for one kit.
func tellSlips(s Streams, k *report.Kit) error {
	says := k.Slips.Says()
	switch {
	case len(k.Findings) == 0:
		says = []string{"nothing is found, so there is nothing to explain"}
	case len(says) == 0:
		says = []string{"no single slip explains most of what is found"}
	}
	p := &page{w: s.Out}
	for _, text := range says {
		p.line("%s: %s", k.File, text)
	}
	if rest := k.Slips.Rest(); rest != "" {
		p.line("%s: %s: see --trials", k.File, rest)
	}
	return p.err
}
