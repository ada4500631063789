package orient

import (
	"context"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/mark"
)

// The formula of first order against simulated firings, each computed exactly: a
// stretch turns normals by its inverse.
func TestAngleSpreadAgainstSimulatedFirings(t *testing.T) {
	const firings = 60_000
	m := testBrief(t).Material
	r := rand.New(rand.NewPCG(21, 22))
	for _, pair := range [][2]r3.Vec{
		{{Z: 1}, r3.Unit(r3.Vec{X: 1, Z: 1})}, {r3.Unit(r3.Vec{X: 1, Y: 2, Z: 3}), r3.Unit(r3.Vec{X: -2, Y: 1, Z: 1})}, {r3.Unit(r3.Vec{X: 1, Z: 2}), r3.Unit(r3.Vec{X: -2, Z: 1})},
	} {
		var sum float64
		was := angleBetween(pair[0], pair[1])
		for range firings {
			left := firing3(r, &m)
			inverse := mesh.Diagonal(r3.Vec{X: 1 / left[0][0], Y: 1 / left[1][1], Z: 1 / left[2][2]})
			d := angleBetween(r3.Unit(inverse.MulVec(pair[0])), r3.Unit(inverse.MulVec(pair[1]))) - was
			sum += d * d
		}
		want := math.Sqrt(sum / firings)
		if got := angleSpread(pair[0], pair[1], &m); math.Abs(got-want) > 0.03*want {
			t.Errorf("normals %v: %.5f deg by formula, %.5f simulated", pair, got, want)
		}
	}
	if got := angleSpread(r3.Vec{X: 1}, r3.Vec{Z: 1}, &m); got > 1e-12 {
		t.Errorf("a corner along the axes spreads by %g deg: a stretch leaves it square", got)
	}
}

// One standard deviation of a length against printed layers, drawn by chance: the
// part lies anywhere between two layers, and each face goes to the nearest.
func TestLayersAgainstDrawnOnes(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	const high, draws = 0.12, 100_000
	var sum float64
	for range draws {
		low, top := high*r.Float64(), high*(r.Float64()+200)
		d := math.Round(top/high)*high - math.Round(low/high)*high - (top - low)
		sum += d * d
	}
	l := layers{up: r3.Vec{Z: 1}, plate: 0, high: high}
	flat := func(n r3.Vec, z float64) mark.Feature {
		return mark.Feature{Plane: mark.Plane{Normal: n, At: r3.Vec{Z: z}}}
	}
	d := mark.Dimension{Along: r3.Vec{Z: 1}, On: []mark.Feature{flat(r3.Vec{Z: -1}, 5), flat(r3.Vec{Z: 1}, 20)}}
	if got, want := l.length(&d), math.Sqrt(sum/draws); math.Abs(got-want) > 0.02*want {
		t.Errorf("two faces in the air: %.4f mm, drawn %.4f", got, want)
	}
	d.On[0].Plane.At.Z = 0 // on the plate: only the upper one is off
	if got, want := l.length(&d), math.Sqrt(sum/draws/2); math.Abs(got-want) > 0.02*want {
		t.Errorf("from the plate: %.4f mm, drawn %.4f", got, want)
	}
	upright := flat(r3.Vec{X: 1}, 3)
	if got := l.cusp(&upright); got != 0 {
		t.Errorf("an upright face has steps of %g mm", got)
	}
}

func TestVerdicts(t *testing.T) {
	sag := func(change float64) *mark.Drift { return &mark.Drift{Change: change} }
	length := DimensionOutcome{What: mark.Distance, NominalMM: 50, SpreadMM: 0.1, ToleranceMM: 0.4}
	form := DimensionOutcome{What: mark.Flatness, ToleranceMM: 0.2}
	angle := DimensionOutcome{What: mark.Angle, NominalDeg: 90, SpreadDeg: 0.1, ToleranceDeg: 0.5}
	for _, tt := range []struct {
		name      string
		d         DimensionOutcome
		sag       *mark.Drift
		collapses bool
		want      Verdict
		weightest string
	}{
		{"well within", length, sag(0.05), false, Holds, CauseShrinkage},
		{"three deviations just within", length, sag(0.09), false, Holds, CauseShrinkage},
		{"a little over", length, sag(-0.2), false, InDoubt, CauseShrinkage},
		{"likely out, within at the low end", length, sag(0.6), false, InDoubt, CauseSag},
		{"out even at the low end", length, sag(3), false, DoesNotHold, CauseSag},
		{"sag not known", length, nil, false, Holds, CauseShrinkage},
		{"falls in", length, sag(0.01), true, DoesNotHold, CauseShrinkage},
		{"flat", form, sag(0.1), false, Holds, CauseSag},
		{"flatness not known", form, nil, false, InDoubt, ""},
		{"bowed, perhaps", form, sag(0.5), false, InDoubt, CauseSag},
		{"bowed for sure", form, sag(1), false, DoesNotHold, CauseSag},
		{"square", angle, sag(0.1), false, Holds, CauseShrinkage},
		{"opens", angle, sag(0.4), false, InDoubt, CauseSag},
	} {
		d := tt.d
		d.judge(tt.sag, 1.0/3, 4, tt.collapses)
		if d.Verdict != tt.want || d.Holds != (tt.want == Holds) || d.Weightiest != tt.weightest {
			t.Errorf("%s: %s, most of it %q; want %s and %q", tt.name, d.Verdict, d.Weightiest, tt.want, tt.weightest)
		}
		if low, high := d.Figures().Low, d.Figures().High; low > high {
			t.Errorf("%s: from %g to %g", tt.name, low, high)
		}
		if s := d.String(); !strings.Contains(s, strings.TrimPrefix(string(tt.want), "in ")) {
			t.Errorf("%s: %q does not say %q", tt.name, s, tt.want)
		}
	}
}

// within against the normal distribution's known shares.
func TestWithin(t *testing.T) {
	for _, tt := range []struct{ either, middle, deviation, want float64 }{
		{1, 0, 1, 0.682689}, {3, 0, 1, 0.997300}, {1, 1, 0.5, 0.499968}, {1, 0.5, 0, 1}, {1, 1.5, 0, 0},
	} {
		if got := within(tt.either, tt.middle, tt.deviation); math.Abs(got-tt.want) > 1e-5 {
			t.Errorf("within(%g, %g, %g) = %g, want %g", tt.either, tt.middle, tt.deviation, got, tt.want)
		}
	}
}

// seat marks the underside of the bench between its legs to be flat, and the seat's
// upper side to be parallel to it.
func seat(t *testing.T, m *mesh.Mesh, turn mesh.Matrix) mark.Marks {
	t.Helper()
	s := mark.NewSurface(m)
	at := func(x, y, z float64, n r3.Vec) mark.Seed {
		return mark.Seed{At: turn.MulVec(r3.Vec{X: x, Y: y, Z: z}), Normal: turn.MulVec(n), WithinDeg: mark.FlatWithinDeg}
	}
	under, over := at(26, 12, 18, r3.Vec{Z: -1}), at(26, 12, 22, r3.Vec{Z: 1})
	kept := mark.Kept{Dimensions: []mark.KeptDimension{
		{Name: "underside", What: mark.Flatness, Seeds: []mark.Seed{under}},
		{Name: "seat", What: mark.Parallelism, Seeds: []mark.Seed{over, under}},
		{Name: "thickness", What: mark.Distance, Seeds: []mark.Seed{over, under}},
	}}
	found, lost := kept.Find(s)
	if len(lost) > 0 {
		t.Fatal(lost[0])
	}
	return found
}

// A seat on two legs bows by its sag: the underside is out of flat by about that,
// its thickness stays; and all is the same on a turned file.
func TestSagMakesASeatUneven(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	var was []DimensionOutcome
	for _, turn := range []mesh.Matrix{mesh.Identity(), mesh.RotationBetween(r3.Vec{Z: 1}, r3.Vec{X: 1})} {
		b := testBrief(t)
		m := bench().Transform(turn, r3.Vec{})
		b.Marks = seat(t, m, turn)
		b.OnlyGiven = true
		b.Directions = []r3.Vec{turn.MulVec(r3.Vec{Z: 1})}
		a := advise(t, partOf("bench", m), b)
		if d := a.Candidates[0].Dimensions[0]; d.SagKnown || d.Verdict != InDoubt {
			t.Errorf("before the furnace is solved: %+v", d)
		}
		fired, err := a.Fire(context.Background(), FiringOptions{Elements: 4000}, nil)
		if err != nil {
			t.Fatal(err)
		}
		var c *Candidate
		for i := range fired.Candidates {
			if o := &fired.Candidates[i]; angleBetween(o.Pose.Up(), b.Directions[0]) < 0.01 {
				c = o
			}
		}
		c.Resting = nil // as printed, with the seat in the air
		fired.judgeDimensions()
		moved, _ := fired.sagOf(c)
		middle := -r3.Dot(turn.MulVec(r3.Vec{Z: 1}), moved(turn.MulVec(r3.Vec{X: 26, Y: 12, Z: 18})))
		flat, parallel, thick := c.Dimensions[0], c.Dimensions[1], c.Dimensions[2]
		if !flat.SagKnown || flat.ExpectedMM < 0.5*middle || flat.ExpectedMM > 1.5*middle {
			t.Errorf("the underside is out of flat by %g mm, and comes down by %g in the middle", flat.ExpectedMM, middle)
		}
		if parallel.ExpectedMM < 0.5*flat.ExpectedMM || flat.Weightiest != CauseSag {
			t.Errorf("flat by %g, parallel by %g; most of it %s", flat.ExpectedMM, parallel.ExpectedMM, flat.Weightiest)
		}
		if math.Abs(thick.ExpectedMM-4) > 0.1*flat.ExpectedMM {
			t.Errorf("the seat is %g mm thick, was 4", thick.ExpectedMM)
		}
		if was == nil {
			was = c.Dimensions
			continue
		}
		for i, d := range c.Dimensions {
			if math.Abs(d.ExpectedMM-was[i].ExpectedMM) > 0.02*max(was[0].ExpectedMM, 0.01) {
				t.Errorf("%s: %g mm on the turned file, %g before", d.Name, d.ExpectedMM, was[i].ExpectedMM)
			}
		}
	}
}
