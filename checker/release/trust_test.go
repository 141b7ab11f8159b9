package release_test

import (
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/crypto/ssh"

	"kitgauge/checker/files"
	"kitgauge/checker/release"
)

// TestPatterns: a name that the signers have by a pattern alone is taken only
// where that is asked for, and noted then; with it the drawer could sign under
// any name of the house.
func TestPatterns(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	file := fleet(t)
	signed(t, file, signer)
	trust := release.Trust{Signers: allowed(t, "*@nordhang.example "+public(signer))}
	for _, patterns := range []bool{false, true} {
		trust.Patterns = patterns
		list, err := release.Check(base, file, options(file))
		if err != nil {
			t.Fatal(err)
		}
		refused := strings.Join(list[0].Refusals(release.NewKey(signer), "q.nobody@nordhang.example", trust), "\n")
		if patterns != (refused == "") || !patterns && !strings.Contains(refused, "by a pattern alone") {
			t.Errorf("patterns %t: sign says %q", patterns, refused)
		}
		v := release.Verifier{Trust: trust, Checker: base, Version: version, On: day}
		got, err := v.Verify(file)
		if err != nil {
			t.Fatal(err)
		}
		if got[0].Verified() != patterns || patterns && !strings.Contains(strings.Join(got[0].Notes, "\n"), "by a pattern alone") {
			t.Errorf("patterns %t: verified %t, %q", patterns, got[0].Verified(), got[0].Notes)
		}
	}
}

// TestRevoked holds a list of revoked keys, in both forms, to what ssh-keygen
// makes and refuses (ssh-keygen(1), -k and -Y verify -r).
func TestRevoked(t *testing.T) {
	signer, key := newKey(t, "ed25519")
	other, otherKey := newKey(t, "ecdsa-256")
	file := fleet(t)
	signed(t, file, signer)
	dir := t.TempDir()
	names := map[string]string{}
	put := func(name, text string) { names[name] = filepath.Join(dir, name); write(t, names[name], text) }
	put("lines", "# left the house\n\n"+public(other)+"\n  "+public(signer)+"\n")
	put("others", public(other)+"\n")
	put("hashes", "sha256: "+public(signer)+"\nsha1: "+public(other)+"\n")
	for list, of := range map[string]string{"krl": key + ".pub", "krl-of-another": otherKey + ".pub", "krl-of-hashes": names["hashes"]} {
		names[list] = filepath.Join(dir, list)
		if said, err := run(t, nil, "-k", "-f", names[list], of); err != nil {
			t.Fatalf("%v: %s", err, said)
		}
	}
	for name, revoked := range map[string]bool{"lines": true, "others": false, "krl": true, "krl-of-another": false, "krl-of-hashes": true} {
		list, err := release.ReadRevoked(names[name])
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		v := release.Verifier{Trust: release.Trust{Signers: allowed(t, reviewer+" "+public(signer)), Revoked: list}, Checker: base, Version: version, On: day, KeysAsSigned: true}
		got, err := v.Verify(file)
		if err != nil {
			t.Fatal(err)
		}
		if _, text := kinds(got[0]); got[0].Verified() == revoked || revoked && !strings.Contains(text, "it is revoked ("+names[name]) {
			t.Errorf("%s: got verified %t\n%s", name, got[0].Verified(), text)
		}
	}
	list, err := release.Check(base, file, options(file))
	if err != nil {
		t.Fatal(err)
	}
	revoked, err := release.ReadRevoked(names["lines"])
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(list[0].Refusals(release.NewKey(signer), reviewer, release.Trust{Revoked: revoked}), "\n"); !strings.Contains(got, "it is revoked ("+names["lines"]+":4)") {
		t.Errorf("sign says %q, want that the key is revoked", got)
	}
	hostileLists(t, read(t, names["krl"]), public(signer))
}

// hostileLists: a list that is not understood is no list of nothing.
func hostileLists(t *testing.T, krl, key string) {
	t.Helper()
	for name, text := range map[string]string{
		"a sentence":             "this is a sentence\n",
		"principals before it":   reviewer + " " + key + "\n",
		"half a key":             key[:40] + "\n",
		"another type":           strings.Replace(key, "ssh-ed25519", "ssh-rsa", 1) + "\n",
		"half a list":            krl[:len(krl)-3],
		"only its first bytes":   krl[:8],
		"a version not known":    krl[:11] + "\x02" + krl[12:],
		"a section not known":    krl + "\x09\x00\x00\x00\x00",
		"a signature at its end": krl + "\x04\x00\x00\x00\x00\x00\x00\x00\x00",
	} {
		if _, err := release.ParseRevoked("r", []byte(text)); err == nil {
			t.Errorf("%s: got no error", name)
		}
	}
	for i := range len(krl) {
		_, _ = release.ParseRevoked("r", []byte(krl[:i]))
	}
}

// TestKeysAsSigned: a key that has expired since counts as of the day of the
// sign-off where that is asked for, and not otherwise; it is said on whose word.
func TestKeysAsSigned(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	file := fleet(t)
	signed(t, file, signer)
	for _, tt := range []struct {
		before   string
		then, ok bool
	}{
		{"20261201Z", false, false},
		{"20261201Z", true, true},
		{"20261101Z", true, false},
	} {
		v := release.Verifier{
			Trust:   release.Trust{Signers: allowed(t, reviewer+` valid-before="`+tt.before+`" `+public(signer))},
			Checker: base, Version: version, On: "2026-12-15", KeysAsSigned: tt.then,
		}
		got, err := v.Verify(file)
		if err != nil {
			t.Fatal(err)
		}
		_, text := kinds(got[0])
		said := strings.Contains(strings.Join(got[0].Notes, "\n"), "as of 2026-11-25, the day that the record gives")
		if got[0].Verified() != tt.ok || said != tt.then || !tt.ok && !strings.Contains(text, "it expired on") {
			t.Errorf("%+v: got verified %t, notes %q\n%s", tt, got[0].Verified(), got[0].Notes, text)
		}
	}
}

// TestCheckDay: a day far from today needs a word for it.
func TestCheckDay(t *testing.T) {
	for _, tt := range []struct {
		on, reason string
		ok         bool
	}{
		{"2026-11-25", "", true}, {"2026-11-26", "", true}, {"2026-11-18", "", true},
		{"2026-11-27", "", false}, {"2026-11-17", "", false}, {"0001-01-01", "", false}, {"2099-01-01", "", false},
		{"2026-10-01", "signed on paper at the meeting of that day", true}, {"2026-10-01", "  ", false}, {"1.10.2026", "why", false},
	} {
		if err := release.CheckDay(tt.on, day, tt.reason); (err == nil) != tt.ok {
			t.Errorf("%s, %q: got %v, want taken %t", tt.on, tt.reason, err, tt.ok)
		}
	}
}

// TestOnReason: the word for the day stands in the record, and verify tells it.
func TestOnReason(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	file := fleet(t)
	o := options(file)
	o.OnReason = "signed on paper at the meeting"
	signedWith(t, file, signer, reviewer, o)
	v := verify(t, file, allowed(t, reviewer+" "+public(signer)))
	if !v.Verified() || !strings.Contains(strings.Join(v.Notes, "\n"), "because: signed on paper at the meeting") {
		_, text := kinds(v)
		t.Errorf("notes %q\n%s", v.Notes, text)
	}
	o.OnReason = "one\nNOT VERIFIED"
	list, err := release.Check(base, file, o)
	if err != nil {
		t.Fatal(err)
	}
	if got := list[0].Refusals(release.NewKey(signer), reviewer, release.Trust{}); len(got) == 0 {
		t.Error("a reason of two lines is taken")
	}
}

// TestOtherThanTheChecker: that the signer is not whom the title block names
// as checker stands in the record and among the notes, and refuses nothing.
func TestOtherThanTheChecker(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	const other = "m.lind@nordhang.example"
	for who, noted := range map[string]bool{reviewer: false, other: true} {
		file := fleet(t)
		s := signedWith(t, file, signer, who, options(file))
		if s.Record.Kit.CheckedBy != "R. Okafor" || (len(s.Record.Remarks) > 0) != noted {
			t.Errorf("%s: the record says %q and %q", who, s.Record.Kit.CheckedBy, s.Record.Remarks)
		}
		v := verify(t, file, allowed(t, who+" "+public(signer)))
		if said := strings.Contains(strings.Join(v.Notes, "\n"), "the title block says that R. Okafor checked the kit"); !v.Verified() || said != noted {
			_, text := kinds(v)
			t.Errorf("%s: notes %q\n%s", who, v.Notes, text)
		}
	}
}

// TestRecordOfAnOlderVersion: a record without the members that came later is
// as good as it was.
func TestRecordOfAnOlderVersion(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	file := fleet(t)
	signed(t, file, signer)
	forged(t, file, signer, func(r *release.Record) { r.Kit.CheckedBy = "" })
	if v := verify(t, file, allowed(t, reviewer+" "+public(signer))); !v.Verified() {
		_, text := kinds(v)
		t.Errorf("got\n%swant verified", text)
	}
	forged(t, file, signer, func(r *release.Record) { r.Kit.CheckedBy = "M. Lind" })
	if v := verify(t, file, allowed(t, reviewer+" "+public(signer))); v.Verified() {
		t.Error("another checker than that of the kit is verified")
	}
}

// TestOlderPutBack plays it: a kit is signed at two revisions, and then the
// files of the older sign-off are put back.
func TestOlderPutBack(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	stranger, _ := newKey(t, "ed25519")
	file := fleet(t)
	record := release.RecordName(file, 0)
	set := []string{file, record, release.SignatureName(record)}
	first := signed(t, file, signer)
	if first.Record.Follows != "" {
		t.Fatalf("the first record follows %s", first.Record.Follows)
	}
	if again := signed(t, file, signer); string(again.Text) != string(first.Text) {
		t.Error("signed again with nothing changed: got other bytes")
	}
	older, newer := map[string]string{}, map[string]string{}
	for _, name := range set {
		older[name] = read(t, name)
	}
	kit := older[file]
	write(t, file, strings.ReplaceAll(kit, "revision: A", "revision: C"))
	if read(t, file) == kit {
		t.Fatal("the example has no revision A")
	}
	second := signed(t, file, signer)
	if second.Record.Follows != release.Digest([]byte(older[record])) {
		t.Fatalf("the second record follows %q", second.Record.Follows)
	}
	for _, name := range set {
		newer[name] = read(t, name)
	}
	history := func(name string) [][]byte {
		if text, known := newer[name]; known {
			return [][]byte{[]byte(text), []byte(older[name])}
		}
		return nil
	}
	v := func(h func(string) [][]byte, lenient bool) *release.Verification {
		trust := release.Trust{Signers: allowed(t, reviewer+" "+public(signer))}
		list, err := (&release.Verifier{Trust: trust, Checker: base, Version: version, On: day, History: h, Older: lenient}).Verify(file)
		if err != nil {
			t.Fatal(err)
		}
		return list[0]
	}
	if got := v(history, false); !got.Verified() {
		_, text := kinds(got)
		t.Fatalf("the newer one: got\n%s", text)
	}
	for name, text := range older {
		write(t, name, text)
	}
	const want = "revision C was signed off by " + reviewer + " on " + day
	if got := v(nil, false); !got.Verified() {
		t.Error("without a chain at hand the older one is not verified")
	}
	if _, text := kinds(v(history, false)); !strings.Contains(text, "outdated: a newer sign-off follows this one: "+want) {
		t.Errorf("put back: got\n%s", text)
	}
	if got := v(history, true); !got.Verified() || !strings.Contains(strings.Join(got.Notes, "\n"), want) {
		t.Errorf("put back, and older ones are taken: got %q", got.Notes)
	}
	// kept beside it under another name
	kept := filepath.Join(filepath.Dir(file), "kept.release.json")
	write(t, kept, newer[record])
	write(t, release.SignatureName(kept), newer[release.SignatureName(record)])
	if _, text := kinds(v(nil, false)); !strings.Contains(text, want) || !strings.Contains(text, "kept.release.json") {
		t.Errorf("put back beside the newer record: got\n%s", text)
	}
	// a record that nobody vouches for makes none look old
	signature, err := release.NewKey(stranger).Sign([]byte(newer[record]))
	if err != nil {
		t.Fatal(err)
	}
	write(t, release.SignatureName(kept), string(signature))
	if got := v(nil, false); !got.Verified() {
		t.Error("a stranger's record makes the sign-off look old")
	}
}

// TestStaleStamp: a new signature does not keep the time stamp of the old one.
func TestStaleStamp(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	other, _ := newKey(t, "ed25519")
	file := fleet(t)
	signed(t, file, signer)
	stamp := release.StampName(release.RecordName(file, 0))
	write(t, stamp, "x")
	signed(t, file, signer)
	if !exists(stamp) {
		t.Error("the same signature again: the time stamp is gone")
	}
	signed(t, file, other)
	if exists(stamp) {
		t.Error("another signature: the time stamp of the old one is still there")
	}
}

// signedWith signs off the first kit of a file under a name.
func signedWith(t testing.TB, file string, signer ssh.Signer, who string, o release.Options) *release.Signed {
	t.Helper()
	list, err := release.Check(base, file, o)
	if err != nil {
		t.Fatal(err)
	}
	key := release.NewKey(signer)
	all, refused, err := release.SignAll(list[:1], key, who, release.Trust{})
	if err == nil && len(refused) == 0 {
		err = release.Write(new(files.Set), all)
	}
	if err != nil || len(refused) > 0 {
		t.Fatal(err, refused)
	}
	return all[0]
}
