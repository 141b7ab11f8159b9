package release

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"time"

	"kitgauge/checker"
	"kitgauge/checker/files"
	"kitgauge/checker/report"
)

// VerifyFiles verifies the sign-offs of files, as many at once as can run, and
// keeps their order; done, which may be nil, is called after each. What cannot
// be read hides no other kit: its verification says so, and so do those of the
// faults, which come last. The error is a *checker.BrokenPacks.
func (v *Verifier) VerifyFiles(names []string, faults []*files.Error, done func(file string)) ([]*Verification, error) {
	lists := make([][]*Verification, len(names))
	errs := make([]error, len(names))
	checker.Parallel(len(names), func(i int) {
		lists[i], errs[i] = v.Verify(names[i])
		if done != nil {
			done(names[i])
		}
	})
	var list []*Verification
	for i, err := range errs {
		var broken *checker.BrokenPacks
		switch {
		case errors.As(err, &broken):
			return nil, err
		case err != nil:
			list = append(list, Unread(names[i], err))
		}
		list = append(list, lists[i]...)
	}
	for _, fault := range faults {
		list = append(list, Unread(fault.File, fault))
	}
	return list, nil
}

// Exit is the status with which the program ends after verifications.
func Exit(list []*Verification) int {
	status := report.ExitWithin
	for _, one := range list {
		switch {
		case one.Unread():
			return report.ExitUnshaped
		case !one.Verified():
			status = report.ExitOutside
		}
	}
	return status
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
	File     string `json:"file"`
	Document int    `json:"document"`
	Number   string `json:"number"`
	Revision string `json:"revision"`
	Title    string `json:"title"`
	Verified bool   `json:"verified"`
	Record   string `json:"record"`
	Signer   string `json:"signer"`
	SignedOn string `json:"signed_on"`
	Key      string `json:"key"`
	// The time stamp; "" where there is none that a trusted authority vouches for.
	StampedAt string    `json:"stamped_at"`
	StampedBy string    `json:"stamped_by"`
	Problems  []Problem `json:"problems"`
	Notes     []string  `json:"notes"`
}

// WriteJSON writes verifications as one JSON object.
func (v *Verifier) WriteJSON(w io.Writer, list []*Verification) error {
	out := verificationRecord{Format: verificationFormat, FormatVersion: verificationVersion, ToolVersion: v.Version, On: v.On, Exit: Exit(list), Kits: []verifiedKitRecord{}}
	for _, one := range list {
		k := verifiedKitRecord{
			File: report.Visible(one.File), Document: one.Document, Number: one.Number, Revision: one.Revision, Title: one.Title,
			Verified: one.Verified(), Record: report.Visible(one.RecordFile), Key: one.Key, Problems: []Problem{}, Notes: append([]string{}, one.Notes...),
		}
		if one.Signed != nil {
			k.Signer, k.SignedOn = one.Signed.Signer, one.Signed.On
		}
		if one.Stamp != nil {
			k.StampedAt, k.StampedBy = one.Stamp.At.UTC().Format(time.RFC3339), one.Stamp.By
		}
		for _, p := range one.Problems {
			places := []string{}
			for _, place := range p.Places {
				places = append(places, report.Visible(place))
			}
			k.Problems = append(k.Problems, Problem{p.Kind, p.Message, places})
		}
		out.Kits = append(out.Kits, k)
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(out); err != nil {
		return err
	}
	_, err := w.Write(report.JSON(b.Bytes()))
	return err
}
