package render

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/orient/furnace"
	marks "kilnpoise/orient/mark"
	"kilnpoise/orient/process"
	"kilnpoise/orient/support"
)

// sampleMaterial is a record with values as a shop would have them.
func sampleMaterial() process.Material {
	return process.Material{
		Name: "316L filament, 16/16/20", Shrinkage: [3]float64{0.16, 0.16, 0.20}, ShrinkageSpread: [3]float64{0.004, 0.004, 0.008},
		OverhangLimitDeg: 45, LayerHeightMM: 0.15, LineWidthMM: 0.5,
		Settings: []process.Setting{
			{Item: "Nozzle bore", Value: "0.5 mm (0.4-0.6 usual)", Tag: process.Common},
			{Item: "Layer height", Value: "0.15 mm (0.10-0.25)", Tag: process.Common},
			{Item: "Nozzle temperature", Value: "235-250 °C", Tag: process.Common},
			{Item: "Plate temperature", Value: "90-120 °C", Tag: process.Common},
			{Item: "Chamber", Value: "closed", Tag: process.Common},
			{Item: "Part cooling fan", Value: "off: it delaminates and warps", Tag: process.Common},
			{Item: "Print speed", Value: "about 35 mm/s", Tag: process.Common},
			{Item: "Retraction", Value: "1.5 mm (direct) to 5 mm (tube-fed) at about 45 mm/s", Tag: process.Common},
			{Item: "Perimeter and infill overlap", Value: "20-35 %, more if walls part from the infill", Tag: process.Common},
			{Item: "Infill", Value: "solid", Tag: process.Judgement},
			{Item: "Flow multiplier", Value: "by a single wall: new = old x set width / mean of 4 or more measured widths", Tag: process.Common},
			{Item: "Hold on the plate", Value: "adhesive; brim or skirt always", Tag: process.Common},
			{Item: "Raft", Value: "where warping threatens; it comes off in the green state", Tag: process.Common},
		},
		Sources: []process.Source{
			{Item: "shrinkage", Tag: process.Common}, {Item: "shrinkage_spread", Tag: process.Judgement},
			{Item: "layer_height_mm", Tag: process.Common}, {Item: "overhang_limit_deg", Tag: process.Common},
			{Item: "green_density_g_cm3", Tag: process.Memory},
		},
	}
}

// sampleCandidate is a candidate with numbers that differ by rank.
func sampleCandidate(rank int, origin orient.Origin, name string) orient.Candidate {
	k := float64(rank)
	return orient.Candidate{
		Rank: rank, Origin: origin, Name: name, OnFront: rank < 4,
		Pose:      orient.Pose{Rotation: mesh.Identity(), Oversize: r3.Vec{X: 1 / 0.84, Y: 1 / 0.84, Z: 1.25}},
		GreenSize: r3.Vec{X: 42.857, Y: 42.857, Z: 41.25}, SinteredSize: r3.Vec{X: 36, Y: 36, Z: 33},
		Measures: orient.Measures{
			OverhangAreaMM2: 310 * k, SupportVolumeMM3: 1250.4 * k * k, SupportContactMM2: 420 * k, SupportOnPartMM3: 40 * (k - 1),
			SupportMassG: 1.3 * k, HeightMM: 41.25 + 3*k, Layers: 275 + int(20*k), PrintTimeS: 18000 + 1500*k, FootprintMM2: 290 - 20*k,
			TipAngleDeg: 31.4 - k, StepHeightMM: 0.041 + 0.004*k, DimensionSpreadMM: 0.21, SetterTravelMM: 2.62,
			SagMM: 0.36 / k, SagLowMM: 0.12 / k, SagHighMM: 1.44 / k, SagMethod: "beam", GreenMassG: 98.6, FilamentLengthM: 8.2,
			ThickestGreenWallMM: 10, DebindingLowH: 2.5, DebindingHighH: 5,
		},
		Gates: []orient.Gate{
			{Name: "fits the printer", State: orient.Passed, Passed: true, Reason: "The green part, 42.9 x 42.9 x 41.2 mm, fits the plate of 200 x 150 mm with 180 mm above it."},
			{Name: "fits the furnace", State: orient.Passed, Passed: true, Reason: "The green part, 42.9 x 42.9 x 41.2 mm, fits the setter of 150 x 120 mm with 100 mm above it."},
			{Name: "stands", State: orient.Passed, Passed: true, Reason: "It tips at 31.4 deg; 8 deg are asked for."},
			{Name: "no support out of reach", State: orient.Passed, Passed: true, Reason: "No support stands in a closed cavity."},
			{Name: "walls within the debinding limit", State: orient.Passed, Passed: true, Reason: "The thickest green wall, about 10.0 mm, is within the 12.5 mm of the record."},
			{Name: "sag within the allowed", State: map[bool]orient.State{true: orient.Failed, false: orient.Passed}[rank == 2], Passed: rank != 2, Reason: "The likely sag, 0.36 mm (0.12 to 1.44), is about the 0.30 mm allowed."},
		},
		Reasons: []string{
			"Needs 1250 mm3 of support under 310 mm2 of overhang; rests on 270 mm2 and tips at 31 deg.",
			"Against as loaded it gains: 83 % less support (1250 mm3 against 7400 mm3); 40 % less face scarred by support (420 mm2 against 700 mm2).",
			"Against no. 2 it gives up: 50 % more sag (estimate) (0.36 mm against 0.18 mm).",
		},
	}
}

// sampleSheet makes a sheet of the flanged tube; a long one has names, lists and
// sentences longer than anyone would write.
func sampleSheet(t testing.TB, paper Paper, long bool) Sheet {
	t.Helper()
	a := &orient.Advice{
		Brief: orient.Brief{
			Material: sampleMaterial(),
			Printer:  process.Printer{Name: "Workshop printer 200 x 150", PlateMM: [2]float64{200, 150}, HeightMM: 180},
			Furnace:  process.Furnace{Name: "Tube furnace 150", SetterMM: [2]float64{150, 120}, HeightMM: 100},
		},
		Candidates: []orient.Candidate{
			sampleCandidate(1, orient.FromSearch, "Z, -Y up"), sampleCandidate(2, orient.FromSearch, "A 12.0 deg, B -48.3 deg, C 0.0 deg"),
			sampleCandidate(3, orient.Given, "XYZ, +Z up"), sampleCandidate(4, orient.FromSearch, "ZXY, +X up"),
			sampleCandidate(5, orient.AsLoaded, "YXZ, +Z up"),
		},
		Notes: []string{"gravity sag is an uncalibrated estimate: print and fire the creep coupon and enter what it measures"},
	}
	s := Sheet{
		Advice: a, Chosen: &a.Candidates[0], Paper: paper, Date: time.Date(2026, 3, 14, 9, 30, 0, 0, time.UTC),
		PartFile: "gland-follower.stl", PartSHA256: strings.Repeat("0123456789abcdef", 4), MeshFile: "gland-follower-green.3mf",
	}
	if long {
		lengthen(&s)
	}
	s.Pictures = *samplePictures()
	return s
}

// samplePictures draws the pictures of the sample sheet, once for all tests.
var samplePictures = sync.OnceValue(func() *SheetPictures {
	b := orient.Brief{
		Material: sampleMaterial(),
		Printer:  process.Printer{PlateMM: [2]float64{200, 150}}, Furnace: process.Furnace{SetterMM: [2]float64{150, 120}},
	}
	others := map[int]*orient.Detail{}
	for rank := 2; rank <= 5; rank++ {
		others[rank] = detailOf(table())
	}
	return DrawSheetPictures(context.Background(), &b, detailOf(tube(48)), nil, nil, others)
})

// addPlan gives the chosen candidate a support plan of so many regions, and
// pictures of regions and marks.
func addPlan(s *Sheet, regions int) {
	p := &support.Plan{
		Limits: support.Limits{Cutter: support.Cutter{DiameterMM: 3, LengthMM: 70, HolderMM: 20}}, OutOfReachMM3: 63, TimeS: 4320,
		Small: support.Lump{Count: 3, AreaMM2: 2.5},
	}
	advices := []support.Advice{support.PrintAndCut, support.SetterBlock, support.PrintAndKeep, support.NoSupport, support.ChangeDesign}
	for i := range regions {
		t := support.Item{
			Advice: advices[i%len(advices)], Prints: i%2 == 0, MassG: 0.5 * float64(i+1),
			Reason: fmt.Sprintf("Why of region %d: a ceiling and slope of %d mm2, that spans 7.6 mm; the printer bridges 3.0 mm. "+
				"In the furnace it would sag 1.02 mm against what carries it, and 0.30 mm are allowed. Support printed for it carries it.", i+1, 56+i),
		}
		t.Region.Centroid = r3.Vec{X: 12, Y: -7, Z: 20 + float64(i)}
		t.Region.AreaMM2, t.Region.GapLowMM, t.Region.GapHighMM = float64(56+i), 1, 4.96
		p.Items = append(p.Items, t)
	}
	p.MassG = 7.5
	s.Chosen.Plan = p
	s.Pictures.Regions, s.Pictures.Legend = planPictures().Regions, planPictures().Legend
}

// planPictures are pictures of a part with regions and marks.
var planPictures = sync.OnceValue(func() *SheetPictures {
	d := regionedTable()
	d.Marked = markedTable().Marked
	return DrawSheetPictures(context.Background(), &orient.Brief{Material: sampleMaterial()}, d, d, nil, nil)
})

// addResting lets the chosen candidate be laid down in another pose.
func addResting(s *Sheet) {
	s.Chosen.Resting = &orient.Resting{
		Poses: []furnace.Pose{
			{AsPrinted: true, GreenTipDeg: 12, SinteredTipDeg: 14, Stand: furnace.Stand{TravelMM: 1.5}, Sag: &furnace.Sag{MM: 30, Collapses: true}},
			{GreenTipDeg: 50, SinteredTipDeg: 48, Stand: furnace.Stand{TravelMM: 2.5}, Sag: &furnace.Sag{MM: 0.03, LowMM: 0.01, HighMM: 0.12}},
		},
		Chosen: 1, Reason: "Lay it on its side: as printed it collapses; laid down it sags about 0.03 mm (estimate).",
	}
	s.Pictures.Poses = planPictures().Poses
}

// addMeasuring gives so many tolerances and sizes to check, and masses.
func addMeasuring(s *Sheet, tolerances, sizes int) {
	for i := range tolerances {
		d := orient.DimensionOutcome{
			Name: fmt.Sprintf("seat %d", i+1), What: marks.Characteristics()[i%7], NominalMM: 42, ExpectedMM: 41.9, ExpectedLowMM: 41.6, ExpectedHighMM: 41.97,
			SpreadMM: 0.1, ToleranceMM: 0.3, Rule: marks.MediumRule, Verdict: orient.InDoubt, SagKnown: true, Weightiest: orient.CauseShrinkage,
		}
		if d.What == marks.Angle {
			d.NominalDeg, d.ExpectedDeg, d.ToleranceDeg = 60, 60.2, 0.5
		}
		s.Chosen.Dimensions = append(s.Chosen.Dimensions, d)
	}
	for i := range sizes {
		s.Sizes = append(s.Sizes, orient.CheckSize{
			Diameter: i%2 == 1, Inside: i%4 == 1, Along: orient.Triple{0, 0.6, 0.8}, GreenMM: 50.25 + float64(i), GreenHighMM: 50.25 + float64(i+i%2), SinteredMM: 42 + float64(i),
		})
	}
	s.Masses = orient.Masses{GreenG: 98.6, DeboundLowG: 86.7, DeboundHighG: 87.9, DebindingLossLowPercent: 10.8, DebindingLossHighPercent: 12.1, SinteredG: 86.1, LossPercent: 12.7}
	s.Pictures.Sizes = planPictures().Regions
}

// addCoupon makes the part the creep coupon.
func addCoupon(s *Sheet) {
	for i, span := range []float64{7, 8, 10, 12, 16, 20} {
		sag := 0.05 * float64(i*i+1)
		s.Coupon = append(s.Coupon, orient.CouponArm{SpanMM: span, ThicknessMM: 3, SagMM: sag, SagLowMM: sag / 3, SagHighMM: 4 * sag})
	}
}

// lengthen overfills every part of the sheet.
func lengthen(s *Sheet) {
	s.PartFile = "village-pump_replacement-fitting_" + strings.Repeat("second-revision-of-the-", 8) + "gland-follower_final.stl"
	s.MeshFile = strings.Replace(s.PartFile, ".stl", "-sintered.stl", 1)
	s.AtSinteredSize = true
	m := &s.Advice.Brief.Material
	m.Name = "Our own 316L filament of the third delivery, dried for a day, " + strings.Repeat("with a long remark ", 6)
	for i := range 20 {
		m.Settings = append(m.Settings, process.Setting{
			Item: fmt.Sprintf("Further setting of the shop no. %d", i+1), Tag: "S + J",
			Value: "as written on the card beside the printer, which is longer than it should be and wraps over lines",
		})
	}
	c := s.Chosen
	for i := range 12 {
		c.Reasons = append(c.Reasons, fmt.Sprintf("Reason %d: %s.", i+4, strings.Repeat("against as loaded it gains 83 % less support and ", 6)))
	}
	c.Gates[1].Passed = false
	for i := range 20 {
		s.Notes = append(s.Notes, fmt.Sprintf("Remark %d of the user: %s", i+1, strings.Repeat("see to the thread and the seat of the gasket ", 5)))
	}
	s.Notes = append(s.Notes, strings.Repeat("word-without-any-break", 30))
}
