package release

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"
	"time"

	"kitgauge/checker"
	"kitgauge/checker/files"
	"kitgauge/checker/internal/once"
	"kitgauge/checker/report"
	"kitgauge/checker/source"
)

// Kind says what a problem of a verification is about.
type Kind string

// The kinds, in the order in which they are looked for.
const (
	NotRead     Kind = "not read"    // the kit, or the record that is there, cannot be read
	NotSigned   Kind = "not signed"  // there is no record, or no signature
	BadRecord   Kind = "record"      // the record is not one that the program wrote, or says what is not so
	BadSign     Kind = "signature"   // the signature is not one of the record
	BadSigner   Kind = "signer"      // nobody vouches for the key, or not for this
	DrewKit     Kind = "drawn by"    // the signer may be the one who drew the kit
	Changed     Kind = "changed"     // something that went in is not what it was
	OtherResult Kind = "result"      // the check gives another result
	Expired     Kind = "concession"  // a concession of the sign-off has ended
	Unrepeated  Kind = "not checked" // the check could not be repeated
	BadStamp    Kind = "time stamp"  // the time stamp is none of the signature
	Outdated    Kind = "outdated"    // a newer sign-off follows
)

// Problem is a reason why a kit is not verified.
type Problem struct {
	Kind    Kind     `json:"kind"`
	Message string   `json:"message"`
	Places  []string `json:"places"` // the parts of a file that changed: "line 7", "part FG-T4"
}

// Verification is what became of the sign-off of one kit.
type Verification struct {
	File       string
	Document   int
	Number     string
	Revision   string
	Title      string
	RecordFile string
	Signed     *Record // nil where it could not be read, or is not what was signed
	Key        string  // "ssh-ed25519 SHA256:..."; "" where the signature could not be read
	Stamp      *Stamp  // the time of the signature; nil where no trusted authority vouches for one
	Problems   []Problem
	Notes      []string
}

// Verified reports whether nothing speaks against the sign-off.
func (v *Verification) Verified() bool { return len(v.Problems) == 0 }

// Unread is the verification of a kit that cannot be read, or whose record
// cannot be.
func Unread(file string, why error) *Verification {
	v := &Verification{File: file, RecordFile: recordFile(file, 0)}
	v.fail(NotRead, "%s", why)
	return v
}

// Unread reports whether the kit or its record could not be read.
func (v *Verification) Unread() bool { return len(v.Problems) > 0 && v.Problems[0].Kind == NotRead }

func (v *Verification) fail(kind Kind, format string, args ...any) {
	v.Problems = append(v.Problems, Problem{Kind: kind, Message: report.Visible(fmt.Sprintf(format, args...))})
}

func (v *Verification) note(format string, args ...any) {
	v.Notes = append(v.Notes, report.Visible(fmt.Sprintf(format, args...)))
}

// Verifier verifies the sign-offs of kits. It is safe for use by several
// goroutines.
type Verifier struct {
	Trust
	Checker *checker.Checker // lends its built-in packs
	Version string           // of the program
	On      string           // the day as of which keys and concessions are judged
	Policy  *checker.Policy  // by which kits are judged; nil reads it from their tree
	// KeysAsSigned judges whether a key was valid as of the sign-off: at its
	// time stamp, else on the day that the record gives.
	KeysAsSigned bool
	Authorities  *Authorities // of time stamps; nil where none is trusted
	Older        bool         // a sign-off that a newer one follows is as good
	// History gives what a file held before; nil where nobody knows.
	History func(file string) [][]byte

	near once.Cache[[]*link] // the sound records, by directory
}

// Verify verifies the sign-off of every kit of a file. The error says that the
// kit file, or a record that is there, cannot be read.
func (v *Verifier) Verify(file string) ([]*Verification, error) {
	text, _, err := files.ReadNamed(file)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	docs, _ := source.Parse(filepath.Base(file), text)
	var list []*Verification
	for i := range max(len(docs), 1) {
		one := &Verification{File: file, Document: i, RecordFile: recordFile(file, i)}
		if i < len(docs) {
			one.Number, one.Revision, one.Title = header(docs[i], "number"), header(docs[i], "revision"), header(docs[i], "title")
		}
		if err := v.verify(one, text); err != nil {
			return nil, err
		}
		list = append(list, one)
	}
	return list, nil
}

func header(doc *source.Document, key string) string {
	if n := doc.Root.At("header", key); n != nil {
		return report.Visible(n.Scalar)
	}
	return ""
}

// verify goes from what needs no trust to what needs it: the bytes, the
// signature, who made it, what it is about.
func (v *Verifier) verify(one *Verification, kit []byte) error {
	stored, signature, err := one.read()
	if err != nil || stored == nil {
		return err
	}
	s, err := ParseSignature(signature)
	if err != nil {
		one.fail(BadSign, "the signature %s cannot be used: %s", SignatureName(one.RecordFile), err)
		return nil
	}
	one.Key = s.Fingerprint()
	if err := s.Verify(stored); err != nil {
		one.fail(BadSign, "the record %s is not as it was signed, or its signature changed: %s", one.RecordFile, err)
		return nil
	}
	r, err := Decode(stored)
	if err != nil {
		one.fail(BadRecord, "the record %s is no release record: %s", one.RecordFile, err)
		return nil
	}
	one.Signed = r
	stamp, err := v.stamp(one, signature)
	if err == nil {
		err = v.signer(one, s, stamp)
	}
	if err != nil {
		return err
	}
	for _, w := range r.Weakened {
		one.note("weakened by settings: %s", w)
	}
	if r.ToolVersion != v.Version {
		one.note("signed with kitgauge %s; this is %s", r.ToolVersion, v.Version)
	}
	v.contents(one, s, kit, stored)
	v.outdated(one, stored)
	return nil
}

// read reads record and signature; nil where there are none.
func (one *Verification) read() (record, signature []byte, err error) {
	record, err = files.ReadRegular(one.RecordFile)
	if errors.Is(err, fs.ErrNotExist) {
		one.fail(NotSigned, "the kit is not signed off: there is no record %s", one.RecordFile)
		return nil, nil, nil
	}
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %s", one.RecordFile, files.PlainError(err))
	}
	name := SignatureName(one.RecordFile)
	signature, err = files.ReadRegular(name)
	if errors.Is(err, fs.ErrNotExist) {
		one.fail(NotSigned, "the kit is not signed off: the record has no signature %s", name)
		return nil, nil, nil
	}
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %s", name, files.PlainError(err))
	}
	return record, signature, nil
}

// signer judges who signed, and when.
func (v *Verifier) signer(one *Verification, s *Signature, stamp *Stamp) error {
	at, err := v.moment(one, stamp)
	if err != nil {
		return err
	}
	r := one.Signed
	if r.OnReason != "" {
		one.note("signed on another day than %s, because: %s", r.On, r.OnReason)
	}
	if r.On > v.On { // days in this form compare as text
		one.fail(BadSigner, "the record is dated %s, which is after %s", r.On, v.On)
	}
	if v.Signers == nil {
		one.fail(BadSigner, "nobody vouches for the key %s: name the file of allowed signers (--signers)", one.Key)
		return nil
	}
	why, exact := v.refusal(s.blob, r.Signer, at)
	if why != "" {
		one.fail(BadSigner, "the key %s does not vouch for %s: %s", one.Key, r.Signer, why)
	} else if !exact {
		one.note("%s has %s by a pattern alone: who signed is the signer's own word; write one line a person", v.Signers.File, r.Signer)
	}
	return nil
}

// moment is that at which keys are judged.
func (v *Verifier) moment(one *Verification, stamp *Stamp) (time.Time, error) {
	switch {
	case !v.KeysAsSigned:
		return endOf(v.On)
	case stamp != nil:
		one.note("the key was judged as of its time stamp, and not as of %s", v.On)
		return stamp.At, nil
	}
	one.note("the key was judged as of %s, the day that the record gives, and not as of %s: the day is its signer's own word", one.Signed.On, v.On)
	return endOf(one.Signed.On)
}

// contents compares what the record says with what is there now.
func (v *Verifier) contents(one *Verification, s *Signature, kit, stored []byte) {
	r := one.Signed
	base := filepath.Base(one.File)
	if !r.about(one.File, one.Document) {
		one.fail(BadRecord, "the record is about kit %d of %s, and stands beside kit %d of %s", r.Kit.Document+1, r.Inputs[0].Name, one.Document+1, base)
		return
	}
	for _, c := range r.Concessions {
		if c.Until < v.On {
			one.fail(Expired, "the concession for %s at %s, on which the sign-off rests, ended on %s", c.Rule, c.Place, c.Until)
		}
	}
	c, current := v.again(one, kit)
	v.compareInputs(one, current)
	if c == nil {
		return
	}
	names := []string{r.Signer}
	if v.Signers != nil {
		names = append(names, v.Signers.namesOf(s.blob)...)
	}
	for _, why := range drewIt(c.DrawnBy(), names) {
		one.fail(DrewKit, "%s", why)
	}
	for _, remark := range c.remarks(r.Signer) {
		one.note("%s", remark)
	}
	v.compareResult(one, c, stored)
}

// again repeats the check as of the day of the sign-off, and lists all that
// goes into it now. Where it cannot be repeated, the list holds what the
// record names.
func (v *Verifier) again(one *Verification, kit []byte) (*Candidate, []current) {
	r := one.Signed
	o := Options{Version: r.ToolVersion, On: r.On}
	in := checker.Options{Dir: filepath.Dir(one.File), On: r.On, Policy: v.Policy}
	reader := v.Checker.With(in)
	now := v.reread(reader, one, kit)
	for _, c := range now {
		if c.before.Role != checker.RoleKnown || c.why != "" {
			continue
		}
		known, err := v.known(one, c)
		if err != nil {
			one.fail(Unrepeated, "%s", err)
			return nil, now
		}
		in.Known = known
	}
	list, err := check(v.Checker.With(in), one.File, kit, o)
	if err != nil {
		why, _, _ := strings.Cut(err.Error(), "\n") // of several problems the first
		one.fail(Unrepeated, "the check cannot be repeated: %s", why)
		return nil, now
	}
	if one.Document >= len(list) {
		one.fail(Unrepeated, "the kit cannot be read any more")
		return nil, now
	}
	c := list[one.Document]
	return c, added(now, c)
}

// known reads a record of known findings that went in. Under a policy what the
// tree has beyond the policy's is a finding, as it is of any check.
func (v *Verifier) known(one *Verification, c current) (*checker.Known, error) {
	if v.Policy == nil {
		return checker.ParseKnown(c.before.Name, c.text)
	}
	known, err := v.Policy.ReadKnown(filepath.Join(filepath.Dir(one.File), filepath.FromSlash(c.before.Name)))
	if err == nil {
		known.Name = c.before.Name
	}
	return known, err
}

// readKnown is the text of a record of known findings that counts.
func (v *Verifier) readKnown(c *checker.Checker, one *Verification, name string) ([]byte, error) {
	if v.Policy == nil {
		return c.ReadBeside(filepath.Base(one.File), name)
	}
	text, err := v.Policy.Read(filepath.Join(filepath.Dir(one.File), filepath.FromSlash(name)))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("there is no such file in %s, whose known findings count", v.Policy.Name)
	}
	return text, err
}

// current is an input of the record and what became of it.
type current struct {
	before *Input // nil where it did not go in at the sign-off
	after  checker.Input
	text   []byte
	why    string // it cannot be read now
}

// reread reads all that the record names, no further than the kit's tree.
func (v *Verifier) reread(c *checker.Checker, one *Verification, kit []byte) []current {
	var list []current
	for i := range one.Signed.Inputs {
		in := &one.Signed.Inputs[i]
		now := current{before: in, after: checker.Input{Role: in.Role, Name: in.Name, BuiltIn: in.BuiltIn}}
		var err error
		switch {
		case in.Role == checker.RoleKit:
			now.text = kit
		case in.BuiltIn:
			now.text, err = checker.BuiltInPack(in.Name)
		case in.Role == checker.RoleKnown:
			now.text, err = v.readKnown(c, one, in.Name)
		default:
			now.text, err = c.ReadBeside(filepath.Base(one.File), in.Name)
		}
		if err != nil {
			now.why = files.PlainError(err)
		}
		now.after.Text = now.text
		list = append(list, now)
	}
	return list
}

// added adds what goes into the check now and did not at the sign-off.
func added(list []current, c *Candidate) []current {
	for _, in := range c.Result.Inputs {
		known := false
		for i := range list {
			b := list[i].before
			if b != nil && b.Role == in.Role && b.Name == in.Name && b.BuiltIn == in.BuiltIn {
				known = true
				list[i].after, list[i].text, list[i].why = in, in.Text, "" // the very bytes that were checked
			}
		}
		if !known {
			list = append(list, current{after: in, text: in.Text})
		}
	}
	return list
}

// compareInputs says what is not what it was.
func (v *Verifier) compareInputs(one *Verification, list []current) {
	for _, c := range list {
		path := inDir(one.File, c.after.Name)
		switch {
		case c.before == nil && c.after.BuiltIn:
			one.fail(Changed, "the built-in rule pack %s is in use, and was not at the sign-off", c.after.Name)
		case c.before == nil:
			one.fail(Changed, "the %s %s goes in now, and did not at the sign-off", noun(c.after.Role), path)
		case c.why != "" && c.before.BuiltIn:
			one.fail(Changed, "the built-in rule pack %s of kitgauge %s is not part of this version (%s)", c.before.Name, one.Signed.ToolVersion, v.Version)
		case c.why != "":
			one.fail(Changed, "the %s %s, which went in, cannot be read: %s", noun(c.before.Role), path, c.why)
		case digest(c.text) == c.before.SHA256:
		case c.before.BuiltIn:
			one.fail(Changed, "the built-in rule pack %s of kitgauge %s is not that of the sign-off (kitgauge %s): verify with that version, or sign anew", c.before.Name, v.Version, one.Signed.ToolVersion)
		default:
			one.changed(c, path)
		}
	}
}

func (one *Verification) changed(c current, path string) {
	p := Problem{Kind: Changed, Message: fmt.Sprintf("the %s %s changed since the sign-off", noun(c.before.Role), path)}
	if now := pieces(c.after, one.Document); len(now) > 0 && len(c.before.Pieces) > 0 {
		if p.Places = difference(c.before.Pieces, now); len(p.Places) == 0 {
			p.Message += ": comments, order or layout"
		}
	}
	one.Problems = append(one.Problems, p)
}

// noun names a role in a sentence.
func noun(role checker.Role) string {
	switch role {
	case checker.RoleKit:
		return "kit file"
	case checker.RoleConcessions:
		return "file of concessions"
	case checker.RoleSettings:
		return "settings file"
	case checker.RoleKnown:
		return "record of known findings"
	}
	return string(role)
}

// compareResult holds the stored record against the one that would be written
// now, byte for byte.
func (v *Verifier) compareResult(one *Verification, c *Candidate, stored []byte) {
	r := one.Signed
	now, err := c.Record(r.Signer)
	if err != nil {
		one.fail(Unrepeated, "the check cannot be repeated: %s", err)
		return
	}
	now.asIn(r)
	changed := false
	for _, p := range one.Problems {
		changed = changed || p.Kind == Changed
	}
	switch {
	case now.Result != r.Result && now.Verdict != r.Verdict:
		one.fail(OtherResult, "the check gives another result: %s; at the sign-off: %s", now.Verdict, r.Verdict)
	case now.Result != r.Result && r.ToolVersion != v.Version:
		one.fail(OtherResult, "kitgauge %s gives another result than kitgauge %s did at the sign-off: verify with that version, or sign anew", v.Version, r.ToolVersion)
	case now.Result != r.Result:
		one.fail(OtherResult, "the check gives another result than at the sign-off: compare the findings")
	case !changed:
		if text, err := Encode(now); err != nil || !bytes.Equal(text, stored) {
			one.fail(BadRecord, "the record says what the check does not: %s", disagreement(r, now))
		}
	}
	for _, why := range c.kitRefusals() {
		if !changed && now.Result == r.Result {
			one.fail(BadRecord, "the kit should not have been signed off: %s", why)
		}
	}
}

// asIn takes over what a record says of its signing and no check can tell, and
// leaves out what records of an older version of the program do not have.
func (r *Record) asIn(stored *Record) {
	r.Follows, r.OnReason = stored.Follows, stored.OnReason
	if stored.Kit.CheckedBy == "" && stored.Remarks == nil {
		r.Kit.CheckedBy, r.Remarks = "", nil
	}
}

// disagreement names the first member in which two records differ.
func disagreement(stored, now *Record) string {
	switch {
	case stored.Kit != now.Kit:
		return "number, revision, title, status, drawn by or checked by"
	case stored.Gate != now.Gate || stored.Verdict != now.Verdict:
		return "gate or verdict"
	case stored.Counts != now.Counts:
		return "the counts"
	case len(stored.Inputs) != len(now.Inputs):
		return "what went in"
	}
	return "what went in, concessions or findings below the gate"
}
