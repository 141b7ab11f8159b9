package command

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/affected"
	"kitgauge/checker/files"
	"kitgauge/checker/report"
)

// What the shell completes. What a command or an option takes is said where it
// is made; a test holds every one of them to that.

// kitEndings end the names of kit files, as the shell filters them.
var kitEndings = []string{"kit.yaml", "kit.yml", "kit.json"}

// kitFiles completes the names of kit files and directories: not those of
// catalogues and settings, which are YAML as well.
func kitFiles(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return kitEndings, cobra.ShellCompDirectiveFilterFileExt
}

// kitsUpTo completes so many of them.
func kitsUpTo(most int) cobra.CompletionFunc {
	return func(c *cobra.Command, args []string, prefix string) ([]string, cobra.ShellCompDirective) {
		if len(args) >= most {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return kitFiles(c, args, prefix)
	}
}

// endings completes the names of files that end so, and directories.
func endings(endings ...string) cobra.CompletionFunc {
	return func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return endings, cobra.ShellCompDirectiveFilterFileExt
	}
}

// words completes the values of an option; none, where they cannot be known.
func words(c *cobra.Command, option string, words ...string) {
	_ = c.RegisterFlagCompletionFunc(option, cobra.FixedCompletions(words, cobra.ShellCompDirectiveNoFileComp))
}

// lists completes the names of an option that takes several, with commas
// between them.
func lists(c *cobra.Command, option string, names ...string) {
	_ = c.RegisterFlagCompletionFunc(option, func(_ *cobra.Command, _ []string, prefix string) ([]string, cobra.ShellCompDirective) {
		before, last := lastOf(prefix)
		return begun(last, before, names), cobra.ShellCompDirectiveNoFileComp
	})
}

// lastOf parts what is typed of a list, names with commas between them, before
// its last name.
func lastOf(typed string) (before, last string) {
	i := strings.LastIndex(typed, ",") + 1
	return typed[:i], typed[i:]
}

// begun are the names that begin so, with what stands before them.
func begun(prefix, before string, names []string) []string {
	var list []string
	for _, name := range names {
		if strings.HasPrefix(name, prefix) {
			list = append(list, before+name)
		}
	}
	return list
}

// revisions completes the names of branches and tags, on either side of points.
func revisions(_ *cobra.Command, _ []string, prefix string) ([]string, cobra.ShellCompDirective) {
	before := ""
	if i := strings.LastIndex(prefix, ".."); i >= 0 {
		before, prefix = prefix[:i+2], prefix[i+2:]
	}
	return begun(prefix, before, affected.Revisions(context.Background())), cobra.ShellCompDirectiveNoFileComp
}

// orRevision completes what may be a revision of git as well: before is that of
// a revision, the rest are paths by their names.
func orRevision(behind string, is func(name string) bool) cobra.CompletionFunc {
	return func(_ *cobra.Command, _ []string, prefix string) ([]string, cobra.ShellCompDirective) {
		var list []string
		for _, name := range begun(prefix, "", affected.Revisions(context.Background())) {
			list = append(list, name+behind)
		}
		return append(list, paths(prefix, is)...), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
	}
}

// paths are the directories, and the files of some names, that begin so.
func paths(prefix string, is func(name string) bool) []string {
	found, err := filepath.Glob(strings.NewReplacer(`\`, `\\`, "*", `\*`, "?", `\?`, "[", `\[`).Replace(prefix) + "*")
	if err != nil {
		return nil
	}
	var list []string
	for _, name := range found {
		info, err := os.Stat(name)
		switch {
		case err != nil || strings.HasPrefix(filepath.Base(name), ".") && !strings.HasPrefix(filepath.Base(prefix), "."):
		case info.IsDir():
			list = append(list, name+"/")
		case is(filepath.Base(name)):
			list = append(list, name)
		}
	}
	return list
}

// mostAtHand is how many kits are looked at for what they hold.
const mostAtHand = 5

// inKits completes what the kits that are named hold, or else those at hand,
// since the name of the kit may be yet to come.
func inKits(o checker.Options, in func(r *checker.Result) []string) cobra.CompletionFunc {
	return func(c *cobra.Command, kits []string, prefix string) ([]string, cobra.ShellCompDirective) {
		if len(kits) == 0 {
			all, _ := filepath.Glob("*.kit.*")
			kits = slices.DeleteFunc(all, func(name string) bool { return !files.IsKitName(name) })
		}
		o.Settings, _ = c.Flags().GetString("settings")
		o.NoSettings = o.Packs != nil
		judge := checker.New(o)
		var list []string
		for _, name := range kits[:min(len(kits), mostAtHand)] {
			results, err := judge.CheckFile(name)
			if err != nil {
				continue
			}
			for _, r := range results {
				for _, name := range in(r) {
					if name = report.Visible(name); strings.HasPrefix(name, prefix) && !slices.Contains(list, name) {
						list = append(list, name)
					}
				}
			}
		}
		return list, cobra.ShellCompDirectiveNoFileComp
	}
}

// noRules are the options of a check that looks at no rule.
var noRules = checker.Options{Packs: []string{}}

// numberFlag adds the option that says which kit of a file is meant.
func numberFlag(c *cobra.Command, number *string, where string) {
	c.Flags().StringVar(number, "number", "", "the `NUMBER` of the kit, where "+where+" several")
	_ = c.RegisterFlagCompletionFunc("number", inKits(noRules, func(r *checker.Result) []string { return []string{r.Number} }))
}
