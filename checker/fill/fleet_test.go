package fill_test

import (
	"bytes"
	"flag"
	"fmt"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/fill"
	"kitgauge/checker/internal/fleet"
)

var (
	full = flag.Bool("full", false, "strip and fill in 200 generated kits, not a few")
	from = flag.Uint64("from", 0, "the first seed of them")
)

// TestFleet takes out of generated kits what Kit writes, and has it written
// again: nothing is found in what comes of it.
func TestFleet(t *testing.T) {
	seeds := []uint64{3, 8}
	if *full {
		seeds = nil
		for seed := *from; seed < 200; seed++ {
			seeds = append(seeds, seed)
		}
	}
	c := checker.New(checker.Options{NoSettings: true})
	for _, seed := range seeds {
		points := 4 + int(seed*7%11)
		if *full {
			points = 4 + int(seed*7%80)
		}
		if err := refill(c, seed, points); err != nil {
			t.Errorf("seed %d, %d points: %v", seed, points, err)
		}
		if seed%10 == 9 {
			t.Logf("%d kits", seed+1)
		}
	}
}

func refill(c *checker.Checker, seed uint64, points int) error {
	k, err := fleet.New(seed, points, fleet.Options{Catalogue: "../parts/winter.parts.yaml"})
	if err != nil {
		return err
	}
	const file = "../../examples/trailer/made.kit.yaml" // beside the catalogue
	filled, err := fill.Kit(c, file, stripped(k.JSON()), fill.Options{})
	if err != nil {
		return err
	}
	if says := left(filled); says != "" {
		return fmt.Errorf("%s", says)
	}
	if where := changed(read(stripped(k.JSON())), read(filled.Text)); where != "" {
		return fmt.Errorf("%s stood, and was changed", where)
	}
	if seed%4 != 0 {
		return nil
	}
	again, err := fill.Kit(c, file, filled.Text, fill.Options{})
	if err != nil {
		return err
	}
	if !bytes.Equal(again.Text, filled.Text) {
		return fmt.Errorf("doing it again changes the file")
	}
	return nil
}
