package sarif_test

import (
	"fmt"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"kitgauge/checker/internal/reporttest"
	"kitgauge/checker/report/sarif"
)

// The rules of the specification (SARIF 2.1.0, OASIS) that its schema cannot
// express, by clause (the numbers 3.4, 3.5, 3.9 and 3.27.6 from memory). Each
// looks through a log and says what is wrong.
var prose = []struct {
	clause string
	broken func(log map[string]any) string
	change func(log map[string]any) // makes a log that breaks the rule, and it alone
}{
	{"3.5.4, 3.49.3 rule ids are unique", uniqueRules, func(log map[string]any) {
		rules := at(log, "runs", 0, "tool", "driver", "rules").([]any)
		log["runs"].([]any)[0].(map[string]any)["tool"].(map[string]any)["driver"].(map[string]any)["rules"] = append(rules, rules[0])
	}},
	{"3.27.6 the rule index is that of the rule", rulesAgree, func(log map[string]any) { first(log)["ruleIndex"] = 0.0 }},
	{"3.27.10 a result that is no failure has no level", levelsAgree, func(log map[string]any) { first(log)["kind"] = "review" }},
	{"3.27.23 all results tell of suppressions, or none", onAllOrNone("suppressions"), func(log map[string]any) { delete(first(log), "suppressions") }},
	{"3.27.24 all results tell of the baseline, or none", onAllOrNone("baselineState"), func(log map[string]any) { delete(first(log), "baselineState") }},
	{"3.27.16, 3.27.17 fingerprints are partial, with versioned names", versioned, func(log map[string]any) {
		first(log)["partialFingerprints"] = map[string]any{"mark": "a"}
	}},
	{"3.14.27 the kind of columns is told", columnsTold, func(log map[string]any) { delete(at(log, "runs", 0).(map[string]any), "columnKind") }},
	{"3.30.5 to 3.30.8 a region begins before it ends", regionsRight, func(log map[string]any) { regionOf(log)["endColumn"] = 1.0 }},
	{"3.4.3, 3.10 URIs are URIs, without paths of the machine", urisRight, func(log map[string]any) {
		at(first(log), "locations", 0, "physicalLocation", "artifactLocation").(map[string]any)["uri"] = "file:///srv/a.kit.yaml"
	}},
	{"3.4.5 the index of a file is that of its URI", filesAgree, func(log map[string]any) {
		at(first(log), "locations", 0, "physicalLocation", "artifactLocation").(map[string]any)["index"] = 1.0
	}},
	{"3.11 messages say something, with neither placeholder nor link", messagesRight, func(log map[string]any) {
		first(log)["message"].(map[string]any)["text"] = "see {0} at [here](1)."
	}},
	{"3.35 who suppresses says why", suppressionsRight, func(log map[string]any) {
		first(log)["suppressions"] = []any{map[string]any{"kind": "external", "status": "accepted"}}
	}},
	{"3.5.3 a guid is one", guidsRight, func(log map[string]any) { first(log)["guid"] = "1234" }},
	{"3.9 no time stands in it, so that the same run gives the same bytes", timeless, func(log map[string]any) {
		at(log, "runs", 0, "invocations", 0).(map[string]any)["endTimeUtc"] = "2026-11-25T00:00:00Z"
	}},
}

func TestProse(t *testing.T) {
	hostile := []string{"{0} {{1}} [a](0) [b](https://x.example) <b>&amp;\\](", "\u202e]\u2028(x) \x00\x1b]8;;u\x07", "../..//a:b/%2e%2e/\\c", " "}
	logs := map[string]map[string]any{}
	for _, tt := range runs {
		logs[tt.name] = decode(t, write(t, tt.run, sarif.Options{}))
	}
	for _, text := range hostile {
		logs[fmt.Sprintf("%q", text)] = decode(t, write(t, reporttest.HarmfulWith(text), sarif.Options{}))
	}
	for _, rule := range prose {
		t.Run(rule.clause, func(t *testing.T) {
			for name, log := range logs {
				if why := rule.broken(log); why != "" {
					t.Errorf("%s: %s", name, why)
				}
			}
			log := decode(t, write(t, runs[0].run, sarif.Options{}))
			rule.change(log)
			if rule.broken(log) == "" {
				t.Error("a log that breaks the rule: got no error")
			}
		})
	}
}

// objects visits every object of a value, with the key under which it stands.
func objects(v any, key string, visit func(key string, object map[string]any)) {
	switch v := v.(type) {
	case []any:
		for _, item := range v {
			objects(item, key, visit)
		}
	case map[string]any:
		visit(key, v)
		for k, member := range v {
			objects(member, k, visit)
		}
	}
}

func results(log map[string]any) []any { return at(log, "runs", 0, "results").([]any) }

func uniqueRules(log map[string]any) string {
	seen := map[any]bool{}
	for _, r := range at(log, "runs", 0, "tool", "driver", "rules").([]any) {
		id := at(r, "id")
		if seen[id] || id == "" {
			return fmt.Sprintf("rule %q stands twice, or is empty", id)
		}
		seen[id] = true
	}
	return ""
}

func rulesAgree(log map[string]any) string {
	rules := at(log, "runs", 0, "tool", "driver", "rules").([]any)
	for _, r := range results(log) {
		i := int(at(r, "ruleIndex").(float64))
		if i < 0 || i >= len(rules) || at(rules[i], "id") != at(r, "ruleId") {
			return fmt.Sprintf("rule %v has index %d", at(r, "ruleId"), i)
		}
	}
	return ""
}

func levelsAgree(log map[string]any) string {
	for _, r := range results(log) {
		kind, level := at(r, "kind"), at(r, "level")
		if kind != "fail" && level != nil && level != "none" || r.(map[string]any)["rank"] != nil && kind != "fail" {
			return fmt.Sprintf("kind %v with level %v", kind, level)
		}
	}
	return ""
}

func onAllOrNone(member string) func(map[string]any) string {
	return func(log map[string]any) string {
		with := 0
		for _, r := range results(log) {
			if _, there := r.(map[string]any)[member]; there {
				with++
			}
		}
		if all := len(results(log)); with != 0 && with != all {
			return fmt.Sprintf("%d of %d results have %s", with, all, member)
		}
		return ""
	}
}

func versioned(log map[string]any) string {
	for _, r := range results(log) {
		if _, there := r.(map[string]any)["fingerprints"]; there {
			return "fingerprints are for systems that manage results"
		}
		marks, _ := at(r, "partialFingerprints").(map[string]any)
		for name, mark := range marks {
			if !regexp.MustCompile(`^[A-Za-z]+/v[0-9]+$`).MatchString(name) || mark == "" {
				return fmt.Sprintf("fingerprint %s is %q", name, mark)
			}
		}
	}
	return ""
}

func columnsTold(log map[string]any) string {
	if at(log, "runs", 0, "columnKind") != "unicodeCodePoints" {
		return "columns count code points"
	}
	return ""
}

func regionsRight(log map[string]any) (why string) {
	number := func(region map[string]any, key string, otherwise float64) float64 {
		if n, there := region[key].(float64); there {
			return n
		}
		return otherwise
	}
	objects(log, "", func(key string, o map[string]any) {
		if key != "region" && key != "deletedRegion" {
			return
		}
		line, column := number(o, "startLine", 0), number(o, "startColumn", 1)
		endLine := number(o, "endLine", line)
		if line < 1 || column < 1 || endLine < line || endLine == line && number(o, "endColumn", column) < column {
			why = fmt.Sprintf("region %v", o)
		}
	})
	return why
}

// urisRight: none of these runs has a file outside of its root, so that every
// URI is relative to a base that the log describes.
func urisRight(log map[string]any) (why string) {
	bases, _ := at(log, "runs", 0, "originalUriBaseIds").(map[string]any)
	objects(log, "", func(key string, o map[string]any) {
		uri, there := o["uri"].(string)
		if !there {
			return
		}
		parsed, err := url.Parse(uri)
		segments := strings.Split(uri, "/")
		base, _ := o["uriBaseId"].(string)
		_, known := bases[base]
		ascii := strings.IndexFunc(uri, func(r rune) bool { return r <= ' ' || r > '~' || strings.ContainsRune(`<>"{}|\^`+"`", r) }) < 0
		outside := len(segments) > 0 && segments[0] == ".." // the file lies beside the root, and the root is not known
		if err != nil || parsed.IsAbs() || parsed.Path == "" || strings.HasPrefix(uri, "/") || !known || !ascii ||
			!outside && (slices.Contains(segments, "..") || slices.Contains(segments, "")) {
			why = fmt.Sprintf("URI %q relative to %q", uri, base)
		}
	})
	return why
}

func filesAgree(log map[string]any) (why string) {
	files := at(log, "runs", 0, "artifacts").([]any)
	objects(log, "", func(key string, o map[string]any) {
		i, there := o["index"].(float64)
		if there && key == "artifactLocation" && (int(i) >= len(files) || at(files[int(i)], "location", "uri") != o["uri"]) {
			why = fmt.Sprintf("file %v has index %v", o["uri"], i)
		}
	})
	return why
}

func messagesRight(log map[string]any) (why string) {
	objects(log, "", func(key string, o map[string]any) {
		text, there := o["text"].(string)
		if !there || key == "insertedContent" {
			return
		}
		bare := strings.NewReplacer("{{", "", "}}", "").Replace(text)
		unseen := strings.IndexFunc(text, func(r rune) bool { return unicode.Is(unicode.Cc, r) || unicode.Is(unicode.Bidi_Control, r) }) >= 0
		if strings.TrimSpace(text) == "" || strings.ContainsAny(bare, "{}") || strings.Contains(text, "](") || unseen {
			why = fmt.Sprintf("message %q", text)
		}
	})
	return why
}

func suppressionsRight(log map[string]any) (why string) {
	objects(log, "", func(key string, o map[string]any) {
		if said, _ := o["justification"].(string); key == "suppressions" && strings.TrimSpace(said) == "" {
			why = fmt.Sprintf("suppression %v", o)
		}
	})
	return why
}

var guid = regexp.MustCompile(`^[0-9a-f]{8}-[0-9a-f]{4}-[1-5][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$`)

func guidsRight(log map[string]any) (why string) {
	objects(log, "", func(_ string, o map[string]any) {
		for key, v := range o {
			if text, is := v.(string); is && strings.HasSuffix(strings.ToLower(key), "guid") && !guid.MatchString(text) {
				why = fmt.Sprintf("%s %q", key, text)
			}
		}
	})
	return why
}

func timeless(log map[string]any) (why string) {
	objects(log, "", func(_ string, o map[string]any) {
		for key := range o {
			if strings.HasSuffix(key, "TimeUtc") || key == "machine" || key == "account" || key == "processId" {
				why = key + " is there"
			}
		}
	})
	return why
}

// TestForCodeHosts: what code hosts ask for beyond the schema, by their
// documentation: level, message, place, mark and metadata of every result.
func TestForCodeHosts(t *testing.T) {
	for _, tt := range runs {
		log := decode(t, write(t, tt.run, sarif.Options{}))
		for _, r := range at(log, "runs", 0, "tool", "driver", "rules").([]any) {
			for _, member := range []string{"shortDescription", "fullDescription", "help"} {
				if at(r, member, "text") == "" {
					t.Errorf("%s: rule %v: %s is empty", tt.name, at(r, "id"), member)
				}
			}
		}
		for _, r := range results(log) {
			if list, _ := at(r, "locations").([]any); len(list) == 0 {
				t.Errorf("%s: a result of %v has no location", tt.name, at(r, "ruleId"))
			}
		}
	}
}
