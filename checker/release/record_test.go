package release_test

import (
	"bytes"
	"strings"
	"testing"

	"kitgauge/checker"
	"kitgauge/checker/release"
)

// small is a record with everything in it, of an invented kit.
func small() *release.Record {
	digest := release.Digest([]byte("x"))
	return &release.Record{
		Format: release.Format, FormatVersion: release.FormatVersion, ToolVersion: version,
		Kit:    release.Kit{Number: "WS-1", Revision: "A", Title: "Grit \"spreader\" <é>", Status: "released", DrawnBy: "I. Sandvik"},
		Signer: reviewer, On: day, Gate: "major", Verdict: "within the gate (major)", Result: digest,
		Inputs: []release.Input{
			{Role: checker.RoleKit, Name: "k.kit.yaml", SHA256: digest, Pieces: []release.Piece{{Name: "line 1", Digest: digest[:16]}}},
			{Role: checker.RoleCatalogue, Name: "../parts/p.parts.yaml", SHA256: digest, Pieces: []release.Piece{}},
			{Role: checker.RolePack, Name: "power", BuiltIn: true, SHA256: digest, Pieces: []release.Piece{}},
		},
		Concessions: []release.Concession{{Rule: "power/x", Place: "the feed", Severity: "major", Reason: "r", GrantedBy: "K. Berg", Until: "2027-03-31", Fingerprint: digest[:32]}},
		Findings:    []release.Finding{{Rule: "power/y", Place: "the feed", Severity: "minor", Status: "violated", Fingerprint: digest[:32]}},
	}
}

func encoded(t testing.TB, r *release.Record) []byte {
	t.Helper()
	text, err := release.Encode(r)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func TestRecordReadsBack(t *testing.T) {
	text := encoded(t, small())
	r, err := release.Decode(text)
	if err != nil {
		t.Fatal(err)
	}
	if got := encoded(t, r); !bytes.Equal(got, text) {
		t.Errorf("got  %s\nwant %s", got, text)
	}
	if canonical, err := release.Canonical(text); err != nil || !bytes.Equal(canonical, text) {
		t.Errorf("the record is not canonical: %v", err)
	}
	if strings.ContainsAny(string(text), "\n\r\t") {
		t.Error("the record has line ends, which could be converted")
	}
}

// TestHostileRecord holds records that no program wrote to an error.
func TestHostileRecord(t *testing.T) {
	good := string(encoded(t, small()))
	with := func(f func(r *release.Record)) string {
		r := small()
		f(r)
		return string(encoded(t, r))
	}
	name := func(role checker.Role, name string) string {
		return with(func(r *release.Record) {
			at := map[checker.Role]int{checker.RoleKit: 0, checker.RoleCatalogue: 1}[role]
			r.Inputs[at].Name = name
		})
	}
	for _, tt := range []struct{ name, text, want string }{
		{"empty", "", "not JSON"},
		{"huge", "[" + strings.Repeat(" ", release.MaxRecord) + "]", "larger than"},
		{"deep", nested(50_000), "not JSON"},
		{"deep, but read", nested(5_000), "not a release record"},
		{"no JSON", "kitgauge", "not JSON"},
		{"a list", "[]", "not a release record"},
		{"a number", "7", "not a release record"},
		{"null", "null", "not a release record"},
		{"another format", `{"format":"kitgauge-result","format_version":1}`, "not a release record"},
		{"another version", strings.Replace(good, `"format_version":1`, `"format_version":2`, 1), "version 2"},
		{"a name twice", strings.Replace(good, `"gate":"major"`, `"gate":"major","gate":"none"`, 1), "has a name twice"},
		{"a name in another case", strings.Replace(good, `"gate":"major"`, `"Gate":"none","gate":"major"`, 1), "canonical form"},
		{"a name in another case, in its order", `{"Gate":"none",` + good[1:], "members that a release record does not have"},
		{"a member more", strings.Replace(good, `"gate":"major"`, `"gate":"major","grade":1`, 1), "members that a release record does not have"},
		{"a member less", strings.Replace(good, `"gate":"major",`, ``, 1), "lacks some"},
		{"a member is nothing", strings.Replace(good, `"gate":"major"`, `"gate":null`, 1), "lacks some"},
		{"a list is nothing", strings.Replace(good, `"pieces":[]`, `"pieces":null`, 1), "is not there"},
		{"another list is nothing", with(func(r *release.Record) { r.Findings = nil }), "a list is not there"},
		{"a text is a number", strings.Replace(good, `"gate":"major"`, `"gate":2`, 1), "does not have the members"},
		{"a count with a fraction", strings.Replace(good, `"major":0`, `"major":0.5`, 1), "does not have the members"},
		{"not canonical", strings.Replace(good, `,"gate"`, `, "gate"`, 1), "canonical form"},
		{"a line end more", good + "\n", "canonical form"},
		{"a byte order mark", "\ufeff" + good, "not JSON"},
		{"no day", with(func(r *release.Record) { r.On = "25.11.2026" }), "is no day"},
		{"no such day", with(func(r *release.Record) { r.On = "2026-02-30" }), "is no day"},
		{"no signer", with(func(r *release.Record) { r.Signer = " " }), "the signer has no name"},
		{"a signer that is a pattern", with(func(r *release.Record) { r.Signer = "*" }), "no name of a signer"},
		{"a signer with a line end", with(func(r *release.Record) { r.Signer = "a@b\nk@b" }), "no name of a signer"},
		{"a signer that steers the terminal", with(func(r *release.Record) { r.Signer = "a\u202e@b" }), "no name of a signer"},
		{"no gate", with(func(r *release.Record) { r.Gate = "severe" }), "severity"},
		{"no result", with(func(r *release.Record) { r.Result = "" }), "digest of the result"},
		{"no digest", with(func(r *release.Record) { r.Inputs[1].SHA256 = "00" }), "digest of ../parts"},
		{"no digest of a piece", with(func(r *release.Record) { r.Inputs[0].Pieces[0].Digest = "" }), "digest of line 1"},
		{"no kit", with(func(r *release.Record) { r.Inputs = r.Inputs[1:] }), "does not name one kit"},
		{"two kits", with(func(r *release.Record) {
			more := r.Inputs[0]
			more.Name = "l.kit.yaml"
			r.Inputs = append([]release.Input{r.Inputs[0], more}, r.Inputs[1:]...)
		}), "does not name one kit"},
		{"an input twice", with(func(r *release.Record) { r.Inputs = append(r.Inputs[:2], r.Inputs[1:]...) }), "in order, once each"},
		{"inputs out of order", with(func(r *release.Record) { r.Inputs[1], r.Inputs[2] = r.Inputs[2], r.Inputs[1] }), "in order, once each"},
		{"an unknown role", with(func(r *release.Record) { r.Inputs[1].Role = "key" }), "nothing that goes into a check"},
		{"a catalogue of the program", with(func(r *release.Record) { r.Inputs[1].BuiltIn = true }), "not part of the program"},
		{"a document before the first", with(func(r *release.Record) { r.Kit.Document = -1 }), "place in its file"},
		{"an absolute path", name(checker.RoleCatalogue, "/etc/passwd"), "no path relative"},
		{"a drive", name(checker.RoleCatalogue, "C:/p.parts.yaml"), "no path relative"},
		{"backslashes", name(checker.RoleCatalogue, `..\p.parts.yaml`), "no path relative"},
		{"a path that is not clean", name(checker.RoleCatalogue, "a/../../p.parts.yaml"), "no path relative"},
		{"a path that ends in dots", name(checker.RoleCatalogue, ".."), "no path relative"},
		{"a zero byte in a path", name(checker.RoleCatalogue, "p\x00.parts.yaml"), "no path relative"},
		{"a very deep path", name(checker.RoleCatalogue, strings.Repeat("../", 65)+"p"), "too deep"},
		{"a kit somewhere else", name(checker.RoleKit, "../k.kit.yaml"), "does not lie beside"},
	} {
		if tt.text == good {
			t.Errorf("%s: the text is as it was", tt.name)
		}
		if _, err := release.Decode([]byte(tt.text)); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: got %v, want an error with %q", tt.name, err, tt.want)
		}
	}
}

func TestPrincipals(t *testing.T) {
	for name, want := range map[string]bool{
		reviewer: true, "ruth": true, "é@b.example": true, "a+b@c.example": true,
		"": false, " ": false, "a b": false, "a,b": false, "a*": false, "a?": false, "!a": false, `"a"`: false, "#a": false, "a\t": false,
		"a\u00a0b": false, "\xff": false, strings.Repeat("a", 257): false,
	} {
		if err := release.CheckPrincipal(name); (err == nil) != want {
			t.Errorf("%.40q: got %v, want taken %t", name, err, want)
		}
	}
}

func TestRecordName(t *testing.T) {
	for _, tt := range []struct {
		file     string
		document int
		want     string
	}{
		{"kits/gritter.kit.yaml", 0, "kits/gritter.release.json"},
		{"gritter.kit.json", 0, "gritter.kit.json.release.json"},
		{"gritter.kit.yml", 1, "gritter.kit.yml.2.release.json"},
		{"gritter.2.kit.yaml", 0, "gritter.2.release.json"},
		{"gritter.kit.json.kit.yaml", 0, "gritter.kit.json.kit.yaml.release.json"},
		{"kits/gritter.yaml", 0, "kits/gritter.yaml.release.json"},
	} {
		if got := release.RecordName(tt.file, tt.document); got != tt.want {
			t.Errorf("%s, document %d: got %s, want %s", tt.file, tt.document, got, tt.want)
		}
	}
}

// FuzzDecode holds that what is read as a record is written back to the same
// bytes, and that nothing brings the reader down.
// toPerson holds an error to what a person can read, and to being the same a
// second time.
func toPerson(t *testing.T, text []byte, err, again error) {
	t.Helper()
	if (err == nil) != (again == nil) || err != nil && err.Error() != again.Error() {
		t.Fatalf("%q: got %v, and a second time %v", text, err, again)
	}
	if err == nil {
		return
	}
	for _, jargon := range []string{"json:", "ssh:", "asn1:", "base64", "strconv", "release.", "struct", "%!"} {
		if strings.Contains(err.Error(), jargon) && !strings.Contains(string(text), jargon) {
			t.Errorf("%q: %q holds %q", text, err, jargon)
		}
	}
	if most := 1000 + 4*len(text); len(err.Error()) > most {
		t.Errorf("an error of %d bytes for %d", len(err.Error()), len(text))
	}
}

func FuzzDecode(f *testing.F) {
	f.Add(encoded(f, small()))
	f.Fuzz(func(t *testing.T, text []byte) {
		r, err := release.Decode(text)
		_, again := release.Decode(text)
		toPerson(t, text, err, again)
		if err != nil {
			return
		}
		if got := encoded(t, r); !bytes.Equal(got, text) {
			t.Errorf("got %q, want %q", got, text)
		}
	})
}

// FuzzParseSignature holds the same for signatures: none that is found by
// chance is one of a message.
func FuzzParseSignature(f *testing.F) {
	signer, _ := newKey(f, "ed25519")
	text, err := release.NewKey(signer).Sign([]byte("m"))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	f.Fuzz(func(t *testing.T, text []byte) {
		s, err := release.ParseSignature(text)
		_, again := release.ParseSignature(text)
		toPerson(t, text, err, again)
		if err != nil {
			return
		}
		if s.Fingerprint() == "" {
			t.Error("a signature has no key")
		}
		if s.Verify([]byte("another message")) == nil {
			t.Error("a signature of another message is verified")
		}
	})
}

// TestSignsWhatWasJudged changes kit and catalogue between the check and the
// signature: what is signed is what was judged, and no longer what is there.
func TestSignsWhatWasJudged(t *testing.T) {
	signer, _ := newKey(t, "ed25519")
	file := fleet(t)
	list, err := release.Check(base, file, options(file))
	if err != nil {
		t.Fatal(err)
	}
	judged := map[string]string{}
	for _, name := range []string{file, beside(file, "../parts/winter.parts.yaml")} {
		text := read(t, name)
		judged[release.Digest([]byte(text))] = name
		write(t, name, text+"# changed meanwhile\n")
	}
	s, err := list[0].Sign(release.NewKey(signer), reviewer)
	if err != nil {
		t.Fatal(err)
	}
	for _, in := range s.Record.Inputs {
		delete(judged, in.SHA256)
	}
	if len(judged) > 0 {
		t.Errorf("the record has not what was judged of %v", judged)
	}
}
