//go:build unix

package main

import (
	"bufio"
	"bytes"
	"io"
	"net/http"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

var signals = []struct {
	signal syscall.Signal
	status int
	said   string
}{
	{syscall.SIGINT, 130, "kitgauge: interrupted\n"},
	{syscall.SIGTERM, 143, "kitgauge: ended by SIGTERM\n"},
	{syscall.SIGHUP, 129, "kitgauge: ended by SIGHUP\n"},
}

// TestSignalWhileWriting ends the program when the draft of one file is made
// and another one, a pipe, waits for a reader.
func TestSignalWhileWriting(t *testing.T) {
	const kit = "examples/gritter/gritter.kit.yaml"
	tests := []struct {
		name       string
		file, held string // a file on its way, and the pipe that holds it up
		args       func(b *bench) []string
	}{
		{"check", "out.json", "pipe", func(b *bench) []string {
			return []string{"check", "--report", "json=out.json", "--report", "sarif=pipe", kit}
		}},
		{"sign", "examples/gritter/gritter.release.json", "examples/gritter/gritter.release.json.sig", func(b *bench) []string {
			return []string{"sign", "--replace", "--key", signingKey(b), "--as", "r.okafor@nordhang.example", kit}
		}},
	}
	for _, tt := range tests {
		for _, s := range signals {
			t.Run(tt.name+" "+s.signal.String(), func(t *testing.T) {
				b := newBench(t)
				b.put(tt.file, before)
				b.pipe(tt.held)
				var said bytes.Buffer
				c := b.command(tt.args(b)...)
				c.Stderr = &said
				if err := c.Start(); err != nil {
					t.Fatal(err)
				}
				until(t, "there is a draft", func() bool {
					info, err := os.Stat(b.file(tt.file + ".draft0"))
					return err == nil && info.Size() > 0
				})
				if err := c.Process.Signal(s.signal); err != nil {
					t.Fatal(err)
				}
				if got := ended(t, c); got != s.status {
					t.Errorf("exit status %d, want %d", got, s.status)
				}
				if said.String() != s.said {
					t.Errorf("said %q, want %q", &said, s.said)
				}
				b.holds(tt.file, before)
				b.noDrafts()
			})
		}
	}
}

// TestSignalWhileReading ends every command that reads what comes slowly.
func TestSignalWhileReading(t *testing.T) {
	const kit = "examples/gritter/gritter.kit.yaml"
	tests := [][]string{
		{"check", "--report", "json=out", "-"},
		{"known", "--out", "out", "-"},
		{"compare", "-", kit},
		{"sheets", "--out", "out.csv", "-"},
		{"draw", "--out", "out", "-"},
		{"dossier", "--out", "out", "-"},
		{"dossier", "--out", "out", "--against", "-", kit},
		{"language-server"},
	}
	for i, args := range tests {
		t.Run(strings.Join(args, " "), func(t *testing.T) {
			b := newBench(t)
			b.put("out", before)
			b.put("out.csv", before)
			var said, out bytes.Buffer
			c := b.command(args...)
			c.Stdout, c.Stderr = &out, &said
			in, err := c.StdinPipe()
			if err != nil {
				t.Fatal(err)
			}
			if err := c.Start(); err != nil {
				t.Fatal(err)
			}
			// more than a pipe holds: it has been read from when this is done
			if _, err := io.WriteString(in, strings.Repeat("# not yet a kit\n", 20_000)); err != nil {
				t.Fatal(err)
			}
			s := signals[i%len(signals)]
			if err := c.Process.Signal(s.signal); err != nil {
				t.Fatal(err)
			}
			if got := ended(t, c); got != s.status {
				t.Errorf("exit status %d, want %d", got, s.status)
			}
			if said.String() != s.said || out.Len() > 0 {
				t.Errorf("said %q and wrote %q, want %q and nothing", &said, &out, s.said)
			}
			b.holds("out", before)
			b.holds("out.csv", before)
			b.noDrafts()
		})
	}
}

// TestSignalWhileServing ends the page as any other command, and nobody answers
// at its address any more.
func TestSignalWhileServing(t *testing.T) {
	for _, s := range signals {
		t.Run(s.signal.String(), func(t *testing.T) {
			b := newBench(t)
			c := b.command("preview", "examples/trailer/trailer.kit.yaml")
			var said bytes.Buffer
			c.Stderr = &said
			out, err := c.StdoutPipe()
			if err != nil {
				t.Fatal(err)
			}
			if err := c.Start(); err != nil {
				t.Fatal(err)
			}
			line, err := bufio.NewReader(out).ReadString('\n')
			if err != nil {
				t.Fatal(err)
			}
			address := strings.TrimSpace(line)
			answer, err := http.Get(address + "events") // and leave it open
			if err != nil || answer.StatusCode != http.StatusOK {
				t.Fatalf("%s: %v", address, err)
			}
			defer answer.Body.Close()
			if err := c.Process.Signal(s.signal); err != nil {
				t.Fatal(err)
			}
			if got := ended(t, c); got != s.status {
				t.Errorf("exit status %d, want %d", got, s.status)
			}
			if !strings.HasSuffix(said.String(), s.said) {
				t.Errorf("said %q, want %q at its end", &said, s.said)
			}
			if _, err := http.Get(address); err == nil {
				t.Error("somebody answers at the address")
			}
		})
	}
}

// TestIgnoredSignal leaves a signal ignored that the program was started with
// as ignored: nohup does so, and scripts for what runs in the background.
func TestIgnoredSignal(t *testing.T) {
	b := newBench(t)
	c := exec.Command("sh", "-c", `trap "" HUP INT; exec "$kitgauge" check -`)
	c.Dir = b.dir
	c.Env = append(os.Environ(), "kitgauge="+b.program)
	in, err := c.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	if _, err := io.WriteString(in, strings.Repeat("# not yet a kit\n", 20_000)); err != nil {
		t.Fatal(err)
	}
	for _, s := range []syscall.Signal{syscall.SIGHUP, syscall.SIGINT} {
		if err := c.Process.Signal(s); err != nil {
			t.Fatal(err)
		}
	}
	in.Close()
	if got := ended(t, c); got != 2 {
		t.Errorf("exit status %d, want 2 for a file that holds no kit", got)
	}
}

// TestSignalWhileNobodyReads ends a program that waits for whoever reads its
// output, which a stream does not do before a second signal.
func TestSignalWhileNobodyReads(t *testing.T) {
	for _, args := range [][]string{
		{"check", "--report", "json", "--figures", "examples"},
		{"stream"},
	} {
		t.Run(args[0], func(t *testing.T) {
			b := newBench(t)
			c := b.command(args...)
			c.Stdin = strings.NewReader(strings.Repeat("0\n", 10_000))
			out, err := c.StdoutPipe()
			if err != nil {
				t.Fatal(err)
			}
			if err := c.Start(); err != nil {
				t.Fatal(err)
			}
			if _, err := io.ReadFull(out, make([]byte, 1)); err != nil {
				t.Fatal(err)
			}
			dead := make(chan int, 1)
			go func() { dead <- ended(t, c) }()
			for {
				c.Process.Signal(os.Interrupt)
				select {
				case got := <-dead:
					if got != 130 {
						t.Errorf("exit status %d, want 130", got)
					}
					return
				case <-time.After(10 * time.Millisecond):
				}
			}
		})
	}
}

// TestStreamGoesOn interrupts a stream and goes on after the lines that it
// says are written: together they are what one run writes.
func TestStreamGoesOn(t *testing.T) {
	b := newBench(t)
	var lines []string
	for i := range 40 {
		lines = append(lines, strings.Repeat(" ", i)+`{"header":{"number":"WS-1"}}`+"\n")
	}
	run := func(in io.Reader) string {
		c := b.command("stream")
		c.Stdin = in
		out, _ := c.Output() // what it found is no matter
		return string(out)
	}
	whole := run(strings.NewReader(strings.Join(lines, "")))

	c := b.command("stream")
	var said bytes.Buffer
	c.Stderr = &said
	in, err := c.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	pipe, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	if _, err := io.WriteString(in, strings.Join(lines[:20], "")); err != nil {
		t.Fatal(err)
	}
	first := make([]byte, 1)
	if _, err := io.ReadFull(pipe, first); err != nil {
		t.Fatal(err)
	}
	if err := c.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	rest, err := io.ReadAll(pipe)
	if err != nil {
		t.Fatal(err)
	}
	if got := ended(t, c); got != 130 {
		t.Errorf("exit status %d, want 130", got)
	}
	written := string(first) + string(rest)
	n := strings.Count(written, "\n")
	if !strings.HasSuffix(written, "\n") || n == 0 {
		t.Fatalf("the last line is not whole: %q", written)
	}
	word := "lines"
	if n == 1 {
		word = "line"
	}
	if want := "kitgauge: interrupted after " + strconv.Itoa(n) + " " + word + "\n"; !strings.HasPrefix(said.String(), want) {
		t.Errorf("said %q, want %q", &said, want)
	}
	after := run(strings.NewReader(strings.Join(lines[n:], "")))
	if got := lineless(written + after); got != lineless(whole) {
		t.Errorf("the two parts are not what one run writes")
	}
}

// everyCommand is a call of each command that writes to standard output.
func everyCommand(b *bench) map[string][]string {
	const kit, faulty = "examples/gritter/gritter.kit.yaml", "examples/gritter-faulty/gritter-faulty.kit.yaml"
	key := signingKey(b)
	b.put("house.pack.yaml", "{}\n")
	return map[string][]string{
		"check": {"check", "--slips", "never", faulty}, "known": {"known", faulty}, "compare": {"compare", kit, faulty},
		"sheets": {"sheets", kit}, "draw": {"draw", kit}, "dossier": {"dossier", kit},
		"sign":   {"sign", "--key", key, "--as", "r.okafor@nordhang.example", kit},
		"verify": {"verify", "--format", "json", kit}, "pack": {"pack", "house.pack.yaml"},
		"rule": {"rule", "slack/steered"}, "rules": {"rules"}, "schema": {"schema"}, "stream": {"stream"},
		"completion": {"completion", "bash"}, "version": {"version"}, "help": {"help"}, "help of check": {"check", "--help"},
		"check json": {"check", "--slips", "never", "--report", "json", faulty}, "check sarif": {"check", "--slips", "never", "--report", "sarif", faulty},
		"check junit": {"check", "--slips", "never", "--report", "junit", faulty}, "check annotations": {"check", "--slips", "never", "--report", "annotations", faulty},
		"check markdown": {"check", "--slips", "never", "--report", "markdown", faulty}, "file rule": {"rule", "file/shape"},
	}
}

// TestClosedPipe has nobody read what is written.
func TestClosedPipe(t *testing.T) {
	b := newBench(t)
	for name, args := range everyCommand(b) {
		t.Run(name, func(t *testing.T) {
			r, w, err := os.Pipe()
			if err != nil {
				t.Fatal(err)
			}
			r.Close()
			var said bytes.Buffer
			c := b.command(args...)
			c.Stdin = strings.NewReader("0\n")
			c.Stdout, c.Stderr = w, &said
			err = c.Start()
			w.Close()
			if err != nil {
				t.Fatal(err)
			}
			if got := ended(t, c); got != 141 || said.Len() > 0 {
				t.Errorf("exit status %d, said %q, want 141 and nothing", got, &said)
			}
		})
	}
}

// TestFullOutput writes to a disk that is full.
func TestFullOutput(t *testing.T) {
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skip(err)
	}
	defer full.Close()
	b := newBench(t)
	for name, args := range everyCommand(b) {
		t.Run(name, func(t *testing.T) {
			var said bytes.Buffer
			c := b.command(args...)
			c.Stdin = strings.NewReader("0\n")
			c.Stdout, c.Stderr = full, &said
			if err := c.Start(); err != nil {
				t.Fatal(err)
			}
			if got := ended(t, c); got != 2 {
				t.Errorf("exit status %d, want 2", got)
			}
			if lines := strings.Split(said.String(), "\n"); len(lines) != 2 || !strings.HasPrefix(lines[0], "kitgauge: ") || !strings.Contains(lines[0], "no space is left on the disk") {
				t.Errorf("said %q, want one line that says what is full", &said)
			}
		})
	}
}

// lineless takes the numbers of the lines out of results.
func lineless(text string) string {
	return regexp.MustCompile(`"line":\d+`).ReplaceAllString(text, `"line":0`)
}
