package release

import (
	"time"

	"golang.org/x/crypto/ssh"
)

// What the tests need of the inside.
var (
	MatchList      = matchList
	CheckPrincipal = checkPrincipal
	Armour         = armour
	Digest         = digest
)

const (
	MaxRecord    = maxRecord
	MaxSignature = maxSignature
)

// NewKey makes a key of a signer.
func NewKey(s ssh.Signer) *Key { return &Key{signer: s} }

// Allow reports whether the signers allow the key of a signature to a signer.
func (s *Signers) Allow(key []byte, signer string, at time.Time) (why string, exact bool) {
	return s.allow(key, signer, at)
}

// NamesOf lists the names of the holder of a key.
func (s *Signers) NamesOf(key []byte) []string { return s.namesOf(key) }

// PrincipalOf is the only name for a key.
func (s *Signers) PrincipalOf(key []byte) string { return s.principalOf(key) }

// SignerOf names the key of a signature as the signers know it.
func (s *Signature) SignerOf() []byte { return s.blob }
