// Package stream checks kits that come one on a line, as a database or a
// pipe hands them over, and writes their results one on a line, in the same
// order. It uses all cores and a bounded amount of memory, however long the
// stream is.
//
// Lines run through three stages: one goroutine reads, several check, and the
// caller's writes. A line waits outside until there is room in the window of
// lines in flight, so that a slow kit at the head holds the reader back and
// not the memory up.
package stream

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"runtime"
	"sync"

	"golang.org/x/sync/semaphore"

	"kitgauge/checker"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/report/record"
	"kitgauge/checker/source"
)

// What one line may hold, and all lines in flight together.
const (
	LongestLine = 16 << 20
	mostBytes   = 64 << 20
)

// Line is a line of the input.
type Line struct {
	Number int // from 1
	Text   []byte
	Fault  *source.Problem // why there is nothing to check; its place has no file
}

// Options says how a stream is checked.
type Options struct {
	// Check checks a line. Several goroutines call it at once. An error ends
	// the stream; what is wrong with the line itself is in the results.
	Check func(Line) ([]report.Kit, error)
	Gate  finding.Severity
	// Workers is how many lines are checked at once, Window how many are in
	// flight. Zero stands for the number of cores, and for eight a worker.
	Workers, Window int
}

// By checks lines as kits that stand where a file of the name would: from
// there their catalogues are named, and settings are looked for.
func By(c *checker.Checker, name string) func(Line) ([]report.Kit, error) {
	return func(l Line) ([]report.Kit, error) {
		if l.Fault != nil {
			l.Fault.Pos.File = name
			return []report.Kit{c.Unread(name, nil, l.Fault).Kit}, nil
		}
		results, err := c.CheckAt(name, l.Number, l.Text)
		kits := make([]report.Kit, len(results))
		for i, r := range results {
			kits[i] = r.Kit
		}
		return kits, err
	}
}

// Counts is what came of the lines that were written.
type Counts struct {
	Lines int // where writing failed, those whose results are whole
	report.Counts
}

// The errors of Run that are not those of Check tell the two ends apart.
var (
	ErrRead  = errors.New("the kits cannot be read")
	ErrWrite = errors.New("the results cannot be written")
)

// Run checks every line of in and writes the results to out, a line each.
// When ctx is cancelled it stops after the line that is being written and
// returns the cause; every line written is whole. No call of Check outlasts
// it; a Read of in that is waiting for input does.
func Run(ctx context.Context, in io.Reader, out io.Writer, o Options) (Counts, error) {
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	if o.Window <= 0 {
		o.Window = 8 * o.Workers
	}
	ctx, cancel := context.WithCancel(ctx)
	s := &pipeline{
		options: o, window: make(chan struct{}, o.Window), bytes: semaphore.NewWeighted(mostBytes),
		work: make(chan *job), order: make(chan *job, o.Window),
	}
	go s.read(ctx, in)
	var workers sync.WaitGroup
	for range o.Workers {
		workers.Go(func() { s.check(ctx) })
	}
	whole := &lineCounter{w: out}
	counts, err := s.write(ctx, whole)
	cancel()
	workers.Wait()
	if errors.Is(err, ErrWrite) {
		counts.Lines = whole.lines // the others never arrived
	}
	return counts, err
}

// lineCounter counts the lines that were written to their end.
type lineCounter struct {
	w     io.Writer
	lines int
}

// Write implements io.Writer.
func (c *lineCounter) Write(p []byte) (int, error) {
	n, err := c.w.Write(p)
	c.lines += bytes.Count(p[:n], []byte("\n"))
	return n, err
}

// job is a line on its way.
type job struct {
	line Line
	done chan result // holds one
}

// result is what a line gave, ready to be written.
type result struct {
	text   []byte
	counts report.Counts
	err    error
}

type pipeline struct {
	options Options
	window  chan struct{}       // a place for each line in flight
	bytes   *semaphore.Weighted // of all of them together
	work    chan *job           // to the workers
	order   chan *job           // the same jobs to the writer, in the order of the lines
	readErr error               // set before order is closed
}

// read hands the lines out until they end.
func (s *pipeline) read(ctx context.Context, in io.Reader) {
	defer close(s.order)
	lines := newLines(in, LongestLine)
	for {
		line, err := lines.next()
		if err != nil {
			if err != io.EOF {
				s.readErr = fmt.Errorf("%w: line %d: %w", ErrRead, line.Number, err)
			}
			return
		}
		if !s.enter(ctx, line) {
			s.readErr = context.Cause(ctx)
			return
		}
		j := &job{line: line, done: make(chan result, 1)}
		s.order <- j // has room for all that the window lets in
		select {
		case s.work <- j:
		case <-ctx.Done():
			s.readErr = context.Cause(ctx)
			return
		}
	}
}

// enter waits until there is room for a line; it returns false once ctx is
// done.
func (s *pipeline) enter(ctx context.Context, l Line) bool {
	select {
	case s.window <- struct{}{}:
		return s.bytes.Acquire(ctx, weight(l)) == nil
	case <-ctx.Done():
		return false
	}
}

// weight is the share of a line in the bytes in flight; one that is larger than
// all of them goes alone.
func weight(l Line) int64 { return min(int64(len(l.Text)), mostBytes) }

// check works on lines until ctx is done, which it always is in the end.
func (s *pipeline) check(ctx context.Context) {
	for {
		select {
		case j := <-s.work:
			j.done <- s.checkLine(j.line)
		case <-ctx.Done():
			return
		}
	}
}

func (s *pipeline) checkLine(line Line) result {
	kits, err := s.options.Check(line)
	if err != nil {
		return result{err: err}
	}
	var r result
	var b bytes.Buffer
	for i := range kits {
		kits[i].StreamLine = line.Number
		r.counts.Add(kits[i].Counts(s.options.Gate))
		if err := record.WriteLine(&b, &kits[i], s.options.Gate); err != nil {
			return result{err: err}
		}
	}
	r.text = b.Bytes()
	return r
}

// write writes the results in the order of their lines. What has been written
// is passed on whenever the next result is not there yet.
func (s *pipeline) write(ctx context.Context, out io.Writer) (Counts, error) {
	var counts Counts
	w := bufio.NewWriterSize(out, 1<<16)
	for ctx.Err() == nil {
		j, more, err := next(ctx, s.order, w)
		if err != nil {
			return counts, err
		}
		if !more {
			return counts, errors.Join(flush(w), s.readErr)
		}
		r, _, err := next(ctx, j.done, w)
		if err != nil {
			return counts, err
		}
		if r.err != nil {
			return counts, errors.Join(flush(w), r.err)
		}
		if _, err := w.Write(r.text); err != nil {
			return counts, fmt.Errorf("%w: %w", ErrWrite, err)
		}
		counts.Lines++
		counts.Add(r.counts)
		s.bytes.Release(weight(j.line))
		<-s.window
	}
	return counts, errors.Join(flush(w), context.Cause(ctx))
}

// next receives from a channel; it empties the writer before it waits.
func next[T any](ctx context.Context, from <-chan T, w *bufio.Writer) (v T, more bool, err error) {
	select {
	case v, more = <-from:
		return v, more, nil
	default:
	}
	if err := flush(w); err != nil {
		return v, false, err
	}
	select {
	case v, more = <-from:
		return v, more, nil
	case <-ctx.Done():
		return v, false, context.Cause(ctx)
	}
}

func flush(w *bufio.Writer) error {
	if err := w.Flush(); err != nil {
		return fmt.Errorf("%w: %w", ErrWrite, err)
	}
	return nil
}
