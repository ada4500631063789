package window

import (
	"fmt"
	"strings"
	"time"

	"kilnpoise/app/handover"
	"kilnpoise/app/window/kit"
	"kilnpoise/assets"
	"kilnpoise/orient/furnace"
	"kilnpoise/orient/process"
)

// sagKnowledge says how far the sag of a material is known.
func sagKnowledge(m *process.Material) string {
	if m.Creep.Calibrated == "" {
		return "Its sag is uncalibrated: a wide range until a coupon has been fired."
	}
	return kit.Typeset("Its sag was fitted to a coupon: " + m.Creep.Calibrated + ".")
}

// openCoupon opens the entry of a fired coupon.
func (w *mainWindow) openCoupon() {
	w.brief.coupon.Begin()
	w.brief.ShowCoupon()
	w.focusSoon(w.brief.coupon.beams[0].drop)
}

// openCouponPart lays the built-in coupon on the desk, to be printed.
func (w *mainWindow) openCouponPart() {
	if coupon, ok := assets.PartNamed(assets.CouponID); ok {
		w.open(source{demo: coupon})
	}
}

// fit fits the compliance of the material in use to the beams.
func (w *mainWindow) fit(beams []furnace.Coupon) (furnace.Fit, error) {
	return handover.FitCoupons(&w.desk.brief.Material, beams)
}

// fitCoupon tells the fit in words.
func (w *mainWindow) fitCoupon(beams []furnace.Coupon) (lines []string, ok bool) {
	fit, err := w.fit(beams)
	if err != nil {
		return append(fullStops(fit.Remarks), kit.FullStop(kit.UpperFirst(strings.TrimPrefix(err.Error(), "furnace: ")))), false
	}
	was := w.desk.brief.Material.Creep
	lines = []string{
		fmt.Sprintf("Creep compliance %s 1/Pa; for the next part %s to %s (%.0f %%), from %d of %s.",
			compliance(fit.CompliancePerPa), compliance(fit.LowPerPa), compliance(fit.HighPerPa), 100*fit.Confidence, fit.Used, kit.Plural(len(beams), "beam")),
		fmt.Sprintf("The record in use has %s, %s to %s: sag will be shown as %.2g times what it was.",
			compliance(was.CompliancePerPa), compliance(was.ComplianceLowPerPa), compliance(was.ComplianceHighPerPa), fit.CompliancePerPa/was.CompliancePerPa),
	}
	return append(lines, fullStops(fit.Remarks)...), true
}

// compliance writes a compliance as people read it: 1.5e-6.
func compliance(j float64) string {
	return strings.Replace(fmt.Sprintf("%.2e", j), "e-0", "e-", 1)
}

func fullStops(remarks []string) []string {
	var out []string
	for _, r := range remarks {
		out = append(out, kit.FullStop(kit.UpperFirst(r)))
	}
	return out
}

// keepCoupon keeps the fit in the user's own record of the material, and works
// the advice out with it.
func (w *mainWindow) keepCoupon(beams []furnace.Coupon, note string) string {
	fit, err := w.fit(beams)
	if err != nil {
		return kit.Sentence(err)
	}
	m := w.desk.brief.Material
	m.Creep.Calibrate(fit.CompliancePerPa, fit.LowPerPa, fit.HighPerPa, time.Now(), note)
	if err := w.records.Materials.Save(m); err != nil {
		return kit.Sentence(err)
	}
	if kept, err := w.records.Materials.Get(m.ID); err == nil {
		m = kept // with the sources that saving has written
	}
	w.desk.brief.Material = m
	w.did("fit the sag to a coupon")
	w.rework()
	return kit.Typeset("Kept in your own record “" + m.Name + "”, and used from now on.")
}
