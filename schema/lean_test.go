package schema_test

import (
	"encoding/json"
	"testing"

	"kitgauge/checker/source"
	"kitgauge/schema"
)

// A lean schema finds in every file what the full one finds.
func TestLeanFindsTheSame(t *testing.T) {
	for _, name := range schema.Lean() {
		found := 0
		for _, other := range written {
			for _, s := range samples(t, other) {
				want := format(schema.ValidateInFull(name, s.root))
				if got := format(schema.Validate(name, s.root)); got != want {
					t.Errorf("%s as %s: got\n%s\nwant\n%s", s.name, name, got, want)
				}
				found += len(want)
			}
		}
		for i, m := range mutants(everyMember(t, name)) {
			if i%7 != 0 { // of ten changes of each value, another one each time
				continue
			}
			text, err := json.Marshal(m.value)
			if err != nil {
				t.Fatal(err)
			}
			docs, _ := source.Parse(name+".json", text)
			if len(docs) == 0 {
				continue
			}
			want := format(schema.ValidateInFull(name, docs[0].Root))
			if got := format(schema.Validate(name, docs[0].Root)); got != want {
				t.Errorf("%s: got\n%s\nwant\n%s", m.name, got, want)
			}
		}
		if found == 0 {
			t.Errorf("%s: no sample has a fault: this test cannot fail", name)
		}
	}
}
