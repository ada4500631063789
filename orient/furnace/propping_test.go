package furnace

import (
	"context"
	"errors"
	"math"
	"reflect"
	"runtime"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// limitsOf316L are those of the built-in material, fired as printed.
func limitsOf316L(allowed float64) BlockLimits {
	return BlockLimits{AllowedMM: allowed, LeastMM: 2, Friction: DefaultFriction, Shrinkage: mesh.Diagonal(r3.Vec{X: 0.16, Y: 0.16, Z: 0.2})}
}

// longBridge is a part that droops in its middle.
func longBridge() *mesh.Mesh {
	return boxes([6]float64{0, 0, 0, 6, 20, 24}, [6]float64{54, 0, 0, 60, 20, 24}, [6]float64{0, 0, 20, 60, 20, 24})
}

// TestPutBlocks: blocks that are found bring the droop within the allowed, by a solution of
// its own with them as props; they stand clear of the part sintered and as it goes in; and of
// several none can be spared.
func TestPutBlocks(t *testing.T) {
	c := DefaultCreep()
	slant := boxes([6]float64{0, 0, 0, 14, 12, 34})
	slant.Append(boxMesh(r3.Vec{X: 0, Y: 0, Z: -2}, r3.Vec{X: 32, Y: 12, Z: 2}).
		Transform(mesh.RotationAbout(r3.Vec{Y: -1}, 12*math.Pi/180), r3.Vec{X: 10, Z: 20}))
	for name, tt := range map[string]struct {
		m       *mesh.Mesh
		allowed float64
		most    int
	}{
		"arm":         {boxes([6]float64{0, 0, 0, 12, 12, 30}, [6]float64{12, 0, 26, 40, 12, 30}), 0.3, 1},
		"bridge":      {longBridge(), 0.3, 1},
		"flange":      {boxes([6]float64{-8, -8, 0, 8, 8, 20}, [6]float64{-24, -18, 20, 24, 18, 24}), 0.3, 4},
		"slanting":    {slant, 0.3, 1},
		"sound":       {boxes([6]float64{0, 0, 0, 12, 12, 30}), 0.3, 0},
		"leg between": {boxes([6]float64{0, 0, 0, 6, 20, 24}, [6]float64{54, 0, 0, 60, 20, 24}, [6]float64{28, 0, 10, 32, 20, 24}, [6]float64{0, 0, 20, 60, 20, 24}), 0.3, 2},
	} {
		t.Run(name, func(t *testing.T) {
			o := Options{Elements: 6000, NoCheck: true, NoLean: true}
			bare := solveQuick(t, tt.m, c, o)
			limits := limitsOf316L(tt.allowed)
			p, err := PutBlocks(context.Background(), tt.m, c, o, limits)
			if err != nil {
				t.Fatal(err)
			}
			before, _ := bare.WorstDroop()
			t.Logf("droop %.3f, with %d blocks %.3f mm, tried %d", before, len(p.Blocks), p.DroopMM, p.Tried)
			if p.Sag == nil || p.DroopMM > tt.allowed || len(p.Blocks) > tt.most || len(p.Blocks) == 0 && tt.most > 0 {
				t.Fatalf("%d blocks leave %g mm", len(p.Blocks), p.DroopMM)
			}
			if p.Sag.MM > bare.MM*(1+1e-3) {
				t.Errorf("on blocks it sags %g mm, bare %g", p.Sag.MM, bare.MM)
			}
			checkBlocks(t, tt.m, limits, p.Blocks)
			onProps(t, tt.m, c, o, p, before)
			for i := range p.Blocks {
				if len(p.Blocks) == 1 {
					continue
				}
				if left := droopOn(t, tt.m, c, o, append(append([]Block{}, p.Blocks[:i]...), p.Blocks[i+1:]...)); left <= surely*tt.allowed {
					t.Errorf("block %d can be spared: %g mm without it", i+1, left)
				}
			}
		})
	}
}

// droopOn gives the droop on blocks as props of their own.
func droopOn(t *testing.T, m *mesh.Mesh, c Creep, o Options, blocks []Block) float64 {
	t.Helper()
	o.Props = nil
	for _, b := range blocks {
		half := r3.Vec{X: b.SizeMM.X / 2, Y: b.SizeMM.Y / 2}
		p := BoxProp(r3.Vec{X: b.At.X - half.X, Y: b.At.Y - half.Y}, r3.Vec{X: b.At.X + half.X, Y: b.At.Y + half.Y, Z: b.At.Z}, 0)
		p.Friction = DefaultFriction
		o.Props = append(o.Props, p)
	}
	droop, _ := solveQuick(t, m, c, o).WorstDroop()
	return droop
}

// onProps compares with a solution in which the blocks are props, where their tops are level;
// the grid is then another one.
func onProps(t *testing.T, m *mesh.Mesh, c Creep, o Options, p *Propping, before float64) {
	t.Helper()
	for _, b := range p.Blocks {
		if b.SlopeDeg > 0.1 {
			return
		}
	}
	if got := droopOn(t, m, c, o, p.Blocks); math.Abs(got-p.DroopMM) > 0.02*before+0.005 {
		t.Errorf("as props the blocks leave %g mm, as found %g", got, p.DroopMM)
	}
}

// checkBlocks looks from below whether the part is clear of the blocks, sintered and green,
// and what is told of them holds together.
func checkBlocks(t *testing.T, m *mesh.Mesh, limits BlockLimits, blocks []Block) {
	t.Helper()
	still := middleOfFeet(m)
	grow := mesh.Diagonal(r3.Vec{X: 1 / (1 - limits.Shrinkage[0][0]), Y: 1 / (1 - limits.Shrinkage[1][1]), Z: 1 / (1 - limits.Shrinkage[2][2])})
	atStill := r3.Vec{X: still.X, Y: still.Y}
	green := m.Transform(grow, r3.Sub(atStill, grow.MulVec(atStill)))
	for i, b := range blocks {
		for name, part := range map[string]*mesh.Mesh{"sintered": m, "green": green} {
			low := lowestOver(part, b)
			slack := 0.1 + math.Tan(b.SlopeDeg*math.Pi/180)*math.Hypot(b.SizeMM.X, b.SizeMM.Y)
			if low < b.HeightMM()-slack {
				t.Errorf("block %d of %g mm stands in the %s part, which comes down to %g there", i+1, b.HeightMM(), name, low)
			}
			if name == "green" && math.Abs(lowestAt(part, b.From.X, b.From.Y)-b.GreenMM) > slack {
				t.Errorf("block %d: the place it carries is told at %g mm green, and is at %g", i+1, b.GreenMM, lowestAt(part, b.From.X, b.From.Y))
			}
		}
		if slide := math.Hypot(b.From.X-b.At.X, b.From.Y-b.At.Y); math.Abs(slide-b.SlideMM) > 1e-9 || math.Abs(b.GreenMM-b.At.Z-b.ClearMM) > 1e-9 {
			t.Errorf("block %d slides %g mm, from %v to %v", i+1, b.SlideMM, b.From, b.At)
		}
		if !(b.PressN > 0) || b.HeightMM() < limits.LeastMM || b.HeightMM() > standsUp*min(b.SizeMM.X, b.SizeMM.Y)+1e-9 {
			t.Errorf("block %d: %+v", i+1, b)
		}
	}
}

// lowestOver gives the lowest height of a part over a block.
func lowestOver(m *mesh.Mesh, b Block) float64 {
	const lines = 24
	low := math.Inf(1)
	for i := range lines {
		for j := range lines {
			u := r2.Vec{X: (float64(i)+0.5)/lines - 0.5, Y: (float64(j)+0.5)/lines - 0.5}
			low = min(low, lowestAt(m, b.At.X+u.X*b.SizeMM.X, b.At.Y+u.Y*b.SizeMM.Y))
		}
	}
	return low
}

// lowestAt gives the lowest height of a part on a vertical line.
func lowestAt(m *mesh.Mesh, x, y float64) float64 {
	var line mesh.Columns
	const thin = 1e-4
	line.Fill(m.Vertices, m.Facets, r3.Vec{X: x - thin, Y: y - thin}, r3.Vec{X: x + thin, Y: y + thin, Z: 1}, 1)
	low := math.Inf(1)
	for j := range line.NY {
		for i := range line.NX {
			if at := line.At(i, j); len(at) > 0 {
				low = min(low, float64(at[0].Z))
			}
		}
	}
	return low
}

// TestNoBlockThere: under an arm over the part's own base no block stands on the setter.
func TestNoBlockThere(t *testing.T) {
	m := boxes([6]float64{0, 0, 0, 50, 12, 6}, [6]float64{0, 0, 6, 12, 12, 30}, [6]float64{12, 0, 26, 40, 12, 30})
	o := Options{Elements: 4000, NoCheck: true, NoLean: true}
	p, err := PutBlocks(context.Background(), m, DefaultCreep(), o, limitsOf316L(0.3))
	if err != nil || p.Sag != nil || len(p.Blocks) != 0 {
		t.Errorf("%+v, %v", p, err)
	}
	bare, _ := solveQuick(t, m, DefaultCreep(), o).WorstDroop()
	about(t, "what is left", p.DroopMM, bare, 0.1)
}

func TestPutBlocksSameOnAnyCoreCount(t *testing.T) {
	var first *Propping
	o := Options{Elements: 6000, NoCheck: true, NoLean: true}
	for _, cores := range []int{1, 2, 5} {
		old := runtime.GOMAXPROCS(cores)
		p, err := PutBlocks(context.Background(), longBridge(), DefaultCreep(), o, limitsOf316L(0.2))
		runtime.GOMAXPROCS(old)
		if err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = p
		} else if !reflect.DeepEqual(p.Blocks, first.Blocks) || p.DroopMM != first.DroopMM {
			t.Errorf("%d cores: %+v, one core %+v", cores, p.Blocks, first.Blocks)
		}
	}
}

func TestPutBlocksStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := PutBlocks(ctx, longBridge(), DefaultCreep(), Options{}, limitsOf316L(0.3)); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

// BenchmarkPutBlocks finds a plan of blocks for parts of about 20 000 bricks; the aim is
// under 3 s on two cores.
func BenchmarkPutBlocks(b *testing.B) {
	for name, m := range map[string]*mesh.Mesh{
		"bridge": longBridge(), "flange": boxes([6]float64{-8, -8, 0, 8, 8, 20}, [6]float64{-24, -18, 20, 24, 18, 24}),
	} {
		b.Run(name, func(b *testing.B) {
			o := Options{Elements: 20_000, NoCheck: true, NoLean: true}
			var p *Propping
			var err error
			for b.Loop() {
				if p, err = PutBlocks(context.Background(), m, DefaultCreep(), o, limitsOf316L(0.3)); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(p.Tried), "plans")
			b.ReportMetric(float64(len(p.Blocks)), "blocks")
			if p.Sag != nil {
				b.ReportMetric(float64(p.Sag.Elements), "bricks")
			}
		})
	}
}
