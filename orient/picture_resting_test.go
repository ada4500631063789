package orient

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh/meshtest"
)

// A table printed on its legs is shown on its top, with the field of its sag
// there; what is fired as printed is shown as in its detail.
func TestRestingDetail(t *testing.T) {
	ctx := context.Background()
	m := meshtest.Blocks([]float64{0, 4, 36, 40}, []float64{0, 4, 26, 30}, []float64{0, 20, 22}, func(i, j, k int) bool {
		return k == 1 || i != 1 && j != 1
	})
	b := testBrief(t)
	b.OnlyGiven = true
	a, err := advise(t, partOf("table", m), b).Fire(ctx, FiringOptions{Elements: 3000}, nil)
	if err != nil {
		t.Fatal(err)
	}
	c := a.AsLoaded()
	if !c.RestsOtherwise() {
		t.Fatal("the table rests as printed: the test tests nothing")
	}
	d, err := a.RestingDetail(ctx, c)
	if err != nil {
		t.Fatal(err)
	}
	box := d.Sintered.Bounds()
	if math.Abs(box.Min.Z) > 1e-9 || math.Abs(box.Max.Z-22) > 1e-9 {
		t.Errorf("it stands from %g to %g mm, want 0 to 22", box.Min.Z, box.Max.Z)
	}
	low := 0.0 // what lies on the setter: the top, 40 x 30
	for i := range d.Sintered.Facets {
		p, q, r := d.Sintered.Corners(i)
		if max(p.Z, q.Z, r.Z) < 1e-6 {
			low += r3.Norm(d.Sintered.AreaVector(i))
		}
	}
	if math.Abs(low-1200) > 1e-6*1200 {
		t.Errorf("%g mm2 lie on the setter, want the top of 1200", low)
	}
	sag := c.Resting.Pose().Sag
	if d.SagMM != sag.MM || d.SagAt != sag.At || len(d.Sag) != len(d.Sintered.Vertices) || len(d.Displacement) != len(d.Sag) ||
		len(d.SinteredFrom) != len(d.Sintered.Facets) {
		t.Errorf("sag %g at %v on %d of %d vertices, want %g at %v on all", d.SagMM, d.SagAt, len(d.Sag), len(d.Sintered.Vertices), sag.MM, sag.At)
	}
	most := 0.0
	for i, v := range d.Sag {
		most = max(most, v)
		if math.Abs(v+d.Displacement[i].Z) > 1e-12 {
			t.Fatalf("vertex %d sags %g and moves %v", i, v, d.Displacement[i])
		}
	}
	if most > sag.MM*1.0001+1e-9 {
		t.Errorf("the field reaches %g mm, the most is %g", most, sag.MM)
	}
	if len(d.Green.Facets) != len(m.Facets) || d.Green.Bounds().Max.Z < 22 {
		t.Error("the plate does not show the green part")
	}

	for _, s := range a.LayingAdvice(c) {
		if strings.Contains(s, "NaN") {
			t.Errorf("advice on laying it down: %s", s)
		}
	}
	printed := a.Candidates[0]
	printed.Resting = nil
	want, err := a.Detail(ctx, &printed)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := a.RestingDetail(ctx, &printed); err != nil || got.Sintered.Bounds() != want.Sintered.Bounds() || got.SagMM != want.SagMM {
		t.Errorf("fired as printed it is shown otherwise: %v", err)
	}
	if got := a.LayingAdvice(&printed); !slices.Equal(got, printed.FurnaceAdvice) {
		t.Errorf("fired as printed the advice is %v", got)
	}
}
