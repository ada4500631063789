package mesh

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Coarsen gives a mesh of at most about facets facets with the same large shape,
// by clustering vertices on a grid (Rossignac and Borrel, 1993). A cluster is
// placed where the planes of its facets meet best (quadric error, Garland and
// Heckbert, SIGGRAPH 1997), which keeps flats flat and edges in place. It is
// fast rather than fine: good for a crowd of rough measures, not for pictures.
// A mesh that is small enough already is returned as it is. from gives for each
// facet of the result the facet of m that it was.
//
// Every edge keeps its two sides, so a closed mesh stays closed in the sense that
// matters to Columns: as many crossings up as down on every line. The error is that of ctx.
func (m *Mesh) Coarsen(ctx context.Context, facets int) (coarse *Mesh, from []int32, err error) {
	if len(m.Facets) <= facets {
		from = make([]int32, len(m.Facets))
		for i := range from {
			from[i] = int32(i)
		}
		return m, from, nil
	}
	// A closed surface has about half as many vertices as facets, and about
	// as many cells of side d on it as area / d^2; where the vertices are
	// crowded in a few places, far fewer cells are used, and finer ones fit.
	side := math.Sqrt(m.Area() / (float64(facets) / 2))
	for range coarsenTries {
		try, was, err := m.cluster(ctx, side)
		if err != nil {
			return nil, nil, err
		}
		got := float64(len(try.Facets))
		if len(try.Facets) <= facets && (coarse == nil || len(try.Facets) > len(coarse.Facets)) {
			coarse, from = try, was
		}
		if got <= float64(facets) && got >= 0.6*float64(facets) {
			break
		}
		side *= min(max(math.Sqrt(got/(0.85*float64(facets))), 0.4), 2)
	}
	for coarse == nil || len(coarse.Facets) > facets {
		side *= 1.3
		if coarse, from, err = m.cluster(ctx, side); err != nil {
			return nil, nil, err
		}
	}
	return coarse, from, nil
}

// coarsenTries is how often the cell is sized anew to come near the number of
// facets asked for.
const coarsenTries = 4

// quadric sums the squared distances to planes around one cluster.
type quadric struct {
	a    Matrix
	b    r3.Vec
	mean r3.Vec
	n    float64
}

// cluster merges all vertices that share a grid cell of the given side.
func (m *Mesh) cluster(ctx context.Context, side float64) (out *Mesh, from []int32, err error) {
	box, wait := m.Bounds(), pause{ctx: ctx}
	cellOf := make([]int32, len(m.Vertices))
	index := make(map[[3]int32]int32)
	var cells []quadric
	for i, v := range m.Vertices {
		if wait.over() {
			return nil, nil, ctx.Err()
		}
		d := r3.Scale(1/side, r3.Sub(v, box.Min))
		key := [3]int32{int32(math.Floor(d.X)), int32(math.Floor(d.Y)), int32(math.Floor(d.Z))}
		k, ok := index[key]
		if !ok {
			k = int32(len(cells))
			index[key] = k
			cells = append(cells, quadric{})
		}
		cellOf[i] = k
		cells[k].mean = r3.Add(cells[k].mean, v)
		cells[k].n++
	}
	for i := range cells {
		cells[i].mean = r3.Scale(1/cells[i].n, cells[i].mean)
	}
	if !m.addPlanes(&wait, cells, cellOf) {
		return nil, nil, ctx.Err()
	}
	out = &Mesh{Vertices: make([]r3.Vec, len(cells))}
	for i := range cells {
		out.Vertices[i] = cells[i].place(side)
	}
	for i, f := range m.Facets {
		g := [3]int32{cellOf[f[0]], cellOf[f[1]], cellOf[f[2]]}
		if g[0] != g[1] && g[1] != g[2] && g[2] != g[0] {
			out.Facets = append(out.Facets, g)
			from = append(from, int32(i))
		}
	}
	return out, from, nil
}

// addPlanes gives each cluster the planes of the facets that touch it, about
// the cluster's mean; false where it was stopped.
func (m *Mesh) addPlanes(wait *pause, cells []quadric, cellOf []int32) bool {
	for i, f := range m.Facets {
		if wait.over() {
			return false
		}
		n := m.AreaVector(i)
		area := r3.Norm(n)
		if area == 0 {
			continue
		}
		n = r3.Scale(1/area, n)
		for _, v := range f {
			q := &cells[cellOf[v]]
			addOuter(&q.a, area, n)
			d := r3.Dot(n, r3.Sub(m.Vertices[v], q.mean))
			q.b = r3.Add(q.b, r3.Scale(area*d, n))
		}
	}
	return true
}

// place gives the point nearest to all planes; directions that the planes leave
// open keep the mean. It never leaves the neighbourhood of the cell.
func (q *quadric) place(side float64) r3.Vec {
	trace := q.a[0][0] + q.a[1][1] + q.a[2][2]
	if trace == 0 {
		return q.mean
	}
	a := q.a
	for i := range 3 { // a pull towards the mean decides what the planes leave open
		a[i][i] += 1e-3 * trace
	}
	shift := a.solve(q.b)
	if length := r3.Norm(shift); length > side {
		shift = r3.Scale(side/length, shift)
	}
	return r3.Add(q.mean, shift)
}

// solve gives x with m x = b by Cramer's rule; m must be well conditioned.
func (m Matrix) solve(b r3.Vec) r3.Vec {
	t := m.Transpose()
	c0, c1, c2 := t.Row(0), t.Row(1), t.Row(2)
	d := r3.Dot(c0, r3.Cross(c1, c2))
	return r3.Vec{
		X: r3.Dot(b, r3.Cross(c1, c2)) / d,
		Y: r3.Dot(c0, r3.Cross(b, c2)) / d,
		Z: r3.Dot(c0, r3.Cross(c1, b)) / d,
	}
}
