package release_test

import (
	"crypto/rand"
	"crypto/rsa"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/asn1"
	"encoding/pem"
	"math/big"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/crypto/ssh"

	"kitgauge/checker/release"
)

// authority is a time-stamp authority of a test: an invented root, and a
// certificate for time stamps alone, as RFC 3161, 2.3, wants it.
type authority struct{ dir, root string }

func newAuthority(t *testing.T, name string, from, until time.Time) authority {
	t.Helper()
	dir := t.TempDir()
	key, err := rsa.GenerateKey(rand.Reader, 2048)
	if err != nil {
		t.Fatal(err)
	}
	usage, err := asn1.Marshal([]asn1.ObjectIdentifier{{1, 3, 6, 1, 5, 5, 7, 3, 8}})
	if err != nil {
		t.Fatal(err)
	}
	root := &x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: name + " root"}, NotBefore: from, NotAfter: until,
		IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageCertSign,
	}
	leaf := &x509.Certificate{
		SerialNumber: big.NewInt(2), Subject: pkix.Name{CommonName: name}, NotBefore: from, NotAfter: until, KeyUsage: x509.KeyUsageDigitalSignature,
		ExtraExtensions: []pkix.Extension{{Id: asn1.ObjectIdentifier{2, 5, 29, 37}, Critical: true, Value: usage}},
	}
	save := func(file, kind string, text []byte) {
		write(t, filepath.Join(dir, file), string(pem.EncodeToMemory(&pem.Block{Type: kind, Bytes: text})))
	}
	for _, c := range []struct {
		file string
		of   *x509.Certificate
	}{{"root.pem", root}, {"tsa.pem", leaf}} {
		text, err := x509.CreateCertificate(rand.Reader, c.of, root, key.Public(), key)
		if err != nil {
			t.Fatal(err)
		}
		save(c.file, "CERTIFICATE", text)
	}
	private, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		t.Fatal(err)
	}
	save("key.pem", "PRIVATE KEY", private)
	write(t, filepath.Join(dir, "serial"), "01\n")
	write(t, filepath.Join(dir, "ts.conf"), "[tsa]\nserial = serial\ndefault_policy = 1.2.3.4.1\ndigests = sha256\nsigner_digest = sha256\ness_cert_id_alg = sha256\n")
	return authority{dir, filepath.Join(dir, "root.pem")}
}

// openssl runs the program that time stamps are held to.
func (a authority) openssl(t *testing.T, args ...string) (string, error) {
	t.Helper()
	name, err := exec.LookPath("openssl")
	if err != nil && os.Getenv("CI") != "" {
		t.Fatal("openssl is missing: install it")
	}
	if err != nil {
		t.Skip("openssl is missing")
	}
	c := exec.Command(name, args...)
	c.Dir = a.dir
	out, err := c.CombinedOutput()
	return string(out), err
}

// reply stamps a query.
func (a authority) reply(t *testing.T, query []byte) []byte {
	t.Helper()
	write(t, filepath.Join(a.dir, "q.tsq"), string(query))
	if said, err := a.openssl(t, "ts", "-reply", "-config", "ts.conf", "-section", "tsa", "-queryfile", "q.tsq", "-signer", "tsa.pem", "-inkey", "key.pem", "-out", "r.tsr"); err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	return []byte(read(t, filepath.Join(a.dir, "r.tsr")))
}

func authoritiesOf(t *testing.T, file string) *release.Authorities {
	t.Helper()
	a, err := release.ReadAuthorities(file)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// TestStamp holds query and reply to OpenSSL's time-stamp authority: its reply
// is taken, and so it is by its own verification; anything else is not.
func TestStamp(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	now := time.Now()
	tsa := newAuthority(t, "Nordhang time", now.Add(-time.Hour), now.Add(time.Hour))
	other := newAuthority(t, "Another time", now.Add(-time.Hour), now.Add(time.Hour))
	file := fleet(t)
	o := options(file)
	signedWith(t, file, signer, reviewer, o)
	record := release.RecordName(file, 0)
	signature := []byte(read(t, release.SignatureName(record)))
	query, err := release.Query(signature)
	if err != nil {
		t.Fatal(err)
	}
	if again, err := release.Query(signature); err != nil || string(again) != string(query) {
		t.Error("the query of one signature has two forms")
	}
	reply := tsa.reply(t, query)
	if said, err := tsa.openssl(t, "ts", "-verify", "-queryfile", "q.tsq", "-in", "r.tsr", "-CAfile", "root.pem"); err != nil {
		t.Errorf("OpenSSL refuses its own reply to the query: %v: %s", err, said)
	}
	s, err := authoritiesOf(t, tsa.root).Check(reply, signature)
	if err != nil {
		t.Fatal(err)
	}
	if s.At.Before(now.Add(-time.Minute)) || s.At.After(now.Add(time.Minute)) || !strings.Contains(s.By, "Nordhang time") {
		t.Errorf("got %s, want now by Nordhang time", s)
	}
	for name, tt := range map[string]struct {
		by               string
		reply, signature []byte
		want             string
	}{
		"another authority":    {other.root, reply, signature, "its authority is not one of"},
		"another signature":    {tsa.root, reply, append([]byte("x"), signature...), "not one of this signature"},
		"half of it":           {tsa.root, reply[:len(reply)/2], signature, ""},
		"nothing":              {tsa.root, nil, signature, "no reply"},
		"a sentence":           {tsa.root, []byte("Not found"), signature, "no reply"},
		"a refusal":            {tsa.root, []byte{0x30, 0x05, 0x30, 0x03, 0x02, 0x01, 0x02}, signature, "did not grant"},
		"its signature forged": {tsa.root, flipped(reply, len(reply)-1), signature, "its signature does not hold"},
	} {
		if got, err := authoritiesOf(t, tt.by).Check(tt.reply, tt.signature); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: got %v, %v; want an error with %q", name, got, err, tt.want)
		}
	}
	for i := range len(reply) { // nothing that is changed anywhere brings the reader down
		_, _ = authoritiesOf(t, tsa.root).Check(flipped(reply, i), signature)
	}
	stampedVerification(t, file, signer, tsa, other, reply)
}

func flipped(text []byte, at int) []byte {
	out := append([]byte{}, text...)
	out[at] ^= 1
	return out
}

// stampedVerification: what verify makes of a time stamp beside a record. With
// one, a key that has expired since counts as of a time that is not its
// signer's own word.
func stampedVerification(t *testing.T, file string, signer ssh.Signer, tsa, other authority, reply []byte) {
	t.Helper()
	stamp := release.StampName(release.RecordName(file, 0))
	write(t, stamp, string(reply))
	yesterday, tomorrow := time.Now().AddDate(0, 0, -1).Format("20060102"), time.Now().AddDate(0, 0, 2).Format("20060102")
	for name, tt := range map[string]struct {
		before      string // of the key
		asSigned    bool
		authorities string
		ok          bool
		want        string
	}{
		"trusted":                         {authorities: tsa.root, ok: true, want: "the signature was there at "},
		"nobody trusted":                  {ok: true, want: "was not looked at"},
		"of another":                      {authorities: other.root, want: "time stamp: the time stamp " + stamp + " does not hold"},
		"the key had expired at the time": {before: yesterday, asSigned: true, authorities: tsa.root, want: "it expired on"},
		"the key has expired since":       {before: tomorrow, asSigned: true, authorities: tsa.root, ok: true, want: "as of its time stamp"},
		"the same, without being asked":   {before: tomorrow, authorities: tsa.root, want: "it expired on"},
	} {
		until := ""
		if tt.before != "" {
			until = ` valid-before="` + tt.before + `" `
		}
		v := release.Verifier{Trust: release.Trust{Signers: allowed(t, reviewer+" "+until+public(signer))}, Checker: base, Version: version, On: "2027-03-31", KeysAsSigned: tt.asSigned}
		if late := time.Now().AddDate(0, 0, 7).Format("2006-01-02"); v.On < late {
			v.On = late
		}
		if tt.authorities != "" {
			v.Authorities = authoritiesOf(t, tt.authorities)
		}
		list, err := v.Verify(file)
		if err != nil {
			t.Fatal(err)
		}
		_, text := kinds(list[0])
		text += strings.Join(list[0].Notes, "\n")
		expired := strings.Contains(text, "on which the sign-off rests, ended") // of a concession, in time
		if list[0].Verified() != tt.ok && !expired || !strings.Contains(text, tt.want) {
			t.Errorf("%s: got verified %t, want %t and %q\n%s", name, list[0].Verified(), tt.ok, tt.want, text)
		}
	}
}

// TestUnfitAuthority: a certificate that was not valid at the time, or that is
// not one for time stamps alone, makes none.
func TestUnfitAuthority(t *testing.T) {
	now := time.Now()
	query, err := release.Query([]byte("a signature"))
	if err != nil {
		t.Fatal(err)
	}
	tsa := newAuthority(t, "Old time", now.Add(-48*time.Hour), now.Add(-24*time.Hour))
	if _, err := authoritiesOf(t, tsa.root).Check(tsa.reply(t, query), []byte("a signature")); err == nil || !strings.Contains(err.Error(), "was not valid at that time") {
		t.Errorf("expired: got %v", err)
	}
	for name, text := range map[string]string{"empty": "", "a key": read(t, filepath.Join(tsa.dir, "key.pem")), "damaged": "-----BEGIN CERTIFICATE-----\nAAAA\n-----END CERTIFICATE-----\n"} {
		file := filepath.Join(t.TempDir(), "a.pem")
		write(t, file, text)
		if _, err := release.ReadAuthorities(file); err == nil {
			t.Errorf("%s: got no error", name)
		}
	}
}
