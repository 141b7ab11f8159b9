package checker_test

import (
	"encoding/json"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"kitgauge/checker/kit"
	"kitgauge/checker/value"
)

// What a text of the model can be, as its tag says, is what the schema of kits
// allows for a member of that name, and rules are held to all of it.
func TestWordsAreThoseOfTheSchema(t *testing.T) {
	text, err := os.ReadFile("../schema/kit.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	var schema struct {
		Defs map[string]struct {
			Properties map[string]struct{ Enum []string }
		} `json:"$defs"`
	}
	if err := json.Unmarshal(text, &schema); err != nil {
		t.Fatal(err)
	}
	allowed := map[string][][]string{}
	for _, d := range schema.Defs {
		for name, p := range d.Properties {
			if p.Enum != nil {
				allowed[name] = append(allowed[name], p.Enum)
			}
		}
	}
	seen := map[reflect.Type]bool{}
	checked := 0
	var walk func(reflect.Type)
	walk = func(of reflect.Type) {
		for of.Kind() == reflect.Pointer || of.Kind() == reflect.Slice {
			of = of.Elem()
		}
		if of.Kind() != reflect.Struct || seen[of] || !strings.HasPrefix(of.PkgPath(), "kitgauge/") {
			return
		}
		seen[of] = true
		for _, m := range value.Members(of) {
			walk(m.Type)
			if m.Words == nil {
				continue
			}
			checked++
			if !slices.ContainsFunc(allowed[m.Key], func(list []string) bool { return slices.Equal(list, m.Words) }) {
				t.Errorf("%s.%s: the words are %v, and the schema allows %v", of.Name(), m.Key, m.Words, allowed[m.Key])
			}
		}
	}
	walk(reflect.TypeFor[kit.Kit]())
	if checked < 10 {
		t.Errorf("%d members with words were found", checked)
	}
}
