package window

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient"
	"kilnpoise/orient/mark"
)

// rodOnPlate is a plate with a pin on it, from which all that has to be true can be
// picked.
func rodOnPlate() *mesh.Mesh {
	m := meshtest.Block(40, 30, 6)
	m.Append(meshtest.Cylinder(5, 20, 48).Transform(mesh.Identity(), r3.Vec{X: 60, Y: 15}))
	m.Append(meshtest.Cylinder(4, 20, 48).Transform(mesh.Identity(), r3.Vec{X: 80, Y: 15}))
	return m
}

// facetAt gives the facet that lies nearest to a point and looks that way.
func facetAt(t *testing.T, b *bench, p, n r3.Vec) int {
	t.Helper()
	return b.desk.surface.Nearest(p, n)
}

func TestWhatHasToBeTrueIsPicked(t *testing.T) {
	b := marked(t, "plate.stl", rodOnPlate())
	top, bottom := facetAt(t, b, r3.Vec{X: 20, Y: 15, Z: 6}, r3.Vec{Z: 1}), facetAt(t, b, r3.Vec{X: 20, Y: 15}, r3.Vec{Z: -1})
	end := facetAt(t, b, r3.Vec{X: 40, Y: 15, Z: 3}, r3.Vec{X: 1})
	pin, other := facetAt(t, b, r3.Vec{X: 65, Y: 15, Z: 10}, r3.Vec{X: 1}), facetAt(t, b, r3.Vec{X: 84, Y: 15, Z: 10}, r3.Vec{X: 1})
	for _, tt := range []struct {
		what      markWhat
		picks     []int
		tolerance string
		nominal   float64
	}{
		{markBores, []int{pin, other}, "0.15", 20}, {markBoreToFace, []int{pin, end}, "", 20}, {markFlatness, []int{top}, "0.1", 0},
		{markParallelism, []int{top, bottom}, "", 0}, {markAngle, []int{top, end}, "0.4", 90},
	} {
		b.takeWhat(tt.what)
		for i, f := range tt.picks {
			if b.facePicked(f); i+1 < len(tt.picks) && !b.brief.marks.keep.Disabled() {
				t.Errorf("%s: %d of %d picks can be kept", tt.what.label(), i+1, len(tt.picks))
			}
		}
		p := b.brief.marks
		if p.keep.Disabled() {
			t.Fatalf("%s cannot be kept: %s", tt.what.label(), p.status.Text)
		}
		if form := tt.what.characteristic().IsZone(); p.rows[0].Visible() == form {
			t.Errorf("%s: the nominal size is shown: %v", tt.what.label(), !form)
		}
		p.tolerance.SetText(tt.tolerance)
		p.keepIt()
		got := b.desk.brief.Marks.Dimensions
		d := got[len(got)-1]
		if d.What != tt.what.characteristic() || math.Abs(d.NominalMM+d.NominalDeg-tt.nominal) > 1e-3 {
			t.Errorf("%s gives %s of %g", tt.what.label(), d.What, d.NominalMM+d.NominalDeg)
		}
		if limit, rule := d.Limit(); (rule == mark.Typed) != (tt.tolerance != "") || limit <= 0 {
			t.Errorf("%s is allowed %g by %s", tt.what.label(), limit, rule)
		}
	}
	if lines := strings.Join(b.keptLines(), "\n"); strings.Count(lines, "\n") != 4 || !strings.Contains(lines, "Flatness") || !strings.Contains(plainSpaces(lines), "± 0.4") {
		t.Errorf("the marks are listed as %s", lines)
	}
	b.takeWhat(markAngle)
	b.facePicked(top)
	b.facePicked(bottom)
	if !b.brief.marks.keep.Disabled() || !strings.Contains(b.brief.marks.status.Text, "parallel") {
		t.Errorf("an angle between parallel faces: %q", b.brief.marks.status.Text)
	}
}

func TestStockIsPickedAndOnThePart(t *testing.T) {
	b := marked(t, "plate.stl", meshtest.Block(40, 30, 6))
	b.takeWhat(markStock)
	b.facePicked(facetAt(t, b, r3.Vec{X: 20, Y: 15, Z: 6}, r3.Vec{Z: 1}))
	p := b.brief.marks
	if p.keep.Disabled() || p.rows[1].Visible() {
		t.Fatalf("the stock cannot be kept: %s", p.status.Text)
	}
	p.nominal.SetText("0.8")
	p.keepIt()
	b.until("the advice with stock", func() bool { return len(b.desk.advice.Brief.Marks.Stock) == 1 && !b.advising.running() })
	if got := asLoadedOf(b.desk.advice.Candidates).SinteredSize.Z; math.Abs(got-6.8) > 1e-9 {
		t.Errorf("the part is %g mm high with its stock, want 6.8", got)
	}
	if lines := b.keptLines(); len(lines) != 1 || !strings.Contains(plainSpaces(lines[0]), "0.8 mm of stock") {
		t.Errorf("the stock is listed as %q", lines)
	}
	b.removeMark(0)
	b.until("the advice without", func() bool { return b.desk.advice.Brief.Marks.Empty() && !b.advising.running() })
	if got := asLoadedOf(b.desk.advice.Candidates).SinteredSize.Z; got != 6 {
		t.Errorf("without the stock the part is %g mm high", got)
	}
}

// The verdict is told by word and shape, with the figures of the sheet.
func TestTolerancesAreToldInTheWindow(t *testing.T) {
	c := &orient.Candidate{Dimensions: []orient.DimensionOutcome{
		{Name: "seat", What: mark.Flatness, ExpectedMM: 0.05, ExpectedLowMM: 0.02, ExpectedHighMM: 0.2, ToleranceMM: 0.1, Rule: mark.Typed, Verdict: orient.Holds, SagKnown: true, Weightiest: orient.CauseSag},
		{Name: "reach", What: mark.BoreToBore, NominalMM: 24, ExpectedMM: 23.94, ToleranceMM: 0.15, SpreadMM: 0.24, Rule: mark.MediumRule, Verdict: orient.DoesNotHold, Weightiest: orient.CauseShrinkage},
	}}
	if n := len(toleranceItems(c)); n != 3+3*2 {
		t.Errorf("%d items for two tolerances", n)
	}
	for i, want := range [][]string{
		{"seat, flatness: holds", "Expected 0.05 (0.02 to 0.20), allowed 0.10 (typed); most of it is sag."},
		{"reach, axis to axis: does not hold", "Nominal 24.00, expected 23.94 (not solved), scatter ± 0.72, allowed ± 0.15 (ISO 2768-1 m); most of it is shrinkage spread."},
	} {
		head, figures := toleranceWords(&c.Dimensions[i])
		if plainSpaces(head) != want[0] || plainSpaces(figures) != want[1] {
			t.Errorf("told as %q, %q; want %q", plainSpaces(head), plainSpaces(figures), want)
		}
	}
	if markOf(orient.Holds) == markOf(orient.InDoubt) || markOf(orient.InDoubt) == markOf(orient.DoesNotHold) {
		t.Error("two verdicts have one shape")
	}
}
