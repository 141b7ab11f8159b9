package compare_test

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"kitgauge/checker/compare"
	"kitgauge/checker/kit"
	"kitgauge/checker/value"
)

// filler fills a struct of the model: every leaf with a value of its own,
// every list with two items. The leaf with the number to change gets another
// value. Nothing here knows the model's members.
type filler struct {
	change int
	count  int
	path   []string
	target string // the path of the leaf that was changed
}

// fill sets every member with a key.
func (f *filler) fill(v reflect.Value) {
	for i := range v.NumField() {
		field := v.Type().Field(i)
		key := field.Tag.Get("key")
		if key == "" && !field.Anonymous {
			continue
		}
		f.path = append(f.path, key)
		f.value(v.Field(i))
		f.path = f.path[:len(f.path)-1]
	}
}

func (f *filler) value(v reflect.Value) {
	switch p := v.Addr().Interface().(type) {
	case *value.Number:
		*p = value.Known(f.leaf(0.001))
	case *value.Count:
		*p = value.Known(int64(f.leaf(1)))
	case *value.Text:
		*p = value.Known(fmt.Sprintf("text %v", f.leaf(1)))
	case *value.Flag:
		*p = value.Known(int(f.leaf(1))%2 == 1)
	default:
		f.composite(v)
	}
}

// leaf counts the leaves, and gives each a value of its own.
func (f *filler) leaf(unit float64) float64 {
	f.count++
	if f.count == f.change {
		f.target = strings.Join(f.path, "/")
		return (float64(f.count) + 5001) * unit
	}
	return float64(f.count) * unit
}

func (f *filler) composite(v reflect.Value) {
	switch {
	case v.Kind() == reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		for i := range v.Len() {
			item := v.Index(i)
			if item.Kind() == reflect.Pointer {
				item.Set(reflect.New(item.Type().Elem()))
				item = item.Elem()
			}
			f.path = append(f.path, fmt.Sprint(i))
			f.value(item)
			f.path = f.path[:len(f.path)-1]
		}
	case v.FieldByName("ID").IsValid() && v.FieldByName("To").IsValid(): // a reference
		f.value(v.FieldByName("ID"))
	case v.Kind() == reflect.Struct:
		f.fill(v)
	default:
		panic("the model has a member of a kind that this test does not know: " + v.Type().String())
	}
}

// everyLeaf changes one leaf after the other, and wants each reported.
func everyLeaf(t *testing.T, of reflect.Type, changes func(old, new any) []compare.Change) {
	t.Helper()
	whole := new(filler)
	old := reflect.New(of)
	whole.fill(old.Elem())
	same := reflect.New(of)
	new(filler).fill(same.Elem())
	if got := changes(old.Interface(), same.Interface()); len(got) > 0 {
		t.Fatalf("%s: two that are alike differ: %q", of, got[0].Text)
	}
	for n := 1; n <= whole.count; n++ {
		f := &filler{change: n}
		changed := reflect.New(of)
		f.fill(changed.Elem())
		got := changes(old.Interface(), changed.Interface())
		if len(got) == 0 {
			t.Errorf("%s: nothing said of %s", of, f.target)
		}
		for _, c := range got {
			if c.Text == "" || c.Old == nil && c.New == nil || c.Section == "" {
				t.Errorf("%s: %s gives %+v", of, f.target, c)
			}
		}
		if back := changes(changed.Interface(), old.Interface()); len(back) != len(got) {
			t.Errorf("%s: %s: %d changes one way, %d the other", of, f.target, len(got), len(back))
		}
	}
	t.Logf("%s: %d leaves", of, whole.count)
}

func TestEveryLeafOfTheKit(t *testing.T) {
	everyLeaf(t, reflect.TypeFor[kit.Kit](), func(old, new any) []compare.Change {
		return compare.Kits(old.(*kit.Kit), new.(*kit.Kit))
	})
}

func TestEveryLeafOfTheParts(t *testing.T) {
	kinds := []any{
		kit.Pump{}, kit.Element{}, kit.Tube{}, kit.Conduit{}, kit.Fitting{}, kit.Fuse{}, kit.Cable{}, kit.Connector{},
		kit.Grease{}, kit.Bolt{}, kit.Tie{}, kit.Blank{}, kit.Piece{},
	}
	const alike = 4 // clip and grommet say what a tie says, fuse holder and bracket what a marker does
	if got, want := len(kinds)+alike, len(kit.Kinds()); got != want {
		t.Errorf("%d kinds of part are looked at here; package kit has %v", got, kit.Kinds())
	}
	for _, k := range kinds {
		everyLeaf(t, reflect.TypeOf(k), compare.Parts)
	}
}

// The table of lists names lists that there are, and members that their items
// have; every list of groups is in it.
func TestLists(t *testing.T) {
	known := compare.Lists()
	seen := map[string]bool{}
	var walk func(of reflect.Type)
	walk = func(of reflect.Type) {
		for i := range of.NumField() {
			f := of.Field(i)
			key := f.Tag.Get("key")
			in := f.Type
			if in.Kind() == reflect.Slice {
				if in = in.Elem(); in.Kind() == reflect.Pointer {
					in = in.Elem()
				}
				if in.PkgPath() != reflect.TypeFor[kit.Kit]().PkgPath() {
					continue
				}
				if _, found := known[key]; !found {
					t.Errorf("%s.%s is a list that the table does not know", of, key)
				}
				seen[key] = true
				var members []string
				for j := range in.NumField() {
					members = append(members, in.Field(j).Tag.Get("key"))
				}
				for _, m := range known[key] {
					if !slices.Contains(members, m) {
						t.Errorf("%s: the items of %s have no member %q", of, key, m)
					}
				}
			}
			if (key != "" || f.Anonymous) && in.Kind() == reflect.Struct && in.PkgPath() == reflect.TypeFor[kit.Kit]().PkgPath() && !strings.HasPrefix(in.Name(), "Ref[") {
				walk(in)
			}
		}
	}
	walk(reflect.TypeFor[kit.Kit]())
	walk(reflect.TypeFor[kit.Tube]())
	walk(reflect.TypeFor[kit.Grease]())
	for key := range known {
		if !seen[key] {
			t.Errorf("the table knows the list %q, and the model does not", key)
		}
	}
}

// However steps are shuffled, the fewest are said to have moved: all but a
// longest run that kept its order, found here by trying (recomputed). The
// order of the points in the file says nothing.
func TestOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 9).Draw(t, "steps")
		numbers := make([]int, n)
		for i := range numbers {
			numbers[i] = i
		}
		order := rapid.Permutation(numbers).Draw(t, "order")
		build := func(order []int) *kit.Kit {
			k := new(kit.Kit)
			for _, i := range order {
				k.Procedure = append(k.Procedure, &kit.Step{Kind: value.Known(fmt.Sprint("step ", i))})
				k.Points = append(k.Points, &kit.Point{ID: value.Known(fmt.Sprint("point ", i))})
			}
			return k
		}
		longest := 0
		for set := range 1 << n { // every choice of steps
			last, length, rises := -1, 0, true
			for i, step := range order {
				if set>>i&1 == 1 {
					rises, last, length = rises && step > last, step, length+1
				}
			}
			if rises {
				longest = max(longest, length)
			}
		}
		got := compare.Kits(build(numbers), build(order))
		if len(got) != n-longest {
			t.Errorf("%v: %d changes, want %d: %+v", order, len(got), n-longest, got)
		}
		for _, c := range got {
			if c.Kind != compare.Moved || c.Section != "procedure" {
				t.Errorf("%v: got %+v", order, c)
			}
		}
	})
}
