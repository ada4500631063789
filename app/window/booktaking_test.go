package window

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"fyne.io/fyne/v2/test"

	"kilnpoise/app/window/kit"
	"kilnpoise/assets"
	"kilnpoise/orient/furnace"
	"kilnpoise/orient/process"
)

func TestBookTakesOverIntoTheRecord(t *testing.T) {
	b, k := bookOfPart(t)
	for i, day := range []string{"2026-03-02", "2026-03-09", "2026-03-16"} {
		d := float64(i-1) * 0.001
		b.enter(k, day, [3]float64{0.172 + d, 0.170 - d, 0.202 + d})
	}
	was := b.desk.brief.Material
	b.desk.brief.Material.BridgeSpanMM = was.BridgeSpanMM + 1 // for this part alone
	test.Tap(k.results.take)
	if !k.page.taking || len(k.taking.what.rows) < 6 {
		t.Fatalf("the figures are not shown: %+v", k.taking.what)
	}
	row := k.taking.what.rows[0]
	if plainSpaces(kit.Typeset(row.old)) != fmt.Sprintf("%.2f %%", 100*was.Shrinkage[0]) || plainSpaces(kit.Typeset(row.now)) != "17.20 %" {
		t.Errorf("side by side stand %+v", row)
	}
	if got, _ := b.records.Materials.Get(was.ID); got.Shrinkage != was.Shrinkage {
		t.Error("the record was changed before it was confirmed")
	}
	k.taking.note.SetText("new bricks")
	test.Tap(k.taking.keep)
	b.idle(k)
	now := b.desk.brief.Material
	if math.Abs(now.Shrinkage[0]-0.172) > 1e-4 || now.BridgeSpanMM != was.BridgeSpanMM+1 {
		t.Errorf("the brief has %v, and a bridge of %g", now.Shrinkage, now.BridgeSpanMM)
	}
	kept, err := b.records.Materials.Get(now.ID)
	if err != nil || kept.Shrinkage != now.Shrinkage || kept.BridgeSpanMM != was.BridgeSpanMM {
		t.Errorf("the record has %v and a bridge of %g (%v)", kept.Shrinkage, kept.BridgeSpanMM, err)
	}
	isOfShop(t, &kept, "new bricks")
	if label, _ := b.keeping.history.CanUndo(); label != "take the shrinkage from the firing book" {
		t.Errorf("undo offers %q", label)
	}
	b.until("the advice with it", func() bool { return b.desk.advice.Brief.Material.Shrinkage == now.Shrinkage })
}

// isOfShop fails where the record does not say that its shrinkage is the shop's own,
// with the note.
func isOfShop(t *testing.T, m *process.Material, note string) {
	t.Helper()
	for _, s := range m.Sources {
		if s.Item == "shrinkage" && s.Tag == process.Shop && strings.Contains(s.Text, note) {
			return
		}
	}
	t.Errorf("the record does not say where the figure is from: %+v", m.Sources)
}

// The desk keeps its material when the book is of another.
func TestBookOfAnotherMaterialLeavesTheDesk(t *testing.T) {
	b, k := bookOf(t)
	desk := b.desk.brief.Material
	var other process.Material
	for _, m := range b.records.Materials.List() {
		if m.ID != desk.ID {
			other = m
		}
	}
	k.list.material.SetSelectedIndex(k.materials.index(other.ID))
	b.idle(k)
	b.enter(k, "2026-03-02", [3]float64{0.151, 0.152, 0.153})
	if k.firings[0].Material != other.ID {
		t.Fatalf("the firing is of %s", k.firings[0].Material)
	}
	k.beginTaking()
	k.taking.doKeep()
	b.idle(k)
	kept, _ := b.records.Materials.Get(other.ID)
	if math.Abs(kept.Shrinkage[0]-0.151) > 1e-4 || b.desk.brief.Material.Shrinkage != desk.Shrinkage || b.desk.brief.Material.ID != desk.ID {
		t.Errorf("the record has %v; the desk has %s with %v", kept.Shrinkage, b.desk.brief.Material.ID, b.desk.brief.Material.Shrinkage)
	}
}

// Coupons in the book calibrate the sag as the panel of the brief does.
func TestBookTakesTheSagOver(t *testing.T) {
	b, k := bookOf(t)
	const truth = 1.1e-6
	c := b.desk.brief.Material.Creep
	beam := furnace.Creep{CompliancePerPa: truth, LowPerPa: truth, HighPerPa: truth, Poisson: c.Poisson, DensityKGM3: c.DensityKGM3}
	k.enterNew()
	for i, span := range []float64{10, 16, 20} {
		k.form.moreSags()
		row := k.form.sags[i]
		row.span.SetText(kit.PlainNumber(span))
		if i < 2 { // the third is still to be measured
			row.drop.SetText(kit.PlainNumber(furnace.ArmSagMM(beam, span, assets.CouponThicknessMM)))
		}
	}
	k.keepForm()
	b.idle(k)
	if len(k.fit.beams) != 2 || k.fit.sagWhy != nil {
		t.Fatalf("%d beams, %v: %s", len(k.fit.beams), k.fit.sagWhy, k.form.report.Text)
	}
	k.beginTakingSag()
	k.taking.note.SetText("firing 12")
	k.taking.doKeep()
	b.idle(k)
	got := b.desk.brief.Material.Creep
	if math.Abs(got.CompliancePerPa/truth-1) > 0.02 || !strings.HasSuffix(got.Calibrated, ", firing book, firing 12") {
		t.Errorf("after taking it over the record has %+v", got)
	}
}
