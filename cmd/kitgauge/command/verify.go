package command

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/release"
	"kitgauge/checker/report"
)

type verifyOptions struct {
	signers string
	on      string
	format  string
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
and when nobody vouches for the key because --signers is not given. Another
version of kitgauge alone is only noted.

The allowed_signers file is that of ssh-keygen(1): patterns of names, namespaces
and times are kept to, cert-authority lines are not. Keys and concessions are
judged at the end of the day. Keep the file where those who change kits cannot
change it.

` + caution + `

Exit status:
  0  every kit is verified
  1  a kit is not
  2  a file could not be read
  3  wrong use of the command`,
		Example: `  kitgauge verify --signers allowed_signers kits/
  kitgauge verify --signers allowed_signers --format json kits/gritter.kit.yaml`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return errors.New("verify needs a kit file or a directory")
			}
			return nil
		},
		ValidArgsFunction: kitFiles,
		RunE:              func(_ *cobra.Command, args []string) error { return verify(s, o, args) },
	}
	f := c.Flags()
	f.StringVar(&o.signers, "signers", "", "the allowed_signers file: who may sign, with which key")
	f.StringVar(&o.on, "on", "", "the day as of which keys and concessions are judged, as in 2026-11-25 (default today)")
	f.StringVar(&o.format, "format", "text", "how to report: text or json")
	_ = c.RegisterFlagCompletionFunc("format", cobra.FixedCompletions([]string{"text", "json"}, cobra.ShellCompDirectiveNoFileComp))
	return c
}

func verify(s Streams, o verifyOptions, names []string) error {
	write := writeVerifications
	switch o.format {
	case "text":
	case "json":
		write = writeVerificationsJSON
	default:
		return wrong("--format: %q is no format: it is text or json", o.format)
	}
	on, err := dayOr(o.on)
	if err != nil {
		return err
	}
	signers, err := readSigners(o.signers)
	if err != nil {
		return err
	}
	files, faults := checker.Find(names)
	v := &release.Verifier{Checker: checker.New(checker.Options{}), Signers: signers, Version: version, On: on}
	list, err := verifyAll(s, v, files, faults)
	if err != nil {
		return err
	}
	status := exitWithin
	for _, one := range list {
		switch {
		case one.Unread():
			status = exitUnread
		case !one.Verified():
			status = max(status, exitOutside)
		}
	}
	if err := write(s, on, status, list); err != nil {
		return &failure{exitUnread, fmt.Errorf("the result cannot be written: %s", checker.PlainError(err))}
	}
	return exit(status)
}

// verifyAll verifies as many at once as can run, and keeps their order. What
// cannot be read hides no other kit; where nothing can there is no result.
func verifyAll(s Streams, v *release.Verifier, files []string, faults []checker.Fault) ([]*release.Verification, error) {
	lists := make([][]*release.Verification, len(files))
	errs := make([]error, len(files))
	watched(s, files, func(i int) { lists[i], errs[i] = v.Verify(files[i]) })
	read := 0
	for i, err := range errs {
		var broken *checker.BrokenPacks
		switch {
		case errors.As(err, &broken):
			return nil, &failure{exitUsage, err}
		case err != nil:
			lists[i] = []*release.Verification{cannotVerify(s, files[i], err)}
		default:
			read++
		}
	}
	for _, fault := range faults {
		lists = append(lists, []*release.Verification{cannotVerify(s, fault.File, fault)})
	}
	if read == 0 {
		return nil, exit(exitUnread)
	}
	return slices.Concat(lists...), nil
}

// cannotVerify tells of a kit whose file or record cannot be read.
func cannotVerify(s Streams, file string, err error) *release.Verification {
	fmt.Fprintf(s.Err, "kitgauge: %s\n", report.Visible(err.Error()))
	return release.Unread(file, err)
}

func writeVerifications(s Streams, _ string, _ int, list []*release.Verification) error {
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
	p.line("%s", caution)
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

// The names of the format of the JSON output, and its version.
const (
	verificationFormat  = "kitgauge-verification"
	verificationVersion = 1
)

type verificationRecord struct {
	Format        string              `json:"format"`
	FormatVersion int                 `json:"format_version"`
	ToolVersion   string              `json:"tool_version"`
	On            string              `json:"on"`
	Exit          int                 `json:"exit"`
	Kits          []verifiedKitRecord `json:"kits"`
}

type verifiedKitRecord struct {
	File     string          `json:"file"`
	Document int             `json:"document"`
	Number   string          `json:"number"`
	Revision string          `json:"revision"`
	Title    string          `json:"title"`
	Verified bool            `json:"verified"`
	Record   string          `json:"record"`
	Signer   string          `json:"signer"`
	SignedOn string          `json:"signed_on"`
	Key      string          `json:"key"`
	Problems []problemRecord `json:"problems"`
	Notes    []string        `json:"notes"`
}

type problemRecord struct {
	Kind    string   `json:"kind"`
	Message string   `json:"message"`
	Places  []string `json:"places"`
}

func writeVerificationsJSON(s Streams, on string, status int, list []*release.Verification) error {
	out := verificationRecord{Format: verificationFormat, FormatVersion: verificationVersion, ToolVersion: version, On: on, Exit: status, Kits: []verifiedKitRecord{}}
	for _, one := range list {
		k := verifiedKitRecord{
			File: report.Visible(one.File), Document: one.Document, Number: one.Number, Revision: one.Revision, Title: one.Title,
			Verified: one.Verified(), Record: report.Visible(one.RecordFile), Key: one.Key, Problems: []problemRecord{}, Notes: append([]string{}, one.Notes...),
		}
		if one.Signed != nil {
			k.Signer, k.SignedOn = one.Signed.Signer, one.Signed.On
		}
		for _, p := range one.Problems {
			places := []string{}
			for _, place := range p.Places {
				places = append(places, report.Visible(place))
			}
			k.Problems = append(k.Problems, problemRecord{string(p.Kind), p.Message, places})
		}
		out.Kits = append(out.Kits, k)
	}
	e := json.NewEncoder(s.Out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(out)
}
