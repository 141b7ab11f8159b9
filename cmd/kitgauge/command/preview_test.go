package command_test

import (
	"bufio"
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"kitgauge/checker"
	"kitgauge/checker/browsertest"
	"kitgauge/checker/facts"
	"kitgauge/checker/units"
	"kitgauge/cmd/kitgauge/command"
)

// With -shots pictures of the page are kept, to be looked at:
//
//	go test ./cmd/kitgauge/command -run Preview -shots /tmp/shots
var shots = flag.String("shots", "", "keep pictures of the page in this directory")

// fleet is a directory with a kit of the examples, and the page that shows it.
type fleet struct {
	t         *testing.T
	dir, file string
	url       string
}

// preview copies a kit and its catalogue, and serves its page until the tests
// end.
func preview(t *testing.T, name string, pairs ...string) *fleet {
	t.Helper()
	f := &fleet{t: t, dir: t.TempDir()}
	f.file = filepath.Join(f.dir, "kits", name+".kit.yaml")
	f.put("parts/winter.parts.yaml", f.example("parts/winter.parts.yaml"))
	f.put("kits/"+name+".kit.yaml", f.example(name+"/"+name+".kit.yaml", pairs...))
	out, in := io.Pipe()
	go command.Run([]string{"preview", f.file}, command.Streams{In: strings.NewReader(""), Out: in, Err: io.Discard})
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	f.url = strings.TrimSpace(line)
	return f
}

// example is a file of the examples, with texts replaced.
func (f *fleet) example(file string, pairs ...string) string {
	f.t.Helper()
	text, err := os.ReadFile(filepath.Join("../../../examples", file))
	if err != nil {
		f.t.Fatal(err)
	}
	for i := 0; i < len(pairs); i += 2 {
		if !bytes.Contains(text, []byte(pairs[i])) {
			f.t.Fatalf("%s does not hold %q", file, pairs[i])
		}
		text = bytes.ReplaceAll(text, []byte(pairs[i]), []byte(pairs[i+1]))
	}
	return string(text)
}

// put saves a file as many editors do: a new one takes the place of the old.
func (f *fleet) put(name, text string) {
	f.t.Helper()
	file := filepath.Join(f.dir, name)
	if err := errors.Join(os.MkdirAll(filepath.Dir(file), 0o755), os.WriteFile(file+"~", []byte(text), 0o644), os.Rename(file+"~", file)); err != nil {
		f.t.Fatal(err)
	}
}

// facts are those of the kit as the check computes them.
func (f *fleet) facts() *facts.Kit {
	f.t.Helper()
	results, err := checker.New(checker.Options{}).CheckFile(f.file)
	if err != nil {
		f.t.Fatal(err)
	}
	return results[0].Facts
}

// until waits for something that becomes true in the page.
func until(tb *browsertest.Tab, what, expression string) {
	tb.T.Helper()
	for range 200 {
		if browsertest.Evaluate[bool](tb, "!!("+expression+")") {
			return
		}
		time.Sleep(25 * time.Millisecond)
	}
	tb.T.Fatalf("%s: not so after 5 s: %s", what, browsertest.Evaluate[string](tb, "document.body.innerText.slice(0, 600)"))
}

// calm waits until the page shows what it asked for.
func calm(tb *browsertest.Tab) {
	tb.T.Helper()
	until(tb, "the page is at rest", `state && state.number === wanted && !loading && !asking && document.querySelector('#posed svg')`)
}

func shoot(tb *browsertest.Tab, name string) {
	tb.T.Helper()
	if *shots == "" {
		return
	}
	browsertest.Evaluate[bool](tb, "scrollTo(0, 0), true")
	time.Sleep(300 * time.Millisecond)
	if err := os.WriteFile(filepath.Join(*shots, name+".png"), browsertest.Call(tb, chromedp.CaptureScreenshot()), 0o644); err != nil {
		tb.T.Fatal(err)
	}
}

// text is that of an element, as it is shown.
func text(tb *browsertest.Tab, selector string) string {
	tb.T.Helper()
	return browsertest.Evaluate[string](tb, fmt.Sprintf("(document.querySelector(%q) || {innerText: ''}).innerText.replace(/\\s+/g, ' ').trim()", selector))
}

// TestMain ends the browser that the tests share.
func TestMain(m *testing.M) { browsertest.Main(m) }

// TestPreview uses the page in a browser, which is started once.
func TestPreview(t *testing.T) {
	ctx := browsertest.Start(t)
	t.Run("saves", func(t *testing.T) { previewSaves(t, ctx) })
	t.Run("joints", func(t *testing.T) { previewJoints(t, ctx) })
	faulty := preview(t, "gritter-faulty")
	t.Run("findings", func(t *testing.T) { previewFindings(t, ctx, faulty) })
	t.Run("looks", func(t *testing.T) { previewLooks(t, ctx, faulty) })
	t.Run("focus", func(t *testing.T) { previewFocus(t, ctx, faulty) })
	t.Run("details", func(t *testing.T) { previewDetails(t, ctx, faulty) })
	t.Run("hostile", func(t *testing.T) { previewHostile(t, ctx) })
}

// previewSaves: the page follows what is saved, and keeps its picture where
// that cannot be read.
func previewSaves(t *testing.T, ctx context.Context) {
	f := preview(t, "trailer")
	tb := browsertest.Open(t, ctx, f.url, browsertest.Size(1280, 900))
	calm(tb)
	if got := text(tb, "#found"); got != "Nothing is found." {
		t.Errorf("found: %q", got)
	}
	if got := browsertest.Evaluate[int](tb, "document.querySelectorAll('#plan .bundle').length"); got < 4 {
		t.Errorf("got %d pieces of bundles in the drawing", got)
	}
	good := f.example("trailer/trailer.kit.yaml")

	f.put("kits/trailer.kit.yaml", strings.Replace(good, "fuse_distance: 150 mm", "fuse_distance: 450 mm", 1))
	until(tb, "a finding is shown", `document.querySelector('#found .finding')`)
	calm(tb)
	if got := text(tb, "#found"); !strings.Contains(got, "critical the feed") || !strings.Contains(got, "the fuse sits 450 mm from the source") {
		t.Errorf("found: %q", got)
	}
	if got := text(tb, "#said"); !strings.HasPrefix(got, "Saved and checked again: 1 finding, 0 before; outside the gate") {
		t.Errorf("said: %q", got)
	}

	f.put("kitgauge.settings.yaml", "gate: none\n") // above the kit, where there was none
	until(tb, "the settings count", `/gate/.test(document.getElementById('mind').textContent)`)
	if err := os.Remove(filepath.Join(f.dir, "kitgauge.settings.yaml")); err != nil {
		t.Fatal(err)
	}
	until(tb, "the settings are gone", `!/gate/.test(document.getElementById('mind').textContent)`)

	f.put("parts/winter.parts.yaml", "")
	until(tb, "the catalogue counts", `/cannot be read|not known|catalogue/.test(document.getElementById('found').textContent)`)
	f.put("parts/winter.parts.yaml", f.example("parts/winter.parts.yaml"))
	until(tb, "the catalogue is back", `document.querySelectorAll('#found .finding').length === 1`)

	f.put("kits/trailer.kit.yaml", good[:len(good)/2]+"\n  x: [")
	until(tb, "the fault is shown", `document.getElementById('trouble').textContent`)
	calm(tb)
	if got := text(tb, "#trouble"); !strings.HasPrefix(got, "The file cannot be read") || !regexp.MustCompile(`trailer\.kit\.yaml:\d+`).MatchString(got) {
		t.Errorf("trouble: %q", got)
	}
	if got := browsertest.Evaluate[int](tb, "document.querySelectorAll('#plan .bundle').length"); got < 4 {
		t.Errorf("the picture has gone: %d pieces", got)
	}
	shoot(tb, "broken-light-1280")
	f.put("kitgauge.settings.yaml", "gate: enormous\n")
	until(tb, "broken settings are told", `/gate/.test(document.getElementById('trouble').textContent)`)
	if err := errors.Join(os.Remove(filepath.Join(f.dir, "kitgauge.settings.yaml")), os.WriteFile(f.file, []byte(good), 0o644)); err != nil { // in place
		t.Fatal(err)
	}
	until(tb, "all is well", `!document.getElementById('trouble').textContent && document.getElementById('found').textContent === 'Nothing is found.'`)
	saved := f.saved()
	// its place is taken by a link that leads out of the tree
	outside := filepath.Join(t.TempDir(), "other.kit.yaml")
	if err := errors.Join(os.WriteFile(outside, []byte("header: {number: X}"), 0o644), os.Remove(f.file), os.Symlink(outside, f.file)); err != nil {
		t.Fatal(err)
	}
	until(tb, "the link is told", `document.getElementById('trouble').textContent`)
	f.notKnown(tb, saved)
	if err := os.Remove(f.file); err != nil {
		t.Fatal(err)
	}
	f.put("kits/trailer.kit.yaml", good)
	saved = f.saved()
	until(tb, "the kit is back", `!document.getElementById('trouble').textContent && document.getElementById('verdict').textContent.startsWith('Within the gate')`)
	// the directory goes, and comes back as another
	away := filepath.Join(f.dir, "away")
	if err := os.Rename(filepath.Join(f.dir, "kits"), away); err != nil {
		t.Fatal(err)
	}
	until(tb, "the file is gone", `/no such file/.test(document.getElementById('trouble').textContent)`)
	f.notKnown(tb, saved)
	f.put("kits/trailer.kit.yaml", good)
	until(tb, "it is back", `!document.getElementById('trouble').textContent`)
	f.put("kits/trailer.kit.yaml", strings.Replace(good, "fuse_distance: 150 mm", "fuse_distance: 450 mm", 1))
	until(tb, "it is followed again", `document.querySelector('#found .finding')`)
	for _, fault := range tb.Noted() {
		t.Error(fault)
	}
}

// saved is when the kit was saved.
func (f *fleet) saved() string {
	f.t.Helper()
	info, err := os.Stat(f.file)
	if err != nil {
		f.t.Fatal(err)
	}
	return info.ModTime().Format(time.DateTime)
}

// notKnown: without its file nothing is known of a kit, and the page says so,
// and the path as it is written.
func (f *fleet) notKnown(tb *browsertest.Tab, saved string) {
	tb.T.Helper()
	calm(tb)
	if got, want := text(tb, "#verdict"), "Not known now: what stands below is of the kit as saved "+saved+"."; got != want {
		tb.T.Errorf("the verdict is %q, want %q", got, want)
	}
	if got := text(tb, "#found"); !strings.Contains(got, "what would be found now is not known") || strings.Contains(got, "Nothing is found") {
		tb.T.Errorf("found: %q", got)
	}
	if got := text(tb, "#trouble"); !strings.Contains(got, f.file+":") || !strings.Contains(got, "as saved "+saved) {
		tb.T.Errorf("trouble: %q", got)
	}
}

// previewJoints: a slider at the end of a joint's range shows the slack that the
// check computes there, and the drawing follows.
func previewJoints(t *testing.T, ctx context.Context) {
	f := preview(t, "trailer")
	k := f.facts()
	tb := browsertest.Open(t, ctx, f.url, browsertest.Size(1280, 900))
	calm(tb)
	var span *facts.Span
	at := 0
	for i, s := range k.Spans {
		if len(s.Joints) == 1 && s.Place() == "line 8, span chassis to drawbar" {
			span, at = s, i
		}
	}
	joint := -1
	for i, j := range k.Joints {
		if j.Label() == span.Joints[0] {
			joint = i
		}
	}
	if joint < 0 {
		t.Fatal("the trailer has no such span")
	}
	shown := func(column int) string {
		return text(tb, fmt.Sprintf("#span-table tbody tr:nth-child(%d) td:nth-of-type(%d) b", at+1, column))
	}
	drawn := fmt.Sprintf(`document.querySelector('#posed [data-at=%q] .free').getAttribute('d')`, span.Source().Pointer())
	slack, way := shown(1), browsertest.Evaluate[string](tb, drawn)

	key, far := kb.End, k.Joints[joint].Range.To.V
	if k.Extreme(span, true)[joint] < 0 {
		key, far = kb.Home, k.Joints[joint].Range.From.V
	}
	browsertest.Call(tb, chromedp.Focus(chromedp.CSS(fmt.Sprintf("#joint-%d", joint))))
	browsertest.Call(tb, chromedp.KeyEvent(key))
	end := units.Format(far, units.Angle, k.Family())
	until(tb, "the joint is at its end", fmt.Sprintf(`document.getElementById('joint-%d-at').textContent === %q`, joint, end))
	calm(tb)
	if got, want := shown(1), units.Format(span.Slack.V, units.Length, k.Family()); got != want || got == slack {
		t.Errorf("at %s the slack is %s, want %s, and at rest %s", end, got, want, slack)
	}
	if got := browsertest.Evaluate[string](tb, drawn); got == way {
		t.Error("the drawing of the span is that at rest")
	}
	if !strings.Contains(text(tb, "#least"), "least slack") || browsertest.Evaluate[bool](tb, `!document.getElementById('paper').classList.contains('moved')`) {
		t.Errorf("least: %q", text(tb, "#least"))
	}
	until(tb, "it is said", fmt.Sprintf(`document.getElementById('heard').textContent.includes('%s at %s. Least slack')`, span.Joints[0], end))
	if got := browsertest.Evaluate[string](tb, fmt.Sprintf("document.getElementById('joint-%d').getAttribute('aria-valuetext')", joint)); got != end {
		t.Errorf("the slider says %q, want %q", got, end)
	}

	f.put("kits/trailer.kit.yaml", f.example("trailer/trailer.kit.yaml", "fuse_distance: 150 mm", "fuse_distance: 450 mm"))
	until(tb, "the save is shown", `state.number === 2`)
	calm(tb)
	if got := text(tb, fmt.Sprintf("#joint-%d-at", joint)); got != end {
		t.Errorf("after a save the joint stands at %q, want %q as before", got, end)
	}
	keepsFocus(f, tb, joint)
	browsertest.Call(tb, chromedp.Click(chromedp.CSS("#rest")))
	until(tb, "all joints are at rest", `!document.getElementById('paper').classList.contains('moved')`)
	calm(tb)
	if got := shown(1); got != slack {
		t.Errorf("back at rest the slack is %s, want %s", got, slack)
	}
	for _, fault := range tb.Noted() {
		t.Error(fault)
	}
}

// keepsFocus: what has the focus has it after a save too, wherever it stands
// then; where it is gone, what held it has.
func keepsFocus(f *fleet, tb *browsertest.Tab, joint int) {
	tb.T.Helper()
	slider := fmt.Sprintf("#joint-%d", joint)
	fuse := func(distance string) []string { return []string{"fuse_distance: 150 mm", "fuse_distance: " + distance} }
	last := 2
	for _, tt := range []struct {
		name, focus string
		pairs       []string
		want        string
	}{
		{"a slider", slider, fuse("451 mm"), slider},
		{"a slider of another range", slider, append(fuse("451 mm"), "to: 14 deg", "to: 13 deg"), slider},
		{"a slider of another number", slider, append(fuse("451 mm"),
			"bodies:\n", "bodies:\n  - {id: lid, name: lid, sprung: true}\n",
			"joints:\n", "joints:\n  - {id: lid-hinge, name: lid hinge, role: other, kind: revolute, parent: chassis, child: lid, pivot: [0 mm, 0 mm, 620 mm], axis: [0, 1, 0], range: {from: -2 deg, to: 4 deg}}\n"),
			fmt.Sprintf("#joint-%d", joint+1)},
		{"the button of a slider", "#sliders .joint:last-child button", fuse("451 mm"), "#sliders .joint:last-child button"},
		{"the button of a span", "#span-table button", fuse("452 mm"), "#span-table button"},
		{"a finding that says something else", "#found summary", fuse("453 mm"), "#found summary"},
		{"a mark of a finding", "#plan a", fuse("454 mm"), "#plan a"},
		{"a finding that is mended", "#found summary", fuse("150 mm"), "#found"},
	} {
		browsertest.Evaluate[bool](tb, fmt.Sprintf("document.querySelector(%q).focus(), true", tt.focus))
		f.put("kits/trailer.kit.yaml", f.example("trailer/trailer.kit.yaml", tt.pairs...))
		last++
		until(tb, tt.name+" is shown anew", fmt.Sprintf("state.number === %d", last))
		calm(tb)
		if !browsertest.Evaluate[bool](tb, fmt.Sprintf("document.activeElement === document.querySelector(%q)", tt.want)) {
			tb.T.Errorf("%s: the focus is at %s, want %s", tt.name, browsertest.Evaluate[string](tb, "document.activeElement.outerHTML.slice(0, 120)"), tt.want)
		}
	}
}

// previewFindings: a finding leads to its mark and a mark to its finding, and
// what is pointed at in the drawing shows its figures.
func previewFindings(t *testing.T, ctx context.Context, f *fleet) {
	tb := browsertest.Open(t, ctx, f.url, browsertest.Media("", "dark"), browsertest.Size(1280, 900))
	calm(tb)
	browsertest.Call(tb, chromedp.Click(chromedp.CSS(`#finding-2 summary`)))
	until(tb, "its mark is shown", `document.querySelectorAll('#plan a.chosen').length > 0`)
	if got, want := text(tb, "#finding-2 .marked"), "mark "; !strings.HasPrefix(got, want) {
		t.Errorf("the finding names %q", got)
	}
	const other = `[...document.querySelectorAll('#plan a')].find((a) => a.getAttribute('href') !== '#finding-2' && !a.classList.contains('chosen'))`
	to := browsertest.Evaluate[string](tb, other+`.getAttribute('href').slice(1)`)
	browsertest.Evaluate[bool](tb, other+`.querySelector('path').dispatchEvent(new MouseEvent('click', {bubbles: true, cancelable: true}))`)
	until(tb, "the mark opens its finding", fmt.Sprintf(`document.getElementById(%q).open && document.activeElement.closest('details').id === %q`, to, to))

	browsertest.Call(tb, chromedp.Click(chromedp.CSS(`#posed .thing[data-at="/lines/4"] circle, #posed .thing[data-at^="/points/"] circle`)))
	until(tb, "figures are shown", `document.querySelector('#looked dl') && document.querySelector('#posed .thing.chosen')`)
	at := browsertest.Evaluate[string](tb, `document.querySelector('#posed .thing.chosen').getAttribute('data-at')`)
	if !regexp.MustCompile(`^/(points|lines|bundles)/\d+`).MatchString(at) {
		t.Errorf("what was pointed at is %q", at)
	}
	browsertest.Call(tb, chromedp.SetValue(chromedp.CSS("#look"), "/lines/0"))
	browsertest.Evaluate[bool](tb, `document.getElementById('look').dispatchEvent(new Event('change'))`)
	until(tb, "the line is looked up", `/line 1/.test(document.querySelector('#looked h3').textContent) && /cut length|length/.test(document.querySelector('#looked dl').textContent)`)
	for _, fault := range tb.Noted() {
		t.Error(fault)
	}
}

// previewLooks looks at the page in the widths of a phone and a desk, light and
// dark, with joints at their ends.
func previewLooks(t *testing.T, ctx context.Context, f *fleet) {
	axe := browsertest.Axe(t, "../../..")
	for _, colours := range []string{"light", "dark"} {
		tb := browsertest.Open(t, ctx, f.url, browsertest.Media("", colours), browsertest.Size(1280, 900))
		calm(tb)
		browsertest.Evaluate[bool](tb, `move(state.joints.map((j, i) => (i === 1 || i === 4 ? j.to : 0))), document.querySelectorAll('details.finding')[4].open = true`)
		calm(tb)
		for _, px := range []int64{390, 1280} {
			browsertest.Call(tb, browsertest.Size(px, map[int64]int64{390: 844, 1280: 900}[px]))
			shoot(tb, fmt.Sprintf("preview-%s-%d", colours, px))
			if got := browsertest.Evaluate[int64](tb, "document.documentElement.scrollWidth"); got > px {
				t.Errorf("%s: the page is %d wide in %d", colours, got, px)
			}
			if (colours == "light") != (px == 1280) {
				continue // looked at in the other colours
			}
			for _, p := range browsertest.Evaluate[[]string](tb, browsertest.Audit) {
				t.Errorf("%s, %d wide: %s", colours, px, p)
			}
			browsertest.Evaluate[bool](tb, `document.querySelector('input[value="4"]').click(), true`)
			shoot(tb, fmt.Sprintf("preview-%s-%d-four", colours, px))
			browsertest.Evaluate[bool](tb, `document.querySelector('input[value="1"]').click(), true`)
		}
		if colours == "light" { // the audit looks at the colours
			for _, p := range browsertest.Judge(tb, axe, false) {
				t.Error(p)
			}
		}
		for _, fault := range tb.Noted() {
			t.Error(fault)
		}
	}
}

// previewFocus: nothing hides what has the focus (WCAG 2.2, 2.4.11), and nothing
// has to be scrolled sideways but the drawing (1.4.10), in the windows of a phone,
// of a desk, and of a desk at 200 and 400 percent; the letters of the drawing can
// be read in each.
func previewFocus(t *testing.T, ctx context.Context, f *fleet) {
	const hidden = `(() => {
	const out = [], seen = [];
	document.querySelectorAll('details.finding').forEach((d, i) => { d.open = i % 3 === 0; });
	for (const e of document.querySelectorAll('a[href]:not([tabindex="-1"]), button, input, select, summary')) {
		const closed = e.closest('details:not([open])');
		if (!e.offsetParent || closed && e.parentElement !== closed || e.classList.contains('skip') || e.type === 'radio' && !e.checked) continue;
		e.focus();
		const r = e.getBoundingClientRect();
		const there = [r.top + 3, r.top + r.height / 2, r.bottom - 3].some((y) => {
			const at = document.elementFromPoint(r.left + r.width / 2, y);
			return at && (at === e || e.contains(at) || at.contains(e));
		});
		seen.push(e);
		if (!there) out.push((e.id || e.getAttribute('aria-label') || e.textContent).slice(0, 40));
	}
	if (seen.length < 50) out.push('only ' + seen.length + ' were looked at');
	return out;
})()`
	for _, window := range [][2]int64{{390, 844}, {640, 450}, {320, 256}, {320, 640}} {
		tb := browsertest.Open(t, ctx, f.url, browsertest.Size(window[0], window[1]))
		calm(tb)
		for _, e := range browsertest.Evaluate[[]string](tb, hidden) {
			t.Errorf("%d x %d: %s has the focus and cannot be seen", window[0], window[1], e)
		}
		if wide := browsertest.Evaluate[[]int](tb, "[document.documentElement.scrollWidth, document.documentElement.clientWidth]"); wide[0] > wide[1] {
			t.Errorf("%d x %d: the page is %d wide in %d", window[0], window[1], wide[0], wide[1])
		}
		if high := browsertest.Evaluate[float64](tb, "Math.min(...[...document.querySelectorAll('#plan text')].map((t) => Number(t.getAttribute('font-size')))) * document.querySelector('#plan svg').getBoundingClientRect().width / document.querySelector('#plan svg').viewBox.baseVal.width"); high < 7 {
			t.Errorf("%d x %d: letters are %.1f px high", window[0], window[1], high)
		}
		for _, fault := range tb.Noted() {
			t.Error(fault)
		}
	}
}

// previewDetails: a detail is opened by the keyboard and left again; findings of
// one mark lead to each other; a finding moves the joints to where it is so; what
// is chosen in the drawing moves nothing else.
func previewDetails(t *testing.T, ctx context.Context, f *fleet) {
	tb := browsertest.Open(t, ctx, f.url, browsertest.Size(1280, 900))
	calm(tb)
	browsertest.Call(tb, chromedp.SetValue(chromedp.CSS("#sheet"), "A"))
	browsertest.Evaluate[bool](tb, `document.getElementById('sheet').dispatchEvent(new Event('change'))`)
	until(tb, "the detail is shown", `document.querySelector('#detail svg') && !document.getElementById('detail').hidden && getComputedStyle(document.getElementById('plan')).display === 'none'`)
	shoot(tb, "detail-light-1280")
	browsertest.Evaluate[bool](tb, "document.getElementById('whole').focus(), true")
	browsertest.Call(tb, chromedp.KeyEvent(kb.Enter))
	until(tb, "the whole is shown", `document.getElementById('detail').hidden && getComputedStyle(document.getElementById('plan')).display !== 'none' && document.activeElement.id === 'sheet'`)

	const many = `state.report.findings.filter((f) => f.mark === 1)`
	n := browsertest.Evaluate[int](tb, many+".length")
	browsertest.Evaluate[bool](tb, `document.querySelector('#plan a[href="#'+`+many+`[0].id+'"] path').dispatchEvent(new MouseEvent('click', {bubbles: true, cancelable: true}))`)
	for i := range n {
		until(tb, "a finding of the mark is open", fmt.Sprintf(`document.activeElement.closest('details') === document.getElementById(%s[%d].id) && document.querySelectorAll('.together').length === %d`, many, i, n))
		if got, want := browsertest.Evaluate[string](tb, `document.activeElement.closest('details').querySelector('.facts').textContent`), fmt.Sprintf("%d of %d at mark 1, next", i+1, n); !strings.Contains(got, want) {
			t.Errorf("the finding says %q, want %q", got, want)
		}
		browsertest.Evaluate[bool](tb, `[...document.activeElement.closest('details').querySelectorAll('.facts .link')].find((b) => b.textContent === 'next').click(), true`)
	}
	if n < 2 {
		t.Errorf("mark 1 stands for %d", n)
	}

	const moved = `state.report.findings.find((f) => f.stand)`
	browsertest.Evaluate[bool](tb, `[...document.getElementById(`+moved+`.id).querySelectorAll('.facts .link')].find((b) => b.textContent === 'move the joints there').click(), true`)
	until(tb, "the joints stand there", `state.joints.map((j, i) => [j, i]).filter(([j, i]) => stand[i] !== 0).map(([j, i]) => j.name + ' at ' + document.getElementById('joint-' + i + '-at').textContent).join(', ') === `+moved+`.stands`)
	calm(tb)
	browsertest.Evaluate[bool](tb, `scrollTo(0, 0), document.querySelector('#posed .thing[data-at="/bundles/0/route/7"] .reach').dispatchEvent(new MouseEvent('click', {bubbles: true}))`)
	until(tb, "it is said what was chosen", `/^bundle FL, span front axle to left knuckle, .*slack -2.214 mm now: its figures$/.test(document.getElementById('picked').textContent)`)
	if y := browsertest.Evaluate[float64](tb, "scrollY"); y != 0 {
		t.Errorf("a click in the drawing scrolls the page to %v", y)
	}
	if got := text(tb, "#looked"); !strings.Contains(got, "-2.214 mm now least over the range of all joints: -2.214 mm, with left kingpin at -38 deg, move the joints there") {
		t.Errorf("the figures are %.600q", got)
	}
	for _, fault := range tb.Noted() {
		t.Error(fault)
	}
}

// previewHostile: no text of a kit becomes markup, script or a link.
func previewHostile(t *testing.T, ctx context.Context) {
	const nasty = `</data><svg onload=alert(1)><script>alert(2)</script><img src=x onerror=alert(3)>&amp;{{x}}]]>`
	quoted := `"` + nasty + `\u202eback"`
	f := preview(t, "gritter-faulty", "Gritter 4x2 with plough, 34 points", quoted, "name: left kingpin\n", "name: "+quoted+"\n",
		"name: left knuckle,", "name: "+quoted+",", "name: Kingpin upper bush, left\n", "name: "+quoted+"\n")
	tb := browsertest.Open(t, ctx, f.url, browsertest.Size(390, 844))
	calm(tb)
	browsertest.Evaluate[bool](tb, `move(state.joints.map((j) => j.to)), document.querySelectorAll('details.finding').forEach((d) => { d.open = true; }), true`)
	until(tb, "the finding is looked up", `lookUp('/points/2'), true`)
	calm(tb)
	if got := browsertest.Evaluate[string](tb, `document.getElementById('title').textContent`); !strings.Contains(got, nasty+`\u202eback`) {
		t.Errorf("the title is %q", got)
	}
	if got := browsertest.Evaluate[string](tb, `document.getElementById('sliders').textContent`); !strings.Contains(got, nasty) {
		t.Errorf("the joints are %q", got)
	}
	const count = `[document.scripts.length, document.images.length, document.querySelectorAll('[onload],[onerror],iframe,object,embed,form,base,meta[http-equiv],a[href]:not([href^="#"])').length, document.documentElement.outerHTML.includes('\u202e') ? 1 : 0].join()`
	if got := browsertest.Evaluate[string](tb, count); got != "1,0,0,0" {
		t.Errorf("scripts, images, what else acts, marks of direction: got %s, want 1,0,0,0", got)
	}
	for _, p := range browsertest.Evaluate[[]string](tb, browsertest.Audit) {
		if !strings.Contains(p, "texts lie on") && !strings.Contains(p, "is cut") { // the browser's letters are not those of our table
			t.Error(p)
		}
	}
	for _, fault := range tb.Noted() {
		t.Error(fault)
	}
}

// ask sends a request to the page.
func ask(t *testing.T, method, url string, change func(*http.Request)) (*http.Response, string) {
	t.Helper()
	r, err := http.NewRequest(method, url, nil)
	if err != nil {
		t.Fatal(err)
	}
	if change != nil {
		change(r)
	}
	answer, err := http.DefaultTransport.RoundTrip(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	return answer, string(body)
}

// TestPreviewAsked asks for the page without a browser.
func TestPreviewAsked(t *testing.T) {
	f := preview(t, "trailer")
	t.Run("refuses", func(t *testing.T) { previewRefuses(t, f) })
	t.Run("answers", func(t *testing.T) { previewAnswers(t, f) })
}

// previewRefuses: only whoever has the address, from no other page, is
// answered, and only to read.
func previewRefuses(t *testing.T, f *fleet) {
	if !regexp.MustCompile(`^http://127\.0\.0\.1:\d+/[A-Za-z0-9_-]{43}/$`).MatchString(f.url) {
		t.Fatalf("the address is %q", f.url)
	}
	other := preview(t, "trailer")
	if f.url == other.url || f.url[len(f.url)-40:] == other.url[len(other.url)-40:] {
		t.Errorf("two pages have the secret of %s", f.url)
	}
	host := strings.Split(f.url, "/")[2]
	root := "http://" + host + "/"
	head := func(name, value string) func(*http.Request) {
		return func(r *http.Request) { r.Header.Set(name, value) }
	}
	for _, tt := range []struct {
		name, method, url string
		change            func(*http.Request)
		want              int
	}{
		{"the page", "GET", f.url, nil, 200},
		{"the page, from itself", "GET", f.url + "state", head("Origin", "http://"+host), 200},
		{"typed", "GET", f.url, head("Sec-Fetch-Site", "none"), 200},
		{"no secret", "GET", root, nil, 403},
		{"no secret, a name of the page", "GET", root + "state", nil, 403},
		{"another secret", "GET", strings.Replace(f.url, f.url[len(f.url)-5:], "AAAA/", 1), nil, 403},
		{"the secret of another page", "GET", root + strings.Split(other.url, "/")[3] + "/state", nil, 403},
		{"a part of the secret", "GET", f.url[:len(f.url)-2] + "/", nil, 403},
		{"more than the secret", "GET", f.url[:len(f.url)-1] + "A/", nil, 403},
		{"the secret as a question", "GET", root + "?" + strings.Split(f.url, "/")[3], nil, 403},
		{"another host", "GET", f.url, func(r *http.Request) { r.Host = "depot.example" }, 403},
		{"another name of this host", "GET", f.url, func(r *http.Request) { r.Host = strings.Replace(host, "127.0.0.1", "localhost", 1) }, 403},
		{"another port", "GET", f.url, func(r *http.Request) { r.Host = "127.0.0.1" }, 403},
		{"another origin", "GET", f.url + "state", head("Origin", "http://depot.example"), 403},
		{"another port's origin", "GET", f.url + "state", head("Origin", "http://127.0.0.1:1"), 403},
		{"no origin", "GET", f.url + "state", head("Origin", "null"), 403},
		{"another site", "GET", f.url + "events", head("Sec-Fetch-Site", "cross-site"), 403},
		{"another page of this machine", "GET", f.url, head("Sec-Fetch-Site", "same-site"), 403},
		{"to write", "POST", f.url + "state", nil, 405},
		{"to write, from itself", "POST", f.url, head("Origin", "http://"+host), 405},
		{"to replace", "PUT", f.url, nil, 405},
		{"to delete", "DELETE", f.url + "state", nil, 405},
		{"to ask what is allowed", "OPTIONS", f.url, nil, 405},
		{"the head alone", "HEAD", f.url, nil, 405},
		{"to write, without the secret", "POST", root, nil, 403},
		{"a file", "GET", f.url + "kits/trailer.kit.yaml", nil, 404},
		{"a way up", "GET", f.url + "../../etc/passwd", nil, 404},
		{"a pose", "GET", f.url + "pose?check=1&q=0,0", nil, 200},
		{"no pose", "GET", f.url + "pose?check=1&q=", nil, 400},
		{"too many joints", "GET", f.url + "pose?check=1&q=0,0,0,0,0,0,0", nil, 400},
		{"no number", "GET", f.url + "pose?check=1&q=0,x", nil, 400},
		{"not a number", "GET", f.url + "pose?check=1&q=0,NaN", nil, 400},
		{"no end", "GET", f.url + "pose?check=1&q=0,1e999", nil, 400},
		{"beyond the range", "GET", f.url + "pose?check=1&q=0,3", nil, 400},
		{"an older kit", "GET", f.url + "pose?check=0&q=0,0", nil, 409},
		{"figures of nothing", "GET", f.url + "figures?check=1&at=/nowhere", nil, 200},
	} {
		answer, body := ask(t, tt.method, tt.url, tt.change)
		if answer.StatusCode != tt.want {
			t.Errorf("%s: got %s: %.80s", tt.name, answer.Status, body)
		}
		if tt.want != 200 && (strings.Contains(body, "WS-0311") || len(body) > 200) {
			t.Errorf("%s: what is refused tells %.200q", tt.name, body)
		}
		h := answer.Header
		if h.Get("Cache-Control") != "no-store" || h.Get("X-Content-Type-Options") != "nosniff" || h.Get("Referrer-Policy") != "no-referrer" || h.Get("Access-Control-Allow-Origin") != "" ||
			!strings.HasPrefix(h.Get("Content-Security-Policy"), "default-src 'none'; script-src 'self';") || strings.Contains(h.Get("Content-Security-Policy"), "http") || strings.Contains(h.Get("Content-Security-Policy"), "unsafe") {
			t.Errorf("%s: got the header %v", tt.name, h)
		}
	}
}

// previewAnswers: what the page asks for is XML, and the same each time.
func previewAnswers(t *testing.T, f *fleet) {
	for _, what := range []string{"state", "pose?check=1&q=0,0", "figures?check=1&at=/lines/0", "figures?check=1&at=/lines/7/tail/3&q=0,0"} {
		_, one := ask(t, "GET", f.url+what, nil)
		_, two := ask(t, "GET", f.url+what, nil)
		if one != two {
			t.Errorf("%s: two answers differ", what)
		}
		for d := xml.NewDecoder(strings.NewReader(one)); ; {
			if _, err := d.Token(); err == io.EOF {
				break
			} else if err != nil {
				t.Fatalf("%s: %v", what, err)
			}
		}
	}
}
