package furnace

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// TestCutPower checks what cut.go says about the mean bending stiffness.
func TestCutPower(t *testing.T) {
	for _, tt := range []struct{ thickness, plain float64 }{{2, 1.50}, {3, 1.22}, {4, 1.125}, {6, 1.056}} {
		if got := wallStiffness(tt.thickness, 1); math.Abs(got-tt.plain) > 0.005 {
			t.Errorf("%g bricks, fill as it is: %.3f, want %.3f", tt.thickness, got, tt.plain)
		}
		if got := wallStiffness(tt.thickness, 1+cutPower/tt.thickness); math.Abs(got-1) > 0.04 {
			t.Errorf("%g bricks, with the power: %.3f", tt.thickness, got)
		}
	}
}

// slanting is a block with an arm 20 long and 2 thick that goes up at an angle.
func slanting(deg float64) *mesh.Mesh {
	m := boxes([6]float64{0, 0, 0, 16, 6, 9})
	arm := boxMesh(r3.Vec{X: -4, Z: -1}, r3.Vec{X: 20, Y: 6, Z: 1})
	m.Append(arm.Transform(mesh.RotationAbout(r3.Vec{Y: -1}, deg*math.Pi/180), r3.Vec{X: 12, Z: 8}))
	return m
}

// TestSlantingArms keeps a table of how the sag of arms that lie across the grid
// depends on the bricks through them, against ten bricks, in testdata.
func TestSlantingArms(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	path := filepath.Join("..", "..", "testdata", "furnace", "slanting.csv")
	kept := readTable(t, path)
	rows := [][]string{strings.Split("angle_deg,bricks_through,sag_mm", ",")}
	for _, deg := range []float64{5, 20, 45, 70} {
		sags := map[float64]float64{}
		for _, bricks := range []float64{2, 3, 4, 6, 10} {
			key := fmt.Sprintf("%g,%g", deg, bricks)
			if bricks > 4 && !*renew { // takes long: as kept
				sags[bricks] = kept[key]
				continue
			}
			m := slanting(deg)
			w, err := Options{}.prepare(context.Background(), m)
			if err != nil {
				t.Fatal(err)
			}
			md, err := newModel(context.Background(), m, nil, w.lattice(2/bricks), w.wall)
			if err != nil {
				t.Fatal(err)
			}
			_, s, err := Options{}.solveModel(context.Background(), m, DefaultCreep(), md, nil, func(float64) {})
			if err != nil {
				t.Fatal(err)
			}
			sags[bricks] = s.MM
			rows = append(rows, []string{fmt.Sprint(deg), fmt.Sprint(bricks), fmt.Sprintf("%.4f", s.MM)})
			if !*renew && math.Abs(s.MM-kept[key]) > 5e-4 {
				t.Errorf("%g degrees, %g bricks: sag %.4f, the table has %.4f", deg, bricks, s.MM, kept[key])
			}
		}
		for bricks, tol := range map[float64]float64{2: 0.15, 3: 0.10, 4: 0.05, 6: 0.03} {
			about(t, fmt.Sprintf("%g degrees, %g bricks: sag", deg, bricks), sags[bricks], sags[10], tol)
		}
	}
	if *renew {
		writeTable(t, path, rows)
	}
}

// TestTooStiff checks what cut.go says of walls under two bricks.
func TestTooStiff(t *testing.T) {
	for _, tt := range []struct{ through, want float64 }{{3, 1}, {2, 1}, {1.5, 1.2}, {1, 1.64}, {0.7, 2.26}} {
		md := &model{wall: tt.through, lattice: mesh.Lattice{Pitch: r3.Vec{X: 1, Y: 1, Z: 1}}}
		if got := md.tooStiff(); math.Abs(got-tt.want) > 0.02 {
			t.Errorf("%g bricks: %.3f times too stiff, want %.2f", tt.through, got, tt.want)
		}
	}
}
