package furnace

import (
	"context"
	"errors"
	"math"
	"path/filepath"
	"reflect"
	"runtime"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// TestLeanOfSolve: a whole solution, with a grid and tolerances of its own, tells the
// lean that CalculiX finds for the six shapes, and what the quick estimate of a column
// makes of them.
func TestLeanOfSolve(t *testing.T) {
	kept := readTable(t, filepath.Join("..", "..", "testdata", "furnace", "buckling.csv"))
	for _, part := range bucklingParts() {
		t.Run(part.name, func(t *testing.T) {
			c, m := DefaultCreep(), part.mesh()
			s, err := Solve(context.Background(), m, c, Options{})
			if err != nil {
				t.Fatal(err)
			}
			want, l := kept[part.name], s.Lean
			column := LeanOf(m, r3.Vec{X: 1, Y: 1, Z: 1}, m.Volume(), m.Solid().Centroid.Z, c)
			t.Logf("%d steps: %.4f times its weight, CalculiX %.4f (%+.1f %%), column estimate %.4f", s.LeanSteps, l.WeightFactor, want, 100*(l.WeightFactor/want-1), column.WeightFactor)
			// CalculiX had stairs for slanting faces, as stiff as they are, another grid and
			// feet that cannot lift; TestCalculiXBuckling compares like with like.
			if math.Abs(l.WeightFactor/want-1) > 0.1 {
				t.Errorf("buckles under %.4f times its weight, CalculiX says %.4f", l.WeightFactor, want)
			}
			about(t, "growth", l.Growth, math.Exp(1/l.WeightFactor), 1e-9)
			about(t, "low end", math.Log(l.Low), c.LowPerPa/c.CompliancePerPa*math.Log(l.Growth), 1e-9)
			if l.High < math.Pow(l.Growth, c.HighPerPa/c.CompliancePerPa)*(1-1e-9) {
				t.Errorf("grows %+v", l)
			}
			var most float64
			b := m.Bounds()
			for i := range 40 * 40 * 40 {
				at := r3.Vec{X: float64(i%40) / 39, Y: float64(i/40%40) / 39, Z: float64(i/1600) / 39}
				size := b.Size()
				v := r3.Add(b.Min, r3.Vec{X: at.X * size.X, Y: at.Y * size.Y, Z: at.Z * size.Z})
				most = max(most, r3.Norm(s.LeanMode.At(v)))
			}
			if most < 0.8 || most > 1.001 {
				t.Errorf("the mode moves by up to %.3f", most)
			}
		})
	}
}

// TestSlantingWalls: upright walls that lie anyhow across the grid lean as thin as they
// are, and below two bricks the range holds the truth (Greenhill's column, as above).
func TestSlantingWalls(t *testing.T) {
	c := DefaultCreep()
	c.Poisson = 0.3
	const thick, foot, height = 2.0, 4.0, 40.0
	want := math.Pow(ColumnLimitMM(c, thick/math.Sqrt(12))/(height-foot), 3)
	for _, deg := range []float64{10, 30, 45} {
		wall := boxMesh(r3.Vec{X: -thick / 2, Y: -8}, r3.Vec{X: thick / 2, Y: 8, Z: height})
		m := wall.Transform(mesh.RotationAbout(r3.Vec{Z: 1}, deg*math.Pi/180), r3.Vec{})
		m.Append(boxMesh(r3.Vec{X: -8.37, Y: -8}, r3.Vec{X: 8.3, Y: 8, Z: foot}))
		for _, through := range []float64{1, 1.5, 2, 3} {
			touch := settled(t, checked{mesh: func() *mesh.Mesh { return m }, pitch: thick / through, friction: Stuck}.model(t), c)
			var s Sag
			if err := touch.lean(context.Background(), c, &s); err != nil {
				t.Fatal(err)
			}
			stiffest := c.HighPerPa / c.CompliancePerPa / math.Log(s.Lean.High)
			t.Logf("%g deg, %g bricks through: %.3f times its weight, theory %.3f; low end %.3f", deg, through, s.Lean.WeightFactor, want, stiffest)
			if through >= 2 && math.Abs(s.Lean.WeightFactor/want-1) > 0.07 {
				t.Errorf("%g deg, %g bricks through: buckles under %.3f times its weight, theory says %.3f", deg, through, s.Lean.WeightFactor, want)
			}
			if s.Lean.WeightFactor > 1.5*want || stiffest > 1.1*want {
				t.Errorf("%g deg, %g bricks through: buckles under %.3f to %.3f times its weight, theory says %.3f", deg, through, stiffest, s.Lean.WeightFactor, want)
			}
		}
	}
}

// A stout part costs no more steps than the fewest, and hardly grows.
func TestStoutHardlyLeans(t *testing.T) {
	s, err := Solve(context.Background(), boxes([6]float64{0, 0, 0, 20, 20, 15}), DefaultCreep(), Options{Elements: 4000})
	if err != nil {
		t.Fatal(err)
	}
	if s.LeanSteps > fewestSteps || s.Lean.High > 1.03 {
		t.Errorf("%d steps, %+v", s.LeanSteps, s.Lean)
	}
}

// What falls for sure is not followed to the end.
func TestHopelessLeanStopsEarly(t *testing.T) {
	s, err := Solve(context.Background(), boxes([6]float64{0, 0, 0, 2, 8, 150}), DefaultCreep(), Options{NoCheck: true})
	if err != nil {
		t.Fatal(err)
	}
	if s.LeanSteps > fewestSteps || s.Lean.Low < surelyFalls {
		t.Errorf("%d steps, %+v", s.LeanSteps, s.Lean)
	}
}

func TestLeanIsTheSameOnAnyCores(t *testing.T) {
	var first *Sag
	for _, cores := range []int{1, 3} {
		was := runtime.GOMAXPROCS(cores)
		s, err := Solve(context.Background(), bracket(), DefaultCreep(), Options{Elements: 6000})
		runtime.GOMAXPROCS(was)
		if err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = s
		} else if !reflect.DeepEqual(first.Lean, s.Lean) || !reflect.DeepEqual(first.LeanMode, s.LeanMode) {
			t.Errorf("%+v on one core, %+v on %d", first.Lean, s.Lean, cores)
		}
	}
}

func TestLeanIsCancelled(t *testing.T) {
	c := DefaultCreep()
	touch := settled(t, bucklingParts()[2].model(t), c)
	ctx, cancel := context.WithCancel(context.Background())
	_, steps, err := touch.buckle(ctx, touch.system, c.Poisson, func(_, _ float64) bool {
		cancel()
		return false
	})
	if !errors.Is(err, context.Canceled) || steps > fewestSteps {
		t.Errorf("after %d steps: %v", steps, err)
	}
	var s Sag
	if err := touch.lean(ctx, c, &s); !errors.Is(err, context.Canceled) || s.Lean != nil {
		t.Errorf("%v, %+v", err, s.Lean)
	}
}

// TestGeometricIsTheStress: of a block under even pressure p along z, the geometric
// matrix makes p times the slope squared times the volume of a tilt, and nothing of a
// shift.
func TestGeometricIsTheStress(t *testing.T) {
	const poisson, p = 0.3, 0.01
	edge := [3]float64{1, 1.5, 0.7}
	r := newRig(t, fullBlock([3]int{2, 3, 4}), edge, poisson)
	l := r.mg.levels[0]
	shift, tilt := make([]float64, len(r.x)), make([]float64, len(r.x))
	for n, q := range l.place {
		at := [3]float64{float64(q[0]) * edge[0], float64(q[1]) * edge[1], float64(q[2]) * edge[2]}
		r.x[3*n], r.x[3*n+1], r.x[3*n+2] = poisson*p*at[0], poisson*p*at[1], -p*at[2]
		shift[3*n], tilt[3*n+1] = 1, 0.2*at[2]
	}
	k, err := newGeometric(l, edge, poisson, r.x, make([]bool, len(r.x)))
	if err != nil {
		t.Fatal(err)
	}
	y := make([]float64, len(r.x))
	k.apply(y, tilt)
	about(t, "work of a tilt", l.crew.dot(tilt, y), p*0.2*0.2*2*1*3*1.5*4*0.7, 1e-5)
	k.apply(y, shift)
	if d := l.crew.dot(y, y); d > 1e-12 {
		t.Errorf("a shift takes forces: %g", d)
	}
}
