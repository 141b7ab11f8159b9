package languageserver

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"kitgauge/checker"
	"kitgauge/checker/edit"
	"kitgauge/checker/engine"
	"kitgauge/checker/finding"
	"kitgauge/checker/report"
	"kitgauge/checker/slip"
	"kitgauge/checker/source"
	"kitgauge/checker/spelling"
)

// The kinds of action that are offered, and the command behind one of them.
const (
	kindQuickFix  = "quickfix"
	kindFixAll    = "source.fixAll"
	commandFixAll = "kitgauge.fixAll"
	titleFixAll   = "Write what follows from the rest of the file"
)

// wanted reports whether an editor that asks for some kinds alone wants one: a
// kind stands for those below it as well.
func wanted(only []string, kind string) bool {
	return len(only) == 0 || slices.ContainsFunc(only, func(o string) bool {
		return kind == o || strings.HasPrefix(kind, o+".")
	})
}

// codeActions lists what can be done at a range.
func (s *server) codeActions(p codeActionParams) func(context.Context) (any, error) {
	s.mu.Lock()
	d := s.document(p.TextDocument.URI)
	s.mu.Unlock()
	return func(ctx context.Context) (any, error) {
		list := []codeAction{}
		if d == nil {
			return list, nil
		}
		j := s.judged(ctx, d)
		if j == nil {
			return list, nil
		}
		if wanted(p.Context.Only, kindQuickFix) {
			list = append(list, s.quickFixes(d, p)...)
		}
		if wanted(p.Context.Only, kindFixAll) && s.safeEdits(d, j) {
			list = append(list, s.fixAllAction(ctx, d, p.Context.Only)...)
		}
		return list, nil
	}
}

// asked are the findings that a request for actions is about, the gravest
// first: those that the editor names, and those that its range touches; where
// there is none, those in the lines of the range.
func (p codeActionParams) asked(list []shown) []shown {
	var named, inLines []shown
	is := p.named()
	for _, one := range list {
		switch {
		case one.Range.touches(p.Range) || is(one.diagnostic):
			named = append(named, one)
		case one.Range.Start.Line <= p.Range.End.Line && one.Range.End.Line >= p.Range.Start.Line:
			inLines = append(inLines, one)
		}
	}
	if len(named) == 0 {
		named = inLines[:min(len(inLines), mostInLines)]
	}
	slices.SortStableFunc(named, func(a, b shown) int { return cmp.Compare(a.Severity, b.Severity) })
	return named
}

// mostInLines is for how many findings of a line actions are worked out: a file
// may be one line.
const mostInLines = 50

// named tells the diagnostics that an editor names; those of other programs may
// be of any shape.
func (p codeActionParams) named() func(diagnostic) bool {
	var list []json.RawMessage
	_ = json.Unmarshal(p.Context.Diagnostics, &list)
	type key struct{ code, message string }
	names := map[key]bool{}
	for _, raw := range list {
		var one diagnostic
		if json.Unmarshal(raw, &one) == nil {
			names[key{one.Code, one.Message}] = true
		}
	}
	return func(d diagnostic) bool { return names[key{d.Code, d.Message}] }
}

// quickFixes are the corrections of the findings that are asked about, and for
// each that can be conceded a draft of the concession.
func (s *server) quickFixes(d *document, p codeActionParams) []codeAction {
	s.mu.Lock()
	list, text := s.shownAt(d.path), d.text
	s.mu.Unlock()
	var fixes, drafts []codeAction
	for _, one := range p.asked(list) {
		if r := repairOf(text, one); r != nil {
			fixes = s.offer(fixes, one, firstUpper(r.Remedy), false, d.path, []report.Piece{{Splice: edit.Splice{From: r.Repair.From, To: r.Repair.To, With: r.Repair.Text}}})
		}
		if one.slip != nil {
			fixes = s.offer(fixes, one, wordsOf(one.slip), false, one.result.File, pieces(takenBack(one)))
		}
		if n, at := nearestWritten(one); n != "" {
			fixes = s.offer(fixes, one, "Write "+n+", the nearest (to be decided)", false, d.path, []report.Piece{{Splice: edit.Splice{From: at.from, To: at.to, With: n}}})
		}
		if one.finding == nil {
			continue
		}
		if c := one.result.Correction(one.finding); c != nil && !waits(one) {
			fixes = s.offer(fixes, one, titleOf(c), c.Kind == report.Safe && c.Doubt == "", c.File, c.Pieces)
		}
		if b := meantFlag(one); b != "" {
			cuts, _ := edit.Of(one.result.Text).Splices(edit.Change{Do: edit.Set, At: one.finding.Pointer, Value: b})
			fixes = s.offer(fixes, one, "Write "+b+" without quotes", true, one.result.File, pieces(cuts))
		}
		if n := cmp.Or(nearest(one), inNearestUnit(one)); n != "" && len(one.finding.Edits) == 0 {
			cuts, _ := edit.Of(one.result.Text).Splices(edit.Change{Do: edit.Set, At: one.finding.Pointer, Value: edit.Text(n)})
			fixes = s.offer(fixes, one, "Write "+n+", the nearest (to be decided)", false, one.result.File, pieces(cuts))
		}
		if change := concession(one); change != nil {
			if cuts, err := edit.Of(one.result.Text).Splices(*change); err == nil {
				drafts = s.offer(drafts, one, "Draft a concession for "+one.finding.Rule+" at "+one.finding.Place, false, one.result.File, pieces(cuts))
			}
		}
	}
	return append(onePreferred(fixes), drafts...)
}

// waits reports whether a finding is about a thing with a misspelt key: what is
// written right first may be all that was missing.
func waits(one shown) bool {
	return slices.ContainsFunc(one.result.Findings, func(f finding.Finding) bool {
		if f.Fingerprint == one.finding.Fingerprint || f.Status != finding.Violated || f.Pos.File != one.finding.Pos.File {
			return false
		}
		return slices.ContainsFunc(f.Edits, func(key edit.Change) bool {
			thing := key.At[:max(strings.LastIndex(key.At, "/"), 0)]
			return key.Do == edit.Rename && slices.ContainsFunc(one.finding.Edits, func(c edit.Change) bool {
				return c.At != key.At && (thing == "" && strings.HasPrefix(c.At, "/"+key.Key) || thing != "" && strings.HasPrefix(c.At, thing+"/"))
			})
		})
	})
}

// onePreferred prefers one action alone for a place.
func onePreferred(list []codeAction) []codeAction {
	var taken []span
	for i := range list {
		a := &list[i]
		if !a.Preferred {
			continue
		}
		at := a.Diagnostics[0].Range
		a.Preferred = !slices.ContainsFunc(taken, at.touches)
		taken = append(taken, at)
	}
	return list
}

// nearest is the name that a finding says is nearest to one that leads nowhere;
// "" where it says none of the value at its place.
func nearest(one shown) string {
	f := one.finding
	first, _, _ := strings.Cut(f.Message, "\n")
	n := cmp.Or(f.Nearest, spelling.Hinted(first))
	at := one.result.Text.Root.Lookup(f.Pointer)
	if n == "" || f.Pos.File != one.result.File || at == nil || at.Kind > source.Text || !strings.Contains(first, at.Scalar) {
		return ""
	}
	return n
}

// stretch is a piece of a text, in bytes.
type stretch struct{ from, to int }

// nearestWritten is what a finding says is nearest to what is marked in a file
// that kits read, and where that stands; "" where it says none, or is of the kit
// itself. What is set or conceded is somebody's to decide, however near it is.
func nearestWritten(one shown) (string, stretch) {
	t := one.of.textOf(one.file)
	if t == nil || one.result != nil && one.file == one.result.File || one.finding != nil && len(one.finding.Edits) > 0 {
		return "", stretch{}
	}
	at := stretch{t.offset(one.Range.Start), t.offset(one.Range.End)}
	written := string(t.bytes[at.from:at.to])
	if q := len(written) - 1; q > 0 && (written[0] == '"' || written[0] == '\'') && written[q] == written[0] {
		written, at = written[1:q], stretch{at.from + 1, at.to - 1}
	}
	first, _, _ := strings.Cut(one.Message, "\n")
	if written == "" || !strings.Contains(first, written) {
		return "", stretch{}
	}
	if m := nearestUnit.FindStringSubmatch(first); m != nil {
		if number, is := strings.CutSuffix(written, m[1]); is {
			return strings.TrimSpace(number) + " " + m[2], at
		}
	}
	if one.finding != nil && one.finding.Rule == finding.ConcessionMisspelt {
		m := meantRule.FindStringSubmatch(one.finding.Remedy)
		if m != nil {
			return m[1], at
		}
	}
	return spelling.Hinted(first), at
}

// meantRule is the rule that the remedy of a misspelt one names.
var meantRule = regexp.MustCompile(`^write (\S+) if that is meant$`)

var nearestUnit = regexp.MustCompile(`has an unknown unit "([^"]+)": .* \(nearest is (\S+)\)$`)

// inNearestUnit is a measure in the unit that a finding says is nearest to one
// that there is not; "" where it says none.
func inNearestUnit(one shown) string {
	m := nearestUnit.FindStringSubmatch(one.finding.Message)
	at := one.result.Text.Root.Lookup(one.finding.Pointer)
	if m == nil || at == nil || len(one.finding.Edits) > 0 || one.finding.Pos.File != one.result.File {
		return ""
	}
	number, is := strings.CutSuffix(at.Scalar, m[1])
	if !is {
		return ""
	}
	return strings.TrimSpace(number) + " " + m[2]
}

// meantFlag is true or false where that stands in quotes, as text; "" where it
// does not.
func meantFlag(one shown) string {
	f := one.finding
	at := one.result.Text.Root.Lookup(f.Pointer)
	if f.Rule != "file/shape" || f.Pos.File != one.result.File || at == nil || at.Kind != source.Text || !strings.HasSuffix(f.Message, "true or false is needed") {
		return ""
	}
	if at.Scalar != "true" && at.Scalar != "false" {
		return ""
	}
	return at.Scalar
}

// repairOf is the slip of typing that a diagnostic tells, with the change that
// undoes it; nil where it tells none.
func repairOf(t *text, one shown) *source.Problem {
	if !strings.HasPrefix(one.Code, "file/") {
		return nil
	}
	_, problems := source.Parse("", t.bytes)
	for _, p := range problems {
		if p.Repair != nil && p.Remedy != "" && t.column(max(p.Pos.Line, 1), p.Pos.Column) == one.Range.Start {
			return p
		}
	}
	return nil
}

func firstUpper(words string) string {
	first, size := utf8.DecodeRuneInString(words)
	return string(unicode.ToUpper(first)) + words[size:]
}

// titleOf says what a correction does, and who has to look at what first.
func titleOf(c *report.Correction) string {
	title := firstUpper(c.Title)
	switch {
	case c.Doubt != "":
		return title + " (look first: " + c.Doubt + ")"
	case c.Kind == report.Decision:
		return title + " (to be decided)"
	}
	return title
}

// offer adds the action that makes changes of a file; none where there is
// nothing to change, or the file is another by now. What mends several findings
// is offered once, and preferred only where that is safe for all of them.
func (s *server) offer(list []codeAction, one shown, title string, preferred bool, file string, changes []report.Piece) []codeAction {
	t, path := one.of.textOf(file), one.of.place.path(file)
	if len(changes) == 0 || t == nil {
		return list
	}
	e := s.editOf(map[string]rewrite{path: {t, edits(t, changes)}})
	if e == nil {
		return list
	}
	for i := range list {
		if same := &list[i]; reflect.DeepEqual(same.Edit, e) { // somebody has to decide on it for one of them
			if same.Preferred && !preferred {
				same.Title, same.Preferred = report.Visible(title), false
			}
			same.Diagnostics = append(same.Diagnostics, one.diagnostic)
			return list
		}
	}
	return append(list, codeAction{Title: report.Visible(title), Kind: kindQuickFix, Preferred: preferred, Diagnostics: []diagnostic{one.diagnostic}, Edit: e})
}

// pieces are changes of a text as those of a correction.
func pieces(cuts []edit.Splice) []report.Piece {
	var list []report.Piece
	for _, c := range cuts {
		list = append(list, report.Piece{Splice: c})
	}
	return list
}

// wordsOf says what taking back a slip does.
func wordsOf(e *slip.Explanation) string {
	var to []string
	for _, it := range e.Edits {
		to = append(to, it.To)
	}
	return "Write " + strings.Join(to, ", ") + " (" + lookFirst + ")"
}

// takenBack are the changes that take back a slip in the kit: values that others
// take the place of.
func takenBack(one shown) []edit.Splice {
	var changes []edit.Change
	for _, e := range one.slip.Edits {
		n := one.result.Text.Root.Lookup(e.Pointer)
		if e.Document > 0 || n == nil || n.Kind >= source.List || n.Scalar != e.From || one.slip.Kind == slip.Order {
			return nil
		}
		value := edit.Text(e.To)
		if n.Kind == source.Number {
			value = e.To
		}
		changes = append(changes, edit.Change{Do: edit.Set, At: e.Pointer, Value: value})
	}
	list, err := edit.Of(one.result.Text).Splices(changes...)
	if err != nil {
		return nil
	}
	return list
}

// concession is the change of a kit that drafts a concession for a finding; nil
// where it cannot be conceded. What only the person who grants it knows stays
// empty, and is asked for until it is stated.
func concession(one shown) *edit.Change {
	f, j := one.finding, one.of
	if f.Status != finding.Violated || f.Own == finding.None {
		return nil
	}
	config, err := j.checker.Config(j.place.name)
	if err != nil || slices.ContainsFunc(config.Packs, func(p *engine.Pack) bool {
		return slices.ContainsFunc(p.Rules, func(r *engine.Rule) bool { return r.ID == f.Rule && r.Never })
	}) {
		return nil
	}
	at := f.Place
	if len(at) > longestLabel {
		at = f.Pointer
	}
	draft := fmt.Sprintf(`{"rule": %s, "place": %s, "reason": "", "granted_by": "", "until": "", "severity": %q`, edit.Text(f.Rule), edit.Text(at), f.Severity)
	if f.Value != nil {
		draft += `, "value": ` + edit.Text(f.Value.Text)
	}
	return &edit.Change{Do: edit.Insert, At: "/concessions/-", Value: draft + "}"}
}

// longestLabel is how long the place of a concession may be.
const longestLabel = 64

// edits turns pieces of a text into those of an editor.
func edits(t *text, list []report.Piece) []textEdit {
	var out []textEdit
	for _, p := range list {
		out = append(out, textEdit{t.span(p.From, p.To), p.With})
	}
	return out
}

// rewrite are edits of a text.
type rewrite struct {
	of   *text
	list []textEdit
}

// editOf is a change of files, by path, as the editor takes it: of a version of
// each that is open where the editor can hold on to that. It is nil where one
// that is open is another text by now.
func (s *server) editOf(changes map[string]rewrite) *workspaceEdit {
	s.mu.Lock()
	defer s.mu.Unlock()
	versioned := s.client.Capabilities.Workspace.WorkspaceEdit.DocumentChanges
	out := &workspaceEdit{}
	for _, path := range slices.Sorted(maps.Keys(changes)) {
		id := versionedID{URI: uriOf(path)}
		if d := s.documents[path]; d != nil {
			if !bytes.Equal(d.text.whole, changes[path].of.whole) {
				return nil
			}
			version := d.version
			id = versionedID{d.uri, &version}
		}
		if versioned {
			out.DocumentChanges = append(out.DocumentChanges, documentEdit{id, changes[path].list})
			continue
		}
		if out.Changes == nil {
			out.Changes = map[string][]textEdit{}
		}
		out.Changes[id.URI] = changes[path].list
	}
	return out
}

// safeEdits reports whether something is found that can be mended without
// anybody's decision. A text in which a fix left nothing but what it could not
// mend has nothing of that kind.
func (s *server) safeEdits(d *document, j *judgement) bool {
	s.mu.Lock()
	mended, in := d.mended, d.mendedIn
	s.mu.Unlock()
	if mended != nil && in == j.store && bytes.Equal(mended, j.text.bytes) {
		return false
	}
	return slices.ContainsFunc(j.results, func(r *checker.Result) bool {
		return slices.ContainsFunc(r.Findings, func(f finding.Finding) bool {
			if f.Status != finding.Violated || len(f.Edits) == 0 || f.Choice || f.Follows != "" || r.At(&f).File != r.File {
				return false
			}
			c := r.Correction(&f)
			return c != nil && (c.Doubt == "" || len(c.Pieces) == 0)
		})
	})
}

// fixAllAction mends all that needs no decision; what that comes to is worked
// out when somebody chooses it. An editor that can ask for nothing later is given
// it where it asks for that kind alone.
func (s *server) fixAllAction(ctx context.Context, d *document, only []string) []codeAction {
	a := codeAction{Title: titleFixAll, Kind: kindFixAll}
	s.mu.Lock()
	can := s.client.Capabilities
	s.mu.Unlock()
	switch {
	case slices.Contains(can.TextDocument.CodeAction.ResolveSupport.Properties, "edit"):
		a.Data, _ = json.Marshal(documentID{URI: d.uri})
	case can.Workspace.ApplyEdit:
		a.Command = &command{a.Title, commandFixAll, []string{d.uri}}
	case len(only) > 0:
		edit, err := s.fixAll(ctx, d)
		if err != nil {
			return nil
		}
		a.Edit = edit
	default:
		return nil
	}
	return []codeAction{a}
}

// resolveAction works out what an action comes to.
func (s *server) resolveAction(a codeAction) func(context.Context) (any, error) {
	var id documentID
	_ = json.Unmarshal(a.Data, &id)
	s.mu.Lock()
	d := s.document(id.URI)
	s.mu.Unlock()
	return func(ctx context.Context) (any, error) {
		if a.Edit != nil || d == nil {
			return a, nil
		}
		edit, err := s.fixAll(ctx, d)
		a.Edit = edit
		return a, err
	}
}

// execute runs a command: for editors that cannot ask for an action's edits.
func (s *server) execute(p executeParams) func(context.Context) (any, error) {
	var d *document
	if p.Command == commandFixAll && len(p.Arguments) == 1 {
		s.mu.Lock()
		d = s.document(p.Arguments[0])
		s.mu.Unlock()
	}
	return func(ctx context.Context) (any, error) {
		s.mu.Lock()
		can := s.client.Capabilities.Workspace.ApplyEdit
		s.mu.Unlock()
		switch {
		case !can:
			return nil, errors.New("nothing is written: this editor takes no edits from a server (workspace/applyEdit)")
		case d == nil:
			return nil, fmt.Errorf("there is no command %q for this file", p.Command)
		}
		edit, err := s.fixAll(ctx, d)
		if err != nil {
			return nil, err
		}
		var answer applyEditResult
		if err := s.conn.Call(ctx, "workspace/applyEdit", applyEditParams{titleFixAll, *edit}, &answer); err != nil {
			return nil, err
		}
		if !answer.Applied {
			return nil, errors.New(strings.TrimSuffix("the editor did not make the edits: "+answer.Why, ": "))
		}
		return nil, nil
	}
}

// errTypedOver is the error of a change of a text that is another by now.
var errTypedOver = errors.New("the text was changed meanwhile, and stays as it is")

// longestFix is how long a person waits for edits.
const longestFix = 10 * time.Second

// late is the error of edits that took longer than that.
func late(name string) error {
	return fmt.Errorf("what follows from the rest of the file could not be worked out within %s, and nothing is changed: kitgauge fix %s takes its time", longestFix, name)
}

// fixAll makes all edits of a kit that need no decision, but for those that one
// slip may be behind; the error says why there are none.
func (s *server) fixAll(ctx context.Context, d *document) (*workspaceEdit, error) {
	ctx, cancel := context.WithTimeout(ctx, longestFix)
	defer cancel()
	j := s.explained(ctx, d)
	switch {
	case ctx.Err() != nil:
		return nil, late(d.path)
	case j == nil || j.checker == nil:
		return nil, errors.New("nothing is written: this is no kit that is open")
	}
	o := s.options.Check
	o.Files, o.Dir, o.On = newStore(s.buffer), j.place.dir, s.options.today()
	fixed, err := j.checker.With(o).FixContext(ctx, j.place.name, j.text.bytes, checker.FixOptions{Known: j.results})
	switch {
	case ctx.Err() != nil:
		return nil, late(j.place.name)
	case err != nil:
		return nil, err
	}
	s.mu.Lock()
	d.mended, d.mendedIn = fixed.Text, j.store
	s.mu.Unlock()
	list := edits(j.text, pieces(lineEdits(j.text.bytes, fixed.Text)))
	if len(list) == 0 {
		return nil, nothingWritten(fixed)
	}
	e := s.editOf(map[string]rewrite{d.path: {j.text, list}})
	if e == nil {
		return nil, errTypedOver
	}
	return e, nil
}

// nothingWritten says why a fix changes nothing.
func nothingWritten(f *checker.Fix) error {
	if len(f.Left) == 0 {
		return errors.New("nothing is written: nothing that is found follows from the rest of the file alone")
	}
	left := &f.Left[0]
	return fmt.Errorf("nothing is written: %s, %s: %s", report.Visible(left.Place), left.Rule, report.Visible(left.Why))
}
