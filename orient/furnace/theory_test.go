package furnace

import (
	"encoding/csv"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

var renew = flag.Bool("renew", false, "write the convergence table anew")

// unitCreep makes the handbook forms speak the rig's units: rho g J = 1.
func unitCreep(poisson float64) Creep {
	return Creep{CompliancePerPa: 1, LowPerPa: 1, HighPerPa: 1, Poisson: poisson, DensityKGM3: 1e3 / gravity}
}

// beam is a beam of square section along z, bent down y, on a grid with the
// given bricks through its height, held as beam theory has it: the shear at its
// ends is parabolic, and built-in ends stay plane but free to contract. A wall
// that holds every point of the end, as in TestClampedEnds, is a little stiffer.
// The sag is that of the centre line.
func beam(t *testing.T, hold Hold, bricks, slender int, poisson float64) float64 {
	const h = 2.0
	e := h / float64(bricks)
	l := h * float64(slender)
	r := newRig(t, fullBlock([3]int{bricks, bricks, bricks * slender}), [3]float64{e, e, e}, poisson)
	r.weigh(1)
	q := h * h
	if hold == Cantilever {
		endShear(r, h, 0, q*l)
	} else {
		endShear(r, h, 0, q*l/2)
		endShear(r, h, l, q*l/2)
	}
	if hold == SimplySupported {
		r.pin()
	} else {
		r.hold(func(p r3.Vec, axis int) bool {
			if p.Z > 0 && (hold == Cantilever || p.Z < l-e/2) {
				return false
			}
			return axis == 2 || p.Y == 0 && (p.X == 0 || axis == 1 && p.X > h-e/2)
		})
	}
	r.solve()
	line := func(z float64) float64 { return r.at(r3.Vec{X: h / 2, Y: h / 2, Z: z}).Y }
	if hold == Cantilever {
		return line(0) - line(l)
	}
	return (line(0)+line(l))/2 - line(l/2)
}

// endShear puts parabolic shear, upward, on the section at z.
func endShear(r *rig, h, z, shear float64) {
	const cuts, across = 240, 24
	for i := range cuts {
		y := (float64(i) + 0.5) / cuts * h
		s := 2*y/h - 1
		f := r3.Vec{Y: shear * 1.5 * (1 - s*s) / cuts / across}
		for j := range across {
			r.push(r3.Vec{X: (float64(j) + 0.5) / across * h, Y: y, Z: z}, f)
		}
	}
}

// heightOf gives the mean height of the section at z.
func heightOf(r *rig, h, z float64) float64 {
	const cuts = 24
	var sum float64
	for i := range cuts {
		for j := range cuts {
			sum += r.at(r3.Vec{X: (float64(i) + 0.5) / cuts * h, Y: (float64(j) + 0.5) / cuts * h, Z: z}).Y
		}
	}
	return sum / (cuts * cuts)
}

// TestConvergence compares beams with the handbook form with shear, and keeps
// the table in testdata. At four bricks all must be within 3 %, at two within
// 8 %. At Poisson 0.45 the form itself is about 1 % off for the short built-in
// beam, where shear makes a third of the sag: its shear coefficient of 5/6 holds
// at 0 (Cowper, J. Appl. Mech. 33 (1966) 335, has 10 (1+nu)/(12+11 nu)), so half
// a per cent more is granted there.
func TestConvergence(t *testing.T) {
	path := filepath.Join("..", "..", "testdata", "furnace", "convergence.csv")
	kept := readTable(t, path)
	rows := [][]string{strings.Split("hold,span_over_thickness,poisson,bricks_through,sag_over_handbook", ",")}
	for _, hold := range []Hold{Cantilever, SimplySupported, BuiltIn} {
		for _, slender := range []int{5, 10, 20} {
			for _, nu := range []float64{0.3, 0.45} {
				for _, bricks := range []int{1, 2, 3, 4} {
					key := fmt.Sprintf("%v,%d,%g,%d", hold, slender, nu, bricks)
					want := BeamSagMM(hold, unitCreep(nu), float64(2*slender), 2) * BeamShearFactor(hold, nu, float64(2*slender), 2)
					got := beam(t, hold, bricks, slender, nu) / want
					rows = append(rows, append(strings.Split(key, ","), fmt.Sprintf("%.4f", got)))
					tol := map[int]float64{1: 0.28, 2: 0.08, 3: 0.06, 4: 0.03}[bricks]
					if hold == BuiltIn && slender == 5 && nu == 0.45 {
						tol += 0.005
					}
					if math.Abs(got-1) > tol {
						t.Errorf("%s: %.4f of the handbook sag, tolerance %v", key, got, tol)
					}
					if k, ok := kept[key]; !*renew && (!ok || math.Abs(k-got) > 5e-4) {
						t.Errorf("%s: %.4f, the table has %.4f", key, got, k)
					}
				}
			}
		}
	}
	if *renew {
		writeTable(t, path, rows)
	}
}

// readTable reads a table whose last column is the value.
func readTable(t *testing.T, path string) map[string]float64 {
	t.Helper()
	table := map[string]float64{}
	f, err := os.Open(path)
	if os.IsNotExist(err) && *renew {
		return table
	} else if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		last := len(row) - 1
		v, err := strconv.ParseFloat(row[last], 64)
		if err != nil {
			t.Fatal(err)
		}
		table[strings.Join(row[:last], ",")] = v
	}
	return table
}

func writeTable(t *testing.T, path string, rows [][]string) {
	t.Helper()
	var b strings.Builder
	w := csv.NewWriter(&b)
	if err := w.WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestClampedEnds holds every point of the end sections. Nothing can contract or
// warp there, so the sag is a little less than the form says, by a share that
// goes with thickness over span.
func TestClampedEnds(t *testing.T) {
	const h, nu, bricks = 2.0, 0.3, 4
	for _, hold := range []Hold{Cantilever, BuiltIn} {
		for _, slender := range []int{10, 20} {
			e, l := h/bricks, h*float64(slender)
			r := newRig(t, fullBlock([3]int{bricks, bricks, bricks * slender}), [3]float64{e, e, e}, nu)
			r.weigh(1)
			r.hold(func(p r3.Vec, _ int) bool { return p.Z == 0 || hold == BuiltIn && p.Z > l-e/2 })
			r.solve()
			at := l
			if hold == BuiltIn {
				at = l / 2
			}
			want := BeamSagMM(hold, unitCreep(nu), l, h) * BeamShearFactor(hold, nu, l, h)
			if got := -heightOf(r, h, at) / want; got > 1 || got < 1-0.35/float64(slender) {
				t.Errorf("%v, L/h %d: %.4f of the handbook sag", hold, slender, got)
			}
		}
	}
}

// TestPortalFrame: a beam on two legs with built-in feet, all of one section,
// against the frame of centre lines (slope deflection): joint moment
// q L^2/12 x (4/H)/(4/H + 2/L), sag 5 q L^4/(384 E I) - M L^2/(8 E I) + shear.
// Centre lines know nothing of the size of the joints, which takes about one
// thickness over span off the sag, so the frame is a slender one.
func TestPortalFrame(t *testing.T) {
	const h, nu = 2.0, 0.3
	for _, bricks := range []int{2, 3, 4} {
		const span, height = 80.0, 40.0 // between centre lines, to the centre line
		e := h / float64(bricks)
		n := [3]int{bricks, int(height/e) + bricks/2 + bricks%2, int(span/e) + bricks}
		b := fullBlock(n)
		for k := range n[2] {
			for j := range n[1] {
				for i := range n[0] {
					if k >= bricks && k < n[2]-bricks && j < n[1]-bricks {
						b.share[i*b.stride[0]+j*b.stride[1]+k*b.stride[2]] = 0
					}
				}
			}
		}
		r := newRig(t, b, [3]float64{e, e, e}, nu)
		r.weigh(1)
		r.hold(func(p r3.Vec, _ int) bool { return p.Y == 0 })
		r.solve()
		top := float64(n[1])*e - h/2
		legs := top // to the centre line
		q, inertia := h*h, h*h*h*h/12
		moment := q * span * span / 12 * (4 / legs) / (4/legs + 2/span)
		want := 5*q*math.Pow(span, 4)/(384*inertia) - moment*span*span/(8*inertia) + q*span*span/8*1.2*2*(1+nu)/(h*h)
		got := (r.at(r3.Vec{X: h / 2, Y: top, Z: h / 2}).Y - r.at(r3.Vec{X: h / 2, Y: top, Z: h/2 + span/2}).Y) / want
		t.Logf("%d bricks: %.4f of the frame's sag", bricks, got)
		if tol := map[int]float64{2: 0.08, 3: 0.05, 4: 0.03}[bricks]; math.Abs(got-1) > tol {
			t.Errorf("%d bricks: %.4f of the frame's sag, tolerance %v", bricks, got, tol)
		}
	}
}
