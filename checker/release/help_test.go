package release_test

import (
	"bytes"
	"crypto"
	"crypto/ecdsa"
	"crypto/ed25519"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/rsa"
	"encoding/pem"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/crypto/ssh"

	"kitgauge/checker"
	"kitgauge/checker/files"
	"kitgauge/checker/finding"
	"kitgauge/checker/release"
)

const (
	day      = "2026-11-25"
	reviewer = "r.okafor@nordhang.example"
	version  = "0.1.0"
)

// sshKeygen is the program that the format is held to. It may be missing on a
// developer's machine, and not where changes are gated.
func sshKeygen(t *testing.T) string {
	t.Helper()
	name, err := exec.LookPath("ssh-keygen")
	if err != nil && os.Getenv("CI") != "" {
		t.Fatal("ssh-keygen is missing: install openssh-client")
	}
	if err != nil {
		t.Skip("ssh-keygen is missing")
	}
	return name
}

// run runs ssh-keygen with an input, and returns what it says.
func run(t *testing.T, in []byte, args ...string) (string, error) {
	t.Helper()
	c := exec.Command(sshKeygen(t), args...)
	c.Stdin = bytes.NewReader(in)
	out, err := c.CombinedOutput()
	return string(out), err
}

// newKey makes a key and its file in the format of OpenSSH.
func newKey(t testing.TB, kind string) (ssh.Signer, string) {
	t.Helper()
	var private crypto.Signer
	var err error
	switch kind {
	case "ed25519":
		_, private, err = ed25519.GenerateKey(rand.Reader)
	case "ecdsa-256":
		private, err = ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	case "ecdsa-384":
		private, err = ecdsa.GenerateKey(elliptic.P384(), rand.Reader)
	case "ecdsa-521":
		private, err = ecdsa.GenerateKey(elliptic.P521(), rand.Reader)
	case "rsa-2048":
		private, err = rsa.GenerateKey(rand.Reader, 2048)
	case "rsa-3072":
		private, err = rsa.GenerateKey(rand.Reader, 3072)
	}
	if err != nil {
		t.Fatal(err)
	}
	signer, err := ssh.NewSignerFromKey(private)
	if err != nil {
		t.Fatal(err)
	}
	block, err := ssh.MarshalPrivateKey(private, "")
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "key")
	write(t, file, string(pem.EncodeToMemory(block)))
	write(t, file+".pub", string(ssh.MarshalAuthorizedKey(signer.PublicKey())))
	if err := os.Chmod(file, 0o600); err != nil {
		t.Fatal(err)
	}
	return signer, file
}

func public(s ssh.Signer) string {
	return strings.TrimSpace(string(ssh.MarshalAuthorizedKey(s.PublicKey())))
}

func write(t testing.TB, file, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func read(t testing.TB, file string) string {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// The files of the fleet beside the kit: settings, a pack of its own that
// finds something below the gate and something known, a catalogue that
// includes another.
var fleetFiles = map[string]string{
	"kitgauge.settings.yaml": `# settings of an invented fleet
packs:
  leave_out: {environment: {reason: the winter of this fleet is mild}}
  add: [rules/house.pack.yaml]
limits:
  slack/articulated_slack: {is: 45 mm, reason: short drawbars in this fleet}
gate: major
`,
	"rules/house.pack.yaml": `# rules of an invented house
pack: house
title: Rules of our own
limits:
  longest: {is: 20 wk, basis: house rule, about: Longest refill interval}
  days: {is: 5, basis: house rule, about: Most days of work a week}
rules:
  - id: interval
    title: The pump is refilled often enough
    of: pump
    compare: {value: kit.vehicle.refill_interval, at_most: limit.longest}
    severity: minor
    says: 'the refill interval is {kit.vehicle.refill_interval}'
    remedy: 'state {limit.longest} or less'
    basis: house rule
    why: Nobody looks into the reservoir in between.
  - id: days
    title: The vehicle rests two days a week
    of: pump
    must: double(kit.vehicle.days_a_week) <= limit.days
    severity: major
    says: 'it works on {kit.vehicle.days_a_week} days a week'
    remedy: 'state {limit.days} or fewer'
    basis: house rule
    why: A test of the record of known findings.
`,
	"parts/all.parts.yaml": `# everything that this fleet buys
title: All parts
revision: "1"
include: [winter.parts.yaml]
parts:
  - {number: NH-F1, kind: fuse, description: Blade fuse for a torch, maker: Lysvik, rating: 3 A} # unused
`,
	"kits/t.concessions.yaml": `# granted at the meeting of an invented day
concessions:
  - rule: power/fuse-near-source
    place: the feed
    reason: The socket leaves no room; the maker of the towing vehicle allows 500 mm there.
    granted_by: K. Berg
    until: 2027-03-31
    severity: critical
    value: 450 mm
`,
}

// fleet writes a kit with everything that can go into a check, and returns
// the kit file.
func fleet(t testing.TB) string {
	t.Helper()
	top := t.TempDir()
	write(t, filepath.Join(top, ".git", "HEAD"), "")
	for name, text := range fleetFiles {
		write(t, filepath.Join(top, name), text)
	}
	write(t, filepath.Join(top, "parts/winter.parts.yaml"), read(t, "../../examples/parts/winter.parts.yaml"))
	kit := read(t, "../../examples/trailer/trailer.kit.yaml")
	for _, edit := range [][2]string{
		{"status: draft", "status: released"},
		{"drawn_by: I. Sandvik", "drawn_by: I. Sandvik\n  checked_by: R. Okafor"},
		{"../parts/winter.parts.yaml", "../parts/all.parts.yaml"},
		{"fuse_distance: 150 mm", "fuse_distance: 450 mm"},
	} {
		if strings.Count(kit, edit[0]) != 1 {
			t.Fatalf("the example has %q %d times, want once", edit[0], strings.Count(kit, edit[0]))
		}
		kit = strings.Replace(kit, edit[0], edit[1], 1)
	}
	file := filepath.Join(top, "kits", "t.kit.yaml")
	write(t, file, kit)
	known := finding.WriteKnown(openFindings(t, file, "house/days"))
	write(t, filepath.Join(top, "kits", "known.txt"), string(known))
	return file
}

// openFindings lists what a kit has of a rule.
func openFindings(t testing.TB, file, rule string) []finding.Entry {
	t.Helper()
	list, err := release.Check(base, file, release.Options{Version: version, On: day})
	if err != nil {
		t.Fatal(err)
	}
	var entries []finding.Entry
	for _, f := range list[0].Result.Findings {
		if f.Rule == rule {
			entries = append(entries, finding.EntryOf(&f, list[0].Result.Number))
		}
	}
	if len(entries) == 0 {
		t.Fatalf("%s: nothing is found by %s", file, rule)
	}
	return entries
}

// base lends its built-in packs to all tests.
var base = checker.New(checker.Options{})

func options(file string) release.Options {
	o := release.Options{Version: version, On: day}
	if known := filepath.Join(filepath.Dir(file), "known.txt"); exists(known) {
		o.Known = known
	}
	return o
}

func exists(file string) bool {
	_, err := os.Stat(file)
	return err == nil
}

// signed signs off every kit of a file, and fails where that is refused.
func signed(t testing.TB, file string, signer ssh.Signer) *release.Signed {
	t.Helper()
	list, err := release.Check(base, file, options(file))
	if err != nil {
		t.Fatal(err)
	}
	var first *release.Signed
	for _, c := range list {
		key := release.NewKey(signer)
		if why := c.Refusals(key, reviewer, release.Trust{}); len(why) > 0 {
			t.Fatalf("the kit is not signed off: %q", why)
		}
		s, err := c.Sign(key, reviewer)
		if err != nil {
			t.Fatal(err)
		}
		if err := release.Write(new(files.Set), []*release.Signed{s}); err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = s
		}
	}
	return first
}

// allowed is an allowed_signers file with the reviewer's key.
func allowed(t testing.TB, lines ...string) *release.Signers {
	t.Helper()
	s, err := release.ParseSigners("allowed_signers", []byte(strings.Join(lines, "\n")+"\n"), utc)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// verify verifies the first kit of a file.
func verify(t testing.TB, file string, signers *release.Signers) *release.Verification {
	t.Helper()
	v := release.Verifier{Trust: release.Trust{Signers: signers}, Checker: base, Version: version, On: day}
	list, err := v.Verify(file)
	if err != nil {
		t.Fatal(err)
	}
	return list[0]
}

// kinds lists the kinds of problem, and their text.
func kinds(v *release.Verification) (list []release.Kind, text string) {
	for _, p := range v.Problems {
		list = append(list, p.Kind)
		text += string(p.Kind) + ": " + p.Message
		if len(p.Places) > 0 {
			text += ": " + strings.Join(p.Places, ", ")
		}
		text += "\n"
	}
	return list, text
}
