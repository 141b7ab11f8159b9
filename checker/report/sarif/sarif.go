// Package sarif writes the results of a run as SARIF 2.1.0 (OASIS Static
// Analysis Results Interchange Format), which code hosts and editors show at
// the lines of the kit files. Concessions become suppressions, the record of
// known findings a baseline, and a check that could not be evaluated an open
// result. Clause numbers in comments are those of the specification.
package sarif

import (
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"unicode"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
)

const (
	schemaURI = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
	// FingerprintKey names kitgauge's own fingerprint; the part behind the
	// slash is raised where fingerprints come to rest on other things.
	FingerprintKey = "kitgaugeFinding/v1"
	// PlaceKey names a second one, which does not rest on the number of the
	// kit: it stays where the header gets another number.
	PlaceKey = "kitgaugePlace/v1"
)

// Options says what the file names of a run are relative to.
type Options struct {
	// Root is the absolute path of the directory that %SRCROOT% stands for,
	// as a rule the root of the repository; files below it get URIs that
	// hold no path of the machine. Empty takes file names as they are.
	Root string
}

// Write writes the results of a run. The same run and options give the same
// bytes.
func Write(w io.Writer, run report.Run, o Options) error {
	b := newBuilder(run, o)
	text, err := json.MarshalIndent(logFile{Schema: schemaURI, Version: "2.1.0", Runs: []runLog{b.log()}}, "", "  ")
	if err != nil {
		return fmt.Errorf("writing the result as SARIF: %w", err)
	}
	_, err = w.Write(report.JSON(append(text, '\n')))
	return err
}

// builder makes one run of the log.
type builder struct {
	run       report.Run
	root      string
	rules     []report.Rule
	ruleIndex map[string]int
	artifacts []artifact
	fileIndex map[string]int
	relative  bool                        // a file is given relative to the root
	causes    map[string]*finding.Finding // of the kit at hand, by fingerprint
	seen      map[string]int              // how often a rule and a place came, of the kit at hand
	conceded  bool                        // a result is suppressed, so that every one says whether it is (3.27.23)
	ended     ended                       // the line that was looked at last
	compared  bool                        // there is a baseline, so that every result says how it stands to it (3.27.24)
}

func newBuilder(run report.Run, o Options) *builder {
	c := run.Counts()
	b := &builder{
		run: run, root: o.Root, rules: run.AllRules(), ruleIndex: map[string]int{}, artifacts: []artifact{}, fileIndex: map[string]int{},
		conceded: c.Conceded > 0, compared: c.Known > 0 || len(run.Gone) > 0,
	}
	for i, r := range b.rules {
		b.ruleIndex[r.ID] = i
	}
	for i := range run.Kits {
		if file := run.Kits[i].File; file != "" {
			b.file(file, "analysisTarget")
		}
	}
	return b
}

func (b *builder) log() runLog {
	c := b.run.Counts()
	out := runLog{
		Tool: tool{Driver: driver{
			Name: "kitgauge", Version: report.Visible(b.run.Version),
			ShortDescription: message{"Checks the configuration of automatic-greasing kits."},
			Rules:            b.ruleLogs(),
		}},
		// The id ends in a slash: it names a group of like runs (3.17.3).
		AutomationDetails: automation{ID: "kitgauge/check/", Description: message{"Check of greasing-kit files."}},
		DefaultEncoding:   "utf-8",
		ColumnKind:        "unicodeCodePoints",
		Results:           b.results(),
		Properties: &runProperties{
			Gate: b.run.Gate.String(), Verdict: c.Verdict(b.run.Gate), On: report.Visible(b.run.On), Caution: report.Caution,
			Policy: report.Visible(b.run.Policy),
		},
	}
	out.Invocations = []invocation{{
		ExecutionSuccessful: c.Unreadable == 0, ExitCode: b.run.Exit(), ExitCodeDescription: c.Verdict(b.run.Gate),
		ToolExecutionNotifications: b.unread(), ToolConfigurationNotifications: b.judged(),
	}}
	out.Artifacts = b.artifacts
	if b.relative {
		out.OriginalURIBaseIDs = map[string]fileSpot{srcRoot: {Description: &message{"The directory in which the check was started."}}}
	}
	return out
}

// unread tells of the kits that were not checked in full.
func (b *builder) unread() []notification {
	var list []notification
	for i := range b.run.Kits {
		k := &b.run.Kits[i]
		if !k.Shaped {
			n := notification{Level: "error", Message: text("The kit was not checked in full.")}
			if at := b.physical(k, place{file: k.File}); at != nil {
				n.Locations = []location{{PhysicalLocation: at}}
			}
			list = append(list, n)
		}
	}
	for _, passed := range b.run.Passed {
		list = append(list, notification{Level: "warning", Message: text(sentence("Not checked: " + passed))})
	}
	return list
}

// judged tells what settings weaken.
func (b *builder) judged() []notification {
	var list []notification
	for _, w := range b.run.Weakened() {
		list = append(list, notification{Level: "warning", Message: text(sentence("Weakened by settings: " + w.Where()))})
	}
	return list
}

func (b *builder) ruleLogs() []ruleLog {
	list := []ruleLog{}
	for _, r := range b.rules {
		title, why := r.Title, r.Why
		if title == "" {
			title = r.ID
		}
		if why == "" {
			why = title
		}
		help := sentence(why)
		if r.Basis != "" {
			help += " Basis: " + sentence(r.Basis)
		}
		id := report.Visible(r.ID)
		list = append(list, ruleLog{
			ID: id, Name: pascal(id),
			ShortDescription:     text(sentence(title)),
			FullDescription:      text(sentence(why)),
			Help:                 helpOf(r, help+" More: kitgauge rule "+id+"."),
			DefaultConfiguration: configuration{level(r.Severity)},
			Properties: ruleProperties{
				Severity: r.Severity.String(), Basis: report.Visible(r.Basis), Tags: []string{report.Visible(report.Pack(r.ID))},
			},
		})
	}
	return list
}

// helpOf is what a viewer shows of a rule, also as Markdown. Packs of one's own
// are data: nothing in them becomes a link, an image or markup.
func helpOf(r report.Rule, plain string) help {
	var b strings.Builder
	part := func(name, text string) {
		if text != "" {
			fmt.Fprintf(&b, "**%s** %s\n\n", name, markdown(sentence(text)))
		}
	}
	fmt.Fprintf(&b, "%s\n\n", markdown(sentence(cmp.Or(r.Title, r.ID))))
	part("Severity:", r.Severity.String())
	part("Why:", r.Why)
	part("Basis:", r.Basis)
	fmt.Fprintf(&b, "More: `kitgauge rule %s`\n\n%s\n", strings.ReplaceAll(report.Visible(r.ID), "`", ""), markdown(report.Caution))
	return help{Text: text(plain).Text, Markdown: b.String()}
}

// markdown writes text so that it means itself: every sign that could begin
// markup stands behind a backslash (CommonMark 0.31, 2.4), and braces are no
// placeholder.
func markdown(s string) string {
	var b strings.Builder
	for _, r := range report.Visible(s) {
		if strings.ContainsRune("\\`*_{}[]<>()#+-!|~&:@/", r) && r != '{' && r != '}' {
			b.WriteByte('\\')
		}
		b.WriteRune(r)
	}
	return strings.NewReplacer("{", "\\{{", "}", "\\}}").Replace(b.String())
}

// rank is how much a result matters beside others, from 0 to 100 (3.27.25).
func rank(s finding.Severity) *float64 {
	of := map[finding.Severity]float64{finding.Critical: 90, finding.Major: 60, finding.Minor: 30}
	v := of[s]
	return &v
}

// level is the degree of a failure: what can injure somebody or keeps the kit
// from doing its job is an error (3.27.10).
func level(s finding.Severity) string {
	switch s {
	case finding.Critical, finding.Major:
		return "error"
	case finding.Minor:
		return "warning"
	}
	return "note"
}

// pascal makes the friendly name of a rule from its id: slack/steered is
// SlackSteered.
func pascal(id string) string {
	var b strings.Builder
	upper := true
	for _, r := range id {
		switch {
		case !unicode.IsLetter(r) && !unicode.IsDigit(r):
			upper = true
			continue
		case upper:
			r = unicode.ToUpper(r)
		}
		upper = false
		b.WriteRune(r)
	}
	return b.String()
}

// literal writes braces so that they are no placeholder (3.11.5), and brackets
// so that they are no link (3.11.6).
var literal = strings.NewReplacer("{", "{{", "}", "}}", "](", "] (")

// text makes a plain text message of text that may come from a kit.
func text(s string) message { return message{literal.Replace(report.Visible(s))} }

// sentence ends a text with a full stop, where nothing else ends it.
func sentence(s string) string {
	if s == "" || strings.HasSuffix(s, ".") || strings.HasSuffix(s, "!") || strings.HasSuffix(s, "?") {
		return s
	}
	return s + "."
}
