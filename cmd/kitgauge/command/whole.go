package command

import (
	"bytes"
	"fmt"
	"io"
	"time"
)

// What a report may take. The text of one is put together before any of it is
// written, so that what is beyond leaves nothing half done.
const (
	mostOutput = 64 << 20 // bytes
	mostOfKit  = 1 << 20  // more, for each kit beside the first
)

// toWrite is how long a report may take for each kit where its check may take
// so long: enough to say that the check was given up.
func toWrite(limit time.Duration) time.Duration {
	if limit <= 0 {
		return 0
	}
	return max(limit, 10*time.Second)
}

// whole returns what a report writes, unless it takes longer than the limit for
// each kit, 0 for none, or becomes too long. A writer that is late is left to
// itself: the program is about to end, and it has nothing of ours in hand.
func whole(limit time.Duration, kits int, write func(io.Writer) error) ([]byte, error) {
	kits = max(kits, 1)
	text := &room{most: mostOutput + (kits-1)*mostOfKit}
	if limit <= 0 {
		err := write(text)
		return text.text.Bytes(), err
	}
	limit *= time.Duration(kits)
	text.until, text.limit = time.Now().Add(limit), limit
	done := make(chan error, 1)
	go func() { done <- write(text) }()
	timer := time.NewTimer(limit)
	defer timer.Stop()
	select {
	case err := <-done:
		return text.text.Bytes(), err
	case <-timer.C:
		return nil, text.late()
	}
}

// room takes what is written, as long as there is time and room.
type room struct {
	text  bytes.Buffer
	most  int
	until time.Time // zero for no limit
	limit time.Duration
}

// Write implements io.Writer.
func (r *room) Write(p []byte) (int, error) {
	switch {
	case r.text.Len()+len(p) > r.most:
		return 0, fmt.Errorf("it would be longer than %d MiB; nothing of it is written: mend what check lists first, or take fewer kits at once", r.most>>20)
	case !r.until.IsZero() && time.Now().After(r.until):
		return 0, r.late()
	}
	return r.text.Write(p)
}

func (r *room) late() error {
	return fmt.Errorf("it took longer than %s; nothing of it is written: allow more time (--time-limit), or make the kit smaller", r.limit)
}
