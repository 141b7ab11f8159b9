package command

import (
	"path/filepath"
	"slices"
	"time"

	"github.com/fsnotify/fsnotify"
)

// How long after a save the kit is checked: an editor writes in several steps.
// Where the steps do not end, the kit is checked now and then all the same.
const (
	settle      = 60 * time.Millisecond
	mostSettled = time.Second
)

// watchFiles has a site look again when a file is saved that its kit rests on.
// Directories are watched, as many editors put a new file in the place of the
// old one.
func watchFiles(w *site) (*fsnotify.Watcher, error) {
	watcher, err := fsnotify.NewWatcher()
	if err != nil {
		return nil, err
	}
	follow := func() error {
		shown, _ := w.current()
		var first error
		for i, dir := range shown.dirs {
			if err := watcher.Add(dir); err != nil && i == 0 { // that of the kit
				first = err
			}
		}
		return first
	}
	if err := follow(); err != nil {
		watcher.Close()
		return nil, err
	}
	go func() {
		for saved(watcher, w.concerns) {
			_ = w.check() // what is wrong is shown
			_ = follow()  // a directory may have come, or come back
		}
	}()
	return watcher, nil
}

// concerns reports whether a file of this name may be one that the kit rests on,
// or is a directory in which some stand: it may be moved away and back.
func (w *site) concerns(name string) bool {
	shown, _ := w.current()
	return mayMatter(name) || slices.Contains(shown.dirs, filepath.Clean(name))
}

// saved waits until something of concern was saved, and no more comes; false
// where the watch is over.
func saved(watcher *fsnotify.Watcher, concerns func(name string) bool) bool {
	var quiet, late <-chan time.Time
	for {
		select {
		case e, open := <-watcher.Events:
			if !open {
				return false
			}
			if e.Op == fsnotify.Chmod || !concerns(e.Name) {
				continue
			}
			if quiet = time.After(settle); late == nil {
				late = time.After(mostSettled)
			}
		case _, open := <-watcher.Errors: // some events were lost
			if !open {
				return false
			}
			quiet = time.After(settle)
		case <-quiet:
			return true
		case <-late:
			return true
		}
	}
}
