package value_test

import (
	"errors"
	"testing"

	"kitgauge/checker/value"
)

// The first thing missing is the reason, whatever else is, and what comes
// after it is not run.
func TestCompute(t *testing.T) {
	whole := func(n *value.Need) (float64, error) {
		count := n.Count("the number of days", value.Known[int64](3))
		if place := n.Text("the place", value.Known("cab")); place != "cab" || !n.Flag("the seal", value.Known(true)) {
			t.Errorf("got %q", place)
		}
		return n.Number("the length", value.Known(2.5)) * float64(count), nil
	}
	if got := value.Compute(whole); got != value.Known(7.5) {
		t.Errorf("got %+v, want 7.5", got)
	}
	for want, f := range map[string]func(n *value.Need) (float64, error){
		"the area is not stated": func(n *value.Need) (float64, error) {
			n.Number("the area", value.Number{})
			t.Error("the computation goes on")
			return 1, nil
		},
		"the bolts are text": func(n *value.Need) (float64, error) {
			return float64(n.Count("the number of bolts", value.Unknown[int64]("the bolts are text"))), nil
		},
		"there is no cable": func(n *value.Need) (float64, error) {
			var cable *struct{ area float64 }
			if cable == nil {
				n.Stop("there is no cable")
			}
			return cable.area, nil
		},
		"too long": func(*value.Need) (float64, error) { return 2, errors.New("too long") },
	} {
		if got := value.Compute(f); got.Known || got.V != 0 || got.Why != want {
			t.Errorf("got %+v, want the reason %q and no number", got, want)
		}
	}
}

func TestFill(t *testing.T) {
	text, flag := value.Known("before"), value.Known(true)
	value.Fill(func(*value.Need) error { text = value.Known("after"); return nil }, &text, &flag)
	if text != value.Known("after") || flag != value.Known(true) {
		t.Errorf("got %+v and %+v", text, flag)
	}
	value.Fill(func(n *value.Need) error {
		text = value.Known("half way")
		n.Stop("the rest is missing")
		return nil
	}, &text, &flag)
	if text.Known || flag.Known || text.Why != "the rest is missing" || flag.Why != text.Why {
		t.Errorf("got %+v and %+v, want one reason for both", text, flag)
	}
}

// A computation within another one ends with it where it takes from the outer.
func TestMaybe(t *testing.T) {
	none := value.Try(func(n *value.Need) ([]int, error) { return []int{1}, errors.New("too many") })
	got := value.Compute(func(outer *value.Need) (int64, error) {
		inner := value.Compute(func(*value.Need) (int64, error) { return int64(none.Of(outer)[0]), nil })
		t.Error("the outer computation goes on")
		return inner.V, nil
	})
	if got.Known || got.Why != "too many" {
		t.Errorf("got %+v", got)
	}
	if list, err := none.Result(); list != nil || err == nil || err.Error() != none.Why() {
		t.Errorf("got %v, %v", list, err)
	}
	some := value.Try(func(*value.Need) ([]int, error) { return []int{1}, nil })
	if list, err := some.Result(); len(list) != 1 || err != nil || some.Why() != "" {
		t.Errorf("got %v, %v", list, err)
	}
}

// A fault of the program is not a reason.
func TestOtherPanic(t *testing.T) {
	defer func() {
		if recover() != "a fault" {
			t.Error("the panic was taken for something missing")
		}
	}()
	value.Why(func(*value.Need) error { panic("a fault") })
}
