package release

import (
	"bytes"
	"crypto/sha1"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"strings"

	"kitgauge/checker/files"
)

// Revoked are keys that vouch for nobody any more, whoever lists them still:
// those of a file that ssh-keygen -Y verify -r takes.
type Revoked struct {
	File string

	keys   map[string]int // by their blobs: the line, 0 in a list of revoked keys (KRL)
	sha1   map[string]bool
	sha256 map[string]bool
}

// ReadRevoked reads the file. The error is a *files.Error where it cannot be
// read.
func ReadRevoked(file string) (*Revoked, error) {
	text, err := files.ReadFile(file)
	if err != nil {
		return nil, &files.Error{File: file, Err: err}
	}
	return ParseRevoked(file, text)
}

// ParseRevoked reads public keys, one a line, or a binary list of revoked keys
// (PROTOCOL.krl of OpenSSH). What is not understood is an error: a key that is
// passed over would stay good.
func ParseRevoked(file string, text []byte) (*Revoked, error) {
	if len(text) > maxSigners {
		return nil, fmt.Errorf("%s: it is larger than %d MiB", file, maxSigners>>20)
	}
	r := &Revoked{File: file, keys: map[string]int{}, sha1: map[string]bool{}, sha256: map[string]bool{}}
	if rest, binary := bytes.CutPrefix(text, []byte(krlMagic)); binary {
		if err := r.list(rest); err != nil {
			return nil, fmt.Errorf("%s: the list of revoked keys (KRL) %w", file, err)
		}
		return r, nil
	}
	for i, line := range strings.Split(string(text), "\n") {
		line = strings.Trim(line, " \t\r")
		if line == "" || line[0] == '#' {
			continue
		}
		kind, rest := field(line)
		key, _, err := readKey(kind, rest)
		if err != nil || !isKeyType(line) {
			return nil, fmt.Errorf("%s:%d: the line has no key, or a damaged one: write it as it stands in a .pub file, with nothing before it", file, i+1)
		}
		if _, known := r.keys[string(key)]; !known {
			r.keys[string(key)] = i + 1
		}
	}
	return r, nil
}

// refusal says that a key is revoked; "" where it is not, or r is nil.
func (r *Revoked) refusal(key []byte) string {
	if r == nil {
		return ""
	}
	line, listed := r.keys[string(key)]
	old, hash := sha1.Sum(key), sha256.Sum256(key)
	switch {
	case line > 0:
		return fmt.Sprintf("it is revoked (%s:%d)", r.File, line)
	case listed, r.sha1[string(old[:])], r.sha256[string(hash[:])]:
		return fmt.Sprintf("it is revoked (%s)", r.File)
	}
	return ""
}

// The binary list begins with these bytes; its sections are numbered.
const (
	krlMagic = "SSHKRL\n\x00"

	krlCertificates = 1 // of certificates, which sign nothing here
	krlKeys         = 2
	krlSHA1         = 3
	krlSHA256       = 5
)

var errCut = errors.New("ends in the middle")

// list reads the binary form, behind its first bytes.
func (r *Revoked) list(text []byte) error {
	const fixed = 4 + 3*8 // version of the format; version, day and flags of the list
	if len(text) < fixed {
		return errCut
	}
	if v := binary.BigEndian.Uint32(text); v != 1 {
		return fmt.Errorf("has version %d of the format, and this program knows version 1", v)
	}
	text = text[fixed:]
	for range 2 { // reserved, comment
		var ok bool
		if _, text, ok = cutString(text); !ok {
			return errCut
		}
	}
	for len(text) > 0 {
		kind := text[0]
		data, rest, ok := cutString(text[1:])
		if !ok {
			return errCut
		}
		if err := r.section(kind, data); err != nil {
			return err
		}
		text = rest
	}
	return nil
}

func (r *Revoked) section(kind byte, data []byte) error {
	switch kind {
	case krlCertificates:
		return nil
	case krlKeys:
		return each(data, 0, func(key []byte) error {
			r.keys[string(key)] = 0
			return nil
		})
	case krlSHA1:
		return each(data, sha1.Size, func(hash []byte) error { r.sha1[string(hash)] = true; return nil })
	case krlSHA256:
		return each(data, sha256.Size, func(hash []byte) error { r.sha256[string(hash)] = true; return nil })
	}
	return fmt.Errorf("has a section of the kind %d, which is not known: name the public keys, one a line, in its place", kind)
}

// each goes through the strings of a section; of the size, where there is one.
func each(data []byte, size int, do func([]byte) error) error {
	for len(data) > 0 {
		one, rest, ok := cutString(data)
		if !ok || size > 0 && len(one) != size {
			return errCut
		}
		if err := do(one); err != nil {
			return err
		}
		data = rest
	}
	return nil
}

// cutString takes a string with its length in front off the data.
func cutString(data []byte) (text, rest []byte, ok bool) {
	if len(data) < 4 {
		return nil, nil, false
	}
	n := uint64(binary.BigEndian.Uint32(data))
	if n > uint64(len(data)-4) {
		return nil, nil, false
	}
	return data[4 : 4+n], data[4+n:], true
}
