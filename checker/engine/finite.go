package engine

import (
	"errors"
	"math"

	"github.com/google/cel-go/cel"
	"github.com/google/cel-go/common/operators"
	"github.com/google/cel-go/common/types"
	"github.com/google/cel-go/interpreter"
)

// A quotient by zero is infinite or no number, and CEL compares both without
// a word: x / 0.0 >= 2.0 holds. Here such a quotient is an error, so that the
// rule is not evaluated.
var errNotFinite = errors.New("the result is not a finite number")

func finiteQuotients() cel.ProgramOption {
	return cel.CustomDecoratorV2(func(i interpreter.InterpretableV2) (interpreter.InterpretableV2, error) {
		if call, ok := i.(interpreter.InterpretableCall); ok && call.Function() == operators.Divide {
			return judged{call, finite}, nil
		}
		return i, nil
	})
}

// judged is a call whose result is looked at, and may be an error instead.
type judged struct {
	interpreter.InterpretableCall
	judge func(refVal) refVal
}

// Eval implements interpreter.Interpretable.
func (j judged) Eval(a interpreter.Activation) refVal {
	return j.judge(j.InterpretableCall.Eval(a))
}

// Exec implements interpreter.InterpretableV2.
func (j judged) Exec(frame *interpreter.ExecutionFrame) refVal {
	return j.judge(j.InterpretableCall.Exec(frame))
}

func finite(v refVal) refVal {
	if d, ok := v.(types.Double); ok && (math.IsNaN(float64(d)) || math.IsInf(float64(d), 0)) {
		return types.WrapErr(errNotFinite)
	}
	return v
}
