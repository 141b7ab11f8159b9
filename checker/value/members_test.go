package value_test

import (
	"reflect"
	"testing"

	"kitgauge/checker/units"
	"kitgauge/checker/value"
)

type inner struct {
	From value.Number `key:"from" dim:"inherit"`
}

type outer struct {
	inner
	Name   value.Text   `key:"name"`
	Length value.Number `key:"length" dim:"length"`
	Range  inner        `key:"range" dim:"any"`
	Rise   value.Number `key:"rise" dim:"temperature_difference"`
	Line   value.Count  `key:"line" refers:"line" in:"bundle" once:"yes"`
	ID     value.Text   `key:"id" names:"body"`
	Own    string
}

func TestMembers(t *testing.T) {
	number, text, group := reflect.TypeFor[value.Number](), reflect.TypeFor[value.Text](), reflect.TypeFor[inner]()
	want := []value.Member{
		{Index: 0, Type: group, Embedded: true},
		{Index: 1, Type: text, Key: "name"},
		{Index: 2, Type: number, Key: "length", Dim: units.Length, HasDim: true},
		{Index: 3, Type: group, Key: "range", Varies: true},
		{Index: 4, Type: number, Key: "rise", Dim: units.Temperature, HasDim: true, Spread: true},
		{Index: 5, Type: reflect.TypeFor[value.Count](), Key: "line", Refers: "line", In: "bundle", Once: true},
		{Index: 6, Type: text, Key: "id", Names: "body"},
	}
	for range 2 { // read, and kept
		if got := value.Members(reflect.TypeFor[outer]()); !reflect.DeepEqual(got, want) {
			t.Errorf("got %+v\nwant %+v", got, want)
		}
	}
	if got := value.Members(group); len(got) != 1 || !got[0].Inherit || got[0].HasDim {
		t.Errorf("got %+v, want one that inherits", got)
	}
	defer func() {
		if recover() == nil {
			t.Error("a dimension that is not known passes")
		}
	}()
	value.Members(reflect.TypeFor[struct {
		A value.Number `key:"a" dim:"lenght"`
	}]())
}
