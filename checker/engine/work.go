package engine

import (
	"errors"
	"fmt"
	"regexp"
	"regexp/syntax"
	"strings"
	"sync"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/operators"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/common/types/traits"
	"github.com/google/cel-go/interpreter"
)

// What an expression may make, whatever it takes. CEL counts the steps of a
// call when it is done; what one call can make is therefore bounded as well.
const (
	longestText    = 1 << 16 // bytes
	longestList    = 100_000 // items
	largestPattern = 1000    // instructions of what matches looks for
)

// What a place and a finding cost beside the steps of the expressions: the
// evaluation of a rule that says no more than false is not free.
const (
	placeSteps   = 5
	findingSteps = 200 // and one for each byte of its texts
)

var (
	errTooLong   = fmt.Errorf("a text of the rule would be longer than %d KiB", longestText>>10)
	errTooMany   = fmt.Errorf("a list of the rule would have more than %d items", longestList)
	errTooHard   = fmt.Errorf("the pattern that matches looks for is too large")
	errNoPattern = errors.New("the pattern that matches looks for cannot be read")
)

// bounded ends an evaluation at a call that made too much.
func bounded() cel.ProgramOption {
	return cel.CustomDecoratorV2(func(i interpreter.InterpretableV2) (interpreter.InterpretableV2, error) {
		call, is := i.(interpreter.InterpretableCall)
		switch {
		case !is:
		case call.Function() == "matches":
			return matching{call}, nil
		case call.Function() == operators.Add || call.Function() == "join" || call.Function() == "offer":
			return judged{call, notTooMuch}, nil
		}
		return i, nil
	})
}

// notTooMuch is what a call made, a text or a list, or the error of too much. A
// sum of lists is made when it is read, and only counted here.
func notTooMuch(v refVal) refVal {
	switch v := v.(type) {
	case types.String:
		if len(v) > longestText {
			return types.WrapErr(errTooLong)
		}
	case traits.Lister:
		if n, is := v.Size().(types.Int); is && n > longestList {
			return types.WrapErr(errTooMany)
		}
	}
	return v
}

// matching is a call of matches: the language reads the pattern anew each
// time, which takes longer than all else.
type matching struct{ interpreter.InterpretableCall }

// Eval implements interpreter.Interpretable.
func (m matching) Eval(a interpreter.Activation) refVal {
	args := m.Args()
	return match(args[0].Eval(a), args[1].Eval(a))
}

// Exec implements interpreter.InterpretableV2.
func (m matching) Exec(frame *interpreter.ExecutionFrame) refVal {
	args := m.Args()
	return match(args[0].Exec(frame), args[1].Exec(frame))
}

func match(text, pattern refVal) refVal {
	for _, v := range []refVal{text, pattern} {
		if types.IsUnknownOrError(v) {
			return v
		}
	}
	t, isText := text.(types.String)
	p, isPattern := pattern.(types.String)
	if !isText || !isPattern {
		return types.MaybeNoSuchOverloadErr(text)
	}
	r := readPattern(string(p))
	if r.err != nil {
		return types.WrapErr(r.err)
	}
	return types.Bool(r.MatchString(string(t)))
}

// pattern is what matches looks for, made ready.
type pattern struct {
	*regexp.Regexp
	size int // instructions
	err  error
}

// patterns are those in use. More than that are not kept.
var patterns = struct {
	sync.Mutex
	of map[string]pattern
}{of: map[string]pattern{}}

const mostPatterns = 1000

func readPattern(text string) pattern {
	patterns.Lock()
	defer patterns.Unlock()
	if p, known := patterns.of[text]; known {
		return p
	}
	p := newPattern(text)
	if len(patterns.of) < mostPatterns {
		patterns.of[text] = p
	}
	return p
}

func newPattern(text string) pattern {
	if len(text) > largestPattern {
		return pattern{err: errTooHard, size: len(text)}
	}
	tree, err := syntax.Parse(text, syntax.Perl)
	if err != nil {
		return pattern{err: errNoPattern, size: len(text)}
	}
	prog, err := syntax.Compile(tree.Simplify())
	switch {
	case err != nil:
		return pattern{err: errNoPattern, size: len(text)}
	case len(prog.Inst) > largestPattern:
		return pattern{err: errTooHard, size: len(prog.Inst)}
	}
	r, err := regexp.Compile(text)
	if err != nil {
		return pattern{err: errNoPattern, size: len(text)}
	}
	return pattern{Regexp: r, size: len(prog.Inst)}
}

// charge is what a call costs where CEL would take it for one step.
type charge struct{}

// CallCost implements interpreter.ActualCostEstimator.
func (charge) CallCost(function, _ string, args []refVal, result refVal) *uint64 {
	cost := uint64(1)
	switch function {
	case "join":
		cost += sizeOf(args[0]) + sizeOf(result)/10
	case "matches":
		p, is := args[1].(types.String)
		if !is {
			return nil
		}
		size := uint64(readPattern(string(p)).size)
		cost += size + (sizeOf(args[0])+1)*size/20
	case operators.Equals, operators.NotEquals:
		if _, is := args[0].(traits.Lister); !is {
			return nil
		}
		cost += min(sizeOf(args[0]), sizeOf(args[1]))
	case operators.Add:
		if _, is := result.(traits.Lister); !is {
			return nil
		}
		cost += sizeOf(result) / 10
	case "string", "measure":
		cost += sizeOf(args[0]) / 10
	default:
		return nil
	}
	return &cost
}

func sizeOf(v refVal) uint64 {
	switch v := v.(type) {
	case types.String:
		return uint64(len(v))
	case traits.Sizer:
		if n, is := v.Size().(types.Int); is && n > 0 {
			return uint64(n)
		}
	}
	return 1
}

// holder tells a list or a group of lists or groups: what such a one holds can
// be made without a step for each item, and is never needed.
func holder(t *types.Type) bool {
	if t == nil || t.Kind() != types.ListKind && t.Kind() != types.MapKind {
		return false
	}
	for _, p := range t.Parameters() {
		switch p.Kind() {
		case types.ListKind, types.MapKind, types.DynKind, types.AnyKind:
			return true
		}
	}
	return false
}

// writer puts a text together up to a length.
type writer struct {
	strings.Builder
	most int
	cut  bool
}

// write adds a text, or as many whole characters of it as there is room for.
func (w *writer) write(text string) {
	if room := w.most - w.Len(); len(text) > room {
		w.cut = true
		for room > 0 && text[room]&0xc0 == 0x80 {
			room--
		}
		text = text[:max(room, 0)]
	}
	w.WriteString(text)
}
