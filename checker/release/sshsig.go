package release

import (
	"bytes"
	"crypto/rand"
	"crypto/rsa"
	"crypto/sha256"
	"crypto/sha512"
	"encoding/base64"
	"errors"
	"fmt"
	"slices"
	"strings"

	"golang.org/x/crypto/ssh"
)

// The SSHSIG format (PROTOCOL.sshsig of OpenSSH): the signature is over
// magic, namespace, reserved, the name of the hash, and the hash of the
// message; magic, version, key, namespace, reserved, the name of the hash and
// the signature are written as base64 between two lines.
const (
	magic       = "SSHSIG"
	beginArmour = "-----BEGIN SSH SIGNATURE-----\n"
	endArmour   = "-----END SSH SIGNATURE-----\n"
	hashName    = "sha512"
	// lineLength is that of ssh-keygen; PROTOCOL.sshsig suggests 76.
	lineLength = 70
)

type signedData struct {
	Namespace string
	Reserved  string
	Hash      string
	Digest    []byte
}

type envelope struct {
	Version   uint32
	Key       []byte
	Namespace string
	Reserved  string
	Hash      string
	Signature []byte
}

// Signature is a signature as it stands in its file.
type Signature struct {
	Namespace string

	key      ssh.PublicKey
	blob     []byte // the key, as it is written
	reserved string
	hash     string
	made     *ssh.Signature
}

// Fingerprint names the key of the signature: "ssh-ed25519 SHA256:...".
func (s *Signature) Fingerprint() string { return fingerprint(s.key) }

func fingerprint(key ssh.PublicKey) string { return key.Type() + " " + ssh.FingerprintSHA256(key) }

// keyTypes are the types of key that can sign.
var keyTypes = []string{
	ssh.KeyAlgoED25519, ssh.KeyAlgoECDSA256, ssh.KeyAlgoECDSA384, ssh.KeyAlgoECDSA521, ssh.KeyAlgoRSA,
	ssh.KeyAlgoSKED25519, ssh.KeyAlgoSKECDSA256,
}

// leastRSA is the least size of an RSA key that is taken for secure.
const leastRSA = 2048

// checkKey refuses keys that a signature must not rest on.
func checkKey(key ssh.PublicKey) error {
	if _, is := key.(*ssh.Certificate); is {
		return errors.New("the key is a certificate, and certificates are not supported: sign with the plain key")
	}
	if !slices.Contains(keyTypes, key.Type()) {
		return fmt.Errorf("keys of the type %s are not accepted: use an ed25519, an ecdsa or an rsa key", key.Type())
	}
	if crypto, is := key.(ssh.CryptoPublicKey); is {
		if k, is := crypto.CryptoPublicKey().(*rsa.PublicKey); is && k.N.BitLen() < leastRSA {
			return fmt.Errorf("the RSA key has %d bits, and at least %d are needed", k.N.BitLen(), leastRSA)
		}
	}
	return nil
}

// ParseSignature reads the file of a signature.
func ParseSignature(text []byte) (*Signature, error) {
	if len(text) > maxSignature {
		return nil, fmt.Errorf("it is larger than %d KiB", maxSignature>>10)
	}
	blob, err := unarmour(text)
	if err != nil {
		return nil, err
	}
	rest, is := bytes.CutPrefix(blob, []byte(magic))
	if !is {
		return nil, errors.New("it is not an SSH signature")
	}
	var e envelope
	if err := ssh.Unmarshal(rest, &e); err != nil {
		return nil, errors.New("it is damaged")
	}
	if e.Version != 1 {
		return nil, fmt.Errorf("it has version %d of the format, and this program knows version 1", e.Version)
	}
	key, err := ssh.ParsePublicKey(e.Key)
	if err != nil {
		return nil, errors.New("its key is damaged, or of a type that is not known")
	}
	if err := checkKey(key); err != nil {
		return nil, err
	}
	made := new(ssh.Signature)
	if err := ssh.Unmarshal(e.Signature, made); err != nil {
		return nil, errors.New("it is damaged")
	}
	s := &Signature{Namespace: e.Namespace, key: key, blob: e.Key, reserved: e.Reserved, hash: e.Hash, made: made}
	return s, s.check()
}

// check refuses what PROTOCOL.sshsig does not allow.
func (s *Signature) check() error {
	switch {
	case s.hash != "sha256" && s.hash != hashName:
		return fmt.Errorf("it is made with the hash %q, and only sha256 and sha512 are accepted", s.hash)
	case s.key.Type() == ssh.KeyAlgoRSA && s.made.Format != ssh.KeyAlgoRSASHA256 && s.made.Format != ssh.KeyAlgoRSASHA512:
		return fmt.Errorf("it is made with %q, and of RSA only rsa-sha2-256 and rsa-sha2-512 are accepted", s.made.Format)
	case !strings.HasPrefix(s.key.Type(), "sk-") && len(s.made.Rest) > 0:
		return errors.New("it is damaged")
	}
	return nil
}

// Verify checks that the signature is one of a release, and is of this
// message. Who the signer is, is another question.
func (s *Signature) Verify(message []byte) error {
	if s.Namespace != Namespace {
		return fmt.Errorf("the signature was made for %q and not for %q", s.Namespace, Namespace)
	}
	var digest []byte
	if s.hash == hashName {
		sum := sha512.Sum512(message)
		digest = sum[:]
	} else {
		sum := sha256.Sum256(message)
		digest = sum[:]
	}
	data := append([]byte(magic), ssh.Marshal(signedData{s.Namespace, s.reserved, s.hash, digest})...)
	if err := s.key.Verify(data, s.made); err != nil {
		return errors.New("the signature is not one of these bytes")
	}
	return nil
}

// sign signs a message. The signature is verified before it is returned.
func sign(signer ssh.Signer, message []byte) ([]byte, error) {
	if err := checkKey(signer.PublicKey()); err != nil {
		return nil, err
	}
	sum := sha512.Sum512(message)
	data := append([]byte(magic), ssh.Marshal(signedData{Namespace, "", hashName, sum[:]})...)
	made, err := signWith(signer, data)
	if err != nil {
		return nil, fmt.Errorf("signing: %w", err)
	}
	blob := append([]byte(magic), ssh.Marshal(envelope{
		Version: 1, Key: signer.PublicKey().Marshal(), Namespace: Namespace, Hash: hashName, Signature: ssh.Marshal(made),
	})...)
	text := armour(blob)
	s, err := ParseSignature(text)
	if err == nil {
		err = s.Verify(message)
	}
	if err != nil {
		return nil, fmt.Errorf("signing: what the key made is no good signature: %w", err)
	}
	return text, nil
}

// signWith asks for SHA-512 where an RSA key would sign with SHA-1 otherwise.
func signWith(signer ssh.Signer, data []byte) (*ssh.Signature, error) {
	if signer.PublicKey().Type() != ssh.KeyAlgoRSA {
		return signer.Sign(rand.Reader, data)
	}
	choosing, is := signer.(ssh.AlgorithmSigner)
	if !is {
		return nil, errors.New("the key cannot sign with rsa-sha2-512")
	}
	return choosing.SignWithAlgorithm(rand.Reader, data, ssh.KeyAlgoRSASHA512)
}

// armour writes a signature as ssh-keygen does.
func armour(blob []byte) []byte {
	text := base64.StdEncoding.EncodeToString(blob)
	var b strings.Builder
	b.WriteString(beginArmour)
	for len(text) > lineLength {
		b.WriteString(text[:lineLength] + "\n")
		text = text[lineLength:]
	}
	b.WriteString(text + "\n" + endArmour)
	return []byte(b.String())
}

// unarmour is the inverse. Lines may have any length; nothing else may differ
// from what armour writes.
func unarmour(text []byte) ([]byte, error) {
	inner, begins := strings.CutPrefix(string(text), beginArmour)
	inner, ends := strings.CutSuffix(inner, "\n"+endArmour)
	if !begins || !ends {
		return nil, errors.New("it does not begin and end as an SSH signature does")
	}
	if strings.Contains(inner, "\r") {
		return nil, errors.New("its lines end in carriage returns: keep it from being converted (in .gitattributes: *.sig -text)")
	}
	blob, err := base64.StdEncoding.Strict().DecodeString(inner)
	if err != nil {
		return nil, errors.New("it is damaged: a character stands in it that no signature has, or some are missing")
	}
	return blob, nil
}
