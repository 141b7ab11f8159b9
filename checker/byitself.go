package checker

import (
	"path/filepath"
	"slices"
	"strings"

	"kitgauge/checker/files"
	"kitgauge/checker/settings"
	"kitgauge/checker/source"
	"kitgauge/schema"
)

// ByItself is what is wrong with a file that kits read, told without a kit: a
// catalogue, concessions, settings or a rule pack, whichever its name says.
func ByItself(file string, text []byte) []*source.Problem {
	switch {
	case files.IsCatalogueName(file):
		var f catalogueFile
		f.read(file, file, func(string, string) ([]byte, error) { return text, nil })
		if f.shape == nil {
			return f.problems
		}
		return source.Unsaid(f.shape(), f.problems)
	case strings.HasSuffix(file, files.ConcessionsEnding):
		_, problems := readConcessions(file, text)
		return problems
	case files.IsPackName(file):
		pack, problems := ReadPack(file, text)
		if pack != nil && len(problems) == 0 {
			problems = pack.Compile()
		}
		return problems
	case filepath.Base(file) == settings.FileName:
		_, problems := readSettingsText(file, text)
		return problems
	}
	return nil
}

// begins says of an empty file how one of its kind begins.
func begins(problems []*source.Problem, words string) []*source.Problem {
	for _, p := range problems {
		if p.Empty {
			p.Remedy = words
		}
	}
	return problems
}

// readSettingsText reads the text of settings; they are nil where there is
// nothing to read. A file that holds nothing sets nothing.
func readSettingsText(name string, text []byte) (*settings.Settings, []*source.Problem) {
	docs, problems := source.Parse(name, text)
	if len(docs) == 0 && slices.ContainsFunc(problems, func(p *source.Problem) bool { return p.Empty }) {
		docs, problems = source.Parse(name, []byte("{}"))
	}
	if len(docs) == 0 {
		return nil, problems
	}
	problems = append(problems, second(docs, "a settings file")...)
	problems = append(problems, schema.Validate("settings", docs[0].Root)...)
	s, more := settings.Read(docs[0])
	return s, source.Unsaid(problems, more)
}
