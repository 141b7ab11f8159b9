package release_test

import (
	"bytes"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"kitgauge/checker"
	"kitgauge/checker/release"
)

var utc = time.UTC

// TestSignedAndVerified holds that what is signed is verified, and what the
// record says of it.
func TestSignedAndVerified(t *testing.T) {
	file := fleet(t)
	signer, _ := newKey(t, "ed25519")
	s := signed(t, file, signer)
	v := verify(t, file, allowed(t, reviewer+" "+public(signer)))
	if _, text := kinds(v); !v.Verified() {
		t.Fatalf("got not verified:\n%s", text)
	}
	notes := []string{"weakened by settings: 1 of 16 packs left out: environment", "weakened by settings: 1 limit loosened: slack/articulated_slack"}
	if !slices.Equal(v.Notes, notes) {
		t.Errorf("got notes %q, want %q", v.Notes, notes)
	}
	var names []string
	for _, in := range s.Record.Inputs {
		if !in.BuiltIn {
			names = append(names, string(in.Role)+" "+in.Name)
		}
		if !in.BuiltIn && in.Role != checker.RoleKnown && len(in.Pieces) == 0 {
			t.Errorf("%s %s has no pieces", in.Role, in.Name)
		}
	}
	want := []string{
		"kit t.kit.yaml", "concessions t.concessions.yaml", "catalogue ../parts/all.parts.yaml", "catalogue ../parts/winter.parts.yaml",
		"settings ../kitgauge.settings.yaml", "rule pack ../rules/house.pack.yaml", "known findings known.txt",
	}
	if !slices.Equal(names, want) {
		t.Errorf("went in:\ngot  %q\nwant %q", names, want)
	}
	r := s.Record
	if len(r.Concessions) != 1 || r.Concessions[0].GrantedBy != "K. Berg" || r.Concessions[0].Until != "2027-03-31" {
		t.Errorf("got concessions %+v, want the one of K. Berg until 2027-03-31", r.Concessions)
	}
	below := map[string]string{}
	for _, f := range r.Findings {
		below[f.Rule] = f.Status
	}
	if below["house/interval"] != "violated" || below["house/days"] != "known" {
		t.Errorf("got findings below the gate %v, want house/interval violated and house/days known", below)
	}
}

// TestSameBytes holds that the record does not depend on where the check runs.
func TestSameBytes(t *testing.T) {
	file := fleet(t)
	signer, _ := newKey(t, "ed25519")
	want := signed(t, file, signer).Text
	for _, from := range []struct{ dir, kit string }{
		{filepath.Dir(file), "t.kit.yaml"},
		{filepath.Dir(filepath.Dir(file)), "kits/t.kit.yaml"},
		{filepath.Join(filepath.Dir(filepath.Dir(file)), "rules"), "../kits/t.kit.yaml"},
		{filepath.Join(filepath.Dir(filepath.Dir(file)), "parts"), "../rules/../kits/./t.kit.yaml"},
	} {
		t.Chdir(from.dir)
		if got := signed(t, from.kit, signer).Text; !bytes.Equal(got, want) {
			t.Errorf("from %s as %s: the record differs:\ngot  %.300s\nwant %.300s", from.dir, from.kit, got, want)
		}
	}
}

// TestEveryByteOfRecordAndSignature changes each byte, in several ways.
func TestEveryByteOfRecordAndSignature(t *testing.T) {
	file := fleet(t)
	for _, kind := range []string{"ed25519", "ecdsa-256", "rsa-2048"} {
		t.Run(kind, func(t *testing.T) {
			signer, _ := newKey(t, kind)
			s := signed(t, file, signer)
			if !authentic(s.Text, s.Signature, s) {
				t.Fatal("got not authentic before anything changed")
			}
			sig, err := release.ParseSignature(s.Signature)
			if err != nil {
				t.Fatal(err)
			}
			step := 1
			if kind != "ed25519" {
				step = 61 // what is signed is the same digest for all
			}
			for i := 0; i < len(s.Text); i += step {
				changed := bytes.Clone(s.Text)
				changed[i] ^= 1 << (i % 8)
				if sig.Verify(changed) == nil {
					t.Errorf("record, byte %d: the change is not caught", i)
				}
			}
			for i := range s.Signature {
				for _, to := range []byte{'\n', '\r', ' ', '=', 'A', '/', '-', 0, s.Signature[i] ^ 1, s.Signature[i] ^ 2, s.Signature[i] ^ 4, s.Signature[i] ^ 8, s.Signature[i] ^ 0x20, s.Signature[i] ^ 0x80} {
					changed := bytes.Clone(s.Signature)
					changed[i] = to
					if !bytes.Equal(changed, s.Signature) && authentic(s.Text, changed, s) {
						t.Errorf("signature, byte %d, %#02x: the change is not caught", i, to)
					}
				}
			}
			for name, text := range map[string][]byte{
				"a byte more": append(bytes.Clone(s.Text), '\n'), "a byte less": s.Text[:len(s.Text)-1], "nothing": nil,
			} {
				if authentic(text, s.Signature, s) {
					t.Errorf("record, %s: the change is not caught", name)
				}
			}
			for name, text := range map[string][]byte{
				"a line more": append(bytes.Clone(s.Signature), '\n'), "a line before": append([]byte("\n"), s.Signature...),
				"cut": s.Signature[:len(s.Signature)-1], "nothing": nil, "twice": append(bytes.Clone(s.Signature), s.Signature...),
			} {
				if authentic(s.Text, text, s) {
					t.Errorf("signature, %s: the change is not caught", name)
				}
			}
		})
	}
}

// authentic reports whether a record is what the signer signed: the steps of
// a verification that need neither kit nor signers.
func authentic(record, signature []byte, want *release.Signed) bool {
	sig, err := release.ParseSignature(signature)
	if err != nil || sig.Verify(record) != nil {
		return false
	}
	good, err := release.ParseSignature(want.Signature)
	return err == nil && bytes.Equal(sig.SignerOf(), good.SignerOf())
}

// TestTamperedInput changes bytes of everything that went in, comments among
// them, and holds that each change is caught and the file is named.
func TestTamperedInput(t *testing.T) {
	file := fleet(t)
	signer, _ := newKey(t, "ed25519")
	signed(t, file, signer)
	signers := allowed(t, reviewer+" "+public(signer))
	top := filepath.Dir(filepath.Dir(file))
	for _, tt := range []struct {
		file, noun string
		marks      []string // a text at which a byte is changed
	}{
		{"kits/t.kit.yaml", "kit file", []string{"# An invented vehicle", "WS-0311", "drawn_by: I.", "fuse_distance: 450", "Spring pin, left", "../parts/all"}},
		{"kits/t.concessions.yaml", "file of concessions", []string{"# granted", "K. Berg", "2027-03-31", "allows 500 mm", "power/fuse"}},
		{"parts/all.parts.yaml", "catalogue", []string{"# everything", "winter.parts", "NH-F1", "# unused"}},
		{"parts/winter.parts.yaml", "catalogue", []string{"# An invented catalogue", "number: FG-T4", "voltage: 24 V"}},
		{"kitgauge.settings.yaml", "settings file", []string{"# settings", "is: 45", "short drawbars", "leave_out", "gate: major"}},
		{"rules/house.pack.yaml", "rule pack", []string{"# rules of", "is: 20 wk", "severity: minor", "Nobody looks", "title: Rules"}},
		{"kits/known.txt", "record of known findings", []string{"# kitgauge", "house/days"}},
	} {
		name := filepath.Join(top, tt.file)
		was := read(t, name)
		places := map[int]string{0: "the first byte", len(was) - 1: "the last byte"}
		for n := range 8 {
			places[(2*n+1)*len(was)/16] = "a sample"
		}
		for _, mark := range tt.marks {
			at := strings.Index(was, mark)
			if at < 0 {
				t.Fatalf("%s does not hold %q", tt.file, mark)
			}
			places[at+len(mark)-1] = mark
		}
		for at, mark := range places {
			changed := []byte(was)
			changed[at] ^= 0x01
			write(t, name, string(changed))
			v := verify(t, file, signers)
			list, text := kinds(v)
			if !slices.Contains(list, release.Changed) || !strings.Contains(text, tt.noun) || !strings.Contains(text, filepath.Base(tt.file)) {
				t.Errorf("%s, byte %d (%s): got\n%swant that the %s changed", tt.file, at, mark, text, tt.noun)
			}
		}
		write(t, name, was)
	}
	if v := verify(t, file, signers); !v.Verified() {
		t.Error("got not verified after every change was taken back")
	}
}

// TestWhatChanged holds what a verification says of a change to the trade's
// words for its place.
func TestWhatChanged(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	for _, tt := range []struct{ name, file, from, to, want string }{
		{"a part", "parts/winter.parts.yaml", "draw: 3 A", "draw: 3.5 A", "winter.parts.yaml changed since the sign-off: part FG-P36"},
		{"a part is added", "parts/all.parts.yaml", "parts:\n", "parts:\n  - {number: NH-F2, kind: fuse, description: Another, maker: Lysvik, rating: 5 A}\n", "all.parts.yaml changed since the sign-off: part NH-F2 (new)"},
		{"a comment", "parts/winter.parts.yaml", "An invented catalogue", "A catalogue", "winter.parts.yaml changed since the sign-off: comments, order or layout"},
		{"a line", "kits/t.kit.yaml", "free_length: 325 mm", "free_length: 326 mm", "t.kit.yaml changed since the sign-off: "},
		{"the header", "kits/t.kit.yaml", "title: Salt trailer, 8 points", "title: Salt trailer", "t.kit.yaml changed since the sign-off: header title"},
		{"a limit of the settings", "kitgauge.settings.yaml", "is: 45 mm", "is: 46 mm", "kitgauge.settings.yaml changed since the sign-off: limits slack/articulated slack"},
		{"a rule", "rules/house.pack.yaml", "severity: minor", "severity: major", "house.pack.yaml changed since the sign-off: rule interval"},
		{"a concession", "kits/t.concessions.yaml", "2027-03-31", "2028-03-31", "t.concessions.yaml changed since the sign-off: concession for power/fuse-near-source at the feed"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			file := fleet(t)
			signed(t, file, signer)
			name := filepath.Join(filepath.Dir(filepath.Dir(file)), tt.file)
			was := read(t, name)
			if !strings.Contains(was, tt.from) {
				t.Fatalf("%s does not hold %q", tt.file, tt.from)
			}
			write(t, name, strings.Replace(was, tt.from, tt.to, 1))
			v := verify(t, file, allowed(t, reviewer+" "+public(signer)))
			if _, text := kinds(v); !strings.Contains(text, tt.want) {
				t.Errorf("got\n%swant %s", text, tt.want)
			}
		})
	}
}
