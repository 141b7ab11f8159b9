package release

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/gowebpki/jcs"

	"kitgauge/checker"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
)

// Limits on what is read. They are far above what Encode writes.
const (
	maxRecord    = 8 << 20
	maxSignature = 64 << 10
)

// Canonical brings JSON into the canonical form of RFC 8785. What is not
// I-JSON (RFC 7493: a name given twice, half a surrogate pair) is an error.
func Canonical(text []byte) ([]byte, error) {
	if !utf8.Valid(text) {
		return nil, errors.New("it is not UTF-8 text")
	}
	out, err := jcs.Transform(text)
	if err != nil {
		return nil, errors.New("it is not JSON, or has a name twice, which RFC 8785 does not allow")
	}
	return out, nil
}

// Encode writes a record as the bytes that are stored and signed.
func Encode(r *Record) ([]byte, error) {
	text, err := json.Marshal(r)
	if err != nil {
		return nil, fmt.Errorf("writing the release record: %w", err)
	}
	if text, err = Canonical(text); err != nil {
		return nil, fmt.Errorf("writing the release record: %w", err)
	}
	if len(text) > maxRecord {
		return nil, fmt.Errorf("the release record would be larger than %d MiB: split the catalogues", maxRecord>>20)
	}
	return text, nil
}

// Decode reads a record. It takes only the very bytes that Encode writes, so
// that nothing can stand in a record that is not looked at.
func Decode(text []byte) (*Record, error) {
	if len(text) > maxRecord {
		return nil, fmt.Errorf("it is larger than %d MiB", maxRecord>>20)
	}
	canonical, err := Canonical(text)
	if err != nil {
		return nil, err
	}
	if !bytes.Equal(canonical, text) {
		return nil, errors.New("it is not in the canonical form of RFC 8785, in which it was stored")
	}
	var head struct {
		Format        string `json:"format"`
		FormatVersion int    `json:"format_version"`
	}
	if err := json.Unmarshal(text, &head); err != nil || head.Format != Format {
		return nil, errors.New("it is not a release record")
	}
	if head.FormatVersion != FormatVersion {
		return nil, fmt.Errorf("it has version %d of the format, and this program knows version %d", head.FormatVersion, FormatVersion)
	}
	r := new(Record)
	if err := json.Unmarshal(text, r); err != nil {
		return nil, errors.New("it does not have the members of a release record")
	}
	if again, err := Encode(r); err != nil || !bytes.Equal(again, text) {
		return nil, errors.New("it has members that a release record does not have, or lacks some")
	}
	return r, r.check()
}

var (
	sha256Form = regexp.MustCompile(`^[0-9a-f]{64}$`)
	pieceForm  = regexp.MustCompile(`^[0-9a-f]{16}$`)
)

// check holds the members to their forms.
func (r *Record) check() error {
	if _, err := time.Parse(finding.Day, r.On); err != nil {
		return fmt.Errorf("%q is no day", r.On)
	}
	if err := checkPrincipal(r.Signer); err != nil {
		return err
	}
	if !sha256Form.MatchString(r.Result) {
		return errors.New("the digest of the result is none")
	}
	if _, err := finding.ParseSeverity(r.Gate); err != nil {
		return err
	}
	if r.Follows != "" && !sha256Form.MatchString(r.Follows) {
		return errors.New("the digest of the record that it follows is none")
	}
	if err := checkReason(r.OnReason); err != nil {
		return err
	}
	if r.Kit.Document < 0 {
		return errors.New("the kit's place in its file is none")
	}
	return r.checkInputs()
}

func (r *Record) checkInputs() error {
	if r.Inputs == nil || r.Concessions == nil || r.Findings == nil {
		return errors.New("a list is not there")
	}
	kits := 0
	for i, in := range r.Inputs {
		switch {
		case in.Pieces == nil:
			return fmt.Errorf("the list of pieces of %s is not there", in.Name)
		case !slices.Contains(roles, in.Role):
			return fmt.Errorf("nothing that goes into a check is %q", in.Role)
		case !sha256Form.MatchString(in.SHA256):
			return fmt.Errorf("the digest of %s is none", in.Name)
		case i > 0 && compareInputs(r.Inputs[i-1], in) >= 0:
			return errors.New("what went in is not listed in order, once each")
		case in.BuiltIn && in.Role != checker.RolePack:
			return fmt.Errorf("a %s is not part of the program", in.Role)
		}
		if err := checkName(in); err != nil {
			return err
		}
		for _, p := range in.Pieces {
			if !pieceForm.MatchString(p.Digest) {
				return fmt.Errorf("the digest of %s in %s is none", p.Name, in.Name)
			}
		}
		if in.Role == checker.RoleKit {
			kits++
		}
	}
	if kits != 1 {
		return errors.New("it does not name one kit file")
	}
	return nil
}

// checkName holds the name of an input to the form that a record writes. That
// a name leads no further than the kit's tree is checked where it is read.
func checkName(in Input) error {
	switch {
	case in.Name == "" || path.Clean(in.Name) != in.Name || path.IsAbs(in.Name) || in.Name == "." || in.Name == "..",
		strings.ContainsFunc(in.Name, func(r rune) bool { return r < ' ' || r == 0x7f || r == '\\' }),
		len(in.Name) > 1 && in.Name[1] == ':':
		return fmt.Errorf("%q is no path relative to the kit", in.Name)
	case in.Role == checker.RoleKit && strings.Contains(in.Name, "/"):
		return fmt.Errorf("the kit %q does not lie beside its record", in.Name)
	case strings.Count(in.Name, "/") > 64:
		return fmt.Errorf("%q is too deep a path", in.Name)
	}
	return nil
}

// checkPrincipal holds the name of a signer to what an allowed_signers file
// can name exactly, and ssh-keygen takes.
func checkPrincipal(name string) error {
	switch {
	case strings.TrimSpace(name) == "":
		return errors.New("the signer has no name")
	case len(name) > 256:
		return errors.New("the signer's name is longer than 256 bytes")
	case !utf8.ValidString(name), strings.ContainsAny(name, ",*?!\"\\#"), strings.ContainsFunc(name, unicode.IsSpace), strings.ContainsFunc(name, report.Unseen):
		return fmt.Errorf("%q is no name of a signer: write it as in r.okafor@fleet.example, without spaces, commas, quotes and wildcards", name)
	}
	return nil
}
