package release

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"kitgauge/checker"
)

// Signed is a record with its signature, ready to be written.
type Signed struct {
	Candidate *Candidate
	Record    *Record
	Text      []byte
	Signature []byte
}

// Sign signs off a kit. Whether it can be, Refusals says.
func (c *Candidate) Sign(key *Key, signer string) (*Signed, error) {
	r, err := c.Record(signer)
	if err != nil {
		return nil, err
	}
	text, err := Encode(r)
	if err != nil {
		return nil, err
	}
	if _, err := Decode(text); err != nil {
		return nil, fmt.Errorf("the record could not be read again: %w", err)
	}
	signature, err := key.Sign(text)
	if err != nil {
		return nil, err
	}
	return &Signed{c, r, text, signature}, nil
}

// File is the name of the record.
func (s *Signed) File() string { return RecordName(s.Candidate.File, s.Record.Kit.Document) }

// Write writes the record and the signature beside the kit. Both are written
// in full before either takes the place of an older one.
func (s *Signed) Write() error {
	record, err := writeBeside(s.File(), s.Text)
	if err != nil {
		return err
	}
	defer os.Remove(record)
	signature, err := writeBeside(SignatureName(s.File()), s.Signature)
	if err != nil {
		return err
	}
	defer os.Remove(signature)
	if err := os.Rename(record, s.File()); err != nil {
		return fmt.Errorf("%s cannot be written: %s", s.File(), cause(err))
	}
	if err := os.Rename(signature, SignatureName(s.File())); err != nil {
		return fmt.Errorf("%s cannot be written: %s", SignatureName(s.File()), cause(err))
	}
	return nil
}

func cause(err error) string {
	var link *os.LinkError
	if errors.As(err, &link) {
		return link.Err.Error()
	}
	return checker.Cause(err)
}

// writeBeside writes a new file beside the one whose place it is to take.
func writeBeside(file string, text []byte) (name string, err error) {
	f, err := os.CreateTemp(filepath.Dir(file), ".kitgauge-*")
	if err != nil {
		return "", fmt.Errorf("%s cannot be written: %s", file, checker.Cause(err))
	}
	_, err = f.Write(text)
	err = errors.Join(err, f.Chmod(0o644), f.Sync(), f.Close())
	if err != nil {
		os.Remove(f.Name())
		return "", fmt.Errorf("%s cannot be written: %s", file, checker.Cause(err))
	}
	return f.Name(), nil
}

// readBounded reads a regular file up to one byte more than most.
func readBounded(file string, most int64) ([]byte, error) {
	info, err := os.Stat(file)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, &fs.PathError{Op: "read", Path: file, Err: errors.New("it is not a file")}
	}
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, most+1))
}
