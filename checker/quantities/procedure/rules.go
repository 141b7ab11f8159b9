package procedure

// Need says which of the two steps calls for the other.
type Need int

const (
	ThenNeedsFirst Need = iota // Then may not be done unless First came before it
	FirstNeedsThen             // First must be followed by Then
	OrderOnly                  // binds only where both are present
)

// Scope says how long a First stays good. Where Need is FirstNeedsThen,
// SinceRelease asks for the Then before energy is next given back.
type Scope int

const (
	Ever         Scope = iota // once done, done
	SinceRelease              // until energy is given back
	SinceWork                 // until somebody works on the vehicle again
)

// Class stands for every kind with a property. The zero Class is one kind.
type Class int

const (
	One           Class = iota
	EveryTouch          // Touches; a Live kind only until the first release
	EveryUnder          // Under
	EveryPressure       // Pressure
)

// Rule is one required precedence: First comes before Then, or before every
// kind of the class Each.
type Rule struct {
	First string
	Then  string // a kind; empty where Each is set
	Each  Class
	Need  Need
	Scope Scope
	// Raised limits the rule to jobs under a raised body, cab or boom. Only
	// the caller knows whether that applies.
	Raised bool
	Basis  string
}

const (
	controlClause = "29 CFR 1910.147(d)"
	practice      = "common practice, no source"
	wheelLoss     = "DVSA, Careless Torque Costs Lives"
	underVehicles = "HSE, Working under vehicles; HSG261"
)

// Rules is the order graph. Taken kind by kind it has no cycle.
var Rules = []Rule{
	// Each element of energy control before anything is touched ...
	{First: "brief", Each: EveryTouch, Scope: SinceRelease, Basis: "29 CFR 1910.147(d)(1), (c)(9)"},
	{First: "shut-down", Each: EveryTouch, Scope: SinceRelease, Basis: "29 CFR 1910.147(d)(2)"},
	{First: "remove-key", Each: EveryTouch, Scope: SinceRelease, Basis: "29 CFR 1910.147(d)(3)"},
	{First: "isolate-battery", Each: EveryTouch, Scope: SinceRelease, Basis: "29 CFR 1910.147(d)(3)"},
	{First: "lock-out", Each: EveryTouch, Scope: SinceRelease, Basis: "29 CFR 1910.147(d)(4)"},
	{First: "relieve-pressure", Each: EveryTouch, Scope: SinceRelease, Basis: "29 CFR 1910.147(d)(5)"},
	{First: "verify-isolation", Each: EveryTouch, Scope: SinceRelease, Basis: "29 CFR 1910.147(d)(6)"},
	// ... and the elements in the sequence of the paragraph.
	{First: "brief", Then: "shut-down", Need: OrderOnly, Scope: SinceRelease, Basis: controlClause},
	{First: "shut-down", Then: "remove-key", Need: OrderOnly, Scope: SinceRelease, Basis: controlClause},
	{First: "shut-down", Then: "isolate-battery", Need: OrderOnly, Scope: SinceRelease, Basis: controlClause},
	{First: "remove-key", Then: "isolate-battery", Need: OrderOnly, Scope: SinceRelease, Basis: practice + ": control units finish before the battery goes; both are (d)(3)"},
	{First: "remove-key", Then: "lock-out", Need: OrderOnly, Scope: SinceRelease, Basis: controlClause},
	{First: "isolate-battery", Then: "lock-out", Need: OrderOnly, Scope: SinceRelease, Basis: controlClause},
	{First: "lock-out", Then: "relieve-pressure", Need: OrderOnly, Scope: SinceRelease, Basis: "29 CFR 1910.147(d)(5)(i)"},
	{First: "relieve-pressure", Then: "verify-isolation", Need: OrderOnly, Scope: SinceRelease, Basis: controlClause},
	{First: "lock-out", Then: "verify-isolation", Need: OrderOnly, Scope: SinceRelease, Basis: "29 CFR 1910.147(d)(6)"},

	// Holding the vehicle, and protecting people.
	{First: "chock", Each: EveryUnder, Basis: underVehicles},
	{First: "chock", Then: "support", Basis: underVehicles},
	{First: "support", Then: "remove-wheel", Basis: "29 CFR 1910.244(a)(2)(iii); " + underVehicles},
	{First: "prop", Each: EveryUnder, Raised: true, Basis: "29 CFR 1926.600(a)(3)(i), 1926.601(b)(10); HSE INDG434"},
	{First: "protect-eyes", Each: EveryPressure, Basis: "29 CFR 1910.133(a)(1)"},
	{First: "protect-hands", Each: EveryPressure, Basis: "29 CFR 1910.138(a)"},
	{First: "protect-eyes", Then: "drill", Basis: "29 CFR 1910.133(a)(1)"},

	// Clean grease only.
	{First: "clean-point", Then: "remove-nipple", Basis: practice},
	{First: "prime-line", Then: "connect-line", Basis: practice},

	// Giving energy back.
	{First: "clear-tools", Then: "tell-people", Need: FirstNeedsThen, Scope: SinceRelease, Basis: "29 CFR 1910.147(e)(1), (e)(2)"},
	{First: "clear-tools", Then: "restore", Scope: SinceWork, Basis: "29 CFR 1910.147(e)(1), (f)(1)(i)"},
	{First: "tell-people", Then: "restore", Scope: SinceWork, Basis: "29 CFR 1910.147(e)(2), (f)(1)(ii)"},
	{First: "clear-tools", Then: "reconnect-battery", Scope: SinceWork, Basis: "29 CFR 1910.147(e)(1), (f)(1)(i)"},
	{First: "tell-people", Then: "reconnect-battery", Scope: SinceWork, Basis: "29 CFR 1910.147(e)(2), (f)(1)(ii)"},
	{First: "clear-tools", Then: "remove-locks", Scope: SinceWork, Basis: "29 CFR 1910.147(e)(1)"},
	{First: "clear-people", Then: "restore", Scope: SinceWork, Basis: "29 CFR 1910.147(e)(2)(i), (f)(1)(ii)"},
	{First: "clear-people", Then: "reconnect-battery", Scope: SinceWork, Basis: "29 CFR 1910.147(e)(2)(i), (f)(1)(ii)"},
	{First: "lock-out", Then: "remove-locks", Need: FirstNeedsThen, Scope: SinceRelease, Basis: "29 CFR 1910.147(e)(3)"},
	{First: "clear-people", Then: "remove-locks", Need: OrderOnly, Scope: SinceWork, Basis: "29 CFR 1910.147(e)(2)(i)"},
	{First: "remove-locks", Then: "tell-people", Need: FirstNeedsThen, Scope: SinceRelease, Basis: "29 CFR 1910.147(e)(2)(ii)"},
	{First: "connect-feed", Then: "reconnect-battery", Need: FirstNeedsThen, Basis: practice},

	// Wheels that were off.
	{First: "remove-wheel", Then: "refit-wheel", Need: FirstNeedsThen, Basis: practice},
	{First: "refit-wheel", Then: "torque", Need: FirstNeedsThen, Basis: wheelLoss},
	{First: "refit-wheel", Then: "re-torque", Need: FirstNeedsThen, Basis: wheelLoss},
	{First: "torque", Then: "re-torque", Basis: wheelLoss},
	{First: "torque", Then: "hand-over", Need: OrderOnly, Scope: SinceWork, Basis: practice},

	// Proving the work: on the live vehicle, after the last release.
	{First: "restore", Then: "test-run", Scope: SinceWork, Basis: practice},
	{First: "reconnect-battery", Then: "test-run", Scope: SinceWork, Basis: practice},
	{First: "restore", Then: "leak-check", Scope: SinceWork, Basis: practice},
	{First: "reconnect-battery", Then: "leak-check", Scope: SinceWork, Basis: practice},
	{First: "restore", Then: "slack-check", Scope: SinceWork, Basis: practice},
	{First: "reconnect-battery", Then: "slack-check", Scope: SinceWork, Basis: practice},
	{First: "restore", Then: "hand-over", Scope: SinceWork, Basis: "29 CFR 1910.147(e)"},
	{First: "reconnect-battery", Then: "hand-over", Scope: SinceWork, Basis: practice},
	{First: "test-run", Then: "hand-over", Scope: SinceRelease, Basis: practice},
	{First: "leak-check", Then: "hand-over", Scope: SinceRelease, Basis: practice},
	{First: "slack-check", Then: "hand-over", Scope: SinceRelease, Basis: practice},
}

// binds reports whether a step of kind k is a Then of r. released says
// whether energy was given back before the step.
func (r Rule) binds(k Kind, released bool) bool {
	switch r.Each {
	case EveryTouch:
		return k.Touches && !(k.Live && released)
	case EveryUnder:
		return k.Under
	case EveryPressure:
		return k.Pressure
	default:
		return k.Name == r.Then
	}
}
