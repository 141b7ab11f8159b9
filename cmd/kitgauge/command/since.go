package command

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"kitgauge/checker/affected"
	"kitgauge/checker/files"
	"kitgauge/checker/report"
)

const sinceHelp = `With --since only the kits that changed are checked: those whose own file did,
and those that use a catalogue part, settings, a rule pack or concessions that
did. The revision is one of git's: REV stands for what the working tree changed
since it branched off there, A..B for what differs between two commits, A...B
for what B changed since it branched off from A. Which kits those are, and why,
is written to standard error (not with --brief). What time alone changes, as a
concession that runs out, is not seen: check all kits now and then. A name that
a tag shares with a branch or with the beginning of a commit's name is refused:
write it in full, as refs/remotes/origin/main or refs/heads/main.

With --staged what a commit would hold is checked: kits, catalogues, settings,
rule packs and concessions are read from git's index, and the working tree has
no say; with --since HEAD beside it only what the commit changes. A kit named by
a link is read no further than its tree.

Git is asked for both. It runs no filter, hook or other program that the
repository's configuration names, and fetches nothing; what a filter stores
otherwise than it lies in the working tree counts as changed.

`

// sinceFlag adds the option that limits a check to the kits that changed.
func sinceFlag(c *cobra.Command, revision *string) {
	c.Flags().StringVar(revision, "since", "", "check only the kits that changed since a git `revision`: REV, A..B or A...B")
	_ = c.RegisterFlagCompletionFunc("since", revisions)
}

// find lists the kit files: of the working tree, or of git's index.
func (o *checkOptions) find(s Streams, names []string) (found []string, faults []*files.Error, err error) {
	if !o.staged {
		found, faults = files.Find(names)
		return found, faults, nil
	}
	if slices.Contains(names, "-") {
		return nil, nil, wrong("--staged: standard input is not staged, with --as or without: name files or directories")
	}
	if o.index, err = affected.Staged(context.Background()); err != nil {
		return nil, nil, &failure{exitUnread, fmt.Errorf("--staged: %w", err)}
	}
	found, apart, faults := o.index.Find(names)
	for _, name := range apart {
		say(s.Err, "%s is another repository: its kits are not staged here, and not checked", name)
	}
	return found, faults, nil
}

// limit keeps the files that changed since the revision, where one is given.
func (o *checkOptions) limit(s Streams, c *cobra.Command, names, list []string, faults []*files.Error) ([]string, []*files.Error, error) {
	if !c.Flags().Changed("since") {
		return list, faults, nil
	}
	if o.since == "" {
		return nil, nil, wrong("--since needs a git revision, as in --since origin/main")
	}
	if slices.Contains(list, "-") {
		return nil, nil, wrong("--since: standard input has no history, with --as or without: name files or directories")
	}
	query := affected.Query{Files: list, Below: names, Revision: o.since, Settings: o.settings, Index: o.index}
	if o.known != "" {
		query.Also = append(query.Also, o.known)
	}
	found, err := affected.Find(context.Background(), query)
	if err != nil {
		return nil, nil, &failure{exitUnread, fmt.Errorf("--since: %w", err)}
	}
	if !o.brief {
		writeAffected(s.Err, o.since, found)
	}
	changed := []string{}
	for _, k := range found.Kits {
		changed = append(changed, k.File)
	}
	return changed, withoutGone(faults, found.Gone), nil
}

// withoutGone drops what is said of directories that a commit takes away.
func withoutGone(faults []*files.Error, gone []string) []*files.Error {
	return slices.DeleteFunc(faults, func(fault *files.Error) bool {
		return errors.Is(fault.Err, files.ErrNotStaged) && slices.ContainsFunc(gone, func(file string) bool {
			return strings.HasPrefix(file, path.Clean(filepath.ToSlash(fault.File))+"/")
		})
	})
}

// writeAffected says which kits are checked, and why.
func writeAffected(w io.Writer, revision string, found *affected.Result) {
	all := len(found.Kits) + found.Unchanged
	base := fmt.Sprintf("%.10s", found.Base)
	if found.Base == "" {
		base = "nothing is committed yet"
	}
	fmt.Fprintf(w, "%d of %s changed since %s (%s)\n", len(found.Kits), report.Count(all, "kit", "kits"), report.Visible(revision), base)
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
