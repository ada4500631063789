package furnace

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/assets"
	"kilnpoise/mesh"
)

// couponArms gives the arms of the built-in coupon: where their top face leaves the
// block, and its tip, in the frame of the mesh on z = 0.
func couponArms() map[float64][2]r3.Vec {
	const wall, top, pitch, first = 9, 15, 12, 8
	arms := map[float64][2]r3.Vec{}
	for i := range 3 {
		y := first + pitch*float64(i)
		left, right := []float64{16, 12, 10}[i], []float64{20, 8, 7}[i]
		arms[left] = [2]r3.Vec{{X: 0, Y: y, Z: top}, {X: -left, Y: y, Z: top}}
		arms[right] = [2]r3.Vec{{X: wall, Y: y, Z: top}, {X: wall + right, Y: y, Z: top}}
	}
	return arms
}

// couponMesh is the built-in coupon.
func couponMesh(t *testing.T) *mesh.Mesh {
	t.Helper()
	for _, d := range assets.DemoParts() {
		if d.ID != assets.CouponID {
			continue
		}
		data, err := d.Mesh()
		if err != nil {
			t.Fatal(err)
		}
		f, err := mesh.Read(context.Background(), d.File, bytes.NewReader(data), int64(len(data)), mesh.ReadOptions{})
		if err != nil {
			t.Fatal(err)
		}
		p, err := f.Part(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		return p.Mesh
	}
	t.Fatal("no coupon among the built-in parts")
	return nil
}

// couponSags solves the coupon on bricks of the given edge.
func couponSags(t *testing.T, m *mesh.Mesh, c Creep, pitch float64) map[float64]float64 {
	t.Helper()
	o := Options{NoCheck: true}
	w, err := o.prepare(context.Background(), m)
	if err != nil {
		t.Fatal(err)
	}
	md, err := newModel(context.Background(), m, nil, w.lattice(pitch), w.wall)
	if err != nil {
		t.Fatal(err)
	}
	_, s, err := o.solveModel(context.Background(), m, c, md, nil, func(float64) {})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(s.PitchMM-pitch) > 1e-9 {
		t.Fatalf("bricks of %g mm, wanted %g", s.PitchMM, pitch)
	}
	sags := map[float64]float64{}
	for span, at := range couponArms() {
		sags[span] = s.Field.At(at[0]).Z - s.Field.At(at[1]).Z
	}
	return sags
}

// couponFactors solves on bricks of half a millimetre.
func couponFactors(t *testing.T, m *mesh.Mesh, poisson float64) map[float64]float64 {
	t.Helper()
	c := DefaultCreep()
	c.Poisson = poisson
	sags := couponSags(t, m, c, 0.5)
	factors := map[float64]float64{}
	for span := range sags {
		beam := BeamSagMM(Cantilever, c, span, assets.CouponThicknessMM) * BeamShearFactor(Cantilever, poisson, span, assets.CouponThicknessMM)
		factors[span] = sags[span] / beam
	}
	return factors
}

// TestCouponFactors holds the factors of the arms against the table, and the table
// against the solver at one Poisson ratio, at all of them with -renew.
func TestCouponFactors(t *testing.T) {
	path := filepath.Join("..", "..", "testdata", "furnace", "coupon.csv")
	m := couponMesh(t)
	if *renew {
		var b strings.Builder
		fmt.Fprintln(&b, "poisson,span_mm,sag_over_handbook")
		for _, nu := range armPoisson() {
			f := couponFactors(t, m, nu)
			for _, span := range assets.CouponSpansMM() {
				fmt.Fprintf(&b, "%g,%g,%.4f\n", nu, span, f[span])
			}
		}
		if err := os.WriteFile(path, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	table := readTable(t, path)
	for _, nu := range armPoisson() {
		for _, span := range assets.CouponSpansMM() {
			want := table[fmt.Sprintf("%g,%g", nu, span)]
			about(t, fmt.Sprintf("factor of %g mm at %g", span, nu), rootFactor(nu, span, assets.CouponThicknessMM), want, 1e-3)
		}
	}
	const nu = 0.45
	for span, got := range couponFactors(t, m, nu) {
		about(t, fmt.Sprintf("solved anew, %g mm", span), got, table[fmt.Sprintf("%g,%g", nu, span)], 2e-3)
	}
}

// TestCouponMeasuresAnyCompliance: from 0.5e-6 to 6e-6 1/Pa at least three arms come down
// by 0.1 mm and less than a tenth of their span.
func TestCouponMeasuresAnyCompliance(t *testing.T) {
	c := DefaultCreep()
	for j := 0.5e-6; j <= 6.001e-6; j *= 1.01 {
		c.CompliancePerPa = j
		var tell []float64
		for _, span := range assets.CouponSpansMM() {
			if sag := ArmSagMM(c, span, assets.CouponThicknessMM); sag >= 0.1 && sag <= collapseShare*span {
				tell = append(tell, span)
			}
		}
		if len(tell) < 3 {
			t.Errorf("at %.3g 1/Pa only the arms %v tell", j, tell)
		}
	}
}

// TestCouponFits: the top faces of the arms are where the table was taken.
func TestCouponFits(t *testing.T) {
	m := couponMesh(t)
	corners := map[r3.Vec]bool{}
	for _, v := range m.Vertices {
		corners[v] = true
	}
	for span, at := range couponArms() {
		for _, side := range []float64{-4, 4} {
			if tip := r3.Add(at[1], r3.Vec{Y: side}); !corners[tip] {
				t.Errorf("arm of %g mm: no corner at %v", span, tip)
			}
		}
	}
}

// TestCouponAgainstCalculiX: readings that CalculiX makes of the coupon, with bricks of
// another kind, give the compliance back over the whole range.
func TestCouponAgainstCalculiX(t *testing.T) {
	path := filepath.Join("..", "..", "testdata", "furnace", "coupon_calculix.csv")
	if *calculix != "" {
		makeCouponCalculiX(t, path)
	}
	read := readTable(t, path)
	likely := DefaultCreep()
	for j := 0.5e-6; j <= 6.001e-6; j *= 1.1 {
		var arms []Coupon
		for _, span := range assets.CouponSpansMM() {
			sag := read[fmt.Sprint(span)] * j / likely.CompliancePerPa
			arms = append(arms, Coupon{SpanMM: span, ThicknessMM: assets.CouponThicknessMM, SagMM: sag})
		}
		f, err := Calibrate(arms, Firing{DensityKGM3: likely.DensityKGM3, Poisson: likely.Poisson}, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(f.CompliancePerPa/j-1) > 0.05 || f.Used < 3 {
			t.Errorf("%d readings of %.3g 1/Pa give %.3g", f.Used, j, f.CompliancePerPa)
		}
	}
}

// makeCouponCalculiX has CalculiX solve the coupon with 20-node bricks of 1 mm.
func makeCouponCalculiX(t *testing.T, path string) {
	t.Helper()
	c := checked{mesh: func() *mesh.Mesh { return couponMesh(t) }, pitch: 1}
	s, err := newSystem(c.model(t), DefaultCreep().Poisson, newCrew(context.Background()))
	if err != nil {
		t.Fatal(err)
	}
	q := quadratic{contact: newContact(s, 0), middle: map[[2]int32]int{}}
	name := filepath.Join(*calculix, "coupon")
	deck, probe := q.deck()
	if err := os.WriteFile(name+".inp", []byte(deck), 0o644); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("ccx", name).CombinedOutput(); err != nil {
		t.Fatalf("ccx %s: %v\n%s", name, err, out)
	}
	down := readDownward(t, name+".dat", q.nodes)
	version, _ := exec.Command("ccx", "-v").CombinedOutput()
	var b strings.Builder
	fmt.Fprintf(&b, "# Sag of the arms of the creep coupon, tip minus root on the top face, mm, by CalculiX: %s,\n", strings.TrimSpace(string(version)))
	fmt.Fprintf(&b, "# element C3D20, edge 1 mm; made by: go test ./orient/furnace -run CouponAgainstCalculiX -calculix DIR\n")
	fmt.Fprintf(&b, "# J 1.5e-6 1/Pa, Poisson 0.45, 7000 kg/m3, 9.80665 m/s2\n")
	fmt.Fprintln(&b, "span_mm,sag_mm")
	for _, span := range assets.CouponSpansMM() {
		at := couponArms()[span]
		fmt.Fprintf(&b, "%g,%.6f\n", span, down[probe(at[1])]-down[probe(at[0])])
	}
	if err := os.WriteFile(path, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}

// quadratic makes a deck of 20-node bricks of a system.
type quadratic struct {
	*contact
	middle map[[2]int32]int // number of the node between two corners
	nodes  int
}

// between gives the number of the node in the middle of an edge.
func (q *quadratic) between(a, b int32) int {
	key := [2]int32{min(a, b), max(a, b)}
	if _, ok := q.middle[key]; !ok {
		q.nodes++
		q.middle[key] = q.nodes
	}
	return q.middle[key]
}

// deck writes the deck, and gives the function that finds the index of the corner at a
// point.
func (q *quadratic) deck() (string, func(r3.Vec) int) {
	g := q.mg.levels[0].grid
	q.nodes = len(g.place)
	var bricks, b strings.Builder
	for i := range g.nodes {
		n := q.rightHanded(g.nodes[i])
		fmt.Fprintf(&bricks, "%d", i+1)
		for _, v := range n {
			fmt.Fprintf(&bricks, ", %d", v+1)
		}
		for k, e := range [12][2]int{{0, 1}, {1, 2}, {2, 3}, {3, 0}, {4, 5}, {5, 6}, {6, 7}, {7, 4}, {0, 4}, {1, 5}, {2, 6}, {3, 7}} {
			if k == 7 { // no more than 16 entries a line
				fmt.Fprint(&bricks, ",\n")
			} else {
				fmt.Fprint(&bricks, ", ")
			}
			fmt.Fprintf(&bricks, "%d", q.between(n[e[0]], n[e[1]]))
		}
		fmt.Fprintln(&bricks)
	}
	fmt.Fprintln(&b, "*NODE, NSET=ALL")
	where := make([]r3.Vec, q.nodes)
	for n := range int32(len(g.place)) {
		where[n] = q.position(n)
	}
	for e, n := range q.middle {
		where[n-1] = r3.Scale(0.5, r3.Add(where[e[0]], where[e[1]]))
	}
	for n, p := range where {
		fmt.Fprintf(&b, "%d, %.10g, %.10g, %.10g\n", n+1, p.X, p.Y, p.Z)
	}
	c := DefaultCreep()
	fmt.Fprintf(&b, "*ELEMENT, TYPE=C3D20, ELSET=E\n%s", bricks.String())
	fmt.Fprintf(&b, "*MATERIAL, NAME=M\n*ELASTIC\n%.10g, %.10g\n*DENSITY\n%.10g\n*SOLID SECTION, ELSET=E, MATERIAL=M\n*STEP\n*STATIC\n*BOUNDARY\n",
		1e-6/c.CompliancePerPa, c.Poisson, c.DensityKGM3*1e-12)
	for n, p := range where {
		if p.Z < 1e-9 {
			fmt.Fprintf(&b, "%d, 3, 3\n", n+1)
		}
	}
	q.boundary(&b)
	fmt.Fprintf(&b, "*DLOAD\nE, GRAV, %.10g, 0, 0, -1\n*NODE PRINT, NSET=ALL\nU\n*END STEP\n", gravity*1e3)
	return b.String(), func(p r3.Vec) int {
		best := 0
		for n, q := range where {
			if r3.Norm(r3.Sub(q, p)) < r3.Norm(r3.Sub(where[best], p)) {
				best = n
			}
		}
		return best
	}
}
