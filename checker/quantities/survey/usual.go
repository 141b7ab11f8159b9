package survey

// How nearly things agree that are measured with a tape, and what is taken for
// a slip. Common practice, no source. What a rule judges by is a limit of the
// pack instead.
const (
	Flush    = 0.02 // m; coordinates that differ by no more are the same
	Tape     = 0.03 // m; two people measure one place so exactly
	Exact    = 0.01 // m; a place that was copied agrees so exactly
	Uneven   = 0.06 // m; the halves of a vehicle that was built as mirror images differ by no more
	Departs  = 0.09 // m; a pair that departs by more is no mirror image, where the others are
	Apart    = 0.1  // m; zones that are drawn by eye agree so exactly
	Beside   = 0.12 // m; a point greases its pin from the end or from the boss, so near
	Astray   = 0.25 // m; farther than this its own pin is elsewhere
	Wayward  = 0.4  // m; a detour up to this is one round a cross member
	Return   = 0.3  // m; a way there and back up to this is one round a bracket
	Nearby   = 0.6  // m; the last piece of a line to its point
	Arm      = 1.0  // m; so far from its hinge a place tells which way a body goes
	Touching = 0.0005

	Kin      = 0.03  // share by which two numbers may differ and be the same number, mistyped
	Twinned  = 0.02  // the same of sizes of bearings
	Drawn    = 0.05  // the same of zones
	Verbatim = 0.005 // the same where the halves are built differently
	Sketch   = 0.15  // share by which the sizes of zones drawn by eye differ

	Cured     = 0.4  // share of a departure that is left where a slip explains it
	Explained = 0.2  // the same of a detour
	Stretched = 1.4  // hop to a mistyped station over that to its mirror image
	Saved     = 0.25 // the same of a way there and back
	NearAxle  = 0.35 // share of the wheelbase up to which a spring's ends are from its axle
	Crowd     = 0.25 // share of all places beyond one face that casts doubt on the face

	Raised = 0.15 // share of its range by which a lift that was measured raised still rises

	Askew   = 0.5 // rad; two directions farther apart are different ones
	LeastAt = 0.2 // rad; no kingpin turns less to either side
	MostAt  = 1.3 // rad; nor more

	Turned      = 1.5  // diameter over width, or width over diameter, from which on two that are exchanged are no chance
	PlainWidth  = 1.3  // width of a plain bearing over its diameter
	RollerWidth = 0.25 // the same of a rolling bearing
)
