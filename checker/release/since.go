package release

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"

	"kitgauge/checker"
	"kitgauge/checker/files"
	"kitgauge/checker/report"
)

// Since is what a kit is now against the release record that stands beside it.
// It is no verification: nobody looked at the signature.
type Since struct {
	File    string // of the record
	Text    []byte
	Record  *Record
	Changed []Problem // what went in and is not what it was
	Rules   bool      // the rules of the program are not those of the release
}

// SinceRelease compares what goes into a kit now with what its release record
// says. It is nil where there is no record. Names of inputs count from the
// directory in which the program runs.
func SinceRelease(file string, document int, inputs []checker.Input) (*Since, error) {
	s := &Since{File: recordFile(file, document)}
	var err error
	if s.Text, err = files.ReadRegular(s.File); errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("the release record %s cannot be read: %s", report.Visible(s.File), files.PlainError(err))
	}
	if s.Record, err = Decode(s.Text); err != nil {
		return nil, fmt.Errorf("the release record %s is none: %w", report.Visible(s.File), err)
	}
	if !s.Record.about(file, document) {
		return nil, fmt.Errorf("the release record %s is about another kit", report.Visible(s.File))
	}
	s.compare(file, document, inputs)
	return s, nil
}

func (s *Since) compare(file string, document int, inputs []checker.Input) {
	one := &Verification{File: file, Document: document}
	seen := map[int]bool{}
	for i := range s.Record.Inputs {
		before := &s.Record.Inputs[i]
		at := find(before, file, inputs)
		if at >= 0 {
			seen[at] = true
		}
		switch {
		case before.BuiltIn:
			s.Rules = s.Rules || at < 0 || digest(inputs[at].Text) != before.SHA256
		case at < 0:
			one.fail(Changed, "the %s %s does not go in any more", noun(before.Role), inDir(file, before.Name))
		case digest(inputs[at].Text) != before.SHA256:
			one.changed(current{before: before, after: inputs[at], text: inputs[at].Text}, inDir(file, before.Name))
		}
	}
	for i, in := range inputs {
		switch {
		case seen[i]:
		case in.BuiltIn:
			s.Rules = true
		default:
			one.fail(Changed, "the %s %s goes in now, and did not at the release", noun(in.Role), report.Visible(in.Name))
		}
	}
	s.Changed = one.Problems
}

// find is the place of an input of the record among those of now, or -1.
func find(before *Input, kit string, inputs []checker.Input) int {
	for i, in := range inputs {
		if in.Role != before.Role || in.BuiltIn != before.BuiltIn {
			continue
		}
		name, now := before.Name, in.Name
		if !in.BuiltIn {
			name, now = filepath.Join(filepath.Dir(kit), filepath.FromSlash(name)), filepath.Clean(filepath.FromSlash(now))
		}
		if name == now {
			return i
		}
	}
	return -1
}
