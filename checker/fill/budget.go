package fill

import (
	"errors"
	"fmt"
	"time"

	"kitgauge/checker"
)

// What filling in the kits of a file may take, beside the time that is allowed
// for it. The kit of the examples with most points takes some 60 checks.
const (
	mostChecks = 1000
	mostBytes  = 200 << 20 // of the texts that are checked
)

// errOver ends what is being filled in; what was before stays.
var errOver = errors.New("fill: over its budget")

// budget is what is left to fill in with.
type budget struct {
	checks, bytes int // so far
	began         time.Time
	limit         time.Duration // 0 sets none
}

// spend counts a check of a text; why says that there may be none.
func (b *budget) spend(bytes int) (why string) {
	if b.limit > 0 && time.Since(b.began) > b.limit {
		return fmt.Sprintf("it was not tried: filling in took longer than %s; allow it more time (--time-limit), or run fill again for what is left", b.limit)
	}
	if b.checks == mostChecks || b.bytes+bytes > mostBytes {
		return fmt.Sprintf("it was not tried: filling in took %d checks of the kit, and may take no more; run fill again for what is left, or name what is wanted (--only)", b.checks)
	}
	b.checks++
	b.bytes += bytes
	return ""
}

// givenUp is why the check of a kit was given up; "" where it was not.
func givenUp(r *checker.Result) string {
	for i := range r.Findings {
		if f := &r.Findings[i]; f.Rule == "file/time" {
			return "it was not tried: " + f.Message + "; allow it more time (--time-limit)"
		}
	}
	return ""
}

// fillGroup fills in one sort of thing; where that takes more than it may, the
// kit is left as it was before, and the reason is kept.
func (f *filler) fillGroup(g group) error {
	f.group = g.name
	if f.over != "" {
		f.lacks("the kit", f.over)
		return nil
	}
	was := *f
	err := g.fill(f)
	if errors.Is(err, errOver) {
		over := f.over
		was.checks = f.checks
		*f = was
		f.over = over
		f.lacks("the kit", over)
		return nil
	}
	return err
}
