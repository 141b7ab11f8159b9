package engine

// Allow sets how many steps a pack may take at one place, and over a kit.
func (p *Pack) Allow(place, kit uint64) { p.budget = budget{place, kit} }

// What an expression may hold.
const (
	ExpressionNodes = expressionNodes
	ExpressionBytes = expressionBytes
	CostLimit       = costLimit
	PackCostLimit   = packCostLimit
)
