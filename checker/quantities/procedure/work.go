package procedure

import "slices"

// Job is what there is to fit, from which the steps follow that must be there.
type Job struct {
	Pump, Lines, Feed bool
}

// Undone returns the kinds of work that the job needs and the procedure lacks,
// in the order of [Kinds]. The kinds that others need before them are reported
// with those, by [Check]: clean-point is needed by remove-nipple, prime-line by
// connect-line, the tests by hand-over.
func Undone(kinds []string, j Job) []string {
	var undone []string
	need := func(wanted bool, names ...string) {
		for _, n := range names {
			if wanted && !slices.Contains(kinds, n) {
				undone = append(undone, n)
			}
		}
	}
	need(j.Pump, "mount-pump")
	need(j.Lines, "remove-nipple", "fit-line", "connect-line")
	need(j.Pump, "fill", "prime")
	need(j.Feed, "connect-feed")
	return undone
}

// sequence is the order of the work itself: the first of a pair is begun before
// the second. Common practice, no source.
var sequence = [][2]string{
	{"drill", "mount-pump"}, {"remove-nipple", "connect-line"}, {"fit-line", "connect-line"}, {"mount-pump", "connect-feed"},
	{"fill", "prime"}, {"mount-pump", "prime"}, {"fill", "test-run"}, {"prime", "test-run"}, {"connect-line", "test-run"}, {"connect-feed", "test-run"},
	{"test-run", "leak-check"},
}

// Early returns, for each step, the kinds of work that come only after it and
// are needed before it. A step is told once, where its kind first comes.
func Early(kinds []string) [][]string {
	early := make([][]string, len(kinds))
	for _, pair := range sequence {
		first, then := slices.Index(kinds, pair[0]), slices.Index(kinds, pair[1])
		if then >= 0 && first > then {
			early[then] = append(early[then], pair[0])
		}
	}
	return early
}
