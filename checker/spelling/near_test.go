package spelling_test

import (
	"testing"

	"kitgauge/checker/spelling"
)

func TestNear(t *testing.T) {
	for _, tt := range []struct {
		word, other string
		want        bool
	}{
		{"knuckle-rigth", "knuckle-right", true}, {"l4", "l-4", true}, {"FG-F4p", "FG-F4P", true}, {"FG-F4PP", "FG-F4P", true},
		{"chasis", "chassis", true}, {"rear-axle", "front-axle", false}, {"right-knuckle", "knuckle-left", false},
		{"knuckle-left", "knuckle-right", false}, {"axle-1", "axle-2", false}, {"station-fl", "station-fr", false},
		{"station-f", "station-r", false}, {"A3", "B3", false}, {"FG-T4", "FG-T6", false},
	} {
		if got := spelling.Near(tt.word, tt.other); got != tt.want {
			t.Errorf("%s, %s: got %v", tt.word, tt.other, got)
		}
	}
}
