package release_test

import (
	"bytes"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/rsa"
	"crypto/sha256"
	"crypto/sha512"
	"encoding/pem"
	"io"
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/crypto/ssh"
	"golang.org/x/crypto/ssh/agent"

	"kitgauge/checker/release"
)

var keyKinds = []string{"ed25519", "ecdsa-256", "ecdsa-384", "ecdsa-521", "rsa-2048", "rsa-3072"}

// TestOursForSSHKeygen holds that ssh-keygen, the program that the format is
// the one of, verifies what is signed here.
func TestOursForSSHKeygen(t *testing.T) {
	sshKeygen(t)
	message := []byte(`{"format":"kitgauge-release"}`)
	for _, kind := range keyKinds {
		t.Run(kind, func(t *testing.T) {
			signer, _ := newKey(t, kind)
			signature, err := release.NewKey(signer).Sign(message)
			if err != nil {
				t.Fatal(err)
			}
			dir := t.TempDir()
			write(t, filepath.Join(dir, "allowed"), reviewer+" "+public(signer)+"\n")
			write(t, filepath.Join(dir, "sig"), string(signature))
			args := []string{"-Y", "verify", "-f", filepath.Join(dir, "allowed"), "-I", reviewer, "-n", release.Namespace, "-s", filepath.Join(dir, "sig")}
			if out, err := run(t, message, args...); err != nil {
				t.Errorf("ssh-keygen does not verify it: %v: %s", err, out)
			}
			if out, err := run(t, append(message, '\n'), args...); err == nil {
				t.Errorf("ssh-keygen verifies another message: %s", out)
			}
		})
	}
}

// TestSSHKeygensForUs holds that what ssh-keygen signs is verified here, and
// that a signature for something else is not.
func TestSSHKeygensForUs(t *testing.T) {
	sshKeygen(t)
	message := []byte("a record")
	for _, tt := range []struct {
		kind, namespace string
		options         []string
		want            string // of the error; "" for none
	}{
		{kind: "ed25519", namespace: release.Namespace},
		{kind: "ecdsa-256", namespace: release.Namespace},
		{kind: "ecdsa-384", namespace: release.Namespace},
		{kind: "ecdsa-521", namespace: release.Namespace},
		{kind: "rsa-2048", namespace: release.Namespace},
		{kind: "ed25519", namespace: release.Namespace, options: []string{"-O", "hashalg=sha256"}},
		{kind: "rsa-2048", namespace: release.Namespace, options: []string{"-O", "hashalg=sha256"}},
		{kind: "ed25519", namespace: "git", want: `was made for "git"`},
		{kind: "ed25519", namespace: "file", want: `was made for "file"`},
	} {
		t.Run(tt.kind+" "+tt.namespace+strings.Join(tt.options, ""), func(t *testing.T) {
			_, file := newKey(t, tt.kind)
			name := filepath.Join(t.TempDir(), "record")
			write(t, name, string(message))
			args := append([]string{"-Y", "sign", "-f", file, "-n", tt.namespace}, tt.options...)
			if out, err := run(t, nil, append(args, name)...); err != nil {
				t.Fatalf("ssh-keygen does not sign: %v: %s", err, out)
			}
			text := []byte(read(t, name+".sig"))
			s, err := release.ParseSignature(text)
			if err != nil {
				t.Fatal(err)
			}
			err = s.Verify(message)
			if tt.want == "" && err != nil || tt.want != "" && (err == nil || !strings.Contains(err.Error(), tt.want)) {
				t.Errorf("got %v, want %q", err, tt.want)
			}
			if s.Verify([]byte("another record")) == nil {
				t.Error("another message is verified")
			}
		})
	}
}

// TestArmour holds that the file is written as ssh-keygen writes it: 70
// characters a line (as seen; PROTOCOL.sshsig suggests 76, and both are read).
func TestArmour(t *testing.T) {
	_, file := newKey(t, "ed25519")
	out, err := run(t, []byte("m"), "-Y", "sign", "-f", file, "-n", release.Namespace)
	if err != nil {
		t.Fatalf("ssh-keygen does not sign: %v: %s", err, out)
	}
	begin := strings.Index(out, "-----BEGIN")
	theirs := out[begin:]
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	signer, err := ssh.ParsePrivateKey(text)
	if err != nil {
		t.Fatal(err)
	}
	ours, err := release.NewKey(signer).Sign([]byte("m"))
	if err != nil {
		t.Fatal(err)
	}
	if string(ours) != theirs { // ed25519 signs the same message in one way
		t.Errorf("got\n%swant\n%s", ours, theirs)
	}
	lines := strings.Split(strings.TrimSuffix(theirs, "\n"), "\n")
	joined := strings.Join(lines[1:len(lines)-1], "")
	wide := lines[0] + "\n" + joined[:76] + "\n" + joined[76:] + "\n" + lines[len(lines)-1] + "\n"
	if s, err := release.ParseSignature([]byte(wide)); err != nil || s.Verify([]byte("m")) != nil {
		t.Errorf("lines of 76 characters are not read: %v", err)
	}
}

type signedData struct {
	Namespace, Reserved, Hash string
	Digest                    []byte
}

type envelope struct {
	Version                   uint32
	Key                       []byte
	Namespace, Reserved, Hash string
	Signature                 []byte
}

// forge makes a signature with everything as the caller wants it.
func forge(e envelope, message []byte, makeIt func(data []byte) *ssh.Signature) []byte {
	sum := sha512.Sum512(message)
	data := append([]byte("SSHSIG"), ssh.Marshal(signedData{e.Namespace, e.Reserved, e.Hash, sum[:]})...)
	e.Signature = ssh.Marshal(makeIt(data))
	return release.Armour(append([]byte("SSHSIG"), ssh.Marshal(e)...))
}

// TestSignatureRefused holds what PROTOCOL.sshsig does not allow, and what is
// not safe, to an error.
func TestSignatureRefused(t *testing.T) {
	message := []byte("a record")
	signer, _ := newKey(t, "ed25519")
	rsaSigner, _ := newKey(t, "rsa-2048")
	with := func(s ssh.Signer) func([]byte) *ssh.Signature {
		return func(data []byte) *ssh.Signature {
			made, err := s.Sign(rand.Reader, data)
			if err != nil {
				t.Fatal(err)
			}
			return made
		}
	}
	good := envelope{Version: 1, Key: signer.PublicKey().Marshal(), Namespace: release.Namespace, Hash: "sha512"}
	change := func(f func(*envelope)) envelope { e := good; f(&e); return e }
	weak, err := rsa.GenerateKey(rand.Reader, 1024)
	if err != nil {
		t.Fatal(err)
	}
	weakSigner, err := ssh.NewSignerFromKey(weak)
	if err != nil {
		t.Fatal(err)
	}
	if s, err := release.ParseSignature(forge(good, message, with(signer))); err != nil || s.Verify(message) != nil {
		t.Fatalf("the forge makes no good signature: %v", err)
	}
	for _, tt := range []struct {
		name string
		text []byte
		want string
	}{
		{"another version", forge(change(func(e *envelope) { e.Version = 2 }), message, with(signer)), "version 2"},
		{"another hash", forge(change(func(e *envelope) { e.Hash = "md5" }), message, with(signer)), `the hash "md5"`},
		{"RSA with SHA-1", forge(change(func(e *envelope) { e.Key = rsaSigner.PublicKey().Marshal() }), message, with(rsaSigner)), `made with "ssh-rsa"`},
		{"a short RSA key", forge(change(func(e *envelope) { e.Key = weakSigner.PublicKey().Marshal() }), message, with(weakSigner)), "1024 bits"},
		{"a certificate", forge(change(func(e *envelope) { e.Key = certificate(t, signer).Marshal() }), message, with(signer)), "certificate"},
		{"bytes behind the signature", forge(good, message, func(data []byte) *ssh.Signature {
			made := with(signer)(data)
			made.Rest = []byte{1}
			return made
		}), "damaged"},
		{"bytes behind the key", forge(change(func(e *envelope) { e.Key = append(bytes.Clone(e.Key), 0) }), message, with(signer)), "key is damaged"},
		{"no signature at all", []byte("-----BEGIN SSH SIGNATURE-----\nAAAA\n-----END SSH SIGNATURE-----\n"), "not an SSH signature"},
		{"no armour", []byte("U1NIU0lH"), "does not begin and end"},
		{"carriage returns", bytes.ReplaceAll(forge(good, message, with(signer)), []byte("=\n"), []byte("=\r\n")), ""},
		{"huge", bytes.Repeat([]byte("A"), release.MaxSignature+1), "larger than"},
		{"another namespace", forge(change(func(e *envelope) { e.Namespace = "git" }), message, with(signer)), `made for "git"`},
		{"no namespace", forge(change(func(e *envelope) { e.Namespace = "" }), message, with(signer)), `made for ""`},
		{"a reserved text that is not signed", reserved(good, message, with(signer)), "not one of these bytes"},
	} {
		s, err := release.ParseSignature(tt.text)
		if err == nil {
			err = s.Verify(message)
		}
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: got %v, want an error with %q", tt.name, err, tt.want)
		}
	}
}

// reserved puts a text into the reserved field after the signing.
func reserved(e envelope, message []byte, makeIt func([]byte) *ssh.Signature) []byte {
	return forge(envelope{e.Version, e.Key, e.Namespace, "x", e.Hash, nil}, message, func([]byte) *ssh.Signature {
		sum := sha512.Sum512(message)
		return makeIt(append([]byte("SSHSIG"), ssh.Marshal(signedData{e.Namespace, "", e.Hash, sum[:]})...))
	})
}

func certificate(t *testing.T, signer ssh.Signer) *ssh.Certificate {
	t.Helper()
	c := &ssh.Certificate{Key: signer.PublicKey(), CertType: ssh.UserCert, ValidPrincipals: []string{reviewer}, ValidBefore: ssh.CertTimeInfinity}
	if err := c.SignCert(rand.Reader, signer); err != nil {
		t.Fatal(err)
	}
	return c
}

// TestSecurityKey makes a signature as a security key does (PROTOCOL.u2f of
// OpenSSH): over the hashes of application and message, with flags and a
// counter between. ssh-keygen is the judge of the signature; here it is held
// to be taken too, and not without the touch.
func TestSecurityKey(t *testing.T) {
	message := []byte("a record")
	public, private, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	const application = "ssh:"
	blob := ssh.Marshal(struct{ Kind, Key, Application string }{ssh.KeyAlgoSKED25519, string(public), application})
	key, err := ssh.ParsePublicKey(blob)
	if err != nil {
		t.Fatal(err)
	}
	touch := func(flags byte) func([]byte) *ssh.Signature {
		return func(data []byte) *ssh.Signature {
			app, sum := sha256.Sum256([]byte(application)), sha256.Sum256(data)
			signed := append(append(bytes.Clone(app[:]), flags, 0, 0, 0, 7), sum[:]...)
			return &ssh.Signature{Format: ssh.KeyAlgoSKED25519, Blob: ed25519.Sign(private, signed), Rest: []byte{flags, 0, 0, 0, 7}}
		}
	}
	e := envelope{Version: 1, Key: blob, Namespace: release.Namespace, Hash: "sha512"}
	text := forge(e, message, touch(1))
	s, err := release.ParseSignature(text)
	if err != nil || s.Verify(message) != nil {
		t.Errorf("a signature of a security key is not verified: %v", err)
	}
	untouched, err := release.ParseSignature(forge(e, message, touch(0)))
	if err != nil || untouched.Verify(message) == nil {
		t.Errorf("a signature without a touch is verified: %v", err)
	}
	dir := t.TempDir()
	write(t, filepath.Join(dir, "allowed"), reviewer+" "+string(ssh.MarshalAuthorizedKey(key)))
	write(t, filepath.Join(dir, "sig"), string(text))
	if out, err := run(t, message, "-Y", "verify", "-f", filepath.Join(dir, "allowed"), "-I", reviewer, "-n", release.Namespace, "-s", filepath.Join(dir, "sig")); err != nil {
		t.Errorf("ssh-keygen does not verify it: %v: %s", err, out)
	}
}

// TestLoadKey loads keys from files and from an agent, which runs here.
func TestLoadKey(t *testing.T) {
	message := []byte("a record")
	socket := filepath.Join(t.TempDir(), "agent")
	ring := agent.NewKeyring()
	listener, err := net.Listen("unix", socket)
	if err != nil {
		t.Skipf("no socket can be made here: %v", err)
	}
	defer listener.Close()
	go func() {
		for {
			c, err := listener.Accept()
			if err != nil {
				return
			}
			go func() { _ = agent.ServeAgent(ring, c) }()
		}
	}()
	t.Setenv("SSH_AUTH_SOCK", socket)
	for _, kind := range []string{"ed25519", "ecdsa-256", "rsa-2048"} {
		_, file := newKey(t, kind)
		if _, err := release.LoadKey(file+".pub", nil); err == nil || !strings.Contains(err.Error(), "ssh-add") {
			t.Errorf("%s: the agent does not hold it: got %v, want that it is to be added", kind, err)
		}
		private, err := ssh.ParseRawPrivateKey([]byte(read(t, file)))
		if err != nil {
			t.Fatal(err)
		}
		if err := ring.Add(agent.AddedKey{PrivateKey: private}); err != nil {
			t.Fatal(err)
		}
		for _, name := range []string{file, file + ".pub"} {
			key, err := release.LoadKey(name, nil)
			if err != nil {
				t.Errorf("%s: %v", kind, err)
				continue
			}
			text, err := key.Sign(message)
			if err != nil {
				t.Errorf("%s: %v", kind, err)
			}
			if s, err := release.ParseSignature(text); err != nil || s.Verify(message) != nil {
				t.Errorf("%s: the signature is not good: %v", kind, err)
			}
			if err := key.Close(); err != nil {
				t.Error(err)
			}
		}
	}
	_, file := newKey(t, "ed25519")
	t.Setenv("SSH_AUTH_SOCK", "")
	if _, err := release.LoadKey(file+".pub", nil); err == nil || !strings.Contains(err.Error(), "SSH_AUTH_SOCK") {
		t.Errorf("without an agent: got %v, want that none runs", err)
	}
	t.Setenv("SSH_AUTH_SOCK", filepath.Join(t.TempDir(), "nothing"))
	if _, err := release.LoadKey(file+".pub", nil); err == nil || !strings.Contains(err.Error(), "does not answer") {
		t.Errorf("with a dead agent: got %v, want that it does not answer", err)
	}
}

func TestLoadKeyRefused(t *testing.T) {
	_, private, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	block, err := ssh.MarshalPrivateKeyWithPassphrase(private, "", []byte("grit"))
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "key")
	write(t, file, string(pem.EncodeToMemory(block)))
	open := filepath.Join(t.TempDir(), "open")
	write(t, open, read(t, file)) // mode 0644
	if err := os.Chmod(file, 0o600); err != nil {
		t.Fatal(err)
	}
	says := func(text string) func() ([]byte, error) {
		return func() ([]byte, error) { return []byte(text), nil }
	}
	if _, err := release.LoadKey(file, says("grit")); err != nil {
		t.Errorf("with the passphrase: %v", err)
	}
	other := filepath.Join(t.TempDir(), "other")
	write(t, other, "no key at all\n")
	for _, tt := range []struct {
		name, file string
		ask        func() ([]byte, error)
		want       string
	}{
		{"no terminal", file, nil, "ssh-add"},
		{"another passphrase", file, says("salt"), "cannot be opened with this passphrase"},
		{"no passphrase", file, func() ([]byte, error) { return nil, io.EOF }, "EOF"},
		{"open to others", open, says("grit"), "others may read or write it (mode 0644)"},
		{"no key", other, nil, "neither a private nor a public SSH key"},
		{"no file", other + "x", nil, "there is no such file"},
	} {
		if _, err := release.LoadKey(tt.file, tt.ask); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: got %v, want an error with %q", tt.name, err, tt.want)
		}
	}
}
