package fill

import (
	"slices"
	"strings"
	"testing"

	"kitgauge/checker"
)

// Every beginning of an id that judges name is that of a rule.
func TestJudges(t *testing.T) {
	config, err := checker.New(checker.Options{NoSettings: true}).Config("test.kit.yaml")
	if err != nil {
		t.Fatal(err)
	}
	var ids []string
	for _, p := range config.Packs {
		for _, r := range p.Rules {
			ids = append(ids, r.ID)
		}
	}
	for _, j := range []judges{judgesOfEnd(""), judgesOfFeed(true), judgesOfBolts(), judgesOfConduit(""), judgesOfElement("")} {
		for _, begin := range j.rules {
			if !slices.ContainsFunc(ids, func(id string) bool { return strings.HasPrefix(id, begin) }) {
				t.Errorf("no rule begins with %q", begin)
			}
		}
	}
}
