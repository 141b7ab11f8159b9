package command

import (
	"context"
	"fmt"
	"io"
	"slices"

	"github.com/spf13/cobra"

	"kitgauge/checker/affected"
	"kitgauge/checker/report"
)

const sinceHelp = `With --since only the kits that changed are checked: those whose own file did,
and those that use a catalogue part, settings, a rule pack or concessions that
did. The revision is one of git's: REV stands for what the working tree changed
since it branched off there, A..B for what differs between two commits, A...B
for what B changed since it branched off from A. Which kits those are, and why,
is written to standard error (not with --brief). What time alone changes, as a
concession that runs out, is not seen: check all kits now and then.

`

// sinceFlag adds the option that limits a check to the kits that changed.
func sinceFlag(c *cobra.Command, revision *string) {
	c.Flags().StringVar(revision, "since", "", "check only the kits that changed since a git `revision`: REV, A..B or A...B")
	_ = c.RegisterFlagCompletionFunc("since", cobra.NoFileCompletions)
}

// limit keeps the files that changed since the revision, where one is given.
func (o *checkOptions) limit(s Streams, c *cobra.Command, names, files []string) ([]string, error) {
	if !c.Flags().Changed("since") {
		return files, nil
	}
	if o.since == "" {
		return nil, wrong("--since needs a git revision, as in --since origin/main")
	}
	if slices.Contains(files, "-") {
		return nil, wrong("--since: standard input has no history: name files or directories")
	}
	query := affected.Query{Files: files, Below: names, Revision: o.since, Settings: o.settings}
	if o.known != "" {
		query.Also = append(query.Also, o.known)
	}
	found, err := affected.Find(context.Background(), query)
	if err != nil {
		return nil, &failure{exitUnread, fmt.Errorf("--since: %w", err)}
	}
	if !o.brief {
		writeAffected(s.Err, o.since, found)
	}
	changed := []string{}
	for _, k := range found.Kits {
		changed = append(changed, k.File)
	}
	return changed, nil
}

// writeAffected says which kits are checked, and why.
func writeAffected(w io.Writer, revision string, found *affected.Result) {
	all := len(found.Kits) + found.Unchanged
	fmt.Fprintf(w, "%d of %s changed since %s (%.10s)\n", len(found.Kits), report.Count(all, "kit", "kits"), report.Visible(revision), found.Base)
	for _, k := range found.Kits {
		for _, reason := range k.Reasons {
			fmt.Fprintf(w, "  %s: %s\n", report.Visible(k.File), report.Visible(reason))
		}
	}
	for _, file := range found.Gone {
		fmt.Fprintf(w, "  %s: it is gone, and not checked\n", report.Visible(file))
	}
	for _, file := range found.Otherwise {
		fmt.Fprintf(w, "  %s: the working tree, which is checked, holds it otherwise than the end of the range\n", report.Visible(file))
	}
}
