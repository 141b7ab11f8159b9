package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"kitgauge/checker/source"
)

// TestAction runs the step of the action that checks kits, as a runner does,
// and reads its log as a runner does.
func TestAction(t *testing.T) {
	bash, err := exec.LookPath("bash")
	if err != nil {
		t.Skip(err)
	}
	script := step(t, "check")
	tests := []struct {
		name, kits, gate string
		status           int
		more             []string // further inputs
		settings         string   // in the tree
	}{
		{"a clean kit", "  kits/clean\n\n", "major", 0, nil, ""},
		{"a faulty kit, with text that looks like commands", "kits/faulty\nkits/clean", "", 1, nil, ""},
		{"a faulty kit, without a gate", "kits/faulty", "none", 0, nil, ""},
		{"a kit that is not there", "kits/nowhere", "", 2, nil, ""},
		{"a gate that there is not", "kits/clean", "::error::severe\n::add-mask::x", 3, nil, ""},
		{"the tree sets no gate", "kits/faulty", "", 1, nil, "gate: none\n"},
		{"the tree sets no gate, by name", "kits/faulty", "", 1, []string{"POLICY=tree"}, "gate: none\n"},
		{"a policy, which the tree weakens", "kits/clean", "", 1, []string{"POLICY=policy"}, "gate: none\n"},
		{"the inputs for settings, packs and concessions", "kits/clean", "", 0, []string{"SETTINGS=policy/strict.yaml", "PACKS=power,slack", "CONCESSIONS=false"}, ""},
		{"a record of known findings that is not there", "kits/clean", "", 2, []string{"KNOWN=known.txt"}, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			work := actionWork(t)
			temp := t.TempDir()
			if tt.settings != "" {
				writeFile(t, filepath.Join(work, "kits", "kitgauge.settings.yaml"), tt.settings)
			}
			if err := os.MkdirAll(filepath.Join(temp, "kitgauge"), 0o755); err != nil {
				t.Fatal(err)
			}
			program, err := os.Executable() // stands for kitgauge when it is called so
			if err != nil {
				t.Fatal(err)
			}
			if err := os.Symlink(program, filepath.Join(temp, "kitgauge", "kitgauge")); err != nil {
				t.Skip(err)
			}
			c := exec.Command(bash, "-c", script)
			c.Dir = work
			c.Env = append(os.Environ(), "KITS="+tt.kits, "GATE="+tt.gate, "SINCE=", "RUNNER_TEMP="+temp,
				"POLICY=", "SETTINGS=", "KNOWN=", "PACKS=", "CONCESSIONS=true",
				"GITHUB_STEP_SUMMARY="+filepath.Join(temp, "summary"), "GITHUB_OUTPUT="+filepath.Join(temp, "output"))
			c.Env = append(c.Env, tt.more...)
			var log bytes.Buffer
			c.Stdout, c.Stderr = &log, &log
			if err := c.Run(); c.ProcessState.ExitCode() != tt.status {
				t.Fatalf("exit status %d, want %d (%v)\n%s", c.ProcessState.ExitCode(), tt.status, err, &log)
			}
			checkLog(t, log.String())
			faulty := strings.Contains(tt.kits, "faulty")
			for command, want := range map[string]bool{"error": faulty && tt.gate != "none" && tt.settings == "", "warning": faulty} {
				if strings.Contains(log.String(), "\n::"+command+" file=kits/faulty/a.kit.yaml,line=") != want {
					t.Errorf("%s at the lines of the file: want %t in\n%s", command, want, &log)
				}
			}
			output, _ := os.ReadFile(filepath.Join(temp, "output"))
			summary, _ := os.ReadFile(filepath.Join(temp, "summary"))
			checked := tt.status < 2
			if got := strings.Contains(string(output), "\nsarif="); got != checked {
				t.Errorf("SARIF log: got %t, want %t", got, checked)
			}
			if got := strings.HasPrefix(string(summary), "# Kit check: "); got != checked {
				t.Errorf("summary: got %t, want %t\n%s", got, checked, summary)
			}
			checkNoVerdict(t, tt.status, log.String(), string(summary))
		})
	}
}

// checkNoVerdict: where the check came to no end, one error and the summary of
// the job say so, and what the program said, which may come from anybody, is
// text there.
func checkNoVerdict(t *testing.T, status int, log, summary string) {
	t.Helper()
	if got, want := strings.Count(log, "\n::error title=kitgauge::"), status/2; got != min(want, 1) {
		t.Errorf("exit status %d: %d errors of the job, want %d\n%s", status, got, min(want, 1), log)
	}
	_, said, found := strings.Cut(summary, "\n# Kit check: no verdict\n\nExit status "+strconv.Itoa(status)+": ")
	if found != (status > 1) {
		t.Fatalf("exit status %d: the summary is\n%s", status, summary)
	}
	_, said, _ = strings.Cut(said, "\n\n")
	if found && !strings.Contains(said, "    kitgauge: ") {
		t.Errorf("the summary does not say what the program said:\n%s", summary)
	}
	for line := range strings.Lines(said) {
		if strings.TrimSpace(line) != "" && !strings.HasPrefix(line, "    ") {
			t.Errorf("the summary takes %q for markup", line)
		}
	}
}

// TestUpload: a pull request from a fork, whose token cannot write, uploads
// nothing, so that the job does not fail for it.
func TestUpload(t *testing.T) {
	text, err := os.ReadFile("../../.github/actions/check/action.yml")
	if err != nil {
		t.Fatal(err)
	}
	docs, _ := source.Parse("action.yml", text)
	steps := docs[0].Root.At("runs", "steps").Items
	when := steps[len(steps)-1].Get("if").Scalar
	if !strings.Contains(when, "github.event.pull_request.head.repo.full_name == github.repository") {
		t.Errorf("the log is uploaded where %s", when)
	}
}

// step takes the script of a step out of the action.
func step(t *testing.T, id string) string {
	t.Helper()
	const name = "../../.github/actions/check/action.yml"
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	docs, problems := source.Parse(name, text)
	if len(problems) > 0 {
		t.Fatal(problems[0])
	}
	for _, s := range docs[0].Root.At("runs", "steps").Items {
		if n := s.Get("id"); n != nil && n.Scalar == id {
			return s.Get("run").Scalar
		}
	}
	t.Fatalf("the action has no step %s", id)
	return ""
}

func writeFile(t *testing.T, file, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// actionWork is a repository with a clean and a faulty kit.
func actionWork(t *testing.T) string {
	t.Helper()
	work := t.TempDir()
	if err := os.CopyFS(filepath.Join(work, "kits"), os.DirFS("../../examples")); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(filepath.Join(work, "kits", "trailer"), filepath.Join(work, "kits", "clean")); err != nil {
		t.Fatal(err)
	}
	writeFile(t, filepath.Join(work, "policy", "strict.yaml"), "gate: minor\n")
	faulty := filepath.Join(work, "kits", "faulty")
	if err := os.MkdirAll(faulty, 0o755); err != nil {
		t.Fatal(err)
	}
	const kit = `header: {number: "::error::x", revision: A, title: "::add-mask::y ##[error]z", status: draft}
points:
  - {id: hinge, name: "::stop-commands::hinge"}
lines:
  - {number: 1, outlet: 1, point: "::set-output name=a::b"}
pump: {part: "##[add-mask]p"}
`
	if err := os.WriteFile(filepath.Join(faulty, "a.kit.yaml"), []byte(kit), 0o644); err != nil {
		t.Fatal(err)
	}
	return work
}

var older = regexp.MustCompile(`##\[[^\]]*\]`)

// checkLog reads a log as a runner does: a line that begins with :: is a
// command, and so is ##[...] anywhere in a line, but not between stop-commands
// and its token.
func checkLog(t *testing.T, log string) {
	t.Helper()
	token := ""
	for line := range strings.Lines(log) {
		line = strings.TrimSpace(line)
		name, _, _ := strings.Cut(strings.TrimPrefix(line, "::"), " ")
		stop, stopped := strings.CutPrefix(line, "::stop-commands::")
		switch {
		case token != "":
			if line == "::"+token+"::" {
				token = ""
			}
		case stopped && regexp.MustCompile(`^[0-9a-f]{32}$`).MatchString(stop):
			token = stop
		case strings.HasPrefix(line, "::") && !slices.Contains([]string{"error", "warning", "notice"}, name), older.MatchString(line):
			t.Errorf("the runner carries out %q in\n%s", line, log)
		}
	}
	if token != "" {
		t.Errorf("commands stay stopped after\n%s", log)
	}
}
