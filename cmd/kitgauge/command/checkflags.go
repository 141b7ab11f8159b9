package command

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"kitgauge/checker"
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
	time     time.Duration
}

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
	f.DurationVar(&j.time, "time-limit", usualTime, "how long the check of one kit may take before it is given up, as in 90s or 5m; 0 sets no limit")
	complete := func(words ...string) func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp)
	}
	_ = c.RegisterFlagCompletionFunc("gate", complete(finding.Severities()...))
	_ = c.RegisterFlagCompletionFunc("pack", complete(rules.Names()...))
	_ = c.RegisterFlagCompletionFunc("on", complete())
	_ = c.RegisterFlagCompletionFunc("time-limit", complete("30s", "1m", "5m", "0"))
}

// checker makes the Checker that judges so.
func (j *checkFlags) checker(o checker.Options) (*checker.Checker, error) {
	if j.gate != "" {
		if _, err := finding.ParseSeverity(j.gate); err != nil {
			return nil, wrong("--gate: %s", err)
		}
	}
	for _, p := range j.packs {
		if !slices.Contains(rules.Names(), p) {
			return nil, wrong("--pack: there is no rule pack %q: there are %s", p, strings.Join(rules.Names(), ", "))
		}
	}
	if j.on == "" {
		j.on = time.Now().Format(finding.Day)
	}
	if _, err := time.Parse(finding.Day, j.on); err != nil {
		return nil, wrong("--on: %q is no day: write it as in 2026-11-25", j.on)
	}
	if j.time < 0 {
		return nil, wrong("--time-limit: %s is less than nothing: write a time as in 90s or 5m, or 0 for no limit", j.time)
	}
	o.Time = j.time
	o.Packs, o.On, o.Settings = j.packs, j.on, j.settings
	if j.known != "" {
		text, err := checker.ReadFile(j.known)
		if err != nil {
			return nil, &failure{exitUnread, fmt.Errorf("--known: %s: %s", j.known, err)}
		}
		entries, problems := finding.ParseKnown(j.known, text)
		if len(problems) > 0 {
			return nil, &failure{exitUsage, problems[0]}
		}
		o.Known = entries
	}
	return checker.New(o), nil
}

// over is the gate for all kits: that of the command line, else the strictest
// that the settings of the kits set, else major.
func (j *checkFlags) over(kits []*checker.Result) finding.Severity {
	if j.gate != "" {
		gate, _ := finding.ParseSeverity(j.gate) // checked before
		return gate
	}
	strictest, set := finding.Major, false
	for _, k := range kits {
		if k.Gate != nil && (!set || permitted(*k.Gate) < permitted(strictest)) {
			strictest, set = *k.Gate, true
		}
	}
	return strictest
}

// permitted is how much a gate permitted through.
func permitted(gate finding.Severity) int {
	if gate == finding.None {
		return int(finding.Critical) + 1
	}
	return int(gate)
}
