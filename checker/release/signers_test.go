package release_test

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/crypto/ssh"

	"kitgauge/checker/release"
)

// noon is the moment as of which the table below is judged.
var noon = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// TestAllowedSigners judges lines of an allowed_signers file as ssh-keygen(1),
// ALLOWED SIGNERS, describes them, and asks ssh-keygen itself for each: what is
// allowed here it allows too, and the reverse but where a row says that we are
// stricter.
func TestAllowedSigners(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	other, _ := newKey(t, "ecdsa-256")
	key, ns := public(signer), release.Namespace
	bare := strings.Join(strings.Fields(key)[:2], " ")
	message := []byte("a record")
	signature, err := release.NewKey(signer).Sign(message)
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		name, file string
		want       string // part of the reason; "" where it is allowed
		stricter   bool   // ssh-keygen allows it
	}{
		{name: "plain", file: reviewer + " " + key},
		{name: "with a comment behind", file: reviewer + " " + bare + " Ruth Okafor"},
		{name: "comments, blank lines and others before", file: "# signers\n\n  \t\nk.berg@nordhang.example " + public(other) + "\n" + reviewer + " " + key},
		{name: "tabs", file: reviewer + "\t\t" + strings.ReplaceAll(bare, " ", "\t")},
		{name: "carriage return", file: reviewer + " " + bare + " x\r"},
		{name: "one of several names", file: "a@b.example," + reviewer + " " + key},
		{name: "names in quotes", file: `"a@b.example,` + reviewer + `" ` + key},
		{name: "a pattern", file: "*@nordhang.example " + key},
		{name: "a pattern with ?", file: "?.okafor@nordhang.example " + key},
		{name: "a pattern that is left out again", file: "*@nordhang.example,!r.* " + key, want: "and not of " + reviewer},
		{name: "left out first", file: "!r.*,*@nordhang.example " + key, want: "and not of " + reviewer},
		{name: "case matters", file: "R.Okafor@nordhang.example " + key, want: "and not of " + reviewer},
		{name: "another name", file: "k.berg@nordhang.example " + key, want: "it is the key of k.berg@nordhang.example"},
		{name: "another key", file: reviewer + " " + public(other), want: "no line of"},
		{name: "empty", file: "", want: "no line of"},
		{name: "the namespace", file: reviewer + ` namespaces="` + ns + `" ` + key},
		{name: "the namespace among others", file: reviewer + ` namespaces="git,release@*" ` + key},
		{name: "option in capitals", file: reviewer + ` NameSpaces="` + ns + `" ` + key},
		{name: "another namespace", file: reviewer + ` namespaces="git" ` + key, want: "it may sign for git"},
		{name: "a namespace left out", file: reviewer + ` namespaces="*,!release@*" ` + key, want: "it may sign for"},
		{name: "valid", file: reviewer + ` valid-after="20261101Z",valid-before="20261201Z" ` + key},
		{name: "valid, with minutes and seconds", file: reviewer + ` valid-after="202611251159Z",valid-before="20261125120100Z" ` + key},
		{name: "valid until this very second", file: reviewer + ` valid-before="20261125120000Z" ` + key},
		{name: "expired", file: reviewer + ` valid-before="20261125Z" ` + key, want: "it expired on 2026-11-25"},
		{name: "not yet valid", file: reviewer + ` valid-after="20261126Z" ` + key, want: "valid only from 2026-11-26"},
		{name: "expired here, valid there", file: reviewer + ` valid-before="20261125Z" ` + key + "\n" + reviewer + " " + key},
		{name: "certificate authority", file: reviewer + " cert-authority " + key, want: "certificate authority"},
		{name: "certificate authority and plain", file: reviewer + " cert-authority " + key + "\n" + reviewer + " " + key},
		{name: "two options", file: reviewer + ` namespaces="` + ns + `",valid-before="20270101Z" ` + key},

		{name: "unknown option", file: reviewer + " no-touch " + key, want: "neither a key nor an option"},
		{name: "option without quotes", file: reviewer + " namespaces=git " + key, want: "does not stand in quotes"},
		{name: "option not closed", file: reviewer + ` namespaces="git ` + key, want: "quotes are not closed"},
		{name: "option twice", file: reviewer + ` namespaces="` + ns + `",namespaces="git" ` + key, want: "given twice"},
		{name: "no time", file: reviewer + ` valid-before="tomorrow" ` + key, want: "is no time"},
		{name: "no such day", file: reviewer + ` valid-before="20270230Z" ` + key, want: "is no time", stricter: true},
		{name: "times the wrong way round", file: reviewer + ` valid-after="20261201Z",valid-before="20261101Z" ` + key, want: "not later than"},
		{name: "a key with a letter too many", file: reviewer + " " + bare + "A", want: "damaged"},
		{name: "no key", file: reviewer, want: "no key"},
		{name: "half a key", file: reviewer + " " + bare[:60], want: "damaged key"},
		{name: "key of another type", file: reviewer + " ssh-rsa " + strings.Fields(key)[1], want: "not of the type"},
		{name: "names not closed", file: `"` + reviewer + " " + key, want: "quotes round the principals are not closed"},
		{name: "a broken line of somebody else", file: "k.berg@nordhang.example nonsense\n" + reviewer + " " + key, want: "neither a key nor an option", stricter: true},
		{name: "no time zone but the machine's", file: reviewer + ` valid-before="20270101" ` + key},
	} {
		t.Run(tt.name, func(t *testing.T) {
			why := ""
			s, err := release.ParseSigners("signers", []byte(tt.file+"\n"), time.UTC)
			if err != nil {
				why = err.Error()
			} else {
				why, _ = s.Allow(signer.PublicKey().Marshal(), reviewer, noon)
			}
			if tt.want == "" && why != "" || tt.want != "" && !strings.Contains(why, tt.want) {
				t.Errorf("got %q, want %q", why, tt.want)
			}
			dir := t.TempDir()
			write(t, filepath.Join(dir, "signers"), tt.file+"\n")
			write(t, filepath.Join(dir, "sig"), string(signature))
			out, err := run(t, message, "-Y", "verify", "-f", filepath.Join(dir, "signers"), "-I", reviewer, "-n", ns,
				"-s", filepath.Join(dir, "sig"), "-O", "verify-time=20261125120000Z")
			if theirs := err == nil; theirs != (why == "" || tt.stricter) {
				t.Errorf("ssh-keygen allows it: %t; here: %q\n%s", theirs, why, out)
			}
		})
	}
}

func TestNames(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	other, _ := newKey(t, "ed25519")
	blob := signer.PublicKey().Marshal()
	bare := strings.Join(strings.Fields(public(signer))[:2], " ")
	s := allowed(t, "a@b.example,*@c.example "+bare+" Ruth Okafor", "k@b.example "+public(other), "d@b.example "+bare)
	if got, want := fmt.Sprint(s.NamesOf(blob)), "[a@b.example Ruth Okafor d@b.example]"; got != want {
		t.Errorf("got names %s, want %s", got, want)
	}
	if got := s.PrincipalOf(blob); got != "" {
		t.Errorf("got %q for a key with two names, want none", got)
	}
	if got := s.PrincipalOf(other.PublicKey().Marshal()); got != "k@b.example" {
		t.Errorf("got %q, want k@b.example", got)
	}
	if why, exact := s.Allow(blob, "x@c.example", noon); why != "" || exact {
		t.Errorf("a pattern: got %q, exact %t; want allowed and not exact", why, exact)
	}
	if why, exact := s.Allow(blob, "d@b.example", noon); why != "" || !exact {
		t.Errorf("a name: got %q, exact %t; want allowed and exact", why, exact)
	}
}

// The rows are those of the comment of match_pattern_list in OpenSSH's
// match.c: -1 or 0 is false here.
func TestMatchList(t *testing.T) {
	for _, tt := range []struct {
		text, patterns string
		want           bool
	}{
		{"a@b", "a@b", true}, {"a@b", "*", true}, {"a@b", "a*b", true}, {"a@b", "**@**", true}, {"a@b", "???", true}, {"a@b", "????", false},
		{"a@b", "a@", false}, {"a@b", "@b", false}, {"a@b", "x,a@b", true}, {"a@b", "x,!a@b", false}, {"a@b", "!a@b,a@b", false},
		{"a@b", "!x,*", true}, {"a@b", "!x", false}, {"a@b", "", false}, {"aab", "*ab", true}, {"abab", "*ab", true}, {"abac", "*ab", false},
		{strings.Repeat("a", 2000), strings.Repeat("*a", 500) + "b", false}, // never slow
	} {
		if got := release.MatchList(tt.text, tt.patterns); got != tt.want {
			t.Errorf("%.20q in %.20q: got %t, want %t", tt.text, tt.patterns, got, tt.want)
		}
	}
}

// FuzzParseSigners holds that no file brings the reader down, and that none
// vouches for a key that it does not hold.
func FuzzParseSigners(f *testing.F) {
	f.Add([]byte(reviewer + " ssh-ed25519 AAAAC3NzaC1lZDI1NTE5AAAAIAECAwQFBgcICQoLDA0ODxAREhMUFRYXGBkaGxwdHh8g Ruth Okafor\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		s, err := release.ParseSigners("signers", text, time.UTC)
		_, again := release.ParseSigners("signers", text, time.UTC)
		toPerson(t, text, err, again)
		if err != nil {
			if s != nil || !strings.HasPrefix(err.Error(), "signers:") {
				t.Errorf("got %v, want an error with its place and no signers", err)
			}
			return
		}
		key := ssh.Marshal(struct{ Kind, Key string }{"ssh-ed25519", strings.Repeat("k", 32)})
		if why, _ := s.Allow(key, "nobody@nowhere.example", noon); why == "" && !strings.Contains(string(text), "a2tra2tr") {
			t.Error("a key that the file does not hold is allowed")
		}
	})
}
