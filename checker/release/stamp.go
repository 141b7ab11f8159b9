package release

import (
	"context"
	"crypto"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"github.com/notaryproject/tspclient-go"

	"kitgauge/checker/files"
	"kitgauge/checker/report"
)

// A sign-off can have a time that is not its signer's own word: a time-stamp
// token (RFC 3161) over the file of the signature, of any authority. The
// program writes the query and takes the reply, and asks nobody itself.

// StampName is the name of the reply of the time-stamp authority for a record:
// gritter.release.json.sig.tsr; QueryName that of the query.
func StampName(record string) string { return SignatureName(record) + ".tsr" }

// QueryName is the name of the query for a time stamp.
func QueryName(record string) string { return SignatureName(record) + ".tsq" }

// maxStamp bounds what is read of a reply and of the authorities.
const (
	maxStamp       = 256 << 10
	maxAuthorities = 4 << 20
)

// Query is what is sent to a time-stamp authority for a signature: of the same
// one always the same bytes, because the reply is known by what it stamps.
func Query(signature []byte) ([]byte, error) {
	q, err := tspclient.NewRequest(tspclient.RequestOptions{Content: signature, HashAlgorithm: crypto.SHA256})
	if err != nil {
		return nil, fmt.Errorf("the query cannot be made: %w", err)
	}
	q.Nonce = nil
	return q.MarshalBinary()
}

// Authorities are certificates of time-stamp authorities that are trusted.
type Authorities struct {
	File string
	pool *x509.CertPool
}

// ReadAuthorities reads certificates in PEM. The error is a *files.Error where
// the file cannot be read.
func ReadAuthorities(file string) (*Authorities, error) {
	text, err := files.ReadFile(file)
	if err != nil {
		return nil, &files.Error{File: file, Err: err}
	}
	if len(text) > maxAuthorities {
		return nil, fmt.Errorf("%s: it is larger than %d MiB", file, maxAuthorities>>20)
	}
	a := &Authorities{File: file, pool: x509.NewCertPool()}
	found := 0
	for {
		var block *pem.Block
		if block, text = pem.Decode(text); block == nil {
			break
		}
		if block.Type != "CERTIFICATE" {
			return nil, fmt.Errorf("%s: it holds a %q; certificates alone are wanted", file, report.Visible(block.Type))
		}
		c, err := x509.ParseCertificate(block.Bytes)
		if err != nil {
			return nil, fmt.Errorf("%s: certificate %d is damaged", file, found+1)
		}
		a.pool.AddCert(c)
		found++
	}
	if found == 0 {
		return nil, fmt.Errorf("%s: it holds no certificate (PEM, -----BEGIN CERTIFICATE-----)", file)
	}
	return a, nil
}

// Stamp is a time that an authority vouches for.
type Stamp struct {
	At time.Time
	By string // the name in the authority's certificate
}

// String gives the time in UTC, and who says so.
func (s *Stamp) String() string { return s.At.UTC().Format(time.RFC3339) + " by " + s.By }

// Check checks that a reply is a time stamp of these bytes by a trusted
// authority whose certificate was valid at that time (RFC 3161, 2.4.2 and
// appendix B).
func (a *Authorities) Check(reply, signature []byte) (*Stamp, error) {
	if len(reply) > maxStamp {
		return nil, fmt.Errorf("it is larger than %d KiB", maxStamp>>10)
	}
	token, err := tokenOf(reply)
	if err != nil {
		return nil, err
	}
	info, err := token.Info()
	if err != nil {
		return nil, errors.New("it is damaged")
	}
	stamp, err := info.Validate(signature)
	if err != nil {
		return nil, errors.New("it is not one of this signature: ask for one anew")
	}
	chain, err := token.Verify(context.Background(), x509.VerifyOptions{Roots: a.pool, CurrentTime: stamp.Value})
	if err != nil {
		return nil, a.unverified(err)
	}
	return &Stamp{At: stamp.Value, By: report.Visible(chain[0].Subject.String())}, nil
}

// tokenOf is the token of a reply, or of a file that is the token alone.
func tokenOf(reply []byte) (*tspclient.SignedToken, error) {
	var r tspclient.Response
	if err := r.UnmarshalBinary(reply); err != nil {
		token, err := tspclient.ParseSignedToken(reply)
		if err != nil {
			return nil, errors.New("it is no reply of a time-stamp authority")
		}
		return token, nil
	}
	if r.Status.Err() != nil {
		return nil, errors.New("the authority did not grant a time stamp")
	}
	token, err := r.SignedToken()
	if err != nil {
		return nil, errors.New("it holds no time stamp, or a damaged one")
	}
	return token, nil
}

// unverified says in words why a token does not hold.
func (a *Authorities) unverified(err error) error {
	var unknown x509.UnknownAuthorityError
	var invalid x509.CertificateInvalidError
	switch {
	case errors.As(err, &unknown):
		return fmt.Errorf("its authority is not one of %s", a.File)
	case errors.As(err, &invalid) && invalid.Reason == x509.Expired:
		return errors.New("the certificate of its authority was not valid at that time")
	}
	return errors.New("its signature does not hold, or its authority's certificate is not one for time stamps alone, with a digest of SHA-2 (RFC 5816)")
}

// stamp looks at the time stamp beside a signature, where there is one. The
// error says that it cannot be read.
func (v *Verifier) stamp(one *Verification, signature []byte) (*Stamp, error) {
	name := StampName(one.RecordFile)
	reply, err := files.ReadRegular(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil
	case err != nil:
		return nil, fmt.Errorf("%s: %s", name, files.PlainError(err))
	case v.Authorities == nil:
		one.note("the time stamp %s was not looked at: name the authorities that are trusted (--authorities)", name)
		return nil, nil
	}
	s, err := v.Authorities.Check(reply, signature)
	if err != nil {
		one.fail(BadStamp, "the time stamp %s does not hold: %s", name, err)
		return nil, nil
	}
	one.Stamp = s
	one.note("the signature was there at %s", s)
	if day, err := endOf(one.Signed.On); err == nil && (s.At.Before(day.AddDate(0, 0, -daysAhead-1)) || s.At.After(day.AddDate(0, 0, daysBack))) {
		one.note("that is far from %s, the day that the record gives: the day is its signer's own word", one.Signed.On)
	}
	return s, nil
}
