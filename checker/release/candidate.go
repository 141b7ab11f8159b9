package release

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"path/filepath"
	"slices"

	"kitgauge/checker"
	"kitgauge/checker/files"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/report/record"
)

// Options says how kits are looked at for a sign-off.
type Options struct {
	Version string // of the program
	On      string // the day for which concessions are judged
	Known   string // a record of known findings; "" where none is used
	// OnReason is why the day is far from that of signing; "" where it is not.
	OnReason string
	// Policy is what the kit is judged by; nil reads it from the tree of the kit.
	Policy *checker.Policy
}

// Candidate is a kit that was checked, and may be signed off.
type Candidate struct {
	File   string // as it was given
	Result *checker.Result

	options Options
}

// Check checks every kit of a file for a sign-off. Packs are those that the
// settings of the kit say, and so is the gate; a sign-off cannot choose. The
// Checker lends its built-in packs.
func Check(with *checker.Checker, file string, o Options) ([]*Candidate, error) {
	text, _, err := files.ReadNamed(file)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	in := checker.Options{Dir: filepath.Dir(file), On: o.On, Policy: o.Policy}
	if o.Known != "" {
		if in.Known, err = readKnown(with.With(in), file, o); err != nil {
			return nil, err
		}
	}
	return check(with.With(in), file, text, o)
}

func check(c *checker.Checker, file string, text []byte, o Options) ([]*Candidate, error) {
	results, err := c.Check(filepath.Base(file), text)
	if err != nil {
		return nil, err
	}
	var list []*Candidate
	for _, r := range results {
		list = append(list, &Candidate{File: file, Result: r, options: o})
	}
	return list, nil
}

// readKnown reads a record of known findings; it has to lie in the kit's tree,
// where verification finds it again. Under a policy it is that of the policy.
func readKnown(c *checker.Checker, kit string, o Options) (*checker.Known, error) {
	name, err := files.Relative(filepath.Dir(kit), o.Known)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", o.Known, err)
	}
	var known *checker.Known
	if o.Policy != nil {
		if known, err = o.Policy.ReadKnown(o.Known); err != nil {
			return nil, fmt.Errorf("the record of known findings counts as it stands in %s: %w", o.Policy.Name, err)
		}
	} else {
		text, err := c.ReadBeside(filepath.Base(kit), name)
		if err != nil {
			return nil, fmt.Errorf("%s: %s", o.Known, files.PlainError(err))
		}
		if known, err = checker.ParseKnown(o.Known, text); err != nil {
			return nil, err
		}
	}
	known.Name = name
	return known, nil
}

func digest(text []byte) string {
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])
}

func (c *Candidate) gate() finding.Severity { return checker.Gate(c.Result) }

// DrawnBy is who drew the kit, as its header says it: what is judged is what is
// written there, and not how it is shown.
func (c *Candidate) DrawnBy() string { return c.header("drawn_by") }

// CheckedBy is who checked the kit, as its header says it.
func (c *Candidate) CheckedBy() string { return c.header("checked_by") }

func (c *Candidate) header(key string) string {
	if text := c.Result.Text; text != nil && text.Root != nil {
		if n := text.Root.At("header", key); n != nil {
			return n.Scalar
		}
	}
	return ""
}

// Record is what a signer signs. The same kit gives the same record.
func (c *Candidate) Record(signer string) (*Record, error) {
	kit := &c.Result.Kit
	counts := kit.Counts(c.gate())
	result, err := c.resultDigest()
	if err != nil {
		return nil, err
	}
	r := &Record{
		Format: Format, FormatVersion: FormatVersion, ToolVersion: c.options.Version,
		Kit: Kit{
			Document: kit.Document, Number: report.Visible(kit.Number), Revision: report.Visible(kit.Revision), Title: report.Visible(kit.Title),
			Status: report.Visible(kit.Status), DrawnBy: report.Visible(c.DrawnBy()),
			CheckedBy: report.Visible(c.CheckedBy()),
		},
		Signer: signer, On: c.options.On, OnReason: c.options.OnReason, Remarks: c.remarks(signer), Gate: c.gate().String(), Verdict: counts.Verdict(c.gate()),
		Counts: Counts{
			Critical: counts.Critical, Major: counts.Major, Minor: counts.Minor, NotEvaluated: counts.NotEvaluated,
			Conceded: counts.Conceded, Known: counts.Known, Rules: counts.Rules, Checks: counts.Checks,
		},
		Result: result, Inputs: c.inputs(), Concessions: []Concession{}, Findings: []Finding{},
	}
	if kit.Weakened != nil {
		for _, says := range kit.Weakened.Says {
			r.Weakened = append(r.Weakened, report.Visible(says))
		}
	}
	for i := range kit.Findings {
		r.add(&kit.Findings[i])
	}
	return r, nil
}

func (r *Record) add(f *finding.Finding) {
	if f.Status == finding.Conceded {
		r.Concessions = append(r.Concessions, Concession{
			Rule: f.Rule, Place: report.Visible(f.Place), Severity: f.Severity.String(), Fingerprint: f.Fingerprint,
			Reason: report.Visible(f.Concession.Reason), GrantedBy: report.Visible(f.Concession.GrantedBy), Until: f.Concession.Until,
		})
		return
	}
	r.Findings = append(r.Findings, Finding{
		Rule: f.Rule, Place: report.Visible(f.Place), Severity: f.Severity.String(), Status: f.Status.String(), Fingerprint: f.Fingerprint,
	})
}

// inputs lists what went in, by role and name.
func (c *Candidate) inputs() []Input {
	var list []Input
	for _, in := range c.Result.Inputs {
		entry := Input{Role: in.Role, Name: in.Name, BuiltIn: in.BuiltIn, SHA256: digest(in.Text), Pieces: []Piece{}}
		if !in.BuiltIn {
			entry.Pieces = pieces(in, c.Result.Document)
		}
		list = append(list, entry)
	}
	slices.SortFunc(list, compareInputs)
	return slices.CompactFunc(list, func(a, b Input) bool { return compareInputs(a, b) == 0 })
}

func compareInputs(a, b Input) int {
	return cmp.Or(
		cmp.Compare(slices.Index(roles, a.Role), slices.Index(roles, b.Role)),
		cmp.Compare(a.Name, b.Name),
		cmp.Compare(word(a.BuiltIn), word(b.BuiltIn)),
	)
}

func word(is bool) string { return fmt.Sprint(is) }

// resultDigest is the digest of the kit's part of the JSON record of the
// check, in canonical form. Numbers count as they are shown, with their unit:
// the last bits of the figures in SI differ from one kind of processor to
// another. File names are relative to the kit, so that it does not matter from
// where the check is run.
func (c *Candidate) resultDigest() (string, error) {
	kit := &c.Result.Kit
	var b bytes.Buffer
	if err := record.WriteLine(&b, kit, c.gate()); err != nil {
		return "", err
	}
	var tree any
	d := json.NewDecoder(&b)
	d.UseNumber()
	if err := d.Decode(&tree); err != nil {
		return "", fmt.Errorf("reading the result: %w", err)
	}
	text, err := json.Marshal(without(tree, "si"))
	if err != nil {
		return "", fmt.Errorf("writing the result: %w", err)
	}
	if text, err = Canonical(text); err != nil {
		return "", fmt.Errorf("writing the result: %w", err)
	}
	return digest(text), nil
}

// without takes the members of a name out of a tree.
func without(tree any, name string) any {
	switch t := tree.(type) {
	case map[string]any:
		delete(t, name)
		for _, v := range t {
			without(v, name)
		}
	case []any:
		for _, v := range t {
			without(v, name)
		}
	}
	return tree
}
