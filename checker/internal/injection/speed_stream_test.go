package injection_test

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"io"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
	"testing"
	"time"

	"kitgauge/checker"
	"kitgauge/checker/finding"
	"kitgauge/checker/internal/fleet"
	"kitgauge/checker/report"
	"kitgauge/checker/source"
	"kitgauge/checker/stream"
)

var fleetSize = flag.Int("fleet", 10_000, "kits in the stream whose speed is measured")

// A generated fleet of kits of 4 to 47 points runs through a stream. Making a
// kit takes as long as checking it, so a few hundred are made beforehand, and
// each line of the fleet is one of them under a number of its own. Reported
// are kits a second, and the most memory held for heap and stacks.

// streamParse is the floor: the lines are read and parsed, and nothing more.
func streamParse(b *testing.B) {
	runFleet(b, func(l stream.Line) ([]report.Kit, error) {
		docs, problems := source.ParseAt("standard input", l.Number, l.Text)
		if len(problems) > 0 || len(docs) != 1 {
			return nil, fmt.Errorf("line %d: %v", l.Number, problems)
		}
		return []report.Kit{{Shaped: true}}, nil
	})
}

func streamCheck(b *testing.B) {
	c := checker.New(checker.Options{ReadFile: readFile, NoSettings: true})
	runFleet(b, func(l stream.Line) ([]report.Kit, error) {
		results, err := c.CheckAt("standard input", l.Number, l.Text)
		if err != nil || len(results) != 1 {
			return nil, fmt.Errorf("line %d: %d results, %w", l.Number, len(results), err)
		}
		r := results[0]
		return []report.Kit{{
			File: r.File, Number: r.Number, Revision: r.Revision, Title: r.Title, Status: r.Status, Shaped: r.Shaped,
			Findings: r.Findings, Rules: r.Rules, Checks: r.Checks, NotEvaluated: r.NotEvaluated,
		}}, nil
	})
}

// made is a generated kit as JSON, cut where its number stands.
type made struct{ before, after []byte }

func madeKits(b *testing.B) []made {
	list := make([]made, 400)
	checker.Parallel(len(list), func(i int) {
		seed := uint64(i)
		k, err := fleet.New(seed, 4+i*44/len(list), fleet.Options{})
		if err != nil {
			b.Error(err)
			return
		}
		text := k.JSON()
		at := bytes.Index(text, []byte(`"number":"`))
		end := at + len(`"number":"`)
		list[i] = made{text[:end], text[end+bytes.IndexByte(text[end:], '"'):]}
	})
	if b.Failed() {
		b.FailNow()
	}
	return list
}

// line is a line of the fleet.
func (m made) line(number int) []byte {
	return fmt.Appendf(nil, "%sFLEET-%06d%s", m.before, number, m.after)
}

// fleetReader is a fleet as JSON lines. It is never in memory as a whole.
type fleetReader struct {
	made []made
	next int
	left int
	rest []byte
}

func (f *fleetReader) Read(p []byte) (int, error) {
	if len(f.rest) == 0 {
		if f.left == 0 {
			return 0, io.EOF
		}
		f.rest = f.made[f.next%len(f.made)].line(f.next)
		f.next, f.left = f.next+1, f.left-1
	}
	n := copy(p, f.rest)
	f.rest = f.rest[n:]
	return n, nil
}

func runFleet(b *testing.B, check func(stream.Line) ([]report.Kit, error)) {
	made, kits := madeKits(b), *fleetSize
	for b.Loop() {
		runtime.GC()
		debug.FreeOSMemory()
		ctx, cancel := context.WithCancel(b.Context())
		peak := make(chan uint64)
		go func() { peak <- watch(ctx) }()
		start := time.Now()
		counts, err := stream.Run(b.Context(), &fleetReader{made: made, left: kits}, io.Discard, stream.Options{Check: check, Gate: finding.Major})
		seconds := time.Since(start).Seconds()
		cancel()
		most := <-peak
		if err != nil || counts.Lines != kits || counts.Clean != kits {
			b.Fatalf("%d lines, %d clean of %d: %v", counts.Lines, counts.Clean, kits, err)
		}
		b.ReportMetric(float64(kits)/seconds, "kits/s")
		b.ReportMetric(float64(most)/(1<<20), "peak-MiB")
	}
}

// watch returns the most memory held until ctx is done.
func watch(ctx context.Context) uint64 {
	most := held()
	tick := time.NewTicker(5 * time.Millisecond)
	defer tick.Stop()
	for {
		select {
		case <-tick.C:
			most = max(most, held())
		case <-ctx.Done():
			return most
		}
	}
}

// held is the memory that the program has of the operating system.
func held() uint64 {
	samples := []metrics.Sample{{Name: "/memory/classes/total:bytes"}, {Name: "/memory/classes/heap/released:bytes"}}
	metrics.Read(samples)
	return samples[0].Value.Uint64() - samples[1].Value.Uint64()
}
