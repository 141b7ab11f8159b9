package command

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/affected"
	"kitgauge/checker/finding"
	"kitgauge/rules"
)

// checkFlags is what the options say of how kits are judged. The commands that
// check kits share it.
type checkFlags struct {
	gate     string
	packs    []string
	on       string
	known    string
	settings string
	policy   string
	noGrants bool
	time     time.Duration
}

const policyHelp = `With --policy the settings, the packs that they add, concessions and known
findings are those of a place that the change under check cannot touch: a git
revision, a directory laid out as this tree, one settings file, or REV:PATH of
one (then no concession counts, or those of REV). Kits and catalogues are read
from here. A concession counts that stands in both places, word for word; what
is looser here than there is a finding of its own (gate/weakened).

`

// usualTime is how long the check of one kit may take: far longer than any
// takes, and short enough for a job that waits for it.
const usualTime = 5 * time.Minute

// flags adds the options to a command.
func (j *checkFlags) flags(c *cobra.Command) {
	f := c.Flags()
	f.StringVar(&j.gate, "gate", "", "least severity that fails: critical, major, minor or none (default that of the settings, else major)")
	f.StringSliceVar(&j.packs, "pack", nil, "use only these built-in rule packs (default all, and those that the settings add)")
	f.StringVar(&j.on, "on", "", "the day for which concessions are judged, as in 2026-11-25 (default today)")
	f.StringVar(&j.known, "known", "", "a record of known findings; only other findings fail")
	f.StringVar(&j.settings, "settings", "", "a settings file for all kits (default kitgauge.settings.yaml, looked for from each kit upwards)")
	timeFlag(c, &j.time)
	policyFlag(c, &j.policy)
	f.BoolVar(&j.noGrants, "no-concessions", false, "take no concession: what they permit counts against the gate")
	words(c, "gate", finding.Severities()...)
	lists(c, "pack", rules.Names()...)
	_ = c.RegisterFlagCompletionFunc("settings", endings("settings.yaml"))
	words(c, "on")
}

// timeFlag adds the option to a command.
func timeFlag(c *cobra.Command, limit *time.Duration) {
	c.Flags().DurationVar(limit, "time-limit", usualTime, "how long the check of one kit may take before it is given up, as in 90s or 5m, and again what is written of it, or 10s; 0 sets no limit")
	words(c, "time-limit", "30s", "1m", "5m", "0")
}

func negative(limit time.Duration) error {
	return wrong("--time-limit: %s is less than nothing: write a time as in 90s or 5m, or 0 for no limit", limit)
}

// checker makes the Checker that judges so.
func (j *checkFlags) checker(s Streams, o checker.Options) (*checker.Checker, error) {
	o, err := j.options(s, o)
	if err != nil {
		return nil, err
	}
	return checker.New(o), nil
}

func (j *checkFlags) options(s Streams, o checker.Options) (_ checker.Options, err error) {
	o.Stdin, o.Packs, o.Settings, o.Time = s.In, j.packs, j.settings, j.time
	if j.gate != "" {
		gate, err := finding.ParseSeverity(j.gate)
		if err != nil {
			return o, wrong("--gate: %s", err)
		}
		o.Gate = &gate
	}
	for _, p := range j.packs {
		if !slices.Contains(rules.Names(), p) {
			return o, wrong("--pack: there is no rule pack %q: there are %s", p, strings.Join(rules.Names(), ", "))
		}
	}
	if o.On, err = day(j.on); err != nil {
		return o, err
	}
	if j.time < 0 {
		return o, negative(j.time)
	}
	o.NoConcessions = j.noGrants
	if o.Policy, err = policyOf(j.policy); err != nil {
		return o, err
	}
	if o.Policy != nil && o.Policy.File != "" && o.Settings != "" {
		return o, wrong("--policy and --settings both name a settings file: one is enough")
	}
	if j.known != "" {
		if o.Policy != nil {
			o.Known, err = o.Policy.ReadKnown(j.known)
		} else {
			o.Known, err = checker.ReadKnown(j.known, o.Files)
		}
		if err != nil {
			return o, faulty("--known", err)
		}
	}
	return o, nil
}

// policyFlag adds the option that says by what kits are judged.
func policyFlag(c *cobra.Command, name *string) {
	c.Flags().StringVar(name, "policy", "", "judge by what stands in this `PLACE`, which the change cannot touch: a git revision, a directory laid out as this tree, a settings file, or REV:PATH of one")
	_ = c.RegisterFlagCompletionFunc("policy", orRevision("", func(name string) bool { return strings.HasSuffix(name, ".settings.yaml") }))
}

// policyOf finds the place that --policy names; nil where it names none.
func policyOf(name string) (*checker.Policy, error) {
	if name == "" {
		return nil, nil
	}
	p, err := affected.Policy(context.Background(), name)
	if err != nil {
		return nil, &failure{exitUnread, fmt.Errorf("--policy: %w", err)}
	}
	return p, nil
}
