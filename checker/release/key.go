package release

import (
	"bytes"
	"errors"
	"fmt"
	"net"
	"os"

	"golang.org/x/crypto/ssh"
	"golang.org/x/crypto/ssh/agent"

	"kitgauge/checker/files"
)

// Key is what a reviewer signs with: a private key, or one that an agent
// holds. It is to be closed.
type Key struct {
	signer ssh.Signer
	conn   net.Conn // to the agent; nil where there is none
}

// LoadKey loads the key of a file: a private key, or a public key whose
// private one an SSH agent holds. Where the key is encrypted, ask asks for
// the passphrase; nil cannot.
func LoadKey(file string, ask func() ([]byte, error)) (*Key, error) {
	text, err := files.ReadFile(file)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	if public, _, _, _, err := ssh.ParseAuthorizedKey(text); err == nil {
		return fromAgent(file, public)
	}
	signer, err := private(file, text, ask)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	if err := checkKey(signer.PublicKey()); err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	return &Key{signer: signer}, nil
}

func private(file string, text []byte, ask func() ([]byte, error)) (ssh.Signer, error) {
	signer, err := ssh.ParsePrivateKey(text)
	var missing *ssh.PassphraseMissingError
	if err != nil && !errors.As(err, &missing) {
		return nil, errors.New("it is neither a private nor a public SSH key")
	}
	if mode, open := exposed(file); open {
		return nil, fmt.Errorf("others may read or write it (mode %04o), and ssh-keygen would not take it either: chmod 600, and sign with a new key if somebody may have read it", mode)
	}
	if err == nil {
		return signer, nil
	}
	if ask == nil {
		return nil, errors.New("the key is encrypted: add it to an SSH agent (ssh-add) and name its .pub file, or run this at a terminal")
	}
	passphrase, err := ask()
	if err != nil {
		return nil, err
	}
	defer clear(passphrase)
	if signer, err = ssh.ParsePrivateKeyWithPassphrase(text, passphrase); err != nil {
		return nil, errors.New("the key cannot be opened with this passphrase")
	}
	return signer, nil
}

func fromAgent(file string, public ssh.PublicKey) (*Key, error) {
	if err := checkKey(public); err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	socket := os.Getenv("SSH_AUTH_SOCK")
	if socket == "" {
		return nil, fmt.Errorf("%s is a public key, and no SSH agent runs that may hold the private one (SSH_AUTH_SOCK is not set)", file)
	}
	conn, err := net.Dial("unix", socket)
	if err != nil {
		return nil, fmt.Errorf("%s is a public key, and the SSH agent does not answer: %s", file, files.PlainError(err))
	}
	signers, err := agent.NewClient(conn).Signers()
	if err != nil {
		conn.Close()
		return nil, fmt.Errorf("the SSH agent does not list its keys: %w", err)
	}
	for _, s := range signers {
		if bytes.Equal(s.PublicKey().Marshal(), public.Marshal()) {
			return &Key{signer: s, conn: conn}, nil
		}
	}
	conn.Close()
	return nil, fmt.Errorf("%s: the SSH agent does not hold the private key of it: add it with ssh-add", file)
}

// Close lets go of the agent.
func (k *Key) Close() error {
	if k.conn == nil {
		return nil
	}
	return k.conn.Close()
}

// Fingerprint names the key: "ssh-ed25519 SHA256:...".
func (k *Key) Fingerprint() string { return fingerprint(k.signer.PublicKey()) }

// Sign signs the bytes of a record.
func (k *Key) Sign(record []byte) ([]byte, error) { return sign(k.signer, record) }

func (k *Key) blob() []byte { return k.signer.PublicKey().Marshal() }
