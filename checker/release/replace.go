package release

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"kitgauge/checker/files"
	"kitgauge/checker/report"
)

// recordFile is the name of the record that is there of a kit: under the former
// name where there is none under its own, unless that is of another kit.
func recordFile(file string, document int) string {
	name, former := RecordName(file, document), formerName(file, document)
	if name == former || files.There(name) || !files.There(former) {
		return name
	}
	text, err := files.ReadRegular(former)
	if err != nil {
		return former // and reading it says why
	}
	r, err := Decode(text)
	switch {
	case err == nil && r.about(file, document):
		return former
	case err != nil && !files.There(strings.TrimSuffix(former, ".release.json")+".kit.yaml"):
		return former
	}
	return name
}

// RecordThere is the name of the record of a kit that is there, or that there
// would be.
func RecordThere(file string, document int) string { return recordFile(file, document) }

// about reports whether a record is of a kit, as far as the record says.
func (r *Record) about(file string, document int) bool {
	return r.Inputs[0].Name == filepath.Base(file) && r.Kit.Document == document
}

// Replaced says of each record that signing would put another in the place of
// which is no older one of the same kit and signer.
func Replaced(list []*Signed) []string {
	var all []string
	for _, s := range list {
		if why := s.replaces(); why != "" {
			all = append(all, fmt.Sprintf("%s is not signed off: %s: see --replace", report.Visible(s.Candidate.File), report.Visible(why)))
		}
	}
	return all
}

// replaces says what would be lost; "" where nothing would be.
func (s *Signed) replaces() string {
	name, kit := s.File(), s.Record.Kit
	if info, err := os.Lstat(name); err == nil && info.Mode()&fs.ModeSymlink != 0 {
		return name + " is a link, and what it leads to would be written over"
	}
	text, err := files.ReadRegular(name)
	if err != nil {
		return "" // there is none, or writing says why
	}
	old, err := Decode(text)
	switch {
	case err != nil:
		return fmt.Sprintf("%s is there and is no release record: %s", name, err)
	case !old.about(s.Candidate.File, kit.Document):
		return fmt.Sprintf("%s is the record of kit %d of %s", name, old.Kit.Document+1, old.Inputs[0].Name)
	case old.Kit.Number != kit.Number:
		return fmt.Sprintf("%s is the record of another kit, %s", name, old.Kit.Number)
	case old.Signer != s.Record.Signer:
		return fmt.Sprintf("%s is the record that %s signed", name, old.Signer)
	}
	return ""
}
