package window

import (
	"strings"
	"testing"

	"kilnpoise/app/window/kit"
	"kilnpoise/app/window/machines"
	"kilnpoise/assets"
	"kilnpoise/orient"
	"kilnpoise/orient/furnace"
)

// The coupon on the desk is its own case: as loaded comes first, and the verdict says so.
func TestTheCouponOnTheDesk(t *testing.T) {
	b := newBench(t, &scripted{}, 1280, 770)
	b.openCouponPart()
	b.waitAdvised()
	for i, c := range b.desk.candidates() { // the bench gives directions of its own
		if c.Origin == orient.FromSearch || (i == 0) != (c.Origin == orient.AsLoaded) {
			t.Errorf("no. %d of the coupon comes from %s", i+1, c.Origin)
		}
	}
	if !b.adviceIsOfNow() {
		t.Error("the advice on the coupon is taken for one of another brief: a job would not keep it")
	}
	if got := b.verdict(b.desk.candidate()); got != couponVerdict {
		t.Errorf("the verdict on the coupon is %q", got)
	}
}

// A technician enters two beams of a fired coupon; the fit is shown, kept in
// the shop's own record, and used.
func TestCouponCalibratesTheMaterial(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	b.openBrief()
	if !strings.Contains(b.brief.sag.Text, "uncalibrated") {
		t.Errorf("before the coupon the brief says %q", b.brief.sag.Text)
	}
	b.openCoupon()
	p := b.brief.coupon
	if len(p.beams) != 6 || !p.keep.Disabled() {
		t.Fatalf("the panel begins with %d beams, and keeping possible: %v", len(p.beams), !p.keep.Disabled())
	}
	const truth = 1.1e-6
	c := b.desk.brief.Material.Creep
	beam := furnace.Creep{CompliancePerPa: truth, LowPerPa: truth, HighPerPa: truth, Poisson: c.Poisson, DensityKGM3: c.DensityKGM3}
	for i, row := range p.beams[3:5] { // the others broke off
		span := assets.CouponSpansMM()[3+i]
		sag := furnace.ArmSagMM(beam, span, assets.CouponThicknessMM)
		row.drop.SetText(kit.PlainNumber(sag))
		row.drop.Commit()
	}
	if p.keep.Disabled() {
		t.Fatalf("the fit cannot be kept: %v", p.result.Objects)
	}
	if got := len(p.Beams()); got != 2 {
		t.Errorf("%d beams count, want the 2 that are filled in", got)
	}
	p.note.SetText("firing 12")
	p.keepIt()
	b.until("the advice with the fit", func() bool { return b.desk.advice.Brief.Material.Creep.Calibrated != "" })
	got := b.desk.brief.Material.Creep
	if got.CompliancePerPa < 0.98*truth || got.CompliancePerPa > 1.02*truth || !strings.HasSuffix(got.Calibrated, ", firing 12") {
		t.Errorf("after the coupon the record has %+v, want a compliance of %g", got, truth)
	}
	kept, err := b.records.Materials.Get(b.desk.brief.Material.ID)
	if err != nil || kept.Creep.CompliancePerPa != got.CompliancePerPa {
		t.Errorf("the shop's own record has %+v (%v)", kept.Creep, err)
	}
	if !strings.Contains(b.brief.sag.Text, "firing 12") {
		t.Errorf("after the coupon the brief says %q", b.brief.sag.Text)
	}
}

// Beams that have collapsed or hardly moved do not calibrate, and the panel says
// why.
func TestCouponSaysWhyABeamDoesNotCount(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	b.openCoupon()
	p := b.brief.coupon
	p.beams[0].drop.SetText("3")
	p.beams[0].drop.Commit()
	if !p.keep.Disabled() {
		t.Error("a collapsed beam calibrates")
	}
	lines, ok := b.fitCoupon(p.Beams())
	if ok || !strings.Contains(strings.Join(lines, " "), "collapsed") {
		t.Errorf("the panel says %q", lines)
	}
}

func TestSagSliderDrawsTheShape(t *testing.T) {
	if testing.Short() {
		t.Skip("short: solves the furnace")
	}
	b := newBench(t, &scripted{fire: workshop{}.Fire}, 1280, 770)
	b.begin(stlFile(t, "tee.stl", tee()))
	b.waitAdvised()
	b.until("the scenes", func() bool { return b.machines.Scenes[1] != nil && b.machines.Scenes[1].Moves() })
	s := b.machines.Slider
	if s.Slider.Disabled() {
		t.Fatal("the slider is held although the sag is solved")
	}
	b.machines.SetOverlay(machines.OverlaySag, false)
	s.Slider.SetValue(4)
	if want := machines.SagSteps()[4]; b.machines.SagDrawn != want || !strings.Contains(s.Words.Text, kit.PlainNumber(want)) {
		t.Errorf("drawn %g times, the words are %q, want %g", b.machines.SagDrawn, s.Words.Text, want)
	}
	if !b.machines.Overlay(machines.OverlaySag) {
		t.Error("the shape is drawn as fired while its sag is switched off")
	}
	b.machines.SetSagDrawn(0)
	if s.Slider.Value != 0 {
		t.Error("the slider does not follow the menu")
	}
}
