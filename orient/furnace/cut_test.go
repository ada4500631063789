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

// wallStiffness gives the bending stiffness of a level wall of the given
// thickness, in bricks, over its true one, on the mean over all positions
// between the layers, when a cut brick counts with its fill to a power.
func wallStiffness(thickness, power float64) float64 {
	const positions = 500
	var sum float64
	for i := range positions {
		low := (float64(i) + 0.5) / positions
		high := low + thickness
		var area, first, second float64
		for k := 0.0; k < high; k++ {
			if fill := min(k+1, high) - max(k, low); fill > 0 {
				a, z := math.Pow(min(fill, 1), power), k+0.5
				area, first, second = area+a, first+a*z, second+a*(z*z+1.0/12)
			}
		}
		sum += second - first*first/area
	}
	return sum / positions / (thickness * thickness * thickness / 12)
}

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
			s, err := Options{}.solveModel(context.Background(), m, DefaultCreep(), md, nil, func(float64) {})
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
