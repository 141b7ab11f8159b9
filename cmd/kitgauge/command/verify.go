package command

import (
	"context"
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/affected"
	"kitgauge/checker/files"
	"kitgauge/checker/release"
	"kitgauge/checker/report"
)

type verifyOptions struct {
	trust        trustOptions
	on           string
	keysAsSigned bool
	authorities  string
	older        bool
	format       string
	policy       string
}

func verifyCommand(s Streams) *cobra.Command {
	var o verifyOptions
	c := &cobra.Command{
		Use:   "verify --signers FILE KIT...",
		Short: "Verify the sign-off of kits",
		Long: `Verify that kits are as they were when they were signed off, and by whom: the
bytes of the release record, its signature, the signer among the allowed ones,
everything that went into the check, and the result, for which the check is
repeated as of the day of the sign-off. What changed is named. It fails too
when the signer may be the one who drew the kit, when a concession has ended,
when the key is revoked, and when nobody vouches for it because --signers is not
given. Another version of kitgauge alone is only noted, and so is a signer who
is not the one whom the title block names as checker.

The allowed_signers file is that of ssh-keygen(1): namespaces and times are kept
to, cert-authority lines are not, and a name that only a pattern has is not
taken without --patterns. Keys and concessions are judged at the end of the day;
--keys-as-signed judges keys as of the sign-off instead, so that a key that has
expired since still counts: as of its time stamp, or else of the day that the
signer gives. Keep the file where those who change kits cannot change it.

A record names the one that it follows. Where a later one is at hand, signed by
an allowed signer, the sign-off is outdated: somebody put an older state back.
Looked at are the records in the directory of the kit and, in a clone of git,
the earlier versions of the record, and of records of that name in other
directories, in all commits that led to the one that is checked out; a shallow
clone holds few of them. A kit that was renamed starts without a history.

With --policy the allowed signers, settings, packs, concessions and known
findings are read from a place that the change cannot touch, see kitgauge help
check. What the settings take from the rules is noted.

` + caution + `

Exit status:
  0  every kit is verified
  1  a kit is not
  2  a file could not be read
  3  wrong use of the command`,
		Example: `  kitgauge verify --signers allowed_signers kits/
  kitgauge verify --signers allowed_signers --format json kits/gritter.kit.yaml`,
		Args:              needs(1, math.MaxInt, "verify needs a kit file or a directory"),
		ValidArgsFunction: kitFiles,
		RunE:              func(_ *cobra.Command, args []string) error { return verify(s, o, args) },
	}
	f := c.Flags()
	f.StringVar(&o.trust.signers, "signers", "", "the allowed_signers file: who may sign, with which key")
	o.trust.flags(c)
	f.BoolVar(&o.keysAsSigned, "keys-as-signed", false, "judge whether a key was valid as of the sign-off, not as of today")
	f.StringVar(&o.authorities, "authorities", "", "certificates of the time-stamp authorities that are trusted, in PEM")
	f.BoolVar(&o.older, "older", false, "only note that a newer sign-off follows")
	f.StringVar(&o.on, "on", "", "the day as of which keys and concessions are judged, as in 2026-11-25 (default today)")
	policyFlag(c, &o.policy)
	f.StringVar(&o.format, "format", "text", "how to report: text or json")
	words(c, "format", "text", "json")
	words(c, "on")
	return c
}

func verify(s Streams, o verifyOptions, names []string) error {
	if o.format != "text" && o.format != "json" {
		return wrong("--format: %q is no format: it is text or json", o.format)
	}
	on, err := day(o.on)
	if err != nil {
		return err
	}
	policy, err := policyOf(o.policy)
	if err != nil {
		return err
	}
	trust, err := o.trust.read(s, policy)
	if err != nil {
		return err
	}
	v := &release.Verifier{
		Trust: trust, Checker: checker.New(checker.Options{}), Version: version, On: on, KeysAsSigned: o.keysAsSigned, Older: o.older, Policy: policy,
		History: affected.NewHistories(context.Background(), release.RecordEnding, release.SignatureName(release.RecordEnding)).Versions,
	}
	if o.authorities != "" {
		if v.Authorities, err = release.ReadAuthorities(o.authorities); err != nil {
			return faulty("--authorities", err)
		}
	}
	list, err := verifyAll(s, v, names)
	if err != nil {
		return err
	}
	if o.format == "json" {
		err = v.WriteJSON(s.Out, list)
	} else {
		err = writeVerifications(s, list)
	}
	if err != nil {
		return &failure{exitUnread, fmt.Errorf("the result cannot be written: %s", files.PlainError(err))}
	}
	return exit(release.Exit(list))
}

// verifyAll verifies every kit, and shows on a terminal how far it has come.
// What cannot be read is said on standard error; where nothing can be there is
// no result.
func verifyAll(s Streams, v *release.Verifier, names []string) ([]*release.Verification, error) {
	found, faults := files.Find(names)
	passedOver(s, names)
	var list []*release.Verification
	err := watched(s, len(found), func(done func(string)) (err error) {
		list, err = v.VerifyFiles(found, faults, done)
		return err
	})
	if err != nil {
		return nil, failed(err)
	}
	read := false
	for _, one := range list {
		read = read || !one.Unread()
		if one.Unread() {
			say(s.Err, "%s", one.Problems[0].Message)
		}
	}
	if !read {
		return nil, exit(exitUnread)
	}
	return list, nil
}

func writeVerifications(s Streams, list []*release.Verification) error {
	p := &page{w: s.Out}
	good := 0
	for i, one := range list {
		if i > 0 {
			p.line("")
		}
		p.line("%s", report.Visible(one.File))
		if one.Number != "" {
			p.line("%s revision %s: %s", one.Number, one.Revision, one.Title)
		}
		switch {
		case one.Verified():
			good++
			p.line("verified: signed off by %s on %s", one.Signed.Signer, one.Signed.On)
		case one.Signed != nil:
			p.line("NOT VERIFIED: the record names %s on %s", one.Signed.Signer, one.Signed.On)
		default:
			p.line("NOT VERIFIED")
		}
		for _, problem := range one.Problems {
			p.entry(string(problem.Kind), sentence(problem))
		}
		for _, note := range one.Notes {
			p.entry("note", note)
		}
	}
	if len(list) > 1 {
		p.line("")
		p.line("%s: %d verified, %d not", report.Count(len(list), "kit", "kits"), good, len(list)-good)
	}
	p.line("")
	p.text(caution)
	return p.err
}

// sentence is a problem with the places that changed.
func sentence(p release.Problem) string {
	const most = 8
	places := p.Places
	if len(places) == 0 {
		return p.Message
	}
	more := ""
	if len(places) > most {
		more = fmt.Sprintf(", and %d more", len(places)-most)
		places = places[:most]
	}
	return p.Message + ": " + report.Visible(strings.Join(places, ", ")) + more
}
