// Package release is the sign-off of a kit: the reviewer's record of what was
// checked and with what result, and its verification.
//
// A release record is canonical JSON (RFC 8785) beside the kit, stored and
// signed as exact bytes. It holds the digests of everything that went into the
// check, the digest of the result, what was conceded and what was found below
// the gate. The signature is in the OpenSSH SSHSIG format, made with the
// reviewer's own SSH key, so that ssh-keygen can verify it too. Verification
// checks the bytes, the signature and the signer, reads again all that went
// in, repeats the check, and says what changed.
package release

import (
	"fmt"
	"path/filepath"
	"strings"

	"kitgauge/checker"
	"kitgauge/checker/files"
)

// Namespace is the SSHSIG namespace of the signatures: a signature made for
// something else with the same key is none of a release.
const Namespace = "release@kitgauge.example"

// The name of the format of the record, and its version.
const (
	Format        = "kitgauge-release"
	FormatVersion = 1
)

// roles in the order in which a record lists them.
var roles = []checker.Role{
	checker.RoleKit, checker.RoleConcessions, checker.RoleCatalogue, checker.RoleSettings, checker.RolePack, checker.RoleKnown,
}

// Record is what a reviewer signs.
type Record struct {
	Format        string       `json:"format"`
	FormatVersion int          `json:"format_version"`
	ToolVersion   string       `json:"tool_version"`
	Kit           Kit          `json:"kit"`
	Signer        string       `json:"signer"`                   // the principal
	On            string       `json:"on"`                       // the day: 2026-11-25
	OnReason      string       `json:"on_reason,omitempty"`      // why the day is far from that of signing
	Follows       string       `json:"follows_sha256,omitempty"` // the digest of the record that this one follows
	Gate          string       `json:"gate"`
	Verdict       string       `json:"verdict"`
	Weakened      []string     `json:"weakened,omitempty"` // what the settings take from the rules
	Counts        Counts       `json:"counts"`
	Result        string       `json:"result_sha256"`
	Inputs        []Input      `json:"inputs"`
	Concessions   []Concession `json:"concessions"`
	Findings      []Finding    `json:"findings_below_gate"`
	Remarks       []string     `json:"remarks,omitempty"` // that the signer is not the checker whom the title block names
}

// Kit names the kit that a record is about.
type Kit struct {
	Document int    `json:"document"` // from 0, in its file
	Number   string `json:"number"`
	Revision string `json:"revision"`
	Title    string `json:"title"`
	Status   string `json:"status"`
	DrawnBy  string `json:"drawn_by"`
	// CheckedBy is whom the title block names as checker; "" where nobody.
	CheckedBy string `json:"checked_by,omitempty"`
}

// Counts is what the findings of the kit add up to.
type Counts struct {
	Critical     int `json:"critical"`
	Major        int `json:"major"`
	Minor        int `json:"minor"`
	NotEvaluated int `json:"not_evaluated"`
	Conceded     int `json:"conceded"`
	Known        int `json:"known"`
	Rules        int `json:"rules"`
	Checks       int `json:"checks"`
}

// Input is something that went into the check.
type Input struct {
	Role    checker.Role `json:"role"`
	Name    string       `json:"name"` // relative to the kit's directory, with forward slashes
	BuiltIn bool         `json:"built_in"`
	SHA256  string       `json:"sha256"`
	Pieces  []Piece      `json:"pieces"`
}

// Piece is a part of an input. It serves to say what changed, not whether
// something changed: its digest is cut to eight bytes.
type Piece struct {
	Name   string `json:"name"` // in the trade's words: "line 7", "part FG-T4"
	Digest string `json:"digest"`
}

// Concession is a concession in force.
type Concession struct {
	Rule        string `json:"rule"`
	Place       string `json:"place"`
	Severity    string `json:"severity"`
	Reason      string `json:"reason"`
	GrantedBy   string `json:"granted_by"`
	Until       string `json:"until"`
	Fingerprint string `json:"fingerprint"`
}

// Finding is a finding that the gate let through.
type Finding struct {
	Rule        string `json:"rule"`
	Place       string `json:"place"`
	Severity    string `json:"severity"`
	Status      string `json:"status"`
	Fingerprint string `json:"fingerprint"`
}

// RecordName is the name of the record that belongs to a kit file, for the
// document of that index: gritter.release.json beside gritter.kit.yaml. Where
// that could be the name of another kit's record as well, the whole name of the
// kit stands in it: gritter.kit.json.release.json, and
// gritter.kit.yaml.2.release.json for the second kit of the file.
func RecordName(file string, document int) string {
	dir, name := filepath.Split(file)
	short := strings.TrimSuffix(name, ".kit.yaml")
	switch {
	case document > 0:
		name += fmt.Sprintf(".%d", document+1)
	case short != name && !strings.Contains(short, ".kit."):
		name = short
	}
	return dir + name + ".release.json"
}

// formerName is the name that the record of a kit had while it did not tell
// apart gritter.kit.yaml and gritter.kit.json.
func formerName(file string, document int) string {
	dir, name := filepath.Split(file)
	name = files.KitStem(name)
	if document > 0 {
		name += fmt.Sprintf(".%d", document+1)
	}
	return dir + name + RecordEnding
}

// RecordEnding ends the name of a record.
const RecordEnding = ".release.json"

// SignatureName is the name of the signature of a record.
func SignatureName(record string) string { return record + ".sig" }
