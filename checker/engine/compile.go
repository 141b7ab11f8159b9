package engine

import (
	"fmt"
	"slices"
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
	packCostLimit   = 10_000_000 // of all packs of one's own over one kit
	expressionNodes = 2_000
	expressionBytes = 8_000
)

// budget is how many steps an expression may take at one place, and all packs
// of one's own over one kit.
type budget struct{ place, kit uint64 }

func (b budget) ofPlace() error {
	return fmt.Errorf("the rule needs more than the %d steps that are allowed for one place", b.place)
}

func (b budget) ofKit() error {
	return fmt.Errorf("the rule packs that the settings add need more than the %d steps that they may take together for one kit", b.kit)
}

// wanted is the type that an expression has to have.
type wanted uint8

const (
	wantAny wanted = iota
	wantBool
	wantNumber
	wantThings // of the kit, or a list of them
)

// expression is one CEL expression with its place in the pack.
type expression struct {
	text   string
	node   *source.Node // the text that holds it
	offset int          // of the expression in that text, in bytes
	want   wanted
	rule   *Rule
	names  []*named // that it can use

	once     sync.Once
	ast      *cel.Ast // nil where it was compiled when the program was built
	gives    *types.Type
	program  cel.Program
	dim      dimension
	problems []*source.Problem

	track          sync.Once // for the working
	trackedProgram cel.Program
	shown          []shownPart
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
		cel.CustomTypeProvider(p.vocabulary),
		cel.CustomTypeAdapter(p.vocabulary),
		cel.CrossTypeNumericComparisons(true),
		cel.EnableMacroCallTracking(), // so that the working can show kit.lines.all(...)
		cel.ExpressionNodeLimit(expressionNodes),
		cel.ParserExpressionSizeLimit(expressionBytes),
		cel.Variable("limit", p.vocabulary.objects[limitType].cel),
	}, p.vocabulary.calls()...)
	for _, name := range slices.Compact([]string{"kit", kind}) {
		if k, known := p.vocabulary.kinds[name]; known {
			options = append(options, cel.Variable(name, p.vocabulary.byType[k.Type].cel))
		}
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
func (e *expression) compile() {
	e.once.Do(func() {
		if e.stored() {
			return
		}
		env := e.env()
		ast, issues := env.Compile(e.text)
		if issues.Err() != nil {
			e.problems = e.translate(issues)
			return
		}
		if why, remedy := e.wrongType(ast.OutputType()); why != "" {
			e.problems = []*source.Problem{e.problemAt(1, 0, why, remedy)}
			return
		}
		check := dimensionChecker{ast: ast.NativeRep(), expr: e}
		e.dim = check.of(ast.NativeRep().Expr())
		check.flat()
		if len(check.problems) > 0 {
			e.problems = check.problems
			return
		}
		program, err := env.Program(ast, e.options()...)
		if err != nil {
			e.problems = []*source.Problem{e.problemAt(1, 0, "this expression cannot be made ready: "+err.Error(), "")}
			return
		}
		e.ast, e.gives, e.program = ast, ast.OutputType(), program
	})
}

func (e *expression) options() []cel.ProgramOption {
	options := []cel.ProgramOption{finiteQuotients(), bounded()}
	if p := e.rule.pack; !p.Unbudgeted {
		options = append(options, cel.CostTracking(charge{}), cel.CostLimit(p.budget.place))
	}
	return options
}

func (e *expression) wrongType(t *types.Type) (message, remedy string) {
	needed := ""
	switch {
	case e.want == wantThings:
		return e.noThings(t)
	case e.want == wantBool && !t.IsExactType(types.BoolType):
		needed, remedy = "a condition", "compare it with something, as in x > 0"
	case e.want == wantNumber && !t.IsExactType(types.DoubleType) && !t.IsExactType(types.IntType):
		needed, remedy = "a number", "name a number of the kit or a limit"
	default:
		return "", ""
	}
	return fmt.Sprintf("this gives %s; %s is needed", e.typeName(t.String()), needed), remedy
}

// Compile type-checks every expression of the pack.
func (p *Pack) Compile() []*source.Problem {
	var problems []*source.Problem
	problems = p.zeroDivisors()
	said := map[string]bool{}
	for _, r := range p.Rules {
		for _, problem := range r.compile() { // two rules may have one of what they share
			if line := problem.Error(); !said[line] {
				said[line] = true
				problems = append(problems, problem)
			}
		}
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
		e.compile()
		problems = append(problems, e.problems...)
	}
	if c := r.compare; c != nil && len(problems) == 0 && c.value.dim.known && c.limit.dim.known && !c.value.dim.fits(c.limit.dim) {
		problems = append(problems, c.limit.problemAt(1, 0, fmt.Sprintf("%s is compared with %s", units.Article(c.value.dim.String()), units.Article(c.limit.dim.String())), "give both the same dimension"))
	}
	for _, c := range append(slices.Clone(r.mend), r.choice...) {
		problems = append(problems, c.check(r)...)
	}
	if len(problems) == 0 && r.derived {
		r.must.compile()
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
	ast      *celast.AST
	expr     *expression
	locals   []string // variables of the macros that it stands in
	problems []*source.Problem
}
