package command

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/files"
	"kitgauge/checker/report"
)

func knownCommand(s Streams) *cobra.Command {
	var j checkFlags
	var out string
	var ids []string
	c := &cobra.Command{
		Use:   "known KIT...",
		Short: "Write the record of known findings",
		Long: `Write the record of the findings that kits have now, so that an old fleet can
be put under the gate: with check --known RECORD only other findings fail, and
those that went away are reported. The record is text, a finding a line,
sorted, so that it can be merged; it holds fingerprints that survive moving and
reordering within the kit. What is wrong with a file itself is never recorded.

With --rule only the findings of these rules are recorded, so that a fleet can be
put under the gate rule by rule. A record that --out names then keeps its lines
of other rules, and of kits that are not checked; those of these rules in these
kits are written anew.

With --out the record takes the place of an older one only when it is whole, and
every kit was checked in full.`,
		Example: `  kitgauge known --out known.txt kits/
  kitgauge known --rule slack/steered --out known.txt kits/
  kitgauge check --known known.txt kits/`,
		Args:              needs(1, math.MaxInt, "known needs a kit file, a directory or -"),
		ValidArgsFunction: kitFiles,
		RunE:              func(_ *cobra.Command, args []string) error { return writeKnown(s, &j, ids, out, args) },
	}
	j.flags(c)
	j.ruleFlag(c, &ids, "record the findings of this rule alone, as often as wanted (default all)")
	c.Flags().StringVar(&out, "out", "", "write to this `FILE` (default standard output)")
	_ = c.Flags().MarkHidden("gate")
	_ = c.Flags().MarkHidden("known")
	return c
}

func writeKnown(s Streams, j *checkFlags, ids []string, out string, names []string) error {
	c, err := j.checker(s, checker.Options{})
	if err != nil {
		return err
	}
	found, faults := files.Find(names)
	if err := recordable(ids); err != nil {
		return err
	}
	if err := knownRules(c, ids, found); err != nil {
		return err
	}
	older, err := keptOf(out, ids)
	if err != nil {
		return err
	}
	passedOver(s, names)
	results, err := checkAll(s, c, found, faults)
	if err != nil {
		return err
	}
	unread := 0
	for _, r := range results {
		if !r.Shaped {
			unread++
			say(s.Err, "%s was not checked in full: correct it first (kitgauge check)", r.File)
		}
	}
	if unread > 0 && out != "" {
		return &failure{exitUnread, fmt.Errorf("%s stays as it is: the record would lack what is in %s", report.Visible(out), report.Count(unread, "kit", "kits"))}
	}
	err = writeWhole(s, j.time, out, func(w io.Writer) error {
		_, err := w.Write(checker.KnownFindings(results, older, ids...))
		return err
	})
	if err == nil && unread > 0 {
		err = exit(exitUnread)
	}
	return err
}

// keptOf reads the record that is there already, of which lines are kept where
// rules are named.
func keptOf(out string, ids []string) (*checker.Known, error) {
	if _, err := os.Stat(out); out == "" || len(ids) == 0 || errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	older, err := checker.ReadKnown(out, nil)
	if err != nil {
		return nil, faulty("--out", err)
	}
	return older, nil
}
