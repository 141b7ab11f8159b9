package command

import (
	"errors"
	"io"
	"strings"
	"testing"
	"time"
)

// What a report may take: below, at and above, with the words for what is cut.
func TestWhole(t *testing.T) {
	most := mostOutput + mostOfKit // of two kits
	for n := most - 1; n <= most+1; n++ {
		text, err := whole(0, 2, func(w io.Writer) error {
			half := make([]byte, n/2)
			_, _ = w.Write(half)
			_, err := w.Write(make([]byte, n-len(half)))
			return err
		})
		switch {
		case n <= most && (err != nil || len(text) != n):
			t.Errorf("%d bytes: got %d and %v", n, len(text), err)
		case n > most && (err == nil || !strings.HasPrefix(err.Error(), "it would be longer than 65 MiB; nothing of it is written: mend what check lists first")):
			t.Errorf("%d bytes: got %v", n, err)
		}
	}
	const late = "it took longer than 2ms; nothing of it is written: allow more time (--time-limit), or make the kit smaller"
	gate := make(chan bool)
	defer close(gate)
	for name, write := range map[string]func(io.Writer) error{
		"computes": func(io.Writer) error { <-gate; return nil },
		"writes": func(w io.Writer) error {
			for {
				if _, err := w.Write([]byte("x")); err != nil {
					return err
				}
				time.Sleep(time.Millisecond)
			}
		},
	} {
		if text, err := whole(time.Millisecond, 2, write); err == nil || err.Error() != late || len(text) > 0 && name == "computes" {
			t.Errorf("%s: got %d bytes and %v", name, len(text), err)
		}
	}
	fault := errors.New("a fault")
	if _, err := whole(time.Hour, 1, func(io.Writer) error { return fault }); !errors.Is(err, fault) {
		t.Errorf("got %v, want the writer's own fault", err)
	}
}
