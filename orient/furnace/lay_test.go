package furnace

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

func TestPitch(t *testing.T) {
	tests := []struct {
		name         string
		volume, wall float64
		budget       int
		want         float64
	}{
		{"four bricks are enough", 8000, 4, 0, 1},
		{"stout part: at least some thousand bricks", 8000, 20, 0, 20.0 / 19},
		{"budget allows three", 40_000 * 0.6 * 0.6 * 0.6, 1.8, 0, 0.6},
		{"budget overdrawn for a second", 40_000, 1.75, 0, 1.75 / 2},
		{"not for a second that is too dear", 40_000, 1.5, 0, 1},
		{"asked for", 1000, 20, 1000, 20.0 / math.Floor(20*math.Cbrt(1.15))},
		{"asked for, thin", 1000, 0.5, 1000, 1},
		{"wall unknown", 1000, 0, 1000, 1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			w := wish{volume: tt.volume, wall: tt.wall, budget: tt.budget}
			about(t, "pitch", w.pitch(), tt.want, 1e-9)
		})
	}
}

// TestLatticeMeetsFlats: flat faces across the axes come to lie between bricks.
func TestLatticeMeetsFlats(t *testing.T) {
	m := boxes([6]float64{0, 0, 0, 47.1, 20, 15}, [6]float64{13.3, 0, 0, 15.3, 20, 30})
	w := wish{box: m.Bounds(), planes: flats(m)}
	l := w.lattice(0.5)
	for _, x := range []float64{13.3, 15.3, 47.1} {
		u := x / l.Pitch.X
		if off := math.Abs(u - math.Round(u)); off > 0.12 {
			t.Errorf("the face at x = %v is %.2f bricks off, pitch %v", x, off, l.Pitch.X)
		}
	}
	for a, got := range [3]float64{l.Pitch.X * float64(l.N[0]), l.Pitch.Y * float64(l.N[1]), l.Pitch.Z * float64(l.N[2])} {
		about(t, "side", got, [3]float64{47.1, 20, 30}[a], 1e-12)
	}
	for _, p := range [3]float64{l.Pitch.X, l.Pitch.Y, l.Pitch.Z} {
		if p < 0.5/1.2 || p > 0.5*1.2 {
			t.Errorf("pitch %v strays from 0.5", p)
		}
	}
	flat := wish{box: mesh.Box{Max: r3.Vec{X: 10, Y: 10}}}
	if l := flat.lattice(1); l.N[2] != 1 {
		t.Errorf("flat box: %v bricks", l.N)
	}
}

func TestSpan(t *testing.T) {
	tests := []struct {
		name string
		mesh *mesh.Mesh
		at   r3.Vec
		want float64
	}{
		{"end of an arm", armPart(), r3.Vec{X: 21.9, Y: 3, Z: 11}, 12},
		{"middle of an arm", armPart(), r3.Vec{X: 16, Y: 3, Z: 11}, 6},
		{"end of a spun arm", spun(armPart(), 30, r3.Vec{}), r3.Vec{X: 17.4, Y: 13.4, Z: 11}, 12},
		{"middle of a deck", tablePart(), r3.Vec{X: 15, Y: 6, Z: 16}, 24},
		{"above a leg", tablePart(), r3.Vec{X: 1, Y: 6, Z: 16}, 0},
		{"arm above the base it hangs over", boxes([6]float64{0, 0, 0, 30, 8, 3}, [6]float64{0, 0, 0, 6, 8, 30}, [6]float64{0, 0, 27, 26, 8, 30}),
			r3.Vec{X: 25.9, Y: 4, Z: 28}, 20},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			c := checked{mesh: func() *mesh.Mesh { return tt.mesh }, pitch: 0.5}
			r := newReach(c.model(t), func(int) bool { return true })
			if got := r.spanMM(tt.at); math.Abs(got-tt.want) > 1 {
				t.Errorf("span %v, want %v", got, tt.want)
			}
		})
	}
}
