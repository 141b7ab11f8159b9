package release

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"kitgauge/checker/files"
	"kitgauge/checker/report"
)

// A record names the digest of the one that it follows, so that records make a
// chain, and an older signed pair that is put back shows where a later link is
// at hand: another record in the directory of the kit, or an earlier version
// of the record in the history that a Verifier is given.

// mostLinks bounds how many records of a directory are looked at.
const mostLinks = 1000

// link is a sound record: its signature is one of its bytes.
type link struct {
	record    *Record
	text      []byte
	signature *Signature
	file      string
	history   bool // it is not there any more
}

// sound reads a record with a signature of it; nil where they are not that.
func sound(file string, text, signature []byte) *link {
	s, err := ParseSignature(signature)
	if err != nil || s.Verify(text) != nil {
		return nil
	}
	r, err := Decode(text)
	if err != nil {
		return nil
	}
	return &link{record: r, text: text, signature: s, file: file}
}

// follow makes the record that is to be signed follow the one that it replaces,
// or else the latest in the directory that is about another revision of the
// kit: copies of one revision do not follow each other. Where nothing changed,
// the chain does not grow: the record is the one that is there.
func (c *Candidate) follow(r *Record) error {
	before := c.before()
	if before == nil {
		return nil
	}
	r.Follows = before.record.Follows
	again, err := Encode(r)
	if err == nil && !bytes.Equal(again, before.text) {
		r.Follows = digest(before.text)
	}
	return err
}

// before is the record that the next one follows; nil where there is none.
func (c *Candidate) before() *link {
	kit := &c.Result.Kit
	if own := readLink(recordFile(c.File, kit.Document)); own != nil && own.record.Kit.Number == report.Visible(kit.Number) {
		return own
	}
	var latest *link
	for _, name := range recordsBeside(c.File) {
		l := readLink(name)
		if l != nil && l.record.Kit.Number == report.Visible(kit.Number) && l.record.Kit.Revision != report.Visible(kit.Revision) && (latest == nil || l.record.On > latest.record.On) {
			latest = l
		}
	}
	return latest
}

// readLink reads a record with the signature beside it; nil where there is no
// sound one.
func readLink(name string) *link {
	text, err := files.ReadRegular(name)
	if err != nil {
		return nil
	}
	signature, err := files.ReadRegular(SignatureName(name))
	if err != nil {
		return nil
	}
	return sound(name, text, signature)
}

// recordsBeside lists the records in the directory of a kit.
func recordsBeside(kit string) []string {
	dir := filepath.Dir(kit)
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil
	}
	var list []string
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), RecordEnding) && len(list) < mostLinks {
			list = append(list, filepath.Join(dir, e.Name()))
		}
	}
	return list
}

// newer finds the last of the sign-offs that follow a record; nil where none
// is at hand.
func (v *Verifier) newer(one *Verification, stored []byte) *link {
	near := v.near.Get(filepath.Dir(one.File), func() []*link { return v.linksBeside(one.File) })
	list := append(slices.Clone(near), v.linksBefore(one.RecordFile, stored)...)
	next := map[string]*link{}
	for _, l := range list {
		if by := l.record.Follows; by != "" && next[by] == nil && v.vouched(l) {
			next[by] = l
		}
	}
	var last *link
	at := digest(stored)
	for range list {
		l := next[at]
		if l == nil {
			break
		}
		last, at = l, digest(l.text)
	}
	return last
}

// vouched reports whether an allowed signer made the signature, on the day that
// the record gives: nobody else can make a sign-off look old.
func (v *Verifier) vouched(l *link) bool {
	at, err := endOf(l.record.On)
	if err != nil || v.Signers == nil {
		return false
	}
	why, _ := v.refusal(l.signature.blob, l.record.Signer, at)
	return why == ""
}

func (v *Verifier) linksBeside(kit string) []*link {
	var list []*link
	for _, name := range recordsBeside(kit) {
		if l := readLink(name); l != nil {
			list = append(list, l)
		}
	}
	return list
}

// linksBefore are the records that stood under a name before, as far as the
// history knows; whichever signature of them it has.
func (v *Verifier) linksBefore(name string, stored []byte) []*link {
	if v.History == nil {
		return nil
	}
	texts := slices.DeleteFunc(v.History(name), func(text []byte) bool { return bytes.Equal(text, stored) })
	if len(texts) == 0 {
		return nil
	}
	signatures := v.History(SignatureName(name))
	var list []*link
	for _, text := range texts {
		for _, signature := range signatures {
			if l := sound(name, text, signature); l != nil {
				l.history = true
				list = append(list, l)
				break
			}
		}
	}
	return list
}

// outdated says that a newer sign-off follows.
func (v *Verifier) outdated(one *Verification, stored []byte) {
	l := v.newer(one, stored)
	if l == nil {
		return
	}
	where := l.file
	if l.history {
		where = "the history of " + where
	}
	r := l.record
	say := one.fail
	if v.Older {
		say = func(_ Kind, format string, args ...any) { one.note(format, args...) }
	}
	say(Outdated, "a newer sign-off follows this one: revision %s was signed off by %s on %s (%s); an older state was put back, or a newer one taken back", r.Kit.Revision, r.Signer, r.On, where)
}
