package value_test

import (
	"errors"
	"testing"

	"kitgauge/checker/source"
	"kitgauge/checker/value"
)

func TestOf(t *testing.T) {
	var none value.Number
	if v, known, why := none.Cell(); known || why != "" || v != 0.0 || none.Source() != nil {
		t.Errorf("the zero value: got %v, known %v, %q", v, known, why)
	}
	if got := none.Or(3); got != 3 {
		t.Errorf("got %v where nothing is stated, want the fallback 3", got)
	}
	if got := value.Known(2.0).Or(3); got != 2 {
		t.Errorf("got %v, want the known 2", got)
	}
	if got := value.Known("").Or("x"); got != "" {
		t.Errorf("got %q: an empty text that is known is no reason for the fallback", got)
	}
	node := new(source.Node)
	text := value.Text{V: "x", Known: true, Node: node}
	if v, known, _ := text.Cell(); v != "x" || !known || text.Source() != node {
		t.Errorf("got %v, known %v, from %p", v, known, text.Source())
	}
}

func TestReason(t *testing.T) {
	for _, tt := range []struct {
		of   value.Flag
		want string
	}{
		{value.Flag{}, "the grommet is not stated"},
		{value.Unknown[bool]("grommet is text; true or false is needed"), "grommet is text; true or false is needed"},
	} {
		if got := tt.of.Reason("the grommet"); got != tt.want {
			t.Errorf("got %q, want %q", got, tt.want)
		}
	}
}

func TestResult(t *testing.T) {
	if n := value.Result(2, nil); !n.Known || n.V != 2 {
		t.Errorf("got %+v, want a known 2", n)
	}
	if n := value.Result(2, errors.New("the tube is too long")); n.Known || n.V != 0 || n.Why != "the tube is too long" {
		t.Errorf("got %+v, want the error as the reason and no number", n)
	}
}
