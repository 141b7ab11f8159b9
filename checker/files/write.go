// Package files is the one room in which files are named, read and written.
//
// A file is read in one version of it, and where another file names it no
// further than the tree that holds both. Files that are written take the place
// of older ones only when they are whole: each is written beside its target,
// brought to the disk and closed, so that a full disk is known of before
// anything is replaced; then all that belong together are renamed. Whatever
// happens in between, a reader finds the old file or the new one and never
// half of either.
package files

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync"
)

// Error says which file could not be read, found or written, and why.
type Error struct {
	File string // as it was asked for
	Err  error
}

// Error names the file and the cause.
func (e *Error) Error() string { return e.File + ": " + e.Err.Error() }

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Err }

// ErrAbandoned is the cause where a set was abandoned.
var ErrAbandoned = errors.New("the program is ending")

// Set is the drafts of files that are to appear together. It is safe for use
// by several goroutines; the zero Set is empty.
type Set struct {
	mu        sync.Mutex // held while names of the file system are changed
	drafts    []*draft
	kept      []string
	abandoned bool
}

// draft is one file on its way.
type draft struct {
	asked  string
	target string // what asked leads to
	name   string // of the draft, beside target; "" where target is no regular file
	text   []byte // for a target that is no regular file: it is written as it is
	old    string // another name of the file that was replaced, "" where there is none
	fresh  bool   // nothing was replaced
}

// Add writes the draft of a file in full. The file itself stays as it is until
// Keep; one that is no regular file (a pipe, a device) is written only then.
// The error is an *Error; call Discard after it.
func (s *Set) Add(file string, text []byte) error {
	if err := s.add(file, text); err != nil {
		return &Error{file, err}
	}
	return nil
}

func (s *Set) add(file string, text []byte) error {
	target, info, err := resolve(file)
	if err != nil {
		return err
	}
	d := &draft{asked: file, target: target}
	if info != nil && !info.Mode().IsRegular() {
		d.text = text
		return s.enter(d)
	}
	if info != nil { // a rename would replace what is protected from writing
		f, err := os.OpenFile(target, os.O_WRONLY, 0)
		if err != nil {
			return err
		}
		f.Close()
	}
	perm := fs.FileMode(0o666)
	if info != nil {
		perm = info.Mode().Perm() | 0o200
	}
	f, err := s.create(d, perm)
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	if info != nil {
		err = errors.Join(err, own(f, info), f.Chmod(info.Mode().Perm()))
	}
	return errors.Join(err, f.Sync(), f.Close())
}

// create makes the draft's file, under a name that no other has.
func (s *Set) create(d *draft, perm fs.FileMode) (*os.File, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.admit(d); err != nil {
		return nil, err
	}
	const most = 1000 // drafts that runs may have left which could not clean up
	for i := range most {
		name := fmt.Sprintf("%s.draft%d", d.target, i)
		f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, perm)
		if err == nil {
			d.name = name
			s.drafts = append(s.drafts, d)
			return f, nil
		}
		if !errors.Is(err, fs.ErrExist) {
			return nil, err
		}
	}
	return nil, fmt.Errorf("there are %d drafts of it: remove them", most)
}

func (s *Set) enter(d *draft) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	err := s.admit(d)
	if err == nil {
		s.drafts = append(s.drafts, d)
	}
	return err
}

// admit says why a draft cannot be one of the set.
func (s *Set) admit(d *draft) error {
	if s.abandoned {
		return ErrAbandoned
	}
	for _, other := range s.drafts {
		if other.target == d.target {
			return fmt.Errorf("it is the same file as %s", other.asked)
		}
	}
	return nil
}

// Keep puts every draft in the place of its target. Where one cannot be, those
// that were already get their old files back, and the error is an *Error that
// names it. What is no regular file is written first and cannot be taken back.
func (s *Set) Keep() error {
	if err := s.writeThrough(); err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.abandoned {
		return &Error{"", ErrAbandoned}
	}
	var replaced []*draft
	for _, d := range s.drafts {
		if d.name == "" {
			continue
		}
		if err := d.replace(len(s.drafts) > 1); err != nil {
			for _, r := range slices.Backward(replaced) {
				r.restore()
			}
			return &Error{d.asked, err}
		}
		replaced = append(replaced, d)
	}
	for _, d := range replaced {
		if d.old != "" {
			os.Remove(d.old)
		}
		syncDir(filepath.Dir(d.target))
	}
	for _, d := range s.drafts {
		s.kept = append(s.kept, d.asked)
	}
	s.drafts = nil
	return nil
}

// writeThrough writes what is no regular file. It takes as long as whoever
// reads there, and no lock.
func (s *Set) writeThrough() error {
	s.mu.Lock()
	drafts := slices.Clone(s.drafts)
	s.mu.Unlock()
	for _, d := range drafts {
		if d.name != "" {
			continue
		}
		f, err := os.OpenFile(d.target, os.O_WRONLY, 0)
		if err != nil {
			return &Error{d.asked, err}
		}
		_, err = f.Write(d.text)
		if err = errors.Join(err, f.Close()); err != nil {
			return &Error{d.asked, err}
		}
	}
	return nil
}

// replace renames the draft. Where it is one of several, the file that it
// replaces stays at hand under another name, if the file system can do that.
func (d *draft) replace(several bool) error {
	if several {
		old := d.name + ".old"
		os.Remove(old) // left by a run that could not clean up
		switch err := os.Link(d.target, old); {
		case err == nil:
			d.old = old
		case errors.Is(err, fs.ErrNotExist):
			d.fresh = true
		}
	}
	err := os.Rename(d.name, d.target)
	if err != nil && d.old != "" {
		os.Remove(d.old)
	}
	return err
}

// restore undoes replace.
func (d *draft) restore() {
	switch {
	case d.old != "":
		os.Rename(d.old, d.target)
	case d.fresh:
		os.Remove(d.target)
	}
}

// Discard removes the drafts that are not kept.
func (s *Set) Discard() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.discard()
}

func (s *Set) discard() {
	for _, d := range s.drafts {
		if d.name != "" {
			os.Remove(d.name)
		}
	}
	s.drafts = nil
}

// Abandon removes the drafts that are not kept and lets no further one in,
// because the program ends; a Keep that has begun comes first. It returns the
// files that were written.
func (s *Set) Abandon() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.discard()
	s.abandoned = true
	return s.kept
}

// Write writes one file, which takes the place of an older one when it is
// whole. The error is an *Error.
func (s *Set) Write(file string, text []byte) error {
	defer s.Discard()
	if err := s.Add(file, text); err != nil {
		return err
	}
	return s.Keep()
}

// resolve follows a name's symbolic links to the file that they lead to. The
// info is nil where there is none yet.
func resolve(name string) (target string, info fs.FileInfo, err error) {
	info, err = os.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		target, err = missing(name)
		return target, nil, err
	case err != nil:
		return "", nil, err
	case info.IsDir():
		return "", nil, errors.New("it is a directory")
	case !info.Mode().IsRegular():
		return name, info, nil
	}
	target, err = filepath.EvalSymlinks(name)
	return target, info, err
}

// missing is the path of a file that is not there, and to which links may lead.
func missing(name string) (string, error) {
	const most = 40 // links in a row, as systems have it
	for range most {
		dir, base := filepath.Split(name) // not cleaned: .. after a link is not what it looks
		if dir == "" {
			dir = "."
		}
		dir, err := filepath.EvalSymlinks(dir)
		if err != nil {
			return "", err
		}
		name = filepath.Join(dir, base)
		link, err := os.Readlink(name)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return name, nil
		case err != nil:
			return "", err
		case filepath.IsAbs(link):
			name = link
		default:
			name = dir + string(filepath.Separator) + link
		}
	}
	return "", errors.New("its symbolic links lead in a circle")
}

// syncDir brings the names in a directory to the disk, where that can be done.
func syncDir(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync() // not every file system can
		d.Close()
	}
}
