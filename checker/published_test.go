package checker_test

import (
	"testing"

	"kitgauge/checker"
)

// limitsOf returns the limits of the built-in packs in SI, by pack and name.
func limitsOf(t *testing.T) map[string]float64 {
	t.Helper()
	packs, problems := checker.OnExamples().Packs()
	for _, p := range problems {
		t.Fatal(p)
	}
	of := map[string]float64{}
	for _, p := range packs {
		for _, l := range p.Limits {
			of[p.Name+"/"+l.Name] = l.SI
		}
	}
	return of
}

// TestLimitsAgainstPublishedFigures holds each limit to the figures that its
// basis names: from the one to the other, in SI, angles in radians.
func TestLimitsAgainstPublishedFigures(t *testing.T) {
	const inch, degree, celsius = 0.0254, 0.017453292519943295, 273.15
	limits := limitsOf(t)
	for _, tt := range []struct {
		limit     string
		low, high float64
		source    string
	}{
		{"routing/heat", 0.050, 8 * inch, "seen: Quebec C-24.2 r. 32, 92, 50 mm; Kenworth T440/T470 manual, table 9-1, nylon 8 in"},
		{"routing/heat_shielded", 0.95 * 3 * inch, 8 * inch, "seen: Kenworth T440/T470 manual, table 9-1, nylon behind a shield 3 in, to 2 mm"},
		{"mounting/heat", 0.050, 8 * inch, "seen: the same two"},
		{"mounting/shielded_heat", 0.95 * 3 * inch, 8 * inch, "seen: the same"},
		{"routing/edge", 0.010, 0.050, "seen: lhe-terminal.com, harness to edges 10 mm, to rotating parts 50 mm"},
		{"routing/tie_gap", 0.300, 0.920, "seen: Hyundai manual 2015, p. 219, 300 mm; UK SI 1986/1078, schedule 4, 920 mm"},
		{"routing/tie_gap", 14 * inch, 30 * inch, "seen: Kenworth T800 manual, p. 9-3, 14 in; transit bus TS 30.3, nylon 30 in"},
		{"routing/ground", 0.180, 0.200, "seen: 70/156/EEC as amended by 87/403/EEC, 180 and 200 mm"},
		{"mounting/bolt_factor", 1.5, 4, "seen: Mechanical Engineering Fundamentals, p. 243, 1.5 to 4"},
		{"bundles/fill_closed", 0.60, 0.60, "seen: NFPA 70 chapter 9, note 4, 60 %"},
		{"power/fuse_share", 0, 0.75, "seen: circuitprotection.ca, 75 %"},
		{"power/drop", 0, 0.03, "seen: ABYC wording, 3 %"},
		{"power/fuse_distance", 7 * inch, 40 * inch, "seen: 33 CFR 183.455, 7 and 40 in"},
		{"slack/slack_share", 0.04, 1, "seen: bosado.com, hose shortens by up to 4 %"},
		{"slack/grip", 0, 0.100, "seen: ydrconnector.com, fixing within 100 mm of a branch"},
		{"fittings/tube_difference", 4e-3 - 5./32*inch, 0.1e-3, "seen: CKD 3KA1 manual, nylon tube to 0.1 mm; 5/32 in is 3.969 mm"},
		{"catalogue/share_least", 0, 1.2 / 3.3, "seen: SMC T series, nylon 12, 1.2 of 3.3 MPa at 100 degC"},
		{"catalogue/wall_least", 0, 0.015 * inch, "seen: zeusinc.com, PTFE, wall 0.015 in"},
		{"catalogue/cold_least", 0, celsius - 70, "seen: avetop.cz, PA tube, brittle below -70 degC"},
		{"survey/steering_least", 0, 33 * degree, "seen: Eugene, exhibit D, cramp angle 33 deg"},
		{"survey/steering_most", 52 * degree, 90 * degree, "seen: fire apparatus specification, cramp angle 52 deg"},
		{"survey/travel_least", 0, 0.060, "seen: BPW bulletin, 60 mm upwards at least"},
		{"survey/travel_most", 0.195, 1, "seen: SAF Modul 11a/2003, ride height 200 to 395 mm"},
		{"survey/cab_least", 0, 45 * degree, "seen: fire apparatus specification PSDF P09-0004, 45 deg at least"},
		{"survey/cab_most", 90 * degree, 180 * degree, "seen: the same, 90 deg for work on the engine"},
		{"survey/tipping_least", 0, 50 * degree, "seen: US Army TM 5-3805-254-14P-1, 50 deg"},
		{"survey/tipping_most", 60 * degree, 180 * degree, "seen: agerolaflex.com, 30 to 60 deg"},
		{"survey/exhaust_least", 0, celsius + 149, "seen: trucksauthority.com, manifold at idle 300 degF"},
		{"survey/heat_most", celsius + 870, 2000, "seen: trucksauthority.com, manifold 1600 degF"},
	} {
		is, ok := limits[tt.limit]
		if !ok || is < tt.low*(1-1e-9) || is > tt.high*(1+1e-9) {
			t.Errorf("%s is %g (found: %v), not from %g to %g (%s); say in its basis how it differs, and here", tt.limit, is, ok, tt.low, tt.high, tt.source)
		}
	}
}

// TestPublishedTubesBendAsTubesDo holds the bounds of a bend radius to tubes
// that are sold. Lengths in mm.
func TestPublishedTubesBendAsTubesDo(t *testing.T) {
	const inch = 25.4
	limits := limitsOf(t)
	least, most := limits["catalogue/tube_bend_least"], limits["catalogue/tube_bend_most"]
	for _, tt := range []struct {
		outer, bend float64
		source      string
	}{
		{4, 10, "seen: CKD 3KA1 manual, nylon 4 mm"},
		{6, 20, "seen: CKD 3KA1 manual, nylon 6 mm"},
		{8, 30, "seen: CKD 3KA1 manual, nylon 8 mm"},
		{10, 40, "seen: CKD 3KA1 manual, nylon 10 mm"},
		{(1./32 + 0.03) * inch, 0.330 * inch, "seen: zeusinc.com, PTFE 1/32 in, wall 0.015 in"},
		{(1./16 + 0.06) * inch, 0.688 * inch, "seen: zeusinc.com, PTFE 1/16 in, wall 0.030 in"},
		{(3./32 + 0.06) * inch, 1.000 * inch, "seen: zeusinc.com, PTFE 3/32 in"},
		{(1./8 + 0.06) * inch, 1.625 * inch, "seen: zeusinc.com, PTFE 1/8 in"},
		{(3./16 + 0.06) * inch, 2.000 * inch, "seen: zeusinc.com, PTFE 3/16 in"},
		{(1./4 + 0.06) * inch, 3.250 * inch, "seen: zeusinc.com, PTFE 1/4 in"},
		{(5./16 + 0.06) * inch, 4.000 * inch, "seen: zeusinc.com, PTFE 5/16 in"},
		{(3./8 + 0.06) * inch, 4.500 * inch, "seen: zeusinc.com, PTFE 3/8 in"},
		{(1./2 + 0.06) * inch, 5.000 * inch, "seen: zeusinc.com, PTFE 1/2 in"},
	} {
		if times := tt.bend / tt.outer; !(times >= least && times <= most) {
			t.Errorf("%s: %g times its diameter is not from %g to %g", tt.source, times, least, most)
		}
	}
}
