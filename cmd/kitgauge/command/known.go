package command

import (
	"fmt"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/finding"
)

func knownCommand(s Streams) *cobra.Command {
	var j judgement
	c := &cobra.Command{
		Use:   "known KIT...",
		Short: "Write the record of known findings",
		Long: `Write the record of the findings that kits have now, so that an old fleet can
be put under the gate: with check --known RECORD only other findings fail, and
those that went away are reported. The record is text, a finding a line,
sorted, so that it can be merged; it holds fingerprints that survive moving and
reordering within the kit. What is wrong with a file itself is never recorded.`,
		Example: `  kitgauge known kits/ > known.txt
  kitgauge check --known known.txt kits/`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return fmt.Errorf("known needs a kit file, a directory or -")
			}
			return nil
		},
		ValidArgsFunction: kitFiles,
		RunE:              func(_ *cobra.Command, args []string) error { return writeKnown(s, &j, args) },
	}
	j.flags(c)
	_ = c.Flags().MarkHidden("gate")
	_ = c.Flags().MarkHidden("known")
	return c
}

func writeKnown(s Streams, j *judgement, names []string) error {
	files, err := inputs(names)
	if err != nil {
		return &failure{exitUnread, err}
	}
	c, err := j.checker(checker.Options{})
	if err != nil {
		return err
	}
	results, err := checkAll(s, c, files)
	if err != nil {
		return err
	}
	var entries []finding.Entry
	unread := 0
	for _, r := range results {
		if !r.Shaped {
			unread++
			fmt.Fprintf(s.Err, "kitgauge: %s was not checked in full: correct it first (kitgauge check)\n", r.File)
		}
		for i := range r.Findings {
			if f := &r.Findings[i]; f.Recordable() {
				entries = append(entries, finding.Entry{Fingerprint: f.Fingerprint, Rule: f.Rule, Kit: r.Number, Place: f.Place})
			}
		}
	}
	if _, err := s.Out.Write(finding.WriteKnown(entries)); err != nil {
		return &failure{exitUnread, fmt.Errorf("the record cannot be written: %s", checker.Cause(err))}
	}
	if unread > 0 {
		return exit(exitUnread)
	}
	return nil
}
