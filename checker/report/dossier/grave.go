package dossier

import (
	"fmt"
	"strings"

	"kitgauge/checker/finding"
	"kitgauge/checker/report"
)

// graveLine is a finding in a line, as the first page has it.
type graveLine struct {
	Severity, Word, Letter string
	Settled                bool
	No                     int
	ID                     string // of the element to which it leads
	Place, Message         string
	Cause                  int // the number of the finding from which it follows; 0 where it stands for itself
}

// grave lists the critical and the major findings, those that count first, the
// gravest first, and causes before what follows from them. Checks that could
// not be evaluated for one reason take one line.
func (e *entries) grave() []graveLine {
	var list []graveLine
	at := map[string]int{}   // of the lines of what could not be evaluated
	more := map[string]int{} // checks beside the one that the line names
	for i := range e.list {
		one := &e.list[i]
		if one.severity < finding.Major && !(one.status == finding.Violated && e.heavy[one.fingerprint] >= finding.Major) {
			continue
		}
		if one.status == finding.NotEvaluated {
			if _, told := at[one.Message]; told {
				more[one.Message]++
				continue
			}
			at[one.Message] = len(list)
		}
		list = append(list, graveLine{
			Severity: one.Severity, Word: one.Word, Letter: one.Letter, Settled: one.Settled, No: one.No, ID: one.ID,
			Place: one.Place, Message: one.Message, Cause: one.Cause,
		})
	}
	for reason, i := range at {
		if !strings.HasPrefix(reason, "not evaluated") {
			list[i].Word += ", not evaluated"
		}
		if n := more[reason]; n > 0 {
			list[i].Place += fmt.Sprintf(" and %s", report.Count(n, "check more", "checks more"))
		}
	}
	return list
}
