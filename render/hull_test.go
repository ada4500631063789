package render

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

func TestHullHoldsItsPoints(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) r2.Vec {
			return r2.Vec{X: float64(rapid.IntRange(-9, 9).Draw(t, "x")), Y: float64(rapid.IntRange(-9, 9).Draw(t, "y"))}
		}), 0, 30).Draw(t, "points")
		h := hullOf(points)
		if len(h) < 3 {
			return
		}
		for i, a := range h {
			b := h[(i+1)%len(h)]
			for _, p := range points {
				if r2.Cross(r2.Sub(b, a), r2.Sub(p, a)) < 0 {
					t.Fatalf("%v lies outside the side %v %v", p, a, b)
				}
			}
		}
	})
}

func TestContactHullOfTable(t *testing.T) {
	h := contactHull(table())
	if len(h) != 4 {
		t.Fatalf("hull has %d corners, want the 4 outer ones of the legs: %v", len(h), h)
	}
}
