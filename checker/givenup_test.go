package checker_test

import (
	"context"
	"errors"
	"os"
	"testing"
	"time"

	"kitgauge/checker"
	"kitgauge/checker/internal/heavy"
)

// TestGivenUp: a check that is given up ends long before it would, with the
// error of its context, and hinders no other.
func TestGivenUp(t *testing.T) {
	catalogue, err := os.ReadFile("../examples/parts/winter.parts.yaml")
	if err != nil {
		t.Fatal(err)
	}
	c := checker.New(checker.Options{NoSettings: true, Remember: true, ReadFile: func(_, file string) ([]byte, error) {
		if file != "winter.parts.yaml" {
			return nil, os.ErrNotExist
		}
		return catalogue, nil
	}})
	large := heavy.Kit(heavy.Shape{Lines: 200, Bundles: 40, Stations: 40, Joints: 20, Zones: 100})
	ctx, cancel := context.WithTimeout(context.Background(), 50*time.Millisecond)
	defer cancel()
	began := time.Now()
	if _, err := c.CheckContext(ctx, "large.kit.yaml", large); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("after %s: %v", time.Since(began), err)
	}
	t.Logf("given up after %s", time.Since(began))
	small := heavy.Kit(heavy.Shape{Lines: 2})
	want, err := c.Check("small.kit.yaml", small)
	if err != nil {
		t.Fatal(err)
	}
	got, err := c.With(checker.Options{NoSettings: true, Remember: true, ReadFile: func(string, string) ([]byte, error) { return catalogue, nil }}).CheckContext(context.Background(), "small.kit.yaml", small)
	if err != nil || len(got) != 1 || len(got[0].Findings) != len(want[0].Findings) || got[0].Checks != want[0].Checks {
		t.Errorf("%v: %d findings in %d checks, want %d in %d", err, len(got[0].Findings), got[0].Checks, len(want[0].Findings), want[0].Checks)
	}
}
