package mesh

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// drawUnit draws a direction, now and then one along an axis.
func drawUnit(t *rapid.T, label string) r3.Vec {
	c := func(axis string) float64 { return rapid.Float64Range(-1, 1).Draw(t, label+axis) }
	v := r3.Vec{X: c("x"), Y: c("y"), Z: c("z")}
	if rapid.IntRange(0, 4).Draw(t, label+"axis") == 0 {
		v = r3.Vec{X: math.Round(v.X), Y: math.Round(v.Y), Z: math.Round(v.Z)}
	}
	if r3.Norm(v) < 0.1 {
		return r3.Vec{Z: 1}
	}
	return r3.Unit(v)
}

// drawRotation draws any rotation.
func drawRotation(t *rapid.T) Matrix {
	return RotationAbout(drawUnit(t, "axis"), rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "angle"))
}

// isRotation reports whether m keeps lengths and handedness.
func isRotation(m Matrix) bool {
	p := m.Mul(m.Transpose())
	for i := range 3 {
		for j := range 3 {
			want := 0.0
			if i == j {
				want = 1
			}
			if math.Abs(p[i][j]-want) > 1e-12 {
				return false
			}
		}
	}
	return math.Abs(m.Det()-1) < 1e-12
}

func apart(a, b r3.Vec) float64 { return r3.Norm(r3.Sub(a, b)) }

func TestRotationBetween(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from, to := drawUnit(t, "from"), drawUnit(t, "to")
		if rapid.IntRange(0, 2).Draw(t, "opposite") == 0 { // or nearly so
			off := math.Pow(10, -rapid.Float64Range(0, 18).Draw(t, "off"))
			to = r3.Unit(r3.Add(r3.Scale(-1, from), r3.Scale(off, Across(from))))
		}
		m := RotationBetween(from, to)
		if !isRotation(m) {
			t.Fatalf("RotationBetween(%v, %v) = %v is no rotation", from, to, m)
		}
		if got := m.MulVec(from); apart(got, to) > 1e-14 {
			t.Fatalf("RotationBetween(%v, %v) turns to %v", from, to, got)
		}
		// By the smallest angle: the axis across stays where it is.
		if axis := r3.Cross(from, to); r3.Norm(axis) > 1e-3 {
			if got := m.MulVec(axis); apart(got, axis) > 1e-12 {
				t.Fatalf("the axis %v moved to %v", axis, got)
			}
		}
	})
}

func TestRotationAbout(t *testing.T) {
	quarter := math.Pi / 2
	tests := []struct {
		name    string
		axis, v r3.Vec
		angle   float64
		want    r3.Vec
	}{
		{"x to y about z", r3.Vec{Z: 1}, r3.Vec{X: 1}, quarter, r3.Vec{Y: 1}},
		{"y to z about x", r3.Vec{X: 1}, r3.Vec{Y: 1}, quarter, r3.Vec{Z: 1}},
		{"z to x about y", r3.Vec{Y: 1}, r3.Vec{Z: 1}, quarter, r3.Vec{X: 1}},
		{"a third about the space diagonal", r3.Unit(r3.Vec{X: 1, Y: 1, Z: 1}), r3.Vec{X: 1}, 2 * math.Pi / 3, r3.Vec{Y: 1}},
		{"nothing", r3.Vec{Z: 1}, r3.Vec{X: 1, Y: 2, Z: 3}, 0, r3.Vec{X: 1, Y: 2, Z: 3}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			m := RotationAbout(tt.axis, tt.angle)
			if !isRotation(m) {
				t.Fatalf("%v is no rotation", m)
			}
			if got := m.MulVec(tt.v); apart(got, tt.want) > 1e-15 {
				t.Errorf("got %v, want %v", got, tt.want)
			}
		})
	}
}

func TestMatrixProduct(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, v := drawRotation(t), drawRotation(t), drawUnit(t, "v")
		if got, want := a.Mul(b).MulVec(v), a.MulVec(b.MulVec(v)); apart(got, want) > 1e-14 {
			t.Fatalf("(ab)v = %v, a(bv) = %v", got, want)
		}
		if got := a.Transpose().MulVec(a.MulVec(v)); apart(got, v) > 1e-14 {
			t.Fatalf("the transpose of a rotation does not undo it: %v, want %v", got, v)
		}
		d := r3.Vec{X: 2, Y: -3, Z: 0.5}
		if got := Diagonal(d).Mul(a).Det(); math.Abs(got-(-3)) > 1e-12 {
			t.Fatalf("Det = %v, want -3", got)
		}
	})
}

func TestAcross(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawUnit(t, "d")
		if a := Across(d); math.Abs(r3.Norm(a)-1) > 1e-14 || math.Abs(r3.Dot(a, d)) > 1e-14 {
			t.Fatalf("Across(%v) = %v", d, a)
		}
	})
}

func TestRowIsBuildDirection(t *testing.T) {
	up := r3.Unit(r3.Vec{X: 1, Y: 2, Z: 3})
	if got := RotationBetween(up, r3.Vec{Z: 1}).Row(2); apart(got, up) > 1e-14 {
		t.Errorf("last row %v, want %v", got, up)
	}
}
