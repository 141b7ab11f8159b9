package checker_test

import "testing"

// rightEdits are right engineering that rules took, or may take, for a mistake:
// the rule says nothing of it, nor does another.
var rightEdits = []struct{ rule, what, kit, patch string }{
	{"power/connector-place", "at the relay of the pump", "gritter", `{op: replace, path: /feed/connectors/0/name, value: at the pump relay}`},
	{"power/connector-place", "at its lamp", "gritter", `{op: replace, path: /feed/connectors/0/name, value: at the warning lamp of the pump}`},
	{"power/connector-place", "at its timer", "gritter", `{op: replace, path: /feed/connectors/0/name, value: at the timer of the pump}`},
	{"power/connector-place", "to a harness", "gritter", `{op: replace, path: /feed/connectors/0/name, value: to the frame harness}`},
	{"power/connector-place", "a socket of the cab", "gritter", `{op: replace, path: /feed/connectors/0/name, value: at the socket}`},
	{"survey/zone-caps", "a ram drawn to its pins", "loader", `{op: replace, path: /zones/0/from, value: [-14 in, 12.3 in, 34 in]}, {op: replace, path: /zones/0/to, value: [12 in, 12.7 in, 34 in]}`},
	{"survey/zone-holds", "a ram drawn just short of its pins", "loader", `{op: replace, path: /zones/0/shape, value: cylinder}, {op: replace, path: /zones/0/from, value: [-13.5 in, 12 in, 34 in]}, {op: replace, path: /zones/0/to, value: [11.5 in, 13 in, 34 in]}`},
	{"paperwork/note-side", "the clip of the other pivot", "gritter", `{op: replace, path: /lines/31/note, value: Leaves the left pivot's clip and crosses over.}`},
	{"paperwork/note-side", "past the other bearing", "gritter", `{op: replace, path: /lines/25/note, value: "Passes the left bearing, then under the belt."}`},
	{"paperwork/note-side", "beneath the other bearing", "gritter", `{op: replace, path: /lines/25/note, value: "Passes beneath the left bearing of the conveyor, then crosses under the belt."}`},
	{"paperwork/note-side", "from the other hinge", "gritter", `{op: replace, path: /lines/23/note, value: From behind the left hinge along the rear cross member.}`},
	{"paperwork/note-side", "another line's bearing", "gritter", `{op: replace, path: /lines/24/note, value: Longer than line 26 to the right bearing; do not exchange them.}`},
	{"paperwork/note-side", "as seen from the front", "gritter", `{op: replace, path: /lines/19/note, value: Seen from the front it goes to the left slipper pad side.}`},
	{"paperwork/note-side", "another line beside it", "gritter", `{op: replace, path: /lines/31/note, value: Crosses to the far pivot; beside it runs line 31 to the left pivot.}`},
	{"paperwork/note-side", "another line first", "gritter", `{op: replace, path: /lines/31/note, value: "Line 31 goes to the left pivot, this one crosses."}`},
	{"survey/access-twin", "an elbow for the way of the tube", "gritter", `{op: replace, path: /points/10/access, value: free}`},
	{"survey/bearing-units", "a metric pin in a boss of inches", "loader", `{op: replace, path: /points/15/bearing/diameter, value: 45 mm}`},
	{"power/spare-fuse", "spares carried in the cab", "gritter", `{op: replace, path: /parts_list/11/quantity, value: 1}, {op: add, path: /feed/note, value: "Spare fuses: lid of the fuse box."}`},
	{"survey/twin-range", "unlike locks to the left and to the right", "gritter", `{op: replace, path: /joints/1/range, value: {from: -37 deg, to: 42 deg}}, {op: replace, path: /joints/2/range, value: {from: -44 deg, to: 36 deg}}`},
}

// TestNothingFoundInWhatIsRight plays what is right: no rule says anything.
func TestNothingFoundInWhatIsRight(t *testing.T) {
	for _, e := range rightEdits {
		for _, f := range withPatch(t, e.kit, e.patch).Findings {
			t.Errorf("%s, %s: %s at %s: %s", e.rule, e.what, f.Rule, f.Place, f.Message)
		}
	}
}
