package orient

import (
	"context"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/mark"
)

// Stock is on the part before anything is measured; without it the part is the one
// that was read; other priorities keep it, and taking the mark away takes it off.
func TestStockIsOnThePartThatIsMeasured(t *testing.T) {
	part := partOf("block", meshtest.Block(40, 20, 10))
	top := mark.Seed{At: r3.Vec{X: 20, Y: 10, Z: 10}, WithinDeg: 1}
	kept := mark.Kept{
		Stock:      []mark.KeptStock{{Name: "seat", Seed: top, MM: 0.5}},
		Dimensions: []mark.KeptDimension{{Name: "thickness", What: mark.Distance, Seeds: []mark.Seed{top, {At: r3.Vec{X: 20, Y: 10}, WithinDeg: 1}}}},
	}
	b := testBrief(t)
	b.OnlyGiven = true
	plain := advise(t, part, b)
	if plain.Part != part || plain.AsRead() != part {
		t.Error("without stock another part is measured than was read")
	}
	b.Marks, _ = kept.Find(mark.NewSurface(part.Mesh))
	a, err := plain.Revise(context.Background(), b, nil)
	if err != nil {
		t.Fatal(err)
	}
	check := func(a *Advice) {
		t.Helper()
		c := a.AsLoaded()
		if got := c.SinteredSize.Z; math.Abs(got-10.5) > 1e-9 {
			t.Errorf("the part is %g mm high with its stock, want 10.5", got)
		}
		if got, want := a.Masses().SinteredG, plain.Masses().SinteredG*1.05; math.Abs(got-want) > 1e-9*want {
			t.Errorf("%g g with stock, want %g", got, want)
		}
		if d := c.Dimensions[0]; math.Abs(d.NominalMM-10.5) > 1e-9 || d.ToleranceMM != 0.5 || d.Rule != mark.StockRule {
			t.Errorf("the thickness is judged as %+v", d)
		}
		if len(a.Notes) == 0 || !strings.Contains(a.Notes[len(a.Notes)-1], "seat: 0.50 mm of stock on a flat face") {
			t.Errorf("the notes %q do not tell of the stock", a.Notes)
		}
		r := NewReport(a)
		if r.Part.SizeMM[2] != 10 || len(r.Stock) != 1 || r.Stock[0].MM != 0.5 || r.Stock[0].Face != "flat" {
			t.Errorf("the report has part %+v, stock %+v", r.Part, r.Stock)
		}
	}
	check(a)
	b.Priorities = Priorities{LessSag: 5}
	again, err := a.Revise(context.Background(), b, nil)
	if err != nil {
		t.Fatal(err)
	}
	if check(again); again.study != a.study {
		t.Error("other priorities made the part with its stock anew")
	}
	b.Marks = mark.Marks{}
	if again, err = again.Revise(context.Background(), b, nil); err != nil || again.Part != part {
		t.Errorf("taking the stock away leaves another part: %v", err)
	}
}

// Stock that cannot be is refused with one sentence, and nothing is advised.
func TestStockThatCannotBeIsRefused(t *testing.T) {
	part := partOf("tube", meshtest.Block(40, 20, 10))
	s := mark.NewSurface(part.Mesh)
	kept := mark.Kept{Stock: []mark.KeptStock{{Seed: mark.Seed{At: r3.Vec{X: 20, Y: 10, Z: 10}}, MM: 1}, {Seed: mark.Seed{At: r3.Vec{X: 10, Y: 10, Z: 10}}, MM: 1}}}
	b := testBrief(t)
	b.Marks, _ = kept.Find(s)
	if _, err := Advise(context.Background(), part, b, nil); err == nil || !strings.Contains(err.Error(), "stock 2 lies on the same face as stock 1") {
		t.Errorf("two stocks on one face: %v", err)
	}
}
