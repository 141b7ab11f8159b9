package languageserver

import (
	"errors"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"sync"
	"time"

	"kitgauge/checker/files"
)

// buffers gives the text of a file that is open in the editor; nil where it is
// not.
type buffers func(path string) *text

// store is where the files of a check come from: what is open in the editor
// takes the place of what the disk holds. It reads no further than a check of
// the disk does, and keeps what was asked for, so that it can be told when
// something of it is another.
type store struct {
	open buffers

	mu    sync.Mutex
	asked map[string]stamp
}

// stamp tells a version of a file from others.
type stamp struct {
	open     *text // what the editor holds, nil where it holds none
	there    bool
	size     int64
	modified time.Time
}

func newStore(open buffers) *store { return &store{open: open, asked: map[string]stamp{}} }

func (s *store) stamp(path string) stamp {
	if t := s.open(path); t != nil {
		return stamp{open: t}
	}
	_, err := os.Lstat(path)
	now := stamp{there: err == nil}
	if info, err := os.Stat(path); err == nil {
		now.size, now.modified = info.Size(), info.ModTime()
	}
	return now
}

// ask keeps the version of a file from before it is read.
func (s *store) ask(path string) {
	path, err := filepath.Abs(path)
	if err != nil {
		return
	}
	now := s.stamp(path)
	s.mu.Lock()
	defer s.mu.Unlock()
	if _, known := s.asked[path]; !known {
		s.asked[path] = now
	}
}

// needs reports whether a file was asked for.
func (s *store) needs(path string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	_, asked := s.asked[path]
	return asked
}

// text is the one that was open when a file was asked for; nil where none was.
func (s *store) text(path string) *text {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.asked[path].open
}

// stale reports whether a file that was asked for is another now.
func (s *store) stale() bool {
	s.mu.Lock()
	asked := maps.Clone(s.asked) // whoever holds the texts may ask back
	s.mu.Unlock()
	for path, was := range asked {
		if s.stamp(path) != was {
			return true
		}
	}
	return false
}

// Read implements files.Store. What the disk would refuse is refused: a name or
// a link that leads out of the tree, or to a file of another kind.
func (s *store) Read(from, file string) ([]byte, error) {
	s.ask(file)
	read := func() ([]byte, error) { return files.ReadInTree(from, file) }
	if from == file {
		read = func() ([]byte, error) { return files.ReadHeld(file) }
	}
	b, err := read()
	path, fault := filepath.Abs(file)
	if fault != nil || err != nil && !errors.Is(err, fs.ErrNotExist) {
		return b, err
	}
	if t := s.open(path); t != nil {
		return t.whole, nil
	}
	return b, err
}

// There implements files.Store.
func (s *store) There(file string) bool {
	s.ask(file)
	if path, err := filepath.Abs(file); err == nil && s.open(path) != nil {
		return true
	}
	return files.There(file)
}

// reader reads files for one that names them.
type reader struct {
	store *store
	from  string
}

// ReadFile implements editor.Files. A kit lies in a tree of its own, as a check
// of it reads it.
func (r reader) ReadFile(path string) ([]byte, error) {
	if files.IsKitName(path) {
		return r.store.Read(path, path)
	}
	return r.store.Read(r.from, path)
}
