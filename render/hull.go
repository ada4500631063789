package render

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// hullOf gives the convex hull of points, counter-clockwise, without points on
// its sides; fewer than three when they lie on a line (Andrew, Inf. Process.
// Lett. 9 (1979), monotone chain).
func hullOf(points []r2.Vec) []r2.Vec {
	p := slices.Clone(points)
	slices.SortFunc(p, func(a, b r2.Vec) int {
		return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y))
	})
	p = slices.Compact(p)
	if len(p) < 3 {
		return p
	}
	chain := func(points []r2.Vec) []r2.Vec {
		var out []r2.Vec
		for _, q := range points {
			for len(out) > 1 && r2.Cross(r2.Sub(out[len(out)-1], out[len(out)-2]), r2.Sub(q, out[len(out)-1])) <= 0 {
				out = out[:len(out)-1]
			}
			out = append(out, q)
		}
		return out[:len(out)-1]
	}
	lower := chain(p)
	slices.Reverse(p)
	return append(lower, chain(p)...)
}
