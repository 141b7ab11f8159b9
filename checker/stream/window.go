package stream

import "sync"

// window bounds the lines that are in flight, by their number and by their
// bytes together. A line that is larger than all the bytes goes alone.
type window struct {
	mu           sync.Mutex
	room         *sync.Cond
	lines, bytes int
	mostLines    int
	mostBytes    int
	closed       bool
}

func newWindow(lines, bytes int) *window {
	w := &window{mostLines: lines, mostBytes: bytes}
	w.room = sync.NewCond(&w.mu)
	return w
}

// enter waits until there is room for a line of so many bytes; it returns
// false once the window is closed.
func (w *window) enter(size int) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	for !w.closed && w.lines > 0 && (w.lines >= w.mostLines || w.bytes+size > w.mostBytes) {
		w.room.Wait()
	}
	if w.closed {
		return false
	}
	w.lines++
	w.bytes += size
	return true
}

// leave gives the room of a line back.
func (w *window) leave(size int) {
	w.mu.Lock()
	w.lines--
	w.bytes -= size
	w.mu.Unlock()
	w.room.Signal() // one reader alone waits
}

func (w *window) close() {
	w.mu.Lock()
	w.closed = true
	w.mu.Unlock()
	w.room.Broadcast()
}
