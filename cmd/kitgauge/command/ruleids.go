package command

import (
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/engine"
	"kitgauge/checker/files"
	"kitgauge/checker/finding"
	"kitgauge/checker/spelling"
)

// ruleFlag adds the option that names rules to a command that takes kits.
func (j *checkFlags) ruleFlag(c *cobra.Command, ids *[]string, usage string) {
	c.Flags().StringSliceVar(ids, "rule", nil, usage)
	_ = c.RegisterFlagCompletionFunc("rule", func(_ *cobra.Command, kits []string, prefix string) ([]string, cobra.ShellCompDirective) {
		before, prefix := lastOf(prefix)
		var list []string
		for _, r := range rulesFor(checker.New(checker.Options{Settings: j.settings}), kits) {
			if strings.HasPrefix(r.ID, prefix) {
				list = append(list, before+r.ID+"\t"+r.Title)
			}
		}
		return list, cobra.ShellCompDirectiveNoFileComp
	})
}

// rulesFor are the rules by which kits are judged, each once: those of the
// packs, and of what the settings of the kits add. Settings that are faulty
// leave the packs of the program.
func rulesFor(c *checker.Checker, kits []string) []*engine.Rule {
	var list []*engine.Rule
	seen := map[string]bool{}
	take := func(packs []*engine.Pack) {
		for _, p := range packs {
			for _, r := range p.Rules {
				if !seen[r.ID] {
					seen[r.ID] = true
					list = append(list, r)
				}
			}
		}
	}
	if len(kits) == 0 { // in a shell, they may be yet to come
		kits = []string{"."}
	}
	for _, name := range kits {
		if !files.IsKitName(name) { // a directory, or standard input
			name = filepath.Join(name, files.KitNamed("any"))
		}
		if config, err := c.Config(name); err == nil {
			take(config.Packs)
		}
	}
	if len(list) == 0 {
		packs, _ := c.Packs()
		take(packs)
	}
	return list
}

// knownRules refuses rules that there are not for any of the kits.
func knownRules(c *checker.Checker, ids, kits []string) error {
	if len(ids) == 0 {
		return nil
	}
	known := checker.FileRules()
	for _, r := range rulesFor(c, kits) {
		known[r.ID] = r.Title
	}
	for _, id := range ids {
		if _, is := known[id]; is {
			continue
		}
		if hint := spelling.Hint(id, slices.Sorted(maps.Keys(known))); hint != "" {
			return wrong("--rule: there is no rule %q%s", id, hint)
		}
		return wrong("--rule: there is no rule %q: see kitgauge rules", id)
	}
	return nil
}

// recordable refuses rules whose findings no record holds.
func recordable(ids []string) error {
	for _, id := range ids {
		if f := (&finding.Finding{Rule: id, Status: finding.Violated}); !f.Recordable() {
			return wrong("--rule: findings of %s stand in no record: correct what is wrong with the file, or with the concession", id)
		}
	}
	return nil
}

// ruleIDs completes the id of the rule that is explained: the packs' rules, or
// those of the kit that --kit names.
func ruleIDs(c *cobra.Command, args []string, prefix string) ([]string, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	kit, _ := c.Flags().GetString("kit")
	var ids []string
	for _, r := range rulesFor(checker.New(checker.Options{NoSettings: kit == ""}), []string{kit}) {
		if strings.HasPrefix(r.ID, prefix) {
			ids = append(ids, r.ID+"\t"+r.Title)
		}
	}
	return ids, cobra.ShellCompDirectiveNoFileComp
}
