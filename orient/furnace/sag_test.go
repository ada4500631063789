package furnace

import (
	"context"
	"errors"
	"math"
	"runtime"
	"slices"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// TestSagIsProportional: the model is linear in weight and compliance, contact
// and all; twice the size sags by the law density L^4/h^2.
func TestSagIsProportional(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	c := DefaultCreep()
	for name, m := range map[string]*mesh.Mesh{"arm": armPart(), "table": tablePart()} {
		t.Run(name, func(t *testing.T) {
			o := Options{Elements: 3000}
			once := solveQuick(t, m, c, o)
			heavy := c
			heavy.DensityKGM3 *= 2
			about(t, "sag at twice the density", solveQuick(t, m, heavy, o).MM, 2*once.MM, 1e-9)
			soft := c
			soft.CompliancePerPa, soft.HighPerPa = 2*c.CompliancePerPa, 2*c.HighPerPa
			twice := solveQuick(t, m, soft, o)
			about(t, "sag at twice the compliance", twice.MM, 2*once.MM, 1e-9)
			about(t, "low end", twice.LowMM, once.LowMM, 1e-9)
			about(t, "high end", twice.HighMM, 2*once.HighMM, 1e-9)
			big := m.Transform(mesh.Diagonal(r3.Vec{X: 2, Y: 2, Z: 2}), r3.Vec{})
			about(t, "sag at twice the size", solveQuick(t, big, c, o).MM, 4*once.MM, 1e-3)
		})
	}
}

// TestSagInvariance: where the part stands on the setter and how it is spun
// about Z must not matter. The grid does not turn with it.
func TestSagInvariance(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	c := DefaultCreep()
	for name, m := range map[string]*mesh.Mesh{"arm": armPart(), "table": tablePart()} {
		t.Run(name, func(t *testing.T) {
			want := solveQuick(t, m, c, Options{}).MM
			about(t, "moved", solveQuick(t, m.Transform(mesh.Identity(), r3.Vec{X: 17.3, Y: -4.1}), c, Options{}).MM, want, 1e-6)
			for _, deg := range []float64{7, 30, 45, 90, 200} {
				got := solveQuick(t, spun(m, deg, r3.Vec{X: deg}), c, Options{})
				about(t, "spun", got.MM, want, 0.03)
			}
		})
	}
}

// TestSagClosedForms checks whole solutions, contact and props included.
func TestSagClosedForms(t *testing.T) {
	c := DefaultCreep()
	t.Run("column loses height", func(t *testing.T) {
		s := solveQuick(t, boxes([6]float64{0, 0, 0, 10, 10, 50}), c, Options{})
		about(t, "sag", s.MM, HeightLossMM(c, 50), 0.01) // facts of the form: 0.1287 mm
		if s.Collapses || s.LiftMM != 0 {
			t.Errorf("a column should neither collapse nor lift: %+v", s)
		}
	})
	t.Run("bar on two blocks", func(t *testing.T) {
		// Span 34 with 3 mm over at each end: 5/32 ... x (1 - 24/5 (a/L)^2) (H).
		const l, over, h = 34.0, 3.0, 2.0
		block := func(x0, x1 float64) Prop {
			return BoxProp(r3.Vec{X: x0, Y: -1}, r3.Vec{X: x1, Y: 6, Z: 5}, 0)
		}
		s := solveQuick(t, boxes([6]float64{0, 0, 5, 40, 5, 7}), c, Options{Props: []Prop{block(-1, 3), block(37, 41)}})
		want := BeamSagMM(SimplySupported, c, l, h) * (BeamShearFactor(SimplySupported, c.Poisson, l, h) - 24.0/5*over*over/l/l)
		about(t, "sag", s.MM, want, 0.02)
		about(t, "span", s.SpanMM, l, 0.03)
		if !s.Collapses {
			t.Error("a sag of a sixth of the span is a collapse")
		}
	})
	t.Run("disc on a ceramic ring", func(t *testing.T) {
		const a, h = 15.0, 3.0
		m := disc(a+1, h, 180).Transform(mesh.Identity(), r3.Vec{Z: 4})
		s := solveQuick(t, m, c, Options{Props: []Prop{{Shape: ring(a, a+4, 4, 180), Ceramic: true}}})
		want := CircularPlateSagMM(SimplySupported, c, a, h) + PlateShearMM(c, a)
		about(t, "sag", s.MM, want, 0.03)
	})
}

// TestSupportsCarry: a support kept through the firing carries with its density.
func TestSupportsCarry(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	c := DefaultCreep()
	m := tablePart()
	bare := solveQuick(t, m, c, Options{}).MM
	last := bare
	for _, density := range []float64{0.05, 0.2, 1} {
		s := solveQuick(t, m, c, Options{Props: []Prop{BoxProp(r3.Vec{X: 14}, r3.Vec{X: 16, Y: 12, Z: 15}, density)}})
		if s.MM >= last {
			t.Errorf("support of density %v: sag %v, not under %v", density, s.MM, last)
		}
		last = s.MM
	}
	block := solveQuick(t, m, c, Options{Props: []Prop{BoxProp(r3.Vec{X: 14}, r3.Vec{X: 16, Y: 12, Z: 15}, 0)}})
	if block.MM > 0.1*bare {
		t.Errorf("on a ceramic block the deck sags %v, without %v", block.MM, bare)
	}
	for _, p := range []Prop{{}, {Shape: m}, {Shape: m, Density: 1.5}, {Shape: m, Density: 0.5, Stiffness: -1}} {
		if _, err := Solve(context.Background(), m, c, Options{Props: []Prop{p}}); err == nil {
			t.Errorf("prop %+v was accepted", p)
		}
	}
}

// TestFrictionHoldsLegs: from free to stuck the legs spread less and less.
func TestFrictionHoldsLegs(t *testing.T) {
	last := math.Inf(1)
	for _, friction := range []float64{0, 0.05, 0.2, Stuck} {
		s := solveQuick(t, tablePart(), DefaultCreep(), Options{Friction: friction, Elements: 4000})
		if s.MM > last*(1+1e-3) {
			t.Errorf("friction %v: sag %v, more than %v with less", friction, s.MM, last)
		}
		last = s.MM
	}
	if _, err := Solve(context.Background(), tablePart(), DefaultCreep(), Options{Friction: -1}); err == nil {
		t.Error("negative friction was accepted")
	}
}

// TestGridErrorIsEstimated: the estimate from two grids is of the size of the
// difference to a much finer grid.
func TestGridErrorIsEstimated(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	for name, m := range map[string]*mesh.Mesh{"arm": armPart(), "table": tablePart(), "spun arm": spun(armPart(), 25, r3.Vec{})} {
		t.Run(name, func(t *testing.T) {
			s, err := Solve(context.Background(), m, DefaultCreep(), Options{Elements: 4000})
			if err != nil {
				t.Fatal(err)
			}
			fine := solveQuick(t, m, DefaultCreep(), Options{Elements: 30000})
			t.Logf("%.4f +- %.4f, finer %.4f", s.MM, s.DiscretisationMM, fine.MM)
			if off := math.Abs(fine.MM - s.MM); off > 3*s.DiscretisationMM+0.01*fine.MM {
				t.Errorf("sag %v +- %v, a finer grid has %v", s.MM, s.DiscretisationMM, fine.MM)
			}
		})
	}
}

// TestPoissonRange: from nothing to nearly incompressible the solver settles, and
// a beam hardly notices.
func TestPoissonRange(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	c := DefaultCreep()
	want := solveQuick(t, armPart(), c, Options{Elements: 3000}).MM
	for _, nu := range []float64{0, 0.3, 0.49, 0.499} {
		c.Poisson = nu
		s := solveQuick(t, armPart(), c, Options{Elements: 3000})
		about(t, "sag", s.MM, want, 0.12)
		if s.Iterations > 400 {
			t.Errorf("Poisson %v: %d steps", nu, s.Iterations)
		}
	}
}

// TestBudgetIsKept: cut bricks count too.
func TestBudgetIsKept(t *testing.T) {
	shell := ball(20, 40)
	shell.Append(insideOut(ball(19, 40).Transform(mesh.Identity(), r3.Vec{Z: 1})))
	for _, elements := range []int{3000, 10_000} {
		s := solveQuick(t, shell, DefaultCreep(), Options{Elements: elements})
		if s.Elements < elements/3 || s.Elements > elements*3/2 {
			t.Errorf("asked for %d bricks, got %d", elements, s.Elements)
		}
	}
}

// TestField: vertices move with the field, far away nothing does.
func TestField(t *testing.T) {
	m := armPart()
	s := solveQuick(t, m, DefaultCreep(), Options{})
	for i, v := range m.Vertices {
		if s.Field.At(v) != s.Displacement[i] {
			t.Fatalf("vertex %d moves by %v, the field there by %v", i, s.Displacement[i], s.Field.At(v))
		}
	}
	about(t, "field at the worst place", -s.Field.At(s.At).Z, s.MM, 1e-9)
	if got := s.Field.At(r3.Vec{X: 100, Y: 100, Z: 100}); got != (r3.Vec{}) {
		t.Errorf("far away the field is %v", got)
	}
	// Just outside the surface it goes on as on it.
	about(t, "field beside the tip", s.Field.At(r3.Vec{X: 22.2, Y: 3, Z: 11}).Z, s.Field.At(r3.Vec{X: 22, Y: 3, Z: 11}).Z, 1e-9)
}

func TestSolveSameOnAnyCoreCount(t *testing.T) {
	var first *Sag
	for _, cores := range []int{1, 2, 7} {
		old := runtime.GOMAXPROCS(cores)
		s := solveQuick(t, tablePart(), DefaultCreep(), Options{Friction: 0.1, Elements: 6000})
		runtime.GOMAXPROCS(old)
		if first == nil {
			first = s
		} else if s.MM != first.MM || !slices.Equal(s.Displacement, first.Displacement) {
			t.Errorf("%d cores: sag %v, one core %v", cores, s.MM, first.MM)
		}
	}
}

func TestSolveTellsAndStops(t *testing.T) {
	var told []float64
	o := Options{Elements: 3000, Progress: func(stage string, fraction float64) {
		if stage == "" {
			t.Error("a stage without words")
		}
		told = append(told, fraction)
	}}
	if _, err := Solve(context.Background(), tablePart(), DefaultCreep(), o); err != nil {
		t.Fatal(err)
	}
	if !slices.IsSorted(told) || len(told) < 5 || told[len(told)-1] != 1 {
		t.Errorf("progress was %v", told)
	}
	ctx, cancel := context.WithCancel(context.Background())
	o = Options{Elements: 60000, Progress: func(_ string, fraction float64) {
		if fraction > 0.2 {
			cancel()
		}
	}}
	begun := time.Now()
	_, err := Solve(ctx, tablePart(), DefaultCreep(), o)
	if !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v after %v", err, time.Since(begun))
	}
}
