package mesh

import (
	"context"
	"errors"
	"math"
	"runtime"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// solidBlock is a box from lo to hi, facing outward.
func solidBlock(lo, hi r3.Vec) *Mesh {
	m := &Mesh{}
	for i := range 8 {
		v := lo
		if i&1 != 0 {
			v.X = hi.X
		}
		if i&2 != 0 {
			v.Y = hi.Y
		}
		if i&4 != 0 {
			v.Z = hi.Z
		}
		m.Vertices = append(m.Vertices, v)
	}
	for _, q := range [6][4]int32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		m.Facets = append(m.Facets, [3]int32{q[0], q[1], q[2]}, [3]int32{q[0], q[2], q[3]})
	}
	return m
}

// solidBall is a sphere of radius r about c in rings of longitude and latitude.
func solidBall(c r3.Vec, r float64, rings int) *Mesh {
	m := &Mesh{}
	n := 2 * rings
	for i := range rings + 1 {
		for j := range n {
			sp, cp := math.Sincos(math.Pi * float64(i) / float64(rings))
			st, ct := math.Sincos(2 * math.Pi * float64(j) / float64(n))
			m.Vertices = append(m.Vertices, r3.Add(c, r3.Vec{X: r * sp * ct, Y: r * sp * st, Z: r * cp}))
		}
	}
	at := func(i, j int) int32 {
		if i == 0 || i == rings {
			j = 0 // the poles are one point each
		}
		return int32(i*n + j%n)
	}
	for i := range rings {
		for j := range n {
			a, b, c, d := at(i, j), at(i+1, j), at(i+1, j+1), at(i, j+1)
			if i < rings-1 {
				m.Facets = append(m.Facets, [3]int32{a, b, c})
			}
			if i > 0 {
				m.Facets = append(m.Facets, [3]int32{a, c, d})
			}
		}
	}
	return m
}

// solidTube is a pipe about z from z = 0 to h.
func solidTube(inner, outer, h float64, n int) *Mesh {
	m := &Mesh{}
	for j := range n {
		s, c := math.Sincos(2 * math.Pi * float64(j) / float64(n))
		for _, p := range []r3.Vec{{X: inner, Z: 0}, {X: outer, Z: 0}, {X: outer, Z: h}, {X: inner, Z: h}} {
			m.Vertices = append(m.Vertices, r3.Vec{X: p.X * c, Y: p.X * s, Z: p.Z})
		}
	}
	for j := range n {
		p, q := int32(4*j), int32(4*((j+1)%n))
		for k := range int32(4) {
			l := (k + 1) % 4
			m.Facets = append(m.Facets, [3]int32{p + k, q + k, q + l}, [3]int32{p + k, q + l, p + l})
		}
	}
	return m
}

// insideOut turns a mesh inside out.
func insideOut(m *Mesh) *Mesh {
	out := m.Clone()
	for i, f := range out.Facets {
		out.Facets[i] = [3]int32{f[0], f[2], f[1]}
	}
	return out
}

func solidsJoined(ms ...*Mesh) *Mesh {
	out := &Mesh{}
	for _, m := range ms {
		out.Append(m)
	}
	return out
}

func TestVoxelsVolume(t *testing.T) {
	cube := solidBlock(r3.Vec{}, r3.Vec{X: 10, Y: 10, Z: 10})
	shifted := solidBlock(r3.Vec{X: 5, Y: 5, Z: 5}, r3.Vec{X: 15, Y: 15, Z: 15})
	turned := cube.Transform(RotationAbout(r3.Unit(r3.Vec{X: 1, Y: 2, Z: 3}), 0.7), r3.Vec{})
	tests := []struct {
		name string
		mesh *Mesh
		want float64
		tol  float64 // relative; from the spacing of the lines
	}{
		{"cube, whole bricks", cube, 1000, 1e-6},
		{"cube inside out", insideOut(cube), 1000, 1e-6},
		{"overlapping cubes count once", solidsJoined(cube, shifted), 2000 - 125, 1e-6},
		{"touching cubes", solidsJoined(cube, cube.Transform(Identity(), r3.Vec{X: 10})), 2000, 1e-6},
		{"closed cavity", solidsJoined(cube, insideOut(solidBlock(r3.Vec{X: 3, Y: 3, Z: 3}, r3.Vec{X: 7, Y: 7, Z: 7}))), 1000 - 64, 1e-6},
		{"turned cube", turned, 1000, 2e-3},
		{"sphere", solidBall(r3.Vec{X: 1, Y: 2, Z: 3}, 8, 60), solidBall(r3.Vec{}, 8, 60).Volume(), 1e-3},
		{"tube", solidTube(5, 8, 20, 90), solidTube(5, 8, 20, 90).Volume(), 3e-3},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			v, err := tt.mesh.Voxels(context.Background(), LatticeOver(tt.mesh.Bounds(), 1), 4)
			if err != nil {
				t.Fatal(err)
			}
			if got := v.Volume(); math.Abs(got-tt.want) > tt.tol*tt.want {
				t.Errorf("volume = %v, want %v", got, tt.want)
			}
			if v.OpenShare != 0 {
				t.Errorf("open share = %v of a closed mesh", v.OpenShare)
			}
			for i, f := range v.Fill {
				if f < 0 || f > 1 {
					t.Fatalf("fill[%d] = %v", i, f)
				}
			}
		})
	}
}

func TestVoxelsFillIsExactAcrossZ(t *testing.T) {
	plate := solidBlock(r3.Vec{}, r3.Vec{X: 4, Y: 4, Z: 2.3})
	l := Lattice{Pitch: r3.Vec{X: 1, Y: 1, Z: 1}, N: [3]int{5, 4, 4}}
	v, err := plate.Voxels(context.Background(), l, 1)
	if err != nil {
		t.Fatal(err)
	}
	for k, want := range []float64{1, 1, 0.3, 0} {
		if got := float64(v.Fill[l.Index(2, 2, k)]); math.Abs(got-want) > 1e-6 {
			t.Errorf("fill at layer %d = %v, want %v", k, got, want)
		}
		if got := v.Fill[l.Index(4, 2, k)]; got != 0 {
			t.Errorf("fill beside the plate = %v", got)
		}
	}
}

func TestVoxelsCover(t *testing.T) {
	step := solidBlock(r3.Vec{}, r3.Vec{X: 1.5, Y: 2, Z: 1.25})
	l := Lattice{Pitch: r3.Vec{X: 1, Y: 1, Z: 1}, N: [3]int{2, 2, 2}}
	v, err := step.Voxels(context.Background(), l, 4)
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		i, k        int
		fill, cover float32
	}{{0, 0, 1, 1}, {1, 0, 0.5, 0.5}, {0, 1, 0.25, 1}, {1, 1, 0.125, 0.5}} {
		at := l.Index(tt.i, 0, tt.k)
		if v.Fill[at] != tt.fill || v.Cover[at] != tt.cover {
			t.Errorf("brick %d, 0, %d: fill %v, cover %v, want %v, %v", tt.i, tt.k, v.Fill[at], v.Cover[at], tt.fill, tt.cover)
		}
	}
}

func TestVoxelsOpenMesh(t *testing.T) {
	cube := solidBlock(r3.Vec{}, r3.Vec{X: 10, Y: 10, Z: 10})
	cube.Facets = slices.Delete(cube.Facets, 2, 3) // half of the lid
	v, err := cube.Voxels(context.Background(), LatticeOver(cube.Bounds(), 1), 2)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(v.OpenShare-0.5) > 0.06 {
		t.Errorf("open share = %v, want about a half", v.OpenShare)
	}
}

func TestVoxelsRefuses(t *testing.T) {
	cube := solidBlock(r3.Vec{}, r3.Vec{X: 1, Y: 1, Z: 1})
	unit := r3.Vec{X: 1, Y: 1, Z: 1}
	if _, err := cube.Voxels(context.Background(), Lattice{Pitch: unit, N: [3]int{1 << 13, 1 << 13, 2}}, 1); !errors.Is(err, ErrTooFine) {
		t.Errorf("huge lattice: %v, want ErrTooFine", err)
	}
	for _, l := range []Lattice{{Pitch: unit}, {N: [3]int{1, 1, 1}}, {Pitch: r3.Vec{X: math.NaN(), Y: 1, Z: 1}, N: [3]int{1, 1, 1}}} {
		if _, err := cube.Voxels(context.Background(), l, 1); err == nil {
			t.Errorf("lattice %v was accepted", l)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := cube.Voxels(ctx, LatticeOver(cube.Bounds(), 0.1), 1); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

func TestVoxelsSameOnAnyCoreCount(t *testing.T) {
	m := solidBall(r3.Vec{}, 7, 40)
	l := LatticeOver(m.Bounds(), 0.5)
	var first []float32
	for _, cores := range []int{1, 2, 5} {
		old := runtime.GOMAXPROCS(cores)
		v, err := m.Voxels(context.Background(), l, 3)
		runtime.GOMAXPROCS(old)
		if err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = v.Fill
		} else if !slices.Equal(first, v.Fill) {
			t.Errorf("%d cores give another fill", cores)
		}
	}
}

func BenchmarkVoxels(b *testing.B) {
	m := solidBall(r3.Vec{}, 25, 100)
	l := LatticeOver(m.Bounds(), 1)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := m.Voxels(context.Background(), l, 4); err != nil {
			b.Fatal(err)
		}
	}
}
