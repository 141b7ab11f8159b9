package engine

import (
	"fmt"
	"sync"

	"github.com/google/cel-go/cel"
	celast "github.com/google/cel-go/common/ast"
	"github.com/google/cel-go/common/types"

	"kitgauge/checker/source"
	"kitgauge/checker/units"
)

// Budgets for expressions, in the steps that CEL counts. A rule of the built-in
// packs takes far below a thousand at one place of a kit of usual size, and
// below the limit in one of 2000 lines, which a test holds; the limit stops one
// that would multiply lists with each other.
const (
	costLimit       = 1_000_000  // of one expression at one place
	packCostLimit   = 20_000_000 // of all expressions of a pack over one kit
	expressionNodes = 2_000
	expressionBytes = 8_000
)

// budget is how many steps an expression may take at one place, and all of a
// pack over one kit.
type budget struct{ place, kit uint64 }

func (b budget) ofPlace() error {
	return fmt.Errorf("the rule needs more than the %d steps that are allowed for one place", b.place)
}

func (b budget) ofKit() error {
	return fmt.Errorf("the rules of this pack need more than the %d steps that are allowed for one kit", b.kit)
}

// wanted is the type that an expression has to have.
type wanted uint8

const (
	wantAny wanted = iota
	wantBool
	wantNumber
)

// expression is one CEL expression with its place in the pack.
type expression struct {
	text   string
	node   *source.Node // the text that holds it
	offset int          // of the expression in that text, in bytes
	want   wanted

	once     sync.Once
	ast      *cel.Ast
	program  cel.Program
	dim      dimension
	problems []*source.Problem
	env      *cel.Env

	track          sync.Once // for the working
	trackedAST     *cel.Ast
	trackedProgram cel.Program
}

// packProvider adds the limits of one pack to the vocabulary.
type packProvider struct {
	*Types
	limits *object
}

// limitValues are the limits' values in force, in the order of the pack.
type limitValues struct{ si []float64 }

const limitType = "limits"

func newPackProvider(v *Types, limits []*Limit) *packProvider {
	o := &object{name: limitType, cel: types.NewObjectType(limitType), fields: map[string]*field{}}
	for i, l := range limits {
		o.keys = append(o.keys, l.Name)
		o.fields[l.Name] = &field{key: l.Name, dim: l.Dim, hasDim: true, cel: &types.FieldType{
			Type:    types.DoubleType,
			IsSet:   func(any) bool { return true },
			GetFrom: func(target any) (any, error) { return target.(*limitValues).si[i], nil },
		}}
	}
	return &packProvider{v, o}
}

func (p *packProvider) object(name string) *object {
	if name == limitType {
		return p.limits
	}
	return p.objects[name]
}

// FindStructType implements types.Provider.
func (p *packProvider) FindStructType(name string) (*types.Type, bool) {
	if name == limitType {
		return types.NewTypeTypeWithParam(p.limits.cel), true
	}
	return p.Types.FindStructType(name)
}

// FindStructFieldNames implements types.Provider.
func (p *packProvider) FindStructFieldNames(name string) ([]string, bool) {
	if name == limitType {
		return p.limits.keys, true
	}
	return p.Types.FindStructFieldNames(name)
}

// FindStructFieldType implements types.Provider.
func (p *packProvider) FindStructFieldType(name, key string) (*types.FieldType, bool) {
	if name == limitType {
		f, ok := p.limits.fields[key]
		if !ok {
			return nil, false
		}
		return f.cel, true
	}
	return p.Types.FindStructFieldType(name, key)
}

// envs are the CEL environments of a pack, one for each kind looked at.
type envs struct {
	sync.Mutex
	of map[string]*cel.Env
}

func (p *Pack) env(kind string) *cel.Env {
	p.envs.Lock()
	defer p.envs.Unlock()
	if e, ok := p.envs.of[kind]; ok {
		return e
	}
	options := append([]cel.EnvOption{
		cel.CustomTypeProvider(p.provider),
		cel.CustomTypeAdapter(p.vocabulary),
		cel.CrossTypeNumericComparisons(true),
		cel.EnableMacroCallTracking(), // so that the working can show kit.lines.all(...)
		cel.ExpressionNodeLimit(expressionNodes),
		cel.ParserExpressionSizeLimit(expressionBytes),
		cel.Variable("limit", p.provider.limits.cel),
	}, p.vocabulary.calls()...)
	for _, name := range []string{"kit", kind} {
		k, known := p.vocabulary.kinds[name]
		if known && (name != "kit" || kind != "kit") {
			options = append(options, cel.Variable(name, p.vocabulary.byType[k.Type].cel))
		}
	}
	if kind == "kit" {
		options = append(options, cel.Variable("kit", p.vocabulary.byType[p.vocabulary.kinds["kit"].Type].cel))
	}
	e, err := cel.NewEnv(options...)
	if err != nil {
		panic("engine: " + err.Error()) // the options are the program's own
	}
	if p.envs.of == nil {
		p.envs.of = map[string]*cel.Env{}
	}
	p.envs.of[kind] = e
	return e
}

// compile type-checks the expression, once.
func (e *expression) compile(p *Pack, kind string) {
	e.once.Do(func() {
		e.env = p.env(kind)
		if e.stored(p, kind) {
			return
		}
		ast, issues := e.env.Compile(e.text)
		if issues.Err() != nil {
			e.problems = e.translate(issues, p, kind)
			return
		}
		if why := e.wrongType(ast.OutputType()); why != "" {
			e.problems = []*source.Problem{e.problemAt(1, 0, why, "")}
			return
		}
		check := dimensionChecker{provider: p.provider, ast: ast.NativeRep(), expr: e}
		e.dim = check.of(ast.NativeRep().Expr())
		if len(check.problems) > 0 {
			e.problems = check.problems
			return
		}
		program, err := e.env.Program(ast, e.options(p)...)
		if err != nil {
			e.problems = []*source.Problem{e.problemAt(1, 0, "this expression cannot be made ready: "+err.Error(), "")}
			return
		}
		e.ast, e.program = ast, program
	})
}

func (e *expression) options(p *Pack) []cel.ProgramOption {
	options := []cel.ProgramOption{finiteQuotients()}
	if !p.Unbudgeted {
		options = append(options, cel.CostLimit(p.budget.place))
	}
	return options
}

func (e *expression) wrongType(t *types.Type) string {
	switch {
	case e.want == wantBool && !t.IsExactType(types.BoolType):
		return fmt.Sprintf("this gives %s; a condition is needed", typeName(t))
	case e.want == wantNumber && !t.IsExactType(types.DoubleType) && !t.IsExactType(types.IntType):
		return fmt.Sprintf("this gives %s; a number is needed", typeName(t))
	}
	return ""
}

// Compile type-checks every expression of the pack.
func (p *Pack) Compile() []*source.Problem {
	var problems []*source.Problem
	for _, r := range p.Rules {
		problems = append(problems, r.compile()...)
	}
	return problems
}

func (r *Rule) compile() []*source.Problem {
	var problems []*source.Problem
	if _, known := r.pack.vocabulary.kinds[r.Of]; !known {
		return nil // ReadPack reported it
	}
	for _, e := range r.expressions() {
		if r.derived && e == r.must {
			continue // its faults are those of the two that it is made of
		}
		e.compile(r.pack, r.Of)
		problems = append(problems, e.problems...)
	}
	if c := r.compare; c != nil && len(problems) == 0 && c.value.dim.known && c.limit.dim.known && !c.value.dim.fits(c.limit.dim) {
		problems = append(problems, c.limit.problemAt(1, 0, fmt.Sprintf("%s is compared with %s", article(c.value.dim.String()), article(c.limit.dim.String())), "give both the same dimension"))
	}
	if len(problems) == 0 && r.derived {
		r.must.compile(r.pack, r.Of)
		problems = r.must.problems
	}
	return problems
}

// dimension is what is known of an expression's dimension.
type dimension struct {
	units.Dimension
	known bool
	zero  bool // the literal 0, which fits every dimension
}

func (d dimension) fits(e dimension) bool { return d.zero || e.zero || d.Dimension == e.Dimension }

// dimensionChecker finds the dimension of an expression and reports where
// two that differ are added or compared.
type dimensionChecker struct {
	provider *packProvider
	ast      *celast.AST
	expr     *expression
	problems []*source.Problem
}
