package load

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Clearance gives how far two outlines are apart, mm, exactly, but no more than most; 0
// where they overlap or touch.
func Clearance(a, b Outline, most float64) float64 {
	near := most
	for _, p := range pairs(a.Edges, b.Edges, most) {
		if near = min(near, edgeDistance(p[0], p[1])); near == 0 {
			return 0
		}
	}
	if within(a, b) || within(b, a) {
		return 0
	}
	return near
}

// within reports whether something of b lies within a; their edges do not cross.
func within(a, b Outline) bool {
	box := a.Bounds()
	for i := range b.Edges {
		p := b.Edges[i].A
		if p.X >= box.Min.X && p.X <= box.Max.X && p.Y >= box.Min.Y && p.Y <= box.Max.Y && a.Covers(p) {
			return true
		}
	}
	return false
}

// pairs gives the edges of two outlines whose boxes are no farther apart than reach.
func pairs(a, b []Edge, reach float64) [][2]*Edge {
	nearA, nearB := near(a, Outline{b}.Bounds(), reach), near(b, Outline{a}.Bounds(), reach)
	var out [][2]*Edge
	for _, p := range nearA {
		box := boxOf(p)
		for _, q := range nearB {
			if apart(box, boxOf(q)) <= reach {
				out = append(out, [2]*Edge{p, q})
			}
		}
	}
	return out
}

// pairsAlong gives the edges of two outlines whose boxes come within gap when the first is
// moved along a unit vector by most.
func pairsAlong(a, b []Edge, way r2.Vec, gap, most float64) [][2]*Edge {
	move := r2.Scale(most, way)
	swept := func(box Box) Box {
		return Box{
			r2.Vec{X: box.Min.X + min(move.X, 0), Y: box.Min.Y + min(move.Y, 0)},
			r2.Vec{X: box.Max.X + max(move.X, 0), Y: box.Max.Y + max(move.Y, 0)},
		}
	}
	nearB := near(b, swept(Outline{a}.Bounds()), gap)
	var out [][2]*Edge
	for i := range a {
		box := swept(boxOf(&a[i]))
		for _, q := range nearB {
			if apart(box, boxOf(q)) <= gap {
				out = append(out, [2]*Edge{&a[i], q})
			}
		}
	}
	return out
}

func near(edges []Edge, box Box, reach float64) []*Edge {
	var out []*Edge
	for i := range edges {
		if apart(boxOf(&edges[i]), box) <= reach {
			out = append(out, &edges[i])
		}
	}
	return out
}

func boxOf(e *Edge) Box {
	return Box{
		r2.Vec{X: min(e.A.X, e.B.X), Y: min(e.A.Y, e.B.Y)},
		r2.Vec{X: max(e.A.X, e.B.X), Y: max(e.A.Y, e.B.Y)},
	}
}

// apart gives how far two boxes are apart along the axis on which that is more; below 0
// where they overlap.
func apart(a, b Box) float64 {
	return max(a.Min.X-b.Max.X, b.Min.X-a.Max.X, a.Min.Y-b.Max.Y, b.Min.Y-a.Max.Y)
}

// edgeDistance gives the distance of two edges, 0 where they cross.
func edgeDistance(a, b *Edge) float64 {
	da, db := r2.Sub(a.B, a.A), r2.Sub(b.B, b.A)
	s1, s2 := r2.Cross(da, r2.Sub(b.A, a.A)), r2.Cross(da, r2.Sub(b.B, a.A))
	t1, t2 := r2.Cross(db, r2.Sub(a.A, b.A)), r2.Cross(db, r2.Sub(a.B, b.A))
	if s1*s2 < 0 && t1*t2 < 0 {
		return 0
	}
	return min(pointDistance(a.A, b), pointDistance(a.B, b), pointDistance(b.A, a), pointDistance(b.B, a))
}

func pointDistance(p r2.Vec, e *Edge) float64 {
	dx, dy := e.B.X-e.A.X, e.B.Y-e.A.Y
	px, py := p.X-e.A.X, p.Y-e.A.Y
	s := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		s = min(max((px*dx+py*dy)/l, 0), 1)
	}
	return math.Hypot(px-s*dx, py-s*dy)
}

// reachAlong gives how far an outline can be moved along a unit vector, at most most,
// before it comes nearer than gap to another, from where it does not; what it only
// passes by, or leaves, does not stop it.
func reachAlong(a, b []Edge, way r2.Vec, gap, most float64) float64 {
	back := r2.Scale(-1, way)
	free := most
	for _, p := range pairsAlong(a, b, way, gap, most) {
		free = min(free,
			pointReach(p[0].A, p[1], way, gap), pointReach(p[0].B, p[1], way, gap),
			pointReach(p[1].A, p[0], back, gap), pointReach(p[1].B, p[0], back, gap))
		if free <= 0 {
			return 0
		}
	}
	return free
}

// pointReach gives how far a point can be moved before it is within gap of an edge,
// infinity where it never is.
func pointReach(p r2.Vec, e *Edge, way r2.Vec, gap float64) float64 {
	const touching = 1e-9
	free := math.Inf(1)
	take := func(s float64) {
		if s >= -1e-6 { // what lies behind it has left
			free = min(free, max(s, 0))
		}
	}
	d := r2.Sub(e.B, e.A)
	if long := r2.Norm(d); long > 0 {
		n := r2.Scale(1/long, r2.Vec{X: -d.Y, Y: d.X})
		off := r2.Dot(n, r2.Sub(p, e.A))
		if off < 0 {
			n, off = r2.Scale(-1, n), -off
		}
		if speed := -r2.Dot(n, way); speed > touching {
			s := (off - gap) / speed
			t := r2.Dot(d, r2.Sub(r2.Add(p, r2.Scale(s, way)), e.A)) / (long * long)
			if t >= -touching && t <= 1+touching {
				take(s)
			}
		}
	}
	for _, c := range [2]r2.Vec{e.A, e.B} {
		q := r2.Sub(p, c)
		half := r2.Dot(q, way)
		inside := half*half - r2.Dot(q, q) + gap*gap
		if half < 0 && inside > touching {
			take(-half - math.Sqrt(inside))
		}
	}
	return free
}
