package release

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"strings"

	"kitgauge/checker/files"
	"kitgauge/checker/report"
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
	if err := c.follow(r); err != nil {
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

// SignAll signs off every kit of a file, or none: then refused says of each
// why it cannot be.
func SignAll(list []*Candidate, key *Key, signer string, trust Trust) (all []*Signed, refused []string, err error) {
	for i, c := range list {
		name := report.Visible(c.File)
		if len(list) > 1 {
			name += fmt.Sprintf(", kit %d", i+1)
		}
		for _, why := range c.Refusals(key, signer, trust) {
			refused = append(refused, name+" is not signed off: "+why)
		}
	}
	if len(refused) > 0 {
		return nil, refused, nil
	}
	for _, c := range list {
		s, err := c.Sign(key, signer)
		if err != nil {
			return nil, nil, err
		}
		all = append(all, s)
	}
	return all, nil, nil
}

// WentIn counts what the sign-off rests on.
func (r *Record) WentIn() string {
	var names []string
	for _, in := range r.Inputs {
		if !in.BuiltIn {
			names = append(names, in.Name)
		}
	}
	return fmt.Sprintf("%s and %s of the program", strings.Join(names, ", "), report.Count(len(r.Inputs)-len(names), "rule pack", "rule packs"))
}

// File is the name of the record.
func (s *Signed) File() string { return RecordName(s.Candidate.File, s.Record.Kit.Document) }

// Write writes records and signatures beside their kits: all of them, or none.
func Write(set *files.Set, list []*Signed) error {
	defer set.Discard()
	stale := staleStamps(list)
	err := add(set, list)
	if err == nil {
		err = set.Keep()
	}
	if err == nil {
		for _, name := range stale {
			_ = os.Remove(name) // one that stays is told by verification
		}
	}
	var fault *files.Error
	if errors.As(err, &fault) {
		return fmt.Errorf("%s cannot be written: %s", fault.File, files.PlainError(fault.Err))
	}
	return err
}

// staleStamps are the time stamps of signatures that are about to be replaced,
// and the queries for them.
func staleStamps(list []*Signed) []string {
	var names []string
	for _, s := range list {
		if old, err := files.ReadRegular(SignatureName(s.File())); err == nil && !bytes.Equal(old, s.Signature) {
			names = append(names, StampName(s.File()), QueryName(s.File()))
		}
	}
	return names
}

func add(set *files.Set, list []*Signed) error {
	for _, s := range list {
		if err := set.Add(s.File(), s.Text); err != nil {
			return err
		}
		if err := set.Add(SignatureName(s.File()), s.Signature); err != nil {
			return err
		}
	}
	return nil
}
