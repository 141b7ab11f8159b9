package dossier

import (
	"fmt"
	"strings"

	"kitgauge/checker/facts"
)

// procedure is the installation procedure with its cautions.
type procedure struct {
	Notice string // the kit's own
	Steps  []step
}

type step struct {
	Number           int64
	Kind, Text, Mind string
	Lines            string
	Breaches         []string
}

func newProcedure(k *facts.Kit) *procedure {
	p := &procedure{}
	if k == nil {
		return p
	}
	p.Notice = k.Documents.SafetyNotice.V
	for _, s := range k.Procedure {
		one := step{Number: s.Number.V, Kind: spacedHyphens(s.Kind.Or("of no kind")), Text: s.Text.V, Mind: strings.Join(dangers(s), "; ")}
		var lines []string
		for _, l := range s.Lines {
			if l.Known {
				lines = append(lines, fmt.Sprint(l.V))
			}
		}
		one.Lines = strings.Join(lines, ", ")
		for _, b := range s.Breaches {
			one.Breaches = append(one.Breaches, fmt.Sprintf("%s (%s)", b.Says.V, b.Basis.V))
		}
		p.Steps = append(p.Steps, one)
	}
	return p
}

// dangers are those that belong to the kind of a step.
func dangers(s *facts.Step) []string {
	var list []string
	if s.Pressure.V {
		list = append(list, "something under pressure may come out")
	}
	if s.Under.V {
		list = append(list, "usually under the vehicle or a raised body")
	}
	return list
}

// spacedHyphens writes the name of a kind of step as words.
func spacedHyphens(kind string) string { return strings.ReplaceAll(kind, "-", " ") }
