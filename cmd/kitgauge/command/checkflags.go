package command

import (
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
	words(c, "gate", finding.Severities()...)
	words(c, "pack", rules.Names()...)
	words(c, "on")
	words(c, "time-limit", "30s", "1m", "5m", "0")
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
		return o, wrong("--time-limit: %s is less than nothing: write a time as in 90s or 5m, or 0 for no limit", j.time)
	}
	if j.known != "" {
		if o.Known, err = checker.ReadKnown(j.known, o.Files); err != nil {
			return o, faulty("--known", err)
		}
	}
	return o, nil
}
