package headless_test

import (
	"bytes"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"kilnpoise/app/headless"
	"kilnpoise/assets"
	"kilnpoise/orient/furnace"
	"kilnpoise/orient/process"
)

// Coupons that sag as a known compliance makes them give it back, dated, in the
// user's own record; the built-in one stays.
func TestCalibrateKeepsTheFit(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	const truth = 2.4e-6
	builtin := process.OpenLibrary(assets.Records(), "")
	m, err := builtin.Materials.Get(assets.DefaultMaterial)
	if err != nil {
		t.Fatal(err)
	}
	creep := furnace.Creep{CompliancePerPa: truth, LowPerPa: truth, HighPerPa: truth, Poisson: m.Creep.Poisson, DensityKGM3: m.Creep.DensityKGM3}
	c := headless.Calibration{Material: assets.DefaultMaterial, Note: "firing 12"}
	for _, span := range []float64{8, 10, 12} {
		sag := furnace.ArmSagMM(creep, span, 3)
		c.Coupons = append(c.Coupons, furnace.Coupon{SpanMM: span, ThicknessMM: 3, SagMM: sag})
	}
	var out bytes.Buffer
	if err := headless.Calibrate(c, time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC), &out, &bytes.Buffer{}); err != nil {
		t.Fatal(err)
	}
	folder, err := process.UserFolder()
	if err != nil {
		t.Fatal(err)
	}
	kept, err := process.OpenLibrary(assets.Records(), folder).Materials.Get(assets.DefaultMaterial)
	if err != nil {
		t.Fatal(err)
	}
	if got := kept.Creep; math.Abs(got.CompliancePerPa-truth) > 0.02*truth || got.ComplianceLowPerPa >= truth || got.ComplianceHighPerPa <= truth ||
		got.Calibrated != "2026-03-02, firing 12" {
		t.Errorf("kept %+v, want a compliance of %g\n%s", got, truth, out.String())
	}
	if kept.Name == m.Name || !strings.Contains(out.String(), strconv.Quote(kept.Name)) {
		t.Errorf("the own record is named %q, told %q", kept.Name, out.String())
	}
	if !strings.Contains(out.String(), "3 of 3 coupons") {
		t.Errorf("told %q", out.String())
	}
}
