package checker_test

import (
	"math"
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

// slope returns the slope of an oil on the chart of ASTM D341, from its
// viscosities at 40 and 100 degC in mm2/s.
func slope(at40, at100 float64) float64 {
	ordinate := func(nu float64) float64 { return math.Log10(math.Log10(nu + 0.7)) }
	return (ordinate(at40) - ordinate(at100)) / math.Log10(373.15/313.15)
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
		{"routing/tie_gap", 0, 24 * inch, "seen: FAA AC 43.13-1B, 11-96 a, wires, 24 in; NAVEDTRA 14105, p. 5-11, flexible hose, 24 in"},
		{"routing/tie_gap", 0, 18 * inch, "seen: FED-STD-807, hydraulic hoses, clamps 18 in"},
		{"routing/tail", 18 * inch, 24 * inch, "seen: FED-STD-807, 18 in; 46 CFR 183.340(b)(4), 24 in"},
		{"routing/moving", 0.019, 0.050, "seen: terranonissan.ru, 14.13, brake pipes 19 mm; lhe-terminal.com, 50 mm"},
		{"routing/bench", 0.0048, 0.0050, "seen: RMA IP-2:2003, table 4-8, 4.8 mm to 610 mm; ulinco.se, ISO 3302-1 L2, 5 mm to 1000 mm"},
		{"routing/trim", 0.010, 0.010, "seen: terranonissan.ru, 14.13, brake pipe 10 mm longer for its flare"},
		{"slack/slack_share", 0.05, 0.08, "seen: NAVEDTRA 14105, p. 5-11, 5 to 8 %"},
		{"slack/steered_slack", 0.08 * 0.375, 0.05 * 0.600, "seen: the same, of hoses of 375 and 600 mm"},
		{"slack/sprung_slack", 0.08 * 0.250, 0.05 * 0.400, "seen: the same, of hoses of 250 and 400 mm"},
		{"slack/articulated_slack", 0.08 * 0.625, 0.05 * 1.000, "seen: the same, of hoses of 625 and 1000 mm"},
		{"slack/member_spread", 2 * 0.0048, 2 * 0.0050, "seen: two lengths, RMA IP-2:2003, table 4-8; ulinco.se, ISO 3302-1 L2"},
		{"bundles/room", 1, 0.375 / 0.305, "seen: dtsheet.com 1247662, table II, size 12, 70 % filled"},
		{"mounting/reach", 0.677, 0.735, "seen: NUREG-0700 rev. 3, table 11.4, small woman, functional and extended reach"},
		{"mounting/highest_filler", 1.230, 1.612, "seen: the same, shoulder and stature of a small woman"},
		{"mounting/lowest_filler", 0.4, 1.4, "seen: overtec.it, controls for everybody, 40 to 140 cm"},
		{"mounting/above_ground", 0.200, 1, "seen: 70/156/EEC as amended by 87/403/EEC, 200 mm"},
		{"power/fuse_loss", 15 * 0.0048, 0.2, "seen: picoauto.com, 15 A fuse, 4.8 mohm cold"},
		{"fittings/alike_diameter", 1 - 9.728/(0.405*25.4), 0.1, "seen: ekinsun.com, 1/8 NPT and 1/8 BSP look almost identical"},
		{"fittings/alike_pitch", 1 - 27./28, 0.2, "seen: the same, 27 and 28 an inch"},
		{"flow/workshop", celsius + 20, celsius + 20, "seen: owiki.org, ISO 1, 20 degC"},
		{"catalogue/least_area.cable_area", 0, 0.326e-6, "seen: 46 CFR 183.340(c), AWG 22"},
		{"catalogue/most_area.cable_area", 0, 107.2e-6, "seen: 33 CFR 183.425 table 5 ends at AWG 0000"},
		{"catalogue/current_least", 0, 300 / 107.2, "seen: 33 CFR 183.425 table 5, AWG 0000, 60 degC, 300 A"},
		{"catalogue/most_voltage.pump_voltage", 48, 60, "seen: ISO 21780:2020, scope, 48 V"},
		{"catalogue/least_length.fitting_tube_outer", 0, 0.004, "seen: ISO 8434-1:1994, scope, 4 to 42 mm"},
		{"catalogue/most_length.fitting_tube_outer", 0, 0.042, "seen: the same"},
		{"catalogue/least_length.conduit_inner", 0, 0.187 * inch, "seen: dtsheet.com 1247662, table II, size 06"},
		{"catalogue/most_resistance.connector_contact_resistance", 0.030, 1, "seen: lectromec.com, MIL-DTL-26482, size 20, 30 mohm"},
		{"catalogue/least_resistance.connector_contact_resistance", 0, 0.005, "seen: Roadranger, page 29, 0.005 ohm a connection"},
		{"catalogue/least_warmth.cable_insulation_limit", 0, celsius + 60, "seen: 33 CFR 183.425 table 5, 60 degC"},
		{"catalogue/most_warmth.cable_insulation_limit", celsius + 250, 1000, "seen: Canadian Electrical Code, table 5A, 250 degC"},
		{"catalogue/least_warmth.cable_rated_at", 0, celsius + 10, "seen: electricalengineeringtoolbox.com, air of 10 degC"},
		{"catalogue/warm_least.conduit", 0, celsius + 60, "seen: thome-products.de, IEC 61386-1, class 1, +60 degC"},
		{"catalogue/warm_most.conduit", celsius + 250, celsius + 400, "seen: thome-products.de, IEC 61386-1, classes 6 and 7"},
		{"catalogue/warm_most.tie", celsius + 260, celsius + 538, "seen: machinedesign.com, PEEK 500 degF; cableties-online.co.uk, steel 538 degC"},
		{"catalogue/warm_least.tie", 0, celsius + 85, "seen: cableties-online.co.uk, nylon 85 degC"},
		{"catalogue/cold_most", celsius + 5, celsius + 20, "seen: thome-products.de, IEC 61386-1, class 1, +5 degC"},
		{"catalogue/wall_most", 0.188 * inch, 0.010, "seen: filsepeng.com, steel tube, wall 0.188 in"},
		{"catalogue/bore_least", 0.010 / 0.0625, 1 - 2*0.020*16, "seen: hiflux.net, 1/16 in, wall 0.020 in; sizes.com, capillary 0.010 in"},
		{"catalogue/conduit_bend_most", 6 / 1.05, 20, "seen: manualshelf.com, P&C Flex F-89, 6 in of size 3/4"},
		{"catalogue/angle_off", 1 * degree, 1.5 * degree, "seen in copies: ISO 2768-1, classes f, m and c to 10 mm"},
		{"catalogue/slope_most", slope(119.94, 8.86), 10, "seen: ASTM D2270, 5.1.4, the oil of index 0"},
		{"catalogue/slope_least", 0, slope(22.83, 5.05), "seen: ASTM D2270, 6.1.4, an oil of index 156"},
		{"catalogue/share_coldest", celsius + 20, celsius + 60, "seen: SMC T series, 20 to 100 degC"},
		{"survey/steering_lean", 12 * degree, 45 * degree, "seen: Yanmar EF-494T, page 170, kingpin tilt 12 deg"},
		{"survey/swing_least", 0, 13 * degree, "seen: Terex TR45, page 128, 6.5 deg to either side"},
		{"survey/swing_most", 13 * degree, 90 * degree, "seen: the same"},
		{"survey/articulation_least", 0, 14 * degree, "seen: R55-07-10, 1.5.5.2, 7 deg to either side"},
		{"survey/articulation_most", 180 * degree, 200 * degree, "seen: R55-07-10, 1.5.5.1, 90 deg to either side"},
		{"survey/drawbar_least", 0, 12 * degree, "seen: R55-07-10, 1.3.5, low coupling, 6 deg up and down"},
		{"survey/drawbar_most", 120 * degree, 360 * degree, "seen: R55-07-10, 1.3.5, 60 deg to either side"},
		{"survey/travel_side", 0, 0.060, "seen: BPW bulletin, 60 mm upwards at least"},
		{"survey/heat_other", celsius + 677, celsius + 870, "seen: carlislemotion.com.au, drums cherry red at 1250 degF"},
		{"survey/point_hottest", celsius + 220, celsius + 300, "seen: willy-janssen.de, DIN 51502, letter T"},
		{"survey/feed_warmest", celsius + 125, celsius + 130, "seen: Encyclopedia of Automotive Engineering, p. 77; salitronic.com"},
		{"survey/winter", celsius - 9.5, celsius - 6.6, "seen: cargill.com, 15 to 20 degF"},
		{"survey/hot_pipe", 0, 1.75 * inch, "seen: dnamufflers.com, cars, 1.75 in"},
		{"survey/slide_most", 4, 10, "seen: dredgingsystem.com, strokes of 4 m and of more than 10 m"},
		{"survey/slender", 0.250, 0.500, "seen: title of ISO 6020-3, bores of 250 to 500 mm"},
		{"survey/wheel_least", 0, 14 * inch, "seen: forkliftaction.com, 14 in on hubs of 8 in"},
		{"survey/wheel_most", 2.32, 4, "seen: agriland.co.uk, 900/65 R46, 2.32 m"},
		{"survey/wheel_width_least", 0, 3.5 * inch, "seen: us.ok.com, 3.50-8, 3.5 in"},
		{"survey/wheel_width_most", 1.35, 2, "seen: profi.co.uk, 1400/50 R32, 1.35 m"},
		{"survey/clear_very_hot", 0.050, 8 * inch, "seen: Quebec C-24.2 r. 32, 92, 50 mm"},
		{"survey/clear_moving", 0, 0.019, "seen: terranonissan.ru, 14.13, 19 mm"},
		{"survey/clear_edge", 0, 0.010, "seen: lhe-terminal.com, 10 mm"},
		{"survey/pin_least", 0.006, 0.006, "seen: ISO 4379:2018, scope, 6 to 200 mm"},
		{"survey/hours_most", 2 * 10 * 3600, 24 * 3600, "seen: en.wikipedia.org, Regulation (EC) 561/2006, article 6, 10 h"},
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
