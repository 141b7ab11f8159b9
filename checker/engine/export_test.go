package engine

// Allow sets how many steps a pack may take at one place, and over a kit.
func (p *Pack) Allow(place, kit uint64) { p.budget = budget{place, kit} }

// What an expression may hold.
const (
	ExpressionNodes = expressionNodes
	ExpressionBytes = expressionBytes
	CostLimit       = costLimit
	PackCostLimit   = packCostLimit
	PlaceSteps      = placeSteps
	LongestText     = longestText
	LongestMessage  = longestMessage
	MostTerms       = mostTerms
	CELVersion      = celVersion
)

// Records is the compiled form of the pack's expressions.
func (p *Pack) Records() ([]byte, error) { return p.records() }

// Seal makes records pass for the compiled form of the pack.
func (p *Pack) Seal(records []byte) []byte { return p.seal(records) }
