package command

import (
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
		for saved(watcher) {
			_ = w.check() // what is wrong is shown
			_ = follow()  // a directory may have come, or come back
		}
	}()
	return watcher, nil
}

// saved waits until something was saved, and no more comes; false where the
// watch is over.
func saved(watcher *fsnotify.Watcher) bool {
	var quiet, late <-chan time.Time
	for {
		select {
		case e, open := <-watcher.Events:
			if !open {
				return false
			}
			if e.Op == fsnotify.Chmod || !mayMatter(e.Name) {
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
