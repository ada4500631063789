package mark_test

import (
	"context"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/mark"
)

// stocked marks stock at places and adds it.
func stocked(t testing.TB, m *mesh.Mesh, stock ...mark.KeptStock) (*mesh.Mesh, mark.Marks, error) {
	t.Helper()
	kept := mark.Kept{Stock: stock}
	found, lost := kept.Find(mark.NewSurface(m))
	if len(lost) > 0 {
		t.Fatal(lost[0])
	}
	out, err := mark.AddStock(context.Background(), m, found.Stock)
	return out, found, err
}

func at(x, y, z float64) mark.Seed { return mark.Seed{At: r3.Vec{X: x, Y: y, Z: z}} }

// closedSound fails unless the mesh is closed, of the given volume, and crosses
// itself nowhere.
func closedSound(t testing.TB, name string, m *mesh.Mesh, volume float64) {
	t.Helper()
	crossings, err := m.Crossings(context.Background(), func(int32) bool { return true }, 3)
	if err != nil || len(crossings) > 0 {
		t.Errorf("%s: crossings %v, %v", name, crossings, err)
	}
	sides := map[[2]int32]int{}
	for _, f := range m.Facets {
		for k := range 3 {
			a, b := f[k], f[(k+1)%3]
			sides[[2]int32{a, b}]++
			sides[[2]int32{b, a}]--
		}
	}
	for side, n := range sides {
		if n != 0 {
			t.Fatalf("%s: open at %v", name, side)
		}
	}
	if got := m.Volume(); math.Abs(got-volume) > 1e-6*volume {
		t.Errorf("%s: %g mm3, want %g", name, got, volume)
	}
}

// turned turns a profile about Z, closed where its ends meet.
func turned(profile [][2]float64, n int) *mesh.Mesh { return mesh.Weld(meshtest.Lathe(profile, n)) }

// Stock against closed forms.
func TestStock(t *testing.T) {
	tube := turned([][2]float64{{6, 0}, {10, 0}, {10, 25}, {6, 25}, {6, 0}}, 96)
	ring := func(r float64) float64 { return 96 * r * r * math.Sin(2*math.Pi/96) / 2 }
	frustum := meshtest.Block(20, 20, 10) // its upper end drawn in by 5 all round: walls of 63.4 deg
	for i, v := range frustum.Vertices {
		if v.Z > 5 {
			frustum.Vertices[i].X, frustum.Vertices[i].Y = 10+(v.X-10)/2, 10+(v.Y-10)/2
		}
	}
	pyramid := func(base, top, high float64) float64 { return high / 3 * (base*base + base*top + top*top) }
	block := meshtest.Block(40, 20, 10)
	turn := mesh.RotationAbout(r3.Unit(r3.Vec{X: 1, Y: 2, Z: -1}), 0.9)
	for _, tt := range []struct {
		name   string
		m      *mesh.Mesh
		stock  []mark.KeptStock
		volume float64
	}{
		{"top of a block", block, []mark.KeptStock{{Seed: at(20, 10, 10), MM: 0.5}}, 40 * 20 * 10.5},
		{"two faces that share an edge", block, []mark.KeptStock{{Seed: at(20, 10, 10), MM: 0.5}, {Seed: at(40, 10, 5), MM: 1}}, 41 * 20 * 10.5},
		{"all but the bottom", block, []mark.KeptStock{{Seed: at(20, 10, 10), MM: 1}, {Seed: at(40, 10, 5), MM: 1}, {Seed: at(0, 10, 5), MM: 1}, {Seed: at(20, 0, 5), MM: 1}, {Seed: at(20, 20, 5), MM: 1}}, 42 * 22 * 11},
		{"a bore", tube, []mark.KeptStock{{Seed: at(6, 0, 12), MM: 0.75}}, 25 * (ring(10) - ring(5.25))},
		{"a pin", tube, []mark.KeptStock{{Seed: at(10, 0, 12), MM: 0.75}}, 25 * (ring(10.75) - ring(6))},
		{"bore, pin and end", tube, []mark.KeptStock{{Seed: at(6, 0, 12), MM: 0.5}, {Seed: at(10, 0, 12), MM: 1}, {Seed: at(8, 0, 25), MM: 0.4}}, 25.4 * (ring(11) - ring(5.5))},
		{"walls that lean in go on", frustum, []mark.KeptStock{{Seed: at(10, 10, 10), MM: 2}}, pyramid(20, 8, 12)},
		{"a face turned anyhow", block.Transform(turn, r3.Vec{X: 7}), []mark.KeptStock{{Seed: mark.Seed{At: r3.Add(turn.MulVec(r3.Vec{X: 20, Y: 10, Z: 10}), r3.Vec{X: 7})}, MM: 0.5}}, 40 * 20 * 10.5},
	} {
		out, _, err := stocked(t, tt.m, tt.stock...)
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		closedSound(t, tt.name, out, tt.volume)
	}
}

// The stock on a bore leaves the bore that much smaller, wherever it is measured.
func TestStockOnABoreIsMeasured(t *testing.T) {
	tube := turned([][2]float64{{6, 0}, {7, -1}, {10, -1}, {10, 25}, {7, 25}, {6, 24}, {6, 0}}, 96) // with chamfers
	out, found, err := stocked(t, tube, mark.KeptStock{Seed: at(6, 0, 12), MM: 0.5})
	if err != nil {
		t.Fatal(err)
	}
	bore, err := mark.FitBore(out, found.Stock[0].On.Facets)
	if err != nil || math.Abs(bore.DiameterMM-11) > 1e-3 || math.Abs(bore.LengthMM-23) > 1e-3 {
		t.Errorf("%+v, %v: want a bore of 11, shorter by 0.5 at each chamfer", bore, err)
	}
	closedSound(t, "chamfered", out, out.Volume())
}

// Where the walls beside a face would meet before the stock is on it, it goes
// straight out, and they give way.
func TestStockOnANarrowFace(t *testing.T) {
	spike := meshtest.Block(20, 20, 10) // its upper end drawn in to 2: what goes on ends soon
	for i, v := range spike.Vertices {
		if v.Z > 5 {
			spike.Vertices[i].X, spike.Vertices[i].Y = 10+(v.X-10)/10, 10+(v.Y-10)/10
		}
	}
	out, _, err := stocked(t, spike, mark.KeptStock{Seed: at(10, 10, 10), MM: 2})
	if err != nil {
		t.Fatal(err)
	}
	closedSound(t, "a spike", out, 12.0/3*(20*20+20*2+2*2))
}

func TestStockThatIsRefused(t *testing.T) {
	tube := turned([][2]float64{{6, 0}, {10, 0}, {10, 25}, {6, 25}, {6, 0}}, 96)
	slot := meshtest.Blocks([]float64{0, 10, 12, 30}, []float64{0, 20}, []float64{0, 5, 15}, func(i, j, k int) bool { return i != 1 || k == 0 })
	two := meshtest.Block(10, 10, 10)
	join(two, meshtest.Block(10, 10, 10), r3.Vec{Z: 12})
	for _, tt := range []struct {
		name string
		m    *mesh.Mesh
		s    []mark.KeptStock
		want string
	}{
		{"a bore closed", tube, []mark.KeptStock{{Seed: at(6, 0, 12), MM: 6}}, "close the bore"},
		{"bore and pin meet nothing, but the walls of a slot do", slot, []mark.KeptStock{{Seed: at(10, 10, 10), MM: 3}}, "give less"},
		{"into another body", two, []mark.KeptStock{{Seed: at(5, 5, 10), MM: 2.5}}, "run into another face"},
		{"one face twice", tube, []mark.KeptStock{{Seed: at(6, 0, 12), MM: 0.1}, {Seed: at(0, 6, 2), MM: 0.1}}, "same face"},
	} {
		out, _, err := stocked(t, tt.m, tt.s...)
		if err == nil || !strings.Contains(err.Error(), tt.want) || strings.Count(err.Error(), ". ") > 0 {
			t.Errorf("%s: %v, want one sentence with %q (%v)", tt.name, err, tt.want, out != nil)
		}
	}
}

// Whatever stock is asked for on a stepped block: it is refused, or what comes is
// closed, crosses itself nowhere, and has grown.
func TestAnyStockIsSoundOrRefused(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		side := rapid.Float64Range(2, 30)
		x, y, z := side.Draw(t, "x"), side.Draw(t, "y"), side.Draw(t, "z")
		m := meshtest.Blocks([]float64{0, x, x + 5, x + 9}, []float64{0, y, y + 4}, []float64{0, z, z + 6}, func(i, j, k int) bool {
			return k == 0 || i == 0 && j == 0 || i == 2
		})
		s := mark.NewSurface(m)
		flats, _, err := s.Faces(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		var stock []mark.Stock
		for i, f := range flats {
			if rapid.Bool().Draw(t, "stock here") {
				stock = append(stock, mark.Stock{MM: rapid.Float64Range(0.1, 8).Draw(t, "mm"), On: flats[i]})
				_ = f
			}
		}
		out, err := mark.AddStock(context.Background(), m, stock)
		if err != nil {
			return
		}
		crossings, err := out.Crossings(context.Background(), func(int32) bool { return true }, 3)
		if err != nil || len(crossings) > 0 {
			t.Fatalf("crossings %v, %v", crossings, err)
		}
		if grown := out.Volume() - m.Volume(); grown < 0 || len(stock) > 0 && grown == 0 {
			t.Fatalf("%d faces with stock grew the part by %g mm3", len(stock), grown)
		}
	})
}

// What is measured from a face with stock is measured with it, and allowed as much.
func TestDimensionsOnStock(t *testing.T) {
	m := wedge()
	s := mark.NewSurface(m)
	thick := found(t, s, mark.Distance, top, bottom)
	thick.NominalMM, thick.ToleranceMM = 10.1, 0.05 // as on the drawing
	pin := found(t, s, mark.Diameter, pin12)
	kept := mark.Kept{Stock: []mark.KeptStock{{Seed: top, MM: 0.5}, {Seed: pin8, MM: 0.4}}}
	marks, _ := kept.Find(s)
	marks.Dimensions = []mark.Dimension{thick, pin, found(t, s, mark.Diameter, pin8)}
	out, err := mark.AddStock(context.Background(), m, marks.Stock)
	if err != nil {
		t.Fatal(err)
	}
	on := marks.OnStock(out)
	for range 2 { // twice gives the same
		d := on.Dimensions[0]
		if limit, rule := d.Limit(); math.Abs(d.NominalMM-10.6) > 1e-9 || limit != 0.5 || rule != mark.StockRule {
			t.Errorf("the thickness is %g mm, allowed %g by %s; want 10.6, 0.5 by the stock", d.NominalMM, limit, rule)
		}
		if d := on.Dimensions[1]; math.Abs(d.NominalMM-12) > 1e-6 || d.StockMM != 0 {
			t.Errorf("the pin is %g mm with %g mm of stock", d.NominalMM, d.StockMM)
		}
		if d := on.Dimensions[2]; math.Abs(d.NominalMM-8.8) > 1e-6 || d.StockMM != 0.8 {
			t.Errorf("the pin with stock is %g mm with %g mm of it", d.NominalMM, d.StockMM)
		}
		on = on.OnStock(out)
	}
}
