package release_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"golang.org/x/crypto/ssh"

	"kitgauge/checker/files"
	_ "kitgauge/checker/internal/ample"
	"kitgauge/checker/release"
)

// forged writes a record that an allowed signer signed without the program.
func forged(t *testing.T, file string, signer ssh.Signer, change func(r *release.Record)) {
	t.Helper()
	name := release.RecordName(file, 0)
	r, err := release.Decode([]byte(read(t, name)))
	if err != nil {
		t.Fatal(err)
	}
	change(r)
	text := encoded(t, r)
	signature, err := release.NewKey(signer).Sign(text)
	if err != nil {
		t.Fatal(err)
	}
	write(t, name, string(text))
	write(t, release.SignatureName(name), string(signature))
}

func replaceIn(t *testing.T, file, from, to string) {
	t.Helper()
	text := read(t, file)
	if !strings.Contains(text, from) {
		t.Fatalf("%s does not hold %q", file, from)
	}
	write(t, file, strings.Replace(text, from, to, 1))
}

func remove(t *testing.T, file string) {
	t.Helper()
	if err := os.Remove(file); err != nil {
		t.Fatal(err)
	}
}

// TestVerify goes through what can be wrong with a sign-off.
func TestVerify(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	drawer, _ := newKey(t, "ecdsa-256")
	bare := strings.Join(strings.Fields(public(signer))[:2], " ")
	usual := []string{reviewer + " " + bare, "i.sandvik@nordhang.example " + public(drawer)}
	for _, tt := range []struct {
		name    string
		signers []string // the usual where nil
		change  func(t *testing.T, file string)
		kind    release.Kind // "" where it is verified
		want    string       // of the problems, or of the notes where it is verified
	}{
		{name: "nothing", change: func(*testing.T, string) {}},
		{name: "no record", change: func(t *testing.T, file string) { remove(t, release.RecordName(file, 0)) }, kind: release.NotSigned, want: "there is no record"},
		{name: "no signature", change: func(t *testing.T, file string) { remove(t, release.SignatureName(release.RecordName(file, 0))) }, kind: release.NotSigned, want: "has no signature"},
		{name: "nobody vouches", signers: []string{}, kind: release.BadSigner, want: "no line of allowed_signers has it"},
		{name: "another name", signers: []string{"k.berg@nordhang.example " + bare}, kind: release.BadSigner, want: "it is the key of k.berg@nordhang.example"},
		{name: "expired", signers: []string{reviewer + ` valid-before="20261125Z" ` + bare}, kind: release.BadSigner, want: "it expired on 2026-11-25"},
		{name: "not yet valid", signers: []string{reviewer + ` valid-after="20261130Z" ` + bare}, kind: release.BadSigner, want: "valid only from 2026-11-30"},
		{name: "another namespace", signers: []string{reviewer + ` namespaces="git" ` + bare}, kind: release.BadSigner, want: "it may sign for git"},
		{name: "certificate authority", signers: []string{reviewer + " cert-authority " + bare}, kind: release.BadSigner, want: "certificates are not supported"},
		{name: "by a pattern", signers: []string{"*@nordhang.example " + bare}, kind: release.BadSigner, want: "by a pattern alone"},
		{name: "the comment names the drawer", signers: []string{reviewer + " " + bare + " Ingrid Sandvik"}, kind: release.DrewKit, want: "I. Sandvik drew the kit"},
		{name: "a second name is the drawer's", signers: []string{reviewer + ",i.sandvik@nordhang.example " + bare}, kind: release.DrewKit, want: "may be the signer"},
		{name: "signed by the drawer", change: func(t *testing.T, file string) {
			forged(t, file, drawer, func(r *release.Record) { r.Signer = "i.sandvik@nordhang.example" })
		}, kind: release.DrewKit, want: "I. Sandvik drew the kit"},
		{name: "signed by the drawer in another name", change: func(t *testing.T, file string) {
			forged(t, file, drawer, func(*release.Record) {})
		}, kind: release.BadSigner, want: "it is the key of i.sandvik@nordhang.example and not of " + reviewer},
		{name: "signed tomorrow", change: func(t *testing.T, file string) {
			forged(t, file, signer, func(r *release.Record) { r.On = "2026-11-26" })
		}, kind: release.BadSigner, want: "dated 2026-11-26, which is after 2026-11-25"},
		{name: "another version of the program", change: func(t *testing.T, file string) {
			forged(t, file, signer, func(r *release.Record) { r.ToolVersion = "0.0.9" })
		}, want: "signed with kitgauge 0.0.9; this is 0.1.0"},
		{name: "another pack of the program", change: func(t *testing.T, file string) {
			forged(t, file, signer, func(r *release.Record) {
				r.ToolVersion = "0.0.9"
				r.Inputs[packOf(r, "power")].SHA256 = release.Digest(nil)
			})
		}, kind: release.Changed, want: "the built-in rule pack power of kitgauge 0.1.0 is not that of the sign-off (kitgauge 0.0.9)"},
		{name: "a pack that the program has no more", change: func(t *testing.T, file string) {
			forged(t, file, signer, func(r *release.Record) {
				last := r.Inputs[len(r.Inputs)-2] // before the record of known findings
				last.Name = "zinc"
				r.Inputs = slices.Insert(r.Inputs, len(r.Inputs)-1, last)
			})
		}, kind: release.Changed, want: "the built-in rule pack zinc of kitgauge 0.1.0 is not part of this version"},
		{name: "another result", change: func(t *testing.T, file string) {
			forged(t, file, signer, func(r *release.Record) { r.Result = release.Digest(nil) })
		}, kind: release.OtherResult, want: "another result than at the sign-off"},
		{name: "another result by another version", change: func(t *testing.T, file string) {
			forged(t, file, signer, func(r *release.Record) { r.Result, r.ToolVersion = release.Digest(nil), "0.0.9" })
		}, kind: release.OtherResult, want: "kitgauge 0.1.0 gives another result than kitgauge 0.0.9 did"},
		{name: "counts that are not so", change: func(t *testing.T, file string) {
			forged(t, file, signer, func(r *release.Record) { r.Counts.Conceded = 0 })
		}, kind: release.BadRecord, want: "says what the check does not: the counts"},
		{name: "a concession left out", change: func(t *testing.T, file string) {
			forged(t, file, signer, func(r *release.Record) { r.Concessions = []release.Concession{} })
		}, kind: release.BadRecord, want: "says what the check does not"},
		{name: "another revision", change: func(t *testing.T, file string) {
			forged(t, file, signer, func(r *release.Record) { r.Kit.Revision = "Z" })
		}, kind: release.BadRecord, want: "says what the check does not: number, revision"},
		{name: "a gate of the signer's own", change: func(t *testing.T, file string) {
			forged(t, file, signer, func(r *release.Record) { r.Gate = "critical" })
		}, kind: release.BadRecord, want: "gate or verdict"},
		{name: "the record of another kit", change: func(t *testing.T, file string) {
			forged(t, file, signer, func(r *release.Record) { r.Inputs[0].Name = "u.kit.yaml" })
		}, kind: release.BadRecord, want: "about kit 1 of u.kit.yaml"},
		{name: "a record that is no record", change: func(t *testing.T, file string) {
			signature, err := release.NewKey(signer).Sign([]byte("[]"))
			if err != nil {
				t.Fatal(err)
			}
			write(t, release.RecordName(file, 0), "[]")
			write(t, release.SignatureName(release.RecordName(file, 0)), string(signature))
		}, kind: release.BadRecord, want: "not a release record"},
		{name: "a signature of something else", change: func(t *testing.T, file string) {
			write(t, release.SignatureName(release.RecordName(file, 0)), "-----BEGIN SSH SIGNATURE-----\n")
		}, kind: release.BadSign, want: "does not begin and end"},
		{name: "a path that leads out of the tree", change: func(t *testing.T, file string) {
			forged(t, file, signer, func(r *release.Record) { r.Inputs[2].Name = "../../../../../../../../etc/hostname" })
		}, kind: release.Changed, want: "outside of the tree"},
		{name: "the catalogue is gone", change: func(t *testing.T, file string) { remove(t, beside(file, "../parts/winter.parts.yaml")) }, kind: release.Changed, want: "cannot be read: there is no such file"},
		{name: "the concessions are gone", change: func(t *testing.T, file string) { remove(t, beside(file, "t.concessions.yaml")) }, kind: release.OtherResult, want: "outside the gate: 1 finding at or above major; at the sign-off: within the gate (major)"},
		{name: "the known findings are gone", change: func(t *testing.T, file string) { remove(t, beside(file, "known.txt")) }, kind: release.Changed, want: "the record of known findings"},
		{name: "the settings are gone", change: func(t *testing.T, file string) { remove(t, beside(file, "../kitgauge.settings.yaml")) }, kind: release.Changed, want: "the settings file"},
		{name: "other settings come nearer", change: func(t *testing.T, file string) { write(t, beside(file, "kitgauge.settings.yaml"), "gate: minor\n") }, kind: release.Changed, want: "kits/kitgauge.settings.yaml goes in now, and did not at the sign-off"},
		{name: "broken settings", change: func(t *testing.T, file string) {
			replaceIn(t, beside(file, "../kitgauge.settings.yaml"), "gate: major", "gate: severe")
		}, kind: release.Unrepeated, want: "the check cannot be repeated"},
		{name: "the kit is no kit any more", change: func(t *testing.T, file string) { write(t, file, "\t: [") }, kind: release.Changed, want: "the kit file"},
		{name: "the kit is a draft again", change: func(t *testing.T, file string) { replaceIn(t, file, "status: released", "status: draft") }, kind: release.Changed, want: "header status"},
		{name: "a kit more in the file", change: func(t *testing.T, file string) { write(t, file, read(t, file)+"---\nheader: {number: WS-2}\n") }, kind: release.Changed, want: "comments, order or layout"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			file := fleet(t)
			signed(t, file, signer)
			if tt.change != nil {
				tt.change(t, file)
			}
			lines := tt.signers
			if lines == nil {
				lines = usual
			}
			v := verify(t, file, allowed(t, lines...))
			list, text := kinds(v)
			if tt.kind == "" {
				if !v.Verified() || !strings.Contains(strings.Join(v.Notes, "\n"), tt.want) {
					t.Errorf("got\n%snotes %q\nwant verified, with a note of %q", text, v.Notes, tt.want)
				}
				return
			}
			if !slices.Contains(list, tt.kind) || !strings.Contains(text, tt.want) {
				t.Errorf("got\n%swant %s: %s", text, tt.kind, tt.want)
			}
		})
	}
}

func beside(file, name string) string { return filepath.Join(filepath.Dir(file), name) }

func packOf(r *release.Record, name string) int {
	return slices.IndexFunc(r.Inputs, func(in release.Input) bool { return in.BuiltIn && in.Name == name })
}

// TestMoved holds that a record does not vouch for a copy of its kit under
// another name.
func TestMoved(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	file := fleet(t)
	signed(t, file, signer)
	moved := beside(file, "v.kit.yaml")
	write(t, moved, read(t, file))
	write(t, release.RecordName(moved, 0), read(t, release.RecordName(file, 0)))
	write(t, release.SignatureName(release.RecordName(moved, 0)), read(t, release.SignatureName(release.RecordName(file, 0))))
	v := verify(t, moved, allowed(t, reviewer+" "+public(signer)))
	if _, text := kinds(v); !strings.Contains(text, "the record is about kit 1 of t.kit.yaml, and stands beside kit 1 of v.kit.yaml") {
		t.Errorf("got\n%swant that it is about another kit", text)
	}
}

// TestUnvouched holds that without signers nothing is verified.
func TestUnvouched(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	file := fleet(t)
	signed(t, file, signer)
	list, text := kinds(verify(t, file, nil))
	if !slices.Equal(list, []release.Kind{release.BadSigner}) || !strings.Contains(text, "nobody vouches") {
		t.Errorf("got\n%swant that nobody vouches for the key, and nothing else", text)
	}
}

// TestConcessionEnds holds that a sign-off ends with a concession on which it
// rests, and not before its last day is over.
func TestConcessionEnds(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	file := fleet(t)
	signed(t, file, signer)
	for on, want := range map[string]bool{day: true, "2027-03-31": true, "2027-04-01": false} {
		v := release.Verifier{Trust: release.Trust{Signers: allowed(t, reviewer+" "+public(signer))}, Checker: base, Version: version, On: on}
		list, err := v.Verify(file)
		if err != nil {
			t.Fatal(err)
		}
		if got, text := kinds(list[0]); list[0].Verified() != want || !want && !slices.Equal(got, []release.Kind{release.Expired}) {
			t.Errorf("on %s: got\n%swant verified %t", on, text, want)
		}
	}
}

// TestSeveralKits holds that every kit of a file has its own record.
func TestSeveralKits(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	file := fleet(t)
	kit := strings.ReplaceAll(read(t, file), "fuse_distance: 450 mm", "fuse_distance: 150 mm")
	remove(t, beside(file, "t.concessions.yaml"))
	remove(t, beside(file, "known.txt"))
	kit = strings.ReplaceAll(kit, "days_a_week: 6", "days_a_week: 5")
	write(t, file, kit+"---\n"+strings.ReplaceAll(kit, "WS-0311", "WS-0312"))
	signed(t, file, signer)
	v := release.Verifier{Trust: release.Trust{Signers: allowed(t, reviewer+" "+public(signer))}, Checker: base, Version: version, On: day}
	list, err := v.Verify(file)
	if err != nil {
		t.Fatal(err)
	}
	if len(list) != 2 || list[0].Number != "WS-0311" || list[1].Number != "WS-0312" || filepath.Base(list[1].RecordFile) != "t.kit.yaml.2.release.json" {
		t.Fatalf("got %d kits, want WS-0311 and WS-0312 with records of their own", len(list))
	}
	for _, one := range list {
		if _, text := kinds(one); !one.Verified() {
			t.Errorf("%s: got\n%swant verified", one.Number, text)
		}
	}
}

// TestRefusals goes through what keeps a kit from being signed off.
func TestRefusals(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	for _, tt := range []struct {
		name, from, to string // in the kit
		as             string
		signers        []string
		want           string
	}{
		{name: "a draft", from: "status: released", to: "status: draft", want: "the kit is a draft"},
		{name: "no status", from: "  status: released\n", to: "", want: "not checked in full"},
		{name: "outside the gate", from: "supply: 24 V", to: "supply: 12 V", want: "the kit is outside the gate"},
		{name: "not evaluated", from: "supply: 24 V", to: "", want: "checks not evaluated at or above major"},
		{name: "a misspelt member", from: "wash_down: hose", to: "wash_dwn: hose", want: "not checked in full: t.kit.yaml:"},
		{name: "drawn by the signer", from: "drawn_by: I. Sandvik", to: "drawn_by: Ruth Okafor", want: "Ruth Okafor drew the kit"},
		{name: "drawn by the signer, with a Greek letter in her name", from: "drawn_by: I. Sandvik", to: "drawn_by: R. \u039fkafor", want: "drew the kit"},
		{name: "drawn by a name that cannot be seen", from: "drawn_by: I. Sandvik", to: "drawn_by: \"\u3164\"", want: "does not say who drew it"},
		{name: "drawn by nobody", from: "drawn_by: I. Sandvik", to: "drawn_by: \"\"", want: "does not say who drew it"},
		{name: "drawn by a holder of the key", signers: []string{reviewer + ",i.sandvik@nordhang.example " + public(signer)}, want: "I. Sandvik drew the kit"},
		{name: "not an allowed signer", signers: []string{"k.berg@nordhang.example " + public(signer)}, want: "is not allowed to sign as"},
		{name: "expired", signers: []string{reviewer + ` valid-before="20261001Z" ` + public(signer)}, want: "it expired on"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			file := fleet(t)
			if tt.from != "" {
				replaceIn(t, file, tt.from, tt.to)
			}
			list, err := release.Check(base, file, options(file))
			if err != nil {
				t.Fatal(err)
			}
			var signers *release.Signers
			if tt.signers != nil {
				signers = allowed(t, tt.signers...)
			}
			got := strings.Join(list[0].Refusals(release.NewKey(signer), reviewer, release.Trust{Signers: signers}), "\n")
			if !strings.Contains(got, tt.want) {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
}

// TestUnreadable holds what cannot be read apart from what is not verified.
func TestUnreadable(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	file := fleet(t)
	signed(t, file, signer)
	v := release.Verifier{Trust: release.Trust{Signers: allowed(t, reviewer+" "+public(signer))}, Checker: base, Version: version, On: day}
	if _, err := v.Verify(file + "x"); err == nil || !strings.Contains(err.Error(), "there is no such file") {
		t.Errorf("no kit: got %v, want that there is no such file", err)
	}
	record := release.RecordName(file, 0)
	remove(t, record)
	if err := os.Mkdir(record, 0o755); err != nil {
		t.Fatal(err)
	}
	if _, err := v.Verify(file); err == nil || !strings.Contains(err.Error(), "it is a directory") {
		t.Errorf("a directory for a record: got %v, want that it is one", err)
	}
	if _, err := release.Check(base, file, release.Options{Version: version, On: day, Known: "/etc/hostname"}); err == nil || !strings.Contains(err.Error(), "outside of the tree") {
		t.Errorf("known findings from elsewhere: got %v, want that they lie outside of the tree", err)
	}
}

// TestWriteLeavesNothing holds that a sign-off that cannot be written leaves
// neither half of it.
func TestWriteLeavesNothing(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	file := fleet(t)
	list, err := release.Check(base, file, options(file))
	if err != nil {
		t.Fatal(err)
	}
	s, err := list[0].Sign(release.NewKey(signer), reviewer)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.MkdirAll(filepath.Join(release.RecordName(file, 0), "in the way"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := release.Write(new(files.Set), []*release.Signed{s}); err == nil || !strings.Contains(err.Error(), "cannot be written") {
		t.Errorf("got %v, want that it cannot be written", err)
	}
	entries, err := os.ReadDir(filepath.Dir(file))
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if strings.Contains(e.Name(), "draft") || strings.HasSuffix(e.Name(), ".sig") {
			t.Errorf("%s is left", e.Name())
		}
	}
	if info, err := os.Stat(file); err != nil || info.Size() == 0 {
		t.Errorf("the kit is gone: %v", err)
	}
}
