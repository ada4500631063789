package support

import (
	"context"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

// A lattice of very many small bodies: each is a region of its own. The pieces of
// support stay bounded, the answer says that it is coarser, and it is the same again.
func TestReachOfManyRegionsIsBounded(t *testing.T) {
	const side = 9
	m := &mesh.Mesh{}
	for i := range side * side * side {
		at := r3.Vec{X: float64(i%side) * 6, Y: float64(i/side%side) * 6, Z: float64(i/side/side) * 6}
		m.Append(meshtest.Block(3, 3, 3).Transform(mesh.Identity(), at))
	}
	site := NewSite(m, 45, 96*96, true, nil)
	plan := func() *Plan {
		p, err := site.Plan(context.Background(), DefaultLimits(), nil)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	p := plan()
	if n := len(p.Items); n < 400 {
		t.Fatalf("%d regions are too few to be bounded", n)
	}
	if n := len(p.Reach.Points); n > 2*(mostPieces+manyPieces) {
		t.Errorf("%d pieces of support", n)
	}
	if p.Reach.Doubt == "" || p.Record().ReachDoubt != p.Reach.Doubt {
		t.Errorf("nothing is said of the coarser answer: %q", p.Record().ReachDoubt)
	}
	if again := plan(); again.OutOfReachMM3 != p.OutOfReachMM3 || again.Reach.Strokes != p.Reach.Strokes {
		t.Errorf("%g mm3 out of reach, then %g", p.OutOfReachMM3, again.OutOfReachMM3)
	}
}

// Where the work is used up no more directions are tried, and the pieces left are
// said to be judged more coarsely.
func TestReachStopsAtItsBudget(t *testing.T) {
	m := meshtest.Blocks([]float64{0, 4, 36, 40}, []float64{0, 30}, []float64{0, 20, 24}, func(i, _, k int) bool { return k == 1 || i != 1 })
	site := NewSite(m, 45, 64*64, true, nil)
	regions, err := site.Regions(context.Background(), Smallness{})
	if err != nil {
		t.Fatal(err)
	}
	w := &reaching{site: site, reach: &Reach{Cutter: DefaultLimits().Cutter, Points: site.pieces(regions)}, regions: regions, most: MostReachWork}
	w.begin()
	w.work = MostReachWork + 1
	if err := w.tryBetween(context.Background()); err != nil {
		t.Fatal(err)
	}
	if len(w.strokes) != 0 || w.doubt() == "" {
		t.Errorf("%d directions were tried beyond the budget, said of it: %q", len(w.strokes), w.doubt())
	}
	w.work = 0
	if err := w.tryBetween(context.Background()); err != nil {
		t.Fatal(err)
	}
	if len(w.strokes) == 0 || w.doubt() != "" {
		t.Errorf("%d directions were tried within the budget, said of it: %q", len(w.strokes), w.doubt())
	}
}

// Regions beyond those that anybody would look through are planned as one, and their
// sums are kept.
func TestRegionsBeyondTheMostArePlannedAsOne(t *testing.T) {
	var regions []Region
	var volume, area float64
	for i := range mostItems + 100 {
		r := Region{
			Facets: []int32{int32(2 * i), int32(2*i + 1)}, AreaMM2: 2, ProjectedMM2: 1, VolumeMM3: float64(2000 - i),
			LowMM: 1, HighMM: float64(i), GapLowMM: 0.5, GapMeanMM: 1, GapHighMM: float64(i), PlateShare: 0.5, Centroid: r3.Vec{X: 3},
		}
		regions = append(regions, r)
		volume, area = volume+r.VolumeMM3, area+r.AreaMM2
	}
	got := gathered(regions)
	if len(got) != mostItems {
		t.Fatalf("%d items, want %d", len(got), mostItems)
	}
	last := got[mostItems-1]
	if last.Together != 101 || len(last.Facets) != 202 || last.GapHighMM != mostItems+99 || last.PlateShare != 0.5 || last.Centroid.X != 3 {
		t.Errorf("the last stands for %d regions with %d facets, gap %g, plate %g, at %v", last.Together, len(last.Facets), last.GapHighMM, last.PlateShare, last.Centroid)
	}
	for i := range got {
		volume, area = volume-got[i].VolumeMM3, area-got[i].AreaMM2
	}
	if volume != 0 || area != 0 {
		t.Errorf("%g mm3 and %g mm2 are lost", volume, area)
	}
	if same := gathered(regions[:mostItems]); len(same) != mostItems || same[mostItems-1].Together != 0 {
		t.Errorf("as many as may be were changed")
	}
}

// Bodies that would take too long are not built, and it is said.
func TestBodiesAreBounded(t *testing.T) {
	cone := meshtest.Cone(40, 60, 2000).Transform(mesh.RotationAbout(r3.Vec{X: 1}, 1.5), r3.Vec{Z: 50})
	site := NewSite(cone, 45, 64*64, true, nil)
	var jobs []job
	for i, k := range site.Stance.Kinds {
		if k == Overhang {
			jobs = append(jobs, job{facets: []int32{int32(i)}, gapZ: 0.3, gapXY: 0.5})
		}
	}
	for most, want := range map[int]error{1000: ErrTooMany, mostFits: nil} {
		if _, err := site.crateWithin(t.Context(), jobs, 0.8, 0.3, most); err != want {
			t.Errorf("with %d facets: error %v, want %v", most, err, want)
		}
	}
}

// Where too many places would be looked at for bodies below, nothing is bridged, and the
// plan says so.
func TestBridgingIsBounded(t *testing.T) {
	site := NewSite(meshtest.Block(5, 5, 5), 45, 16*16, true, nil)
	r := Region{HeldMM: 1}
	site.restsAsked = mostRestsAsked + 1
	if b := site.bridge(&r, nil); b.Holds || b.Share != 0 {
		t.Errorf("beyond the budget it is bridged: %+v", b)
	}
	if words := (&Plan{unbridged: true}).Doubts(); len(words) != 1 {
		t.Errorf("said of it: %q", words)
	}
	if words := (&Plan{}).Doubts(); len(words) != 0 {
		t.Errorf("said of nothing: %q", words)
	}
}
