package command

import (
	"errors"
	"fmt"
	"os"
	"time"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"kitgauge/checker"
	"kitgauge/checker/files"
	"kitgauge/checker/finding"
	"kitgauge/checker/release"
	"kitgauge/checker/report"
)

type signOptions struct {
	key      string
	as       string
	trust    trustOptions
	on       string
	onReason string
	known    string
	policy   string
	replace  bool
}

func signCommand(s Streams) *cobra.Command {
	var o signOptions
	c := &cobra.Command{
		Use:   "sign --key FILE KIT",
		Short: "Sign off a kit with an SSH key of your own",
		Long: `Check a kit and, if it may be released, write a release record beside it and
sign it with the reviewer's own SSH key: gritter.release.json and
gritter.release.json.sig beside gritter.kit.yaml. The record is canonical JSON
(RFC 8785), called after the whole kit file where that is a .kit.json or holds
several kits (gritter.kit.json.release.json), and holds the digests of the kit, its catalogues, rule packs,
settings and concessions, the digest of the result, and what was conceded or
found below the gate. All rule packs are used that the settings say, and the
gate is that of the settings, else major.

The key is a private key file that nobody else may read, or a .pub file whose private key the SSH agent
holds. The signature has the SSHSIG format with the namespace
` + release.Namespace + `, so that ssh-keygen -Y verify takes it as well.

A kit is not signed off when it is outside the gate, was not checked in full,
is a draft, when its settings leave out a rule pack without a reason, when the
key is revoked or not among the allowed signers (where they are given), or when the signer may be the one who drew it. The header names
who drew it, --as and the allowed_signers file name the signer: texts, names
before the @, initials and surnames are compared, the comment behind a key counts
as a name, and in doubt two names are one person. A signer who is not the one
whom the title block names as checker is noted in the record.

The record names the digest of the one that it replaces, or else of the latest
in the directory about another revision of the kit, so that verify can tell when
an older sign-off is put back.

` + caution + `

Exit status:
  0  signed off
  1  not signed off: standard error says why
  2  a file could not be read or written
  3  wrong use of the command, or a broken rule pack`,
		Example: `  kitgauge sign --key ~/.ssh/id_ed25519 --as r.okafor@nordhang.example kits/gritter.kit.yaml
  kitgauge sign --key ~/.ssh/id_ed25519.pub --signers allowed_signers kits/gritter.kit.yaml`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 || args[0] == "-" {
				return errors.New("sign needs one kit file")
			}
			return nil
		},
		ValidArgsFunction: kitsUpTo(1),
		RunE:              func(_ *cobra.Command, args []string) error { return signOff(s, o, args[0]) },
	}
	f := c.Flags()
	f.StringVar(&o.key, "key", "", "the signer's private key, or the public key of one that the SSH agent holds")
	f.StringVar(&o.as, "as", "", "who signs, as the allowed_signers file names him or her (default the only name that it has for the key)")
	f.StringVar(&o.trust.signers, "signers", "", "an allowed_signers file, which has to have the key")
	o.trust.flags(c)
	f.StringVar(&o.on, "on", "", "the day of the sign-off, as in 2026-11-25 (default today); one far from today needs --on-reason")
	f.StringVar(&o.onReason, "on-reason", "", "why the day is far from today: it goes into the record")
	words(c, "as")
	words(c, "on")
	words(c, "on-reason")
	policyFlag(c, &o.policy)
	f.StringVar(&o.known, "known", "", "a record of known findings, in the tree of the kit")
	f.BoolVar(&o.replace, "replace", false, "let the record take the place of one of another kit or signer, or of a file that is none")
	return c
}

const caution = `A signature says who released a kit, not that it is safe: the vehicle maker's
instructions, local codes and licensed practice come first.`

func signOff(s Streams, o signOptions, file string) error {
	if o.key == "" {
		return wrong("sign needs --key: the signer's SSH key")
	}
	if o.as == "" && o.trust.signers == "" {
		return wrong("sign needs to know who signs: --as, or --signers with one name for the key")
	}
	on, err := day(o.on)
	if err != nil {
		return err
	}
	if err := release.CheckDay(on, time.Now().Format(finding.Day), o.onReason); err != nil {
		return wrong("--on: %s", err)
	}
	policy, err := policyOf(o.policy)
	if err != nil {
		return err
	}
	trust, err := o.trust.read(s, policy)
	if err != nil {
		return err
	}
	list, err := release.Check(checker.New(checker.Options{}), file, release.Options{Version: version, On: on, OnReason: o.onReason, Known: o.known, Policy: policy})
	if err != nil {
		return failed(err)
	}
	key, err := release.LoadKey(o.key, passphrase(s, o.key))
	if err != nil {
		return &failure{exitUnread, fmt.Errorf("--key: %w", err)}
	}
	defer key.Close()
	signer, err := release.Principal(o.as, key, trust.Signers)
	if err != nil {
		return wrong("--as: %s", err)
	}
	signed, refused, err := release.SignAll(list, key, signer, trust)
	if err != nil {
		return &failure{exitUnread, err}
	}
	if !o.replace {
		refused = append(refused, release.Replaced(signed)...)
	}
	for _, why := range refused {
		say(s.Err, "%s", why)
	}
	if len(refused) > 0 {
		return exit(exitOutside)
	}
	if err := release.Write(&s.during.files, signed); err != nil {
		return &failure{exitUnread, err}
	}
	for _, one := range signed {
		if err := writeSigned(s, one, key); err != nil {
			return err
		}
	}
	return nil
}

func writeSigned(s Streams, signed *release.Signed, key *release.Key) error {
	r := signed.Record
	p := &page{w: s.Out}
	p.line("%s", report.Visible(signed.Candidate.File))
	p.line("%s revision %s: %s", r.Kit.Number, r.Kit.Revision, r.Kit.Title)
	p.line("signed off by %s on %s", r.Signer, r.On)
	p.entry("key", key.Fingerprint())
	p.entry("verdict", r.Verdict)
	for _, w := range r.Weakened {
		p.entry("weakened", w)
	}
	for _, remark := range r.Remarks {
		p.entry("note", remark)
	}
	for _, c := range r.Concessions {
		p.entry("conceded", fmt.Sprintf("%s at %s (%s), granted by %s until %s", c.Rule, c.Place, c.Severity, c.GrantedBy, c.Until))
	}
	for _, f := range r.Findings {
		p.entry("below the gate", fmt.Sprintf("%s at %s (%s, %s)", f.Rule, f.Place, f.Severity, f.Status))
	}
	p.entry("went in", r.WentIn())
	p.entry("record", report.Visible(signed.File()))
	p.entry("signature", report.Visible(release.SignatureName(signed.File())))
	p.line("")
	p.text(caution)
	return p.err
}

// trustOptions name the files that tell who may sign with which key.
type trustOptions struct {
	signers  string
	revoked  string
	patterns bool
}

func (o *trustOptions) flags(c *cobra.Command) {
	f := c.Flags()
	f.StringVar(&o.revoked, "revoked", "", "keys that vouch for nobody any more: public keys, one a line, or a KRL, as ssh-keygen -Y verify -r takes them")
	f.BoolVar(&o.patterns, "patterns", false, "take a signer whom the allowed_signers file has by a pattern alone (*@nordhang.example)")
}

func (o *trustOptions) read(s Streams, policy *checker.Policy) (release.Trust, error) {
	t := release.Trust{Patterns: o.patterns}
	var err error
	if o.signers != "" {
		if t.Signers, err = readSigners(s, o.signers, policy); err != nil {
			return t, faulty("--signers", err)
		}
	}
	if o.revoked != "" {
		if t.Revoked, err = release.ReadRevoked(o.revoked); err != nil {
			return t, faulty("--revoked", err)
		}
	}
	return t, nil
}

// readSigners reads the allowed signers from a file, or from the place of a
// policy, and tells where the change has other ones.
func readSigners(s Streams, file string, policy *checker.Policy) (*release.Signers, error) {
	if policy == nil {
		return release.ReadSigners(file)
	}
	signers, same, err := release.ReadSignersOf(policy, file)
	if err == nil && !same {
		say(s.Err, "this change would weaken the gate: %s here is not that of %s, which counts", file, policy.Name)
	}
	return signers, err
}

// passphrase asks for one at the terminal; nil where there is none.
func passphrase(s Streams, key string) func() ([]byte, error) {
	in, is := s.In.(*os.File)
	if !is || !term.IsTerminal(int(in.Fd())) {
		return nil
	}
	return func() ([]byte, error) {
		if echo, err := term.GetState(int(in.Fd())); err == nil {
			defer s.during.onEnd(func() { _ = term.Restore(int(in.Fd()), echo) })()
		}
		fmt.Fprintf(s.Err, "passphrase of %s: ", report.Visible(key))
		text, err := term.ReadPassword(int(in.Fd()))
		fmt.Fprintln(s.Err)
		if err != nil {
			return nil, fmt.Errorf("the passphrase cannot be read: %s", files.PlainError(err))
		}
		return text, nil
	}
}
