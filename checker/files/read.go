package files

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"syscall"

	"kitgauge/checker/source"
)

// causes are the faults of the system in plain words.
var causes = []struct {
	err   error
	words string
}{
	{ErrLeads, ErrLeads.Error()},
	{ErrNotStaged, ErrNotStaged.Error()},
	{fs.ErrNotExist, "there is no such file"},
	{fs.ErrPermission, "access is not permitted"},
	{syscall.ENOSPC, "no space is left on the disk"},
	{syscall.EDQUOT, "the share of the disk that this user may fill is full"},
	{syscall.EFBIG, "the file would be larger than is allowed"},
	{syscall.EROFS, "the disk can only be read"},
	{syscall.EISDIR, "it is a directory"},
	{syscall.ENOTDIR, "a part of its path is a file and no directory"},
	{syscall.ELOOP, "its symbolic links lead in a circle"},
	{syscall.ENAMETOOLONG, "its name is too long"},
	{syscall.EBUSY, "it is in use, or a disk is mounted on it"},
	{syscall.ENXIO, "it is not a file"},
	{syscall.EPIPE, "whoever reads it stopped reading"},
	{syscall.EIO, "the disk does not answer as it should"},
	{syscall.EMFILE, "too many files are open"},
	{syscall.ENFILE, "too many files are open"},
}

// PlainError says in plain words why a file could not be read or written.
func PlainError(err error) string {
	for _, c := range causes {
		if errors.Is(err, c.err) {
			return c.words
		}
	}
	var pathErr *fs.PathError
	var linkErr *os.LinkError
	switch {
	case errors.As(err, &pathErr):
		return pathErr.Err.Error()
	case errors.As(err, &linkErr):
		return linkErr.Err.Error()
	}
	return err.Error()
}

// ErrLeads is the error of a link that leads out of the tree, which package os
// has and does not export.
var ErrLeads = errors.New("a link leads out of the tree that holds it")

// ErrNotStaged is the error of a file that a commit will not have. It is an
// fs.ErrNotExist.
var ErrNotStaged error = notStaged{}

type notStaged struct{}

// Error says what to do.
func (notStaged) Error() string {
	return "git's index does not hold it: git add it, or take out what names it"
}

// Unwrap returns fs.ErrNotExist.
func (notStaged) Unwrap() error { return fs.ErrNotExist }

// escapes is what package os says of such a link.
const escapes = "path escapes from parent"

// Read reads all of a stream up to the largest file that is accepted.
func Read(r io.Reader) ([]byte, error) {
	text, err := io.ReadAll(io.LimitReader(r, source.MaxBytes+1))
	if err != nil {
		return nil, errors.New(PlainError(err))
	}
	return text, nil
}

// ReadFile reads a file up to the largest that is accepted. What it returns is
// one version of it, and not the beginning of one and the end of another.
func ReadFile(name string) ([]byte, error) {
	f, err := os.OpenFile(name, openToRead, 0)
	if err != nil {
		return nil, errors.New(PlainError(err))
	}
	defer f.Close()
	text, err := readSteady(f)
	if err != nil {
		return nil, errors.New(PlainError(err))
	}
	return text, nil
}

// ReadRegular is ReadFile for regular files alone, with errors as the system
// gives them.
func ReadRegular(name string) ([]byte, error) {
	return readRegular(os.OpenFile(name, openToRead, 0))
}

// ReadIn is ReadRegular for a file below a directory, which no name and no
// link leads out of.
func ReadIn(dir *os.Root, name string) ([]byte, error) {
	f, err := dir.OpenFile(name, openToRead, 0)
	var fault *fs.PathError
	if errors.As(err, &fault) && fault.Err.Error() == escapes {
		return nil, ErrLeads
	}
	return readRegular(f, err)
}

// errNoFile is the error of a pipe, a device or a socket.
var errNoFile = errors.New("it is not a file")

func readRegular(f *os.File, err error) ([]byte, error) {
	if err != nil {
		return nil, err
	}
	defer f.Close()
	switch info, err := f.Stat(); {
	case err != nil:
		return nil, err
	case info.IsDir():
		return nil, syscall.EISDIR
	case !info.Mode().IsRegular():
		return nil, errNoFile
	}
	return readSteady(f)
}

// openToRead opens a pipe without waiting for somebody who writes to it.
const openToRead = os.O_RDONLY | syscall.O_NONBLOCK

// errChanged is the error of a file that did not stay as it was for as long
// as it takes to read it.
var errChanged = errors.New("the file was changed while it was read; run the check again")

// steady is what readSteady needs of a file.
type steady interface {
	io.ReadSeeker
	Stat() (fs.FileInfo, error)
}

// readSteady reads a file twice, and again where the two are not the same. Its
// size and time would not tell: the time of a file stands still for as long as
// the system's clock does, some milliseconds in which much can be written. A
// file that was replaced by another is no matter: the old one stays as it was.
// Somebody who stops in the middle of writing for longer is not noticed.
func readSteady(f steady) ([]byte, error) {
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	text, err := io.ReadAll(io.LimitReader(f, source.MaxBytes+1))
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return text, unwrittenPipe(info, text)
	}
	const tries = 4
	for range tries {
		if _, err := f.Seek(0, io.SeekStart); err != nil {
			return nil, err
		}
		again, err := io.ReadAll(io.LimitReader(f, source.MaxBytes+1))
		if err != nil {
			return nil, err
		}
		if bytes.Equal(text, again) {
			return text, nil
		}
		text = again
	}
	return nil, errChanged
}

// unwrittenPipe tells a pipe to which nobody writes from an empty file.
func unwrittenPipe(info fs.FileInfo, text []byte) error {
	if len(text) == 0 && info.Mode()&fs.ModeNamedPipe != 0 {
		return errors.New("nobody writes to this pipe")
	}
	return nil
}
