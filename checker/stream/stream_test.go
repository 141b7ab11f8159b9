package stream_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"strings"
	"sync"
	"sync/atomic"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/stream"
)

// echo gives each line a clean kit that has the text as its number; a line
// with a fault gives a kit that is not of the shape of one.
func echo(l stream.Line) ([]report.Kit, error) {
	k := report.Kit{File: "standard input", Number: string(l.Text), Shaped: l.Fault == nil}
	if l.Fault != nil {
		k.Number = l.Fault.Message
	}
	return []report.Kit{k}, nil
}

// numbered is n lines that hold their own number.
func numbered(n int) io.Reader {
	var b bytes.Buffer
	for i := range n {
		fmt.Fprintf(&b, "%d\n", i+1)
	}
	return &b
}

// written is one line of the output.
type written struct {
	Line   int
	Number string
	Shaped bool
}

// read takes the output apart; every line of it has to be whole.
func read(t testing.TB, out []byte) []written {
	t.Helper()
	if len(out) > 0 && out[len(out)-1] != '\n' {
		t.Fatalf("the output ends within a line: %q", out[max(0, len(out)-80):])
	}
	var list []written
	for line := range bytes.Lines(out) {
		var w written
		if err := json.Unmarshal(line, &w); err != nil {
			t.Fatalf("%v in %q", err, line)
		}
		list = append(list, w)
	}
	return list
}

// inOrder holds the output to the first n lines of numbered.
func inOrder(t testing.TB, out []byte, n int) {
	t.Helper()
	list := read(t, out)
	if len(list) != n {
		t.Fatalf("%d lines, want %d", len(list), n)
	}
	for i, w := range list {
		if w.Line != i+1 || w.Number != fmt.Sprint(i+1) {
			t.Fatalf("result %d: got line %d, kit %q", i+1, w.Line, w.Number)
		}
	}
}

func TestOrderUnderDelays(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		check := func(l stream.Line) ([]report.Kit, error) {
			time.Sleep(time.Duration(rand.IntN(1000)) * time.Millisecond)
			return echo(l)
		}
		var out bytes.Buffer
		const n = 5000
		counts, err := stream.Run(t.Context(), numbered(n), &out, stream.Options{Check: check, Workers: 7})
		if err != nil {
			t.Fatal(err)
		}
		inOrder(t, out.Bytes(), n)
		if counts.Lines != n || counts.Kits != n || counts.Clean != n {
			t.Errorf("got %+v, want %d clean kits", counts, n)
		}
	})
}

// endless is a stream without end that counts the lines taken from it.
type endless struct{ lines atomic.Int64 }

func (e *endless) Read(p []byte) (int, error) {
	n := e.lines.Add(1)
	return copy(p, fmt.Sprintf("%d\n", n)), nil
}

// TestBounded: while the first line hangs, the reader takes in the window and
// one line more, and no others.
func TestBounded(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const window = 10
		in := new(endless)
		hang := make(chan struct{})
		var inside, most atomic.Int64
		check := func(l stream.Line) ([]report.Kit, error) {
			n := inside.Add(1)
			defer inside.Add(-1)
			for m := most.Load(); n > m && !most.CompareAndSwap(m, n); m = most.Load() {
			}
			time.Sleep(time.Millisecond)
			if l.Number == 1 {
				<-hang
			}
			return echo(l)
		}
		ctx, cancel := context.WithCancel(t.Context())
		var out bytes.Buffer
		finished := make(chan error)
		go func() {
			_, err := stream.Run(ctx, in, &out, stream.Options{Check: check, Workers: 3, Window: window})
			finished <- err
		}()
		time.Sleep(time.Minute)
		if got, want := in.lines.Load(), int64(window+1); got != want {
			t.Errorf("%d lines were taken in, want %d", got, want)
		}
		if got := most.Load(); got != 3 {
			t.Errorf("%d lines were checked at once, want 3", got)
		}
		cancel()
		close(hang)
		if err := <-finished; !errors.Is(err, context.Canceled) {
			t.Errorf("got %v, want that it was cancelled", err)
		}
		read(t, out.Bytes())
	})
}

// TestBytesBounded: long lines fill the window before there are many.
func TestBytesBounded(t *testing.T) {
	long := strings.Repeat("a", 10<<20)
	var inside, most atomic.Int64
	check := func(l stream.Line) ([]report.Kit, error) {
		n := inside.Add(int64(len(l.Text)))
		for m := most.Load(); n > m && !most.CompareAndSwap(m, n); m = most.Load() {
		}
		time.Sleep(time.Millisecond)
		inside.Add(-int64(len(l.Text)))
		return []report.Kit{{Shaped: true}}, nil
	}
	var list []io.Reader
	for range 20 {
		list = append(list, strings.NewReader(long+"\n"))
	}
	counts, err := stream.Run(t.Context(), io.MultiReader(list...), io.Discard, stream.Options{Check: check, Workers: 16})
	if err != nil || counts.Lines != 20 {
		t.Fatalf("got %d lines, %v, want 20", counts.Lines, err)
	}
	if got := most.Load(); got > stream.MostBytes {
		t.Errorf("%d MiB were in flight, want %d at most", got>>20, stream.MostBytes>>20)
	}
}

func TestCancelledBetweenLines(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ctx, cancel := context.WithCancelCause(t.Context())
		why := errors.New("enough")
		check := func(l stream.Line) ([]report.Kit, error) {
			time.Sleep(time.Duration(rand.IntN(100)) * time.Millisecond)
			return echo(l)
		}
		time.AfterFunc(3*time.Second, func() { cancel(why) })
		var out bytes.Buffer
		counts, err := stream.Run(ctx, new(endless), &out, stream.Options{Check: check, Workers: 4})
		if !errors.Is(err, why) {
			t.Errorf("got %v, want the cause %v", err, why)
		}
		inOrder(t, out.Bytes(), counts.Lines)
		if counts.Lines == 0 {
			t.Error("nothing was written before")
		}
	})
}

// TestCancelledWhileWaiting: a reader that never returns does not hold Run.
func TestCancelledWhileWaiting(t *testing.T) {
	in, w := io.Pipe()
	defer w.Close()
	ctx, cancel := context.WithCancel(t.Context())
	out := &signalled{wanted: "\n", seen: make(chan struct{})}
	go func() {
		fmt.Fprintln(w, "1")
		<-out.seen // the result comes although no further line does
		cancel()
	}()
	counts, err := stream.Run(ctx, in, out, stream.Options{Check: echo})
	if !errors.Is(err, context.Canceled) || counts.Lines != 1 {
		t.Errorf("got %d lines and %v, want 1 and that it was cancelled", counts.Lines, err)
	}
}

// signalled tells when what was wanted has been written.
type signalled struct {
	bytes.Buffer
	wanted string
	once   sync.Once
	seen   chan struct{}
}

func (s *signalled) Write(p []byte) (int, error) {
	n, err := s.Buffer.Write(p)
	if bytes.Contains(s.Bytes(), []byte(s.wanted)) {
		s.once.Do(func() { close(s.seen) })
	}
	return n, err
}

type brokenPipe struct{ after int }

func (b *brokenPipe) Write(p []byte) (int, error) {
	if b.after--; b.after < 0 {
		return 0, syscall.EPIPE
	}
	return len(p), nil
}

func TestBrokenPipe(t *testing.T) {
	for _, after := range []int{0, 1, 5} {
		_, err := stream.Run(t.Context(), new(endless), &brokenPipe{after}, stream.Options{Check: echo})
		if !errors.Is(err, stream.ErrWrite) || !errors.Is(err, syscall.EPIPE) {
			t.Errorf("after %d writes: got %v, want ErrWrite and EPIPE", after, err)
		}
	}
}

// fullDisk takes so many bytes and no more.
type fullDisk struct {
	bytes.Buffer
	room int
}

func (d *fullDisk) Write(p []byte) (int, error) {
	kept := p[:min(len(p), d.room-d.Len())]
	d.Buffer.Write(kept)
	if len(kept) < len(p) {
		return len(kept), syscall.ENOSPC
	}
	return len(p), nil
}

// TestFullDisk holds that one can go on after the lines that are counted.
func TestFullDisk(t *testing.T) {
	for _, room := range []int{0, 1, 5_000, 70_000, 200_000} {
		out := &fullDisk{room: room}
		counts, err := stream.Run(t.Context(), numbered(2000), out, stream.Options{Check: echo})
		if !errors.Is(err, stream.ErrWrite) || !errors.Is(err, syscall.ENOSPC) {
			t.Errorf("room for %d bytes: got %v, want ErrWrite and ENOSPC", room, err)
		}
		if want := bytes.Count(out.Bytes(), []byte("\n")); counts.Lines != want {
			t.Errorf("room for %d bytes: %d lines counted, %d are whole", room, counts.Lines, want)
		}
	}
}

type brokenReader struct{ io.Reader }

func (b brokenReader) Read(p []byte) (int, error) {
	n, err := b.Reader.Read(p)
	if err == io.EOF {
		err = errors.New("the disk is gone")
	}
	return n, err
}

func TestBrokenReader(t *testing.T) {
	var out bytes.Buffer
	in := brokenReader{io.MultiReader(numbered(20), strings.NewReader("half a li"))}
	counts, err := stream.Run(t.Context(), in, &out, stream.Options{Check: echo})
	if !errors.Is(err, stream.ErrRead) || !strings.Contains(err.Error(), "line 21: the disk is gone") {
		t.Errorf("got %v, want ErrRead on line 21", err)
	}
	if counts.Lines != 20 {
		t.Errorf("%d lines, want 20", counts.Lines)
	}
	inOrder(t, out.Bytes(), 20)
}

func TestCheckFails(t *testing.T) {
	broken := errors.New("a rule pack is broken")
	check := func(l stream.Line) ([]report.Kit, error) {
		if l.Number >= 13 {
			return nil, fmt.Errorf("line %d: %w", l.Number, broken)
		}
		return echo(l)
	}
	var out bytes.Buffer
	_, err := stream.Run(t.Context(), new(endless), &out, stream.Options{Check: check, Workers: 8})
	if !errors.Is(err, broken) || err.Error() != "line 13: a rule pack is broken" {
		t.Errorf("got %v, want the first fault in the order of the lines", err)
	}
	inOrder(t, out.Bytes(), 12)
}

func TestLines(t *testing.T) {
	tooLong := "the line is longer than 16 MiB"
	tests := []struct {
		name, text string
		want       []string // the numbers of the results: text or fault
	}{
		{"nothing", "", nil},
		{"one", "a\n", []string{"a"}},
		{"no end", "a\nb", []string{"a", "b"}},
		{"carriage returns", "a\r\nb\r\n", []string{"a", "b"}},
		{"empty", "a\n\n \t\r\nb\n", []string{"a", "the line is empty", "the line is empty", "b"}},
		{"only an end", "\n", []string{"the line is empty"}},
		{"longer than the buffer", strings.Repeat("a", 1<<17) + "\nb\n", []string{strings.Repeat("a", 1<<17), "b"}},
		{"as long as allowed", strings.Repeat("x", stream.LongestLine) + "\r\nb\n", []string{strings.Repeat("x", stream.LongestLine), "b"}},
		{"a byte too long", strings.Repeat("x", stream.LongestLine+1) + "\nb\n", []string{tooLong, "b"}},
		{"far too long, no end", "b\n" + strings.Repeat("x", 3*stream.LongestLine), []string{"b", tooLong}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var out bytes.Buffer
			counts, err := stream.Run(t.Context(), strings.NewReader(tt.text), &out, stream.Options{Check: echo, Gate: finding.Major})
			if err != nil {
				t.Fatal(err)
			}
			list := read(t, out.Bytes())
			if len(list) != len(tt.want) || counts.Lines != len(tt.want) {
				t.Fatalf("%d results, %d counted, want %d", len(list), counts.Lines, len(tt.want))
			}
			unread := 0
			for i, w := range list {
				if w.Line != i+1 || w.Number != tt.want[i] {
					t.Errorf("result %d: got line %d, %.40q, want %.40q", i+1, w.Line, w.Number, tt.want[i])
				}
				if !w.Shaped {
					unread++
				}
			}
			if counts.Unreadable != unread {
				t.Errorf("%d unreadable counted, want %d", counts.Unreadable, unread)
			}
		})
	}
}

// FuzzLines: the lines are those that a split at every line end gives.
func FuzzLines(f *testing.F) {
	f.Add([]byte("{\"a\":1}\n\r\n{}"), 5)
	f.Add([]byte{}, 1)
	f.Add([]byte("a\x00b\n\x00\n"), 3)
	f.Add([]byte("\r\r\n\n\r"), 1)
	f.Add(append(bytes.Repeat([]byte("x"), 1<<16), "\ny"...), 1<<16) // as long as what is read at once
	f.Add(append(bytes.Repeat([]byte("x"), 3<<16), "\r\ny\r\n"...), 1<<17)
	f.Fuzz(func(t *testing.T, text []byte, longest int) {
		longest = min(max(longest, 1), 1<<17)
		want := bytes.Split(text, []byte("\n"))
		if len(want[len(want)-1]) == 0 {
			want = want[:len(want)-1]
		}
		lines := stream.NewLines(bytes.NewReader(text), longest)
		for i, w := range want {
			got, err := lines.Next()
			if err != nil || got.Number != i+1 {
				t.Fatalf("line %d: got number %d, %v", i+1, got.Number, err)
			}
			w = bytes.TrimSuffix(w, []byte("\r"))
			fault := len(w) > longest || len(bytes.TrimSpace(w)) == 0
			switch {
			case fault != (got.Fault != nil):
				t.Fatalf("line %d, %d bytes of %d: fault %v", i+1, len(w), longest, got.Fault)
			case fault && (got.Text != nil || got.Fault.Pos.Line != i+1):
				t.Fatalf("line %d: got %q beside a fault at %v", i+1, got.Text, got.Fault.Pos)
			case !fault && !bytes.Equal(got.Text, w):
				t.Fatalf("line %d: got %q, want %q", i+1, got.Text, w)
			}
		}
		if _, err := lines.Next(); err != io.EOF {
			t.Fatalf("after %d lines: got %v, want the end", len(want), err)
		}
	})
}
