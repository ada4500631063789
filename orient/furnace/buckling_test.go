package furnace

import (
	"context"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// buckled gives how many times its weight a part carries before it buckles, on bricks
// of about the given pitch, with its feet stuck.
func buckled(t *testing.T, m *mesh.Mesh, pitch float64, c Creep) (factor float64, touch *contact, steps int) {
	t.Helper()
	md := checked{mesh: func() *mesh.Mesh { return m }, pitch: pitch, friction: Stuck}.model(t)
	touch = settled(t, md, c)
	sure := func(theta, off float64) bool { return off <= 0.01*theta }
	b, steps, err := touch.buckle(context.Background(), touch.system, c.Poisson, sure)
	if err != nil {
		t.Fatal(err)
	}
	return 1 / (b.theta[0] * c.sink()), touch, steps
}

// settled gives the settled contact of a model with its feet stuck.
func settled(t *testing.T, md *model, c Creep) *contact {
	t.Helper()
	s, err := newSystem(md, c.Poisson, newCrew(context.Background()))
	if err != nil {
		t.Fatal(err)
	}
	touch := newContact(s, Stuck)
	if _, err := touch.settle(context.Background(), nil); err != nil {
		t.Fatal(err)
	}
	return touch
}

// TestGreenhill: a column buckles under its own weight where Greenhill (Proc. Camb.
// Phil. Soc. 4 (1881) 65) says, a wide wall at the same height with E/(1 - nu^2) for E:
// the published value of the strip, since it bends in one plane only.
func TestGreenhill(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	for _, tt := range []struct {
		name        string
		m           *mesh.Mesh
		height      float64
		gyration    float64
		pitch       float64
		poisson     float64
		planeStrain bool
	}{
		{"square, four bricks", boxes([6]float64{0, 0, 0, 4, 4, 100}), 100, 4 / math.Sqrt(12), 1, 0.3, false},
		{"square, one brick", boxes([6]float64{0, 0, 0, 4, 4, 100}), 100, 4 / math.Sqrt(12), 4, 0.45, false},
		{"oblong, two bricks", boxes([6]float64{0, 0, 0, 3, 6, 80}), 80, 3 / math.Sqrt(12), 1.5, 0.45, false},
		{"round, eight bricks", disc(4, 120, 180), 120, 2, 1, 0.3, false},
		{"tube", ring(8, 10, 200, 180), 200, math.Sqrt(164) / 2, 1, 0.3, false},
		{"wall that does not strain across", boxes([6]float64{0, 0, 0, 1, 100, 25}), 25, 1 / math.Sqrt(12), 1, 0, true},
		{"wide wall", boxes([6]float64{0, 0, 0, 1, 150, 25}), 25, 1 / math.Sqrt(12), 1, 0.3, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c := DefaultCreep()
			c.Poisson = tt.poisson
			want := math.Pow(ColumnLimitMM(c, tt.gyration)/tt.height, 3)
			if tt.planeStrain {
				want /= 1 - tt.poisson*tt.poisson
			}
			got, touch, steps := buckled(t, tt.m, tt.pitch, c)
			t.Logf("%d bricks, %d steps: %.4f times its weight, theory %.4f (%+.1f %%)", len(touch.mg.levels[0].nodes), steps, got, want, 100*(got/want-1))
			if math.Abs(got/want-1) > 0.05 {
				t.Errorf("buckles under %.4f times its weight, theory says %.4f", got, want)
			}
		})
	}
}

// bucklingParts are the shapes of the comparison with CalculiX.
func bucklingParts() []checked {
	part := func(name string, pitch float64, m *mesh.Mesh) checked {
		return checked{name: name, mesh: func() *mesh.Mesh { return m }, pitch: pitch, friction: Stuck}
	}
	tapered := &mesh.Mesh{}
	for _, h := range []struct{ z, half float64 }{{0, 5}, {60, 2}} {
		for _, s := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
			tapered.Vertices = append(tapered.Vertices, r3.Vec{X: s[0] * h.half, Y: s[1] * h.half, Z: h.z})
		}
	}
	tapered.Facets = [][3]int32{{0, 2, 1}, {0, 3, 2}, {4, 5, 6}, {4, 6, 7}}
	for i := range int32(4) {
		j := (i + 1) % 4
		tapered.Facets = append(tapered.Facets, [3]int32{i, j, j + 4}, [3]int32{i, j + 4, i + 4})
	}
	bracket := boxes([6]float64{0, 0, 0, 24, 16, 4})
	arm := boxMesh(r3.Vec{X: -2, Y: 4, Z: -3}, r3.Vec{X: 2, Y: 12, Z: 50})
	bracket.Append(arm.Transform(mesh.RotationAbout(r3.Vec{Y: 1}, math.Pi/9), r3.Vec{X: 6, Z: 3.6}))
	return []checked{
		part("thin fin on a heavy base", 0.75, boxes([6]float64{0, 0, 0, 24, 18, 12}, [6]float64{11.25, 0, 12, 12.75, 18, 42})),
		part("thin-walled box", 1, boxes(
			[6]float64{0, 0, 0, 16, 1, 48}, [6]float64{0, 15, 0, 16, 16, 48}, [6]float64{0, 1, 0, 1, 15, 48}, [6]float64{15, 1, 0, 16, 15, 48})),
		part("frame", 1, boxes([6]float64{0, 0, 0, 2, 4, 40}, [6]float64{28, 0, 0, 30, 4, 40}, [6]float64{0, 0, 40, 30, 4, 45})),
		part("leaning bracket", 1, bracket),
		part("tapered column", 1, tapered),
		part("plate on its narrow side", 1, boxes([6]float64{0, 0, 0, 2, 12, 60})),
	}
}

// TestCalculiXBuckling compares with the smallest positive buckling factor under the
// own weight, on the same grids.
func TestCalculiXBuckling(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	path := filepath.Join("..", "..", "testdata", "furnace", "buckling.csv")
	if *calculix != "" {
		makeBuckling(t, path)
	}
	kept := readTable(t, path)
	for _, c := range bucklingParts() {
		t.Run(c.name, func(t *testing.T) {
			got, touch, steps := buckled(t, c.mesh(), c.pitch, DefaultCreep())
			want := kept[c.name]
			t.Logf("%d bricks, %d steps: %.4f times its weight, CalculiX %.4f (%+.1f %%)", len(touch.mg.levels[0].nodes), steps, got, want, 100*(got/want-1))
			if !(math.Abs(got/want-1) <= 0.05) {
				t.Errorf("buckles under %.4f times its weight, CalculiX says %.4f", got, want)
			}
		})
	}
}

// makeBuckling writes the decks, has them solved and keeps what came out.
func makeBuckling(t *testing.T, path string) {
	t.Helper()
	version, err := exec.Command("ccx", "-v").CombinedOutput()
	if err != nil && len(version) == 0 {
		t.Fatalf("the program ccx is wanted: %v", err)
	}
	var b strings.Builder
	fmt.Fprintf(&b, "# Smallest positive factor on the own weight at which it buckles, by CalculiX: %s,\n", strings.TrimSpace(string(version)))
	fmt.Fprintf(&b, "# *BUCKLE, element C3D8I, on the grids of this solver, feet held; made by: go test ./orient/furnace -run CalculiXBuckling -calculix DIR\n")
	fmt.Fprintf(&b, "# J 1.5e-6 1/Pa, Poisson 0.45, 7000 kg/m3, 9.80665 m/s2\n")
	fmt.Fprintln(&b, "part,factor")
	for i, c := range bucklingParts() {
		name := filepath.Join(*calculix, fmt.Sprintf("buckling%d", i+1))
		// A hundredth of the weight: CalculiX does not find factors well below 1.
		const share = 0.01
		deck := strings.Replace(c.solved(t).deck(), "*STATIC\n", "*BUCKLE\n6, 1e-3\n", 1)
		deck = strings.ReplaceAll(deck, fmt.Sprintf("GRAV, %.10g,", gravity*1e3), fmt.Sprintf("GRAV, %.10g,", share*gravity*1e3))
		if err := os.WriteFile(name+".inp", []byte(deck), 0o644); err != nil {
			t.Fatal(err)
		}
		if out, err := exec.Command("ccx", name).CombinedOutput(); err != nil {
			t.Fatalf("ccx %s: %v\n%s", name, err, out)
		}
		fmt.Fprintf(&b, "%q,%.6e\n", c.name, share*readFactor(t, name+".dat"))
	}
	if err := os.WriteFile(path, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}

// readFactor reads the smallest positive buckling factor from a result file.
func readFactor(t *testing.T, path string) float64 {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	least := math.Inf(1)
	for line := range strings.Lines(string(data)) {
		w := strings.Fields(line)
		if len(w) != 2 {
			continue
		}
		if _, err := strconv.Atoi(w[0]); err != nil {
			continue
		}
		if v, err := strconv.ParseFloat(w[1], 64); err == nil && v > 0 {
			least = min(least, v)
		}
	}
	if math.IsInf(least, 1) {
		t.Fatalf("%s has no positive buckling factor", path)
	}
	return least
}
