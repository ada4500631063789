package mesh

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// arrangement is a closed surface cut along all the lines where it meets itself
// (Zhou, Grinspun, Zorin and Jacobson, "Mesh arrangements for solid geometry", ACM
// Trans. Graph. 35 (2016)), so that each piece has one number of layers of solid
// in front of it and one behind it.
type arrangement struct {
	ctx   context.Context
	m     *Mesh
	steps *Mesh // the same on the grid, in steps
	grid  snapGrid
	table *pointTable
	brief pointTable // for one pair: few pairs leave anything behind
	cuts  map[int32]*cutFacet
	done  map[[2]int32]bool // pairs that have been looked at closely
	// vertex gives the vertex of m at a corner of the table, alias the one that
	// stands for another so near that the grid does not tell them apart.
	vertex map[int32]int32
	alias  map[int32]int32
	close  int // pairs that were looked at closely
	most   int // meetings
}

// cutFacet is a facet that others cross, touch or overlap.
type cutFacet struct {
	gridFacet
	points   []int32
	segments [][2]int32
	coplanar []int32 // facets that overlap it in its plane
}

// piece is a triangle of a facet that was cut, how many layers of the surface lie
// in it, and the facets of one plane that these may be. Its corners are places of
// the table.
type piece struct {
	places [3]int32
	layers int32
	group  []int32
}

// arrange cuts m.
func arrange(ctx context.Context, m *Mesh) (*cutMesh, error) {
	a := &arrangement{
		ctx: ctx, m: m, grid: newSnapGrid(m.Bounds()), table: newPointTable(),
		cuts: map[int32]*cutFacet{}, done: map[[2]int32]bool{}, vertex: map[int32]int32{}, alias: map[int32]int32{},
		most: max(maxMeetings, len(m.Facets)/facetsPerMeeting),
	}
	a.steps = &Mesh{Vertices: make([]r3.Vec, len(m.Vertices)), Facets: m.Facets}
	for i, v := range m.Vertices {
		a.steps.Vertices[i] = a.grid.snap(v).vec()
	}
	if err := eachPair(ctx, a.steps, a.meet); err != nil {
		return nil, err
	}
	return a.cutAll()
}

// corner gives a vertex on the grid.
func (a *arrangement) corner(v int32) gridPoint {
	p := a.steps.Vertices[v]
	return gridPoint{int64(p.X), int64(p.Y), int64(p.Z)}
}

// facet gives a facet on the grid.
func (a *arrangement) facet(i int32) gridFacet {
	f := a.m.Facets[i]
	return newGridFacet(a.corner(f[0]), a.corner(f[1]), a.corner(f[2]))
}

// meet finds what two facets have in common.
func (a *arrangement) meet(i, j int32) error {
	shared := inCommon(a.m.Facets[i], a.m.Facets[j])
	if a.apart(i, j, shared) || a.apart(j, i, shared) {
		return nil
	}
	pair := pairOf(i, j)
	if a.done[pair] {
		return nil
	}
	if a.close++; a.close > max(maxClose, closePerFacet*len(a.m.Facets)) {
		return errCrowded
	}
	f, g := a.facet(i), a.facet(j)
	if f.flat() || g.flat() {
		return nil
	}
	if shared == 2 {
		if _, sign := f.sides(&g); sign != [3]int{} {
			return nil // they share an edge and nothing else
		}
	}
	a.brief.clear()
	m := a.brief.meet(&f, &g)
	if !m.coplanar && f.own(m) && g.own(m) {
		return nil
	}
	f.entered, g.entered = false, false
	m = a.table.meet(&f, &g)
	switch {
	case m.coplanar && overlapFlat(&f, &g):
		a.cut(i, &f).coplanar = append(a.cut(i, &f).coplanar, j)
		a.cut(j, &g).coplanar = append(a.cut(j, &g).coplanar, i)
	case m.coplanar:
		if first, second := a.touch(i, j, &f, &g), a.touch(j, i, &g, &f); !first && !second {
			return nil
		}
	default:
		a.know(i, &f)
		a.know(j, &g)
		a.add(i, &f, m)
		a.add(j, &g, m)
	}
	if a.done[pair] = true; len(a.done) > a.most {
		return errCrowded
	}
	return nil
}

// apart reports what rounded numbers are sure of, as they are for most pairs: that of
// two facets with so many corners in common the other corners of the second lie on one
// side of the plane of the first, or, where two are shared, off it. Then they have
// nothing in common but those.
func (a *arrangement) apart(i, j int32, shared int) bool {
	f := a.steps.Facets[i]
	p := a.steps.Vertices[f[0]]
	u, v := r3.Sub(a.steps.Vertices[f[1]], p), r3.Sub(a.steps.Vertices[f[2]], p)
	n := r3.Cross(u, v)
	// Differences of whole numbers of 30 bits are exact; what follows rounds a dozen
	// times, by 2^-53 of no more than six times the product of the lengths.
	doubt := 0x1p-46 * longest(u) * longest(v)
	up, down := false, false
	for _, c := range a.steps.Facets[j] {
		if c == f[0] || c == f[1] || c == f[2] {
			continue
		}
		d := r3.Sub(a.steps.Vertices[c], p)
		switch s, off := r3.Dot(n, d), doubt*longest(d); {
		case s > off:
			up = true
		case s < -off:
			down = true
		default:
			return false
		}
	}
	return up != down
}

// longest is the largest coordinate.
func longest(v r3.Vec) float64 { return max(math.Abs(v.X), math.Abs(v.Y), math.Abs(v.Z)) }

// cut gives the record of a facet that is to be cut.
func (a *arrangement) cut(i int32, f *gridFacet) *cutFacet {
	if c, ok := a.cuts[i]; ok {
		return c
	}
	a.know(i, f)
	c := &cutFacet{gridFacet: *f}
	a.cuts[i] = c
	return c
}

// know enters the corners of a facet that others may be cut at.
func (a *arrangement) know(i int32, f *gridFacet) {
	a.table.enter(f)
	for k, v := range a.m.Facets[i] {
		if w, ok := a.vertex[f.id[k]]; !ok {
			a.vertex[f.id[k]] = v
		} else if w != v {
			a.alias[v] = w
		}
	}
}

// touch adds to a facet the corners of another in its plane that lie on its rim,
// and reports whether there are any.
func (a *arrangement) touch(i, j int32, f, g *gridFacet) bool {
	on := touching(f, g)
	for _, k := range on {
		c, d := a.cut(i, f), a.cut(j, g)
		c.points = append(c.points, d.id[k])
	}
	return len(on) > 0
}

// own reports whether what a facet has in common with another is nothing, or a
// corner or an edge of it.
func (f *gridFacet) own(m meeting) bool {
	for _, p := range m.at[:m.n] {
		if p != f.id[0] && p != f.id[1] && p != f.id[2] {
			return false
		}
	}
	return true
}

// add adds to a facet what it has in common with another.
func (a *arrangement) add(i int32, f *gridFacet, m meeting) {
	switch {
	case f.own(m):
	case m.n == 1:
		c := a.cut(i, f)
		c.points = append(c.points, m.at[0])
	default:
		c := a.cut(i, f)
		c.segments = append(c.segments, m.at)
	}
}

// cutAll cuts the facets that are to be cut, plane by plane.
func (a *arrangement) cutAll() (*cutMesh, error) {
	c := &cutMesh{arrangement: a, mesh: &Mesh{Vertices: slices.Clone(a.m.Vertices)}}
	for _, group := range a.groups() {
		if err := a.ctx.Err(); err != nil {
			return nil, err
		}
		list, err := a.cutGroup(group)
		if err != nil {
			return nil, err
		}
		c.pieces = append(c.pieces, list...)
	}
	left := len(a.m.Facets) - len(a.cuts)
	c.whole, c.mesh.Facets = make([]int32, 0, left), make([][3]int32, 0, left+len(c.pieces))
	for i, f := range a.m.Facets {
		if f = joined(f, a.alias); a.cuts[int32(i)] == nil && !collapsed(f) {
			c.whole, c.mesh.Facets = append(c.whole, int32(i)), append(c.mesh.Facets, f)
		}
	}
	c.pieces = slices.DeleteFunc(c.pieces, func(p piece) bool { return collapsed(a.cornersOf(&p, c.mesh)) })
	for i := range c.pieces {
		c.mesh.Facets = append(c.mesh.Facets, a.cornersOf(&c.pieces[i], c.mesh))
	}
	return c, nil
}

// cornersOf gives the vertices of a piece in out.
func (a *arrangement) cornersOf(p *piece, out *Mesh) (f [3]int32) {
	for k, n := range p.places {
		f[k] = a.placeOf(n, out)
	}
	return joined(f, a.alias)
}

// placeOf gives the vertex of out at a place of the table, made where there is none.
func (a *arrangement) placeOf(n int32, out *Mesh) int32 {
	v, ok := a.vertex[n]
	if !ok {
		v = int32(len(out.Vertices))
		a.vertex[n] = v
		out.Vertices = append(out.Vertices, a.grid.place(a.table.points[n].f))
	}
	return v
}

// groups gathers the facets that overlap in one plane, each group and the list of
// them in ascending order.
func (a *arrangement) groups() [][]int32 {
	var order []int32
	for i := range a.cuts {
		order = append(order, i)
	}
	slices.Sort(order)
	seen := map[int32]bool{}
	var out [][]int32
	for _, i := range order {
		if seen[i] {
			continue
		}
		seen[i] = true
		group := []int32{i}
		for k := 0; k < len(group); k++ {
			for _, j := range a.cuts[group[k]].coplanar {
				if !seen[j] {
					seen[j] = true
					group = append(group, j)
				}
			}
		}
		slices.Sort(group)
		out = append(out, group)
	}
	return out
}

// cutGroup cuts facets of one plane together.
func (a *arrangement) cutGroup(group []int32) ([]piece, error) {
	first := a.cuts[group[0]]
	plane := newFlatPlane(a.table, first.at[0], first.at[1], first.at[2])
	d := drawing{plane: plane}
	outlines := make([][3]int32, len(group)) // turning left
	senses := make([]int, len(group))
	for k, i := range group {
		c := a.cuts[i]
		outlines[k], senses[k] = c.id, plane.turn(c.id[0], c.id[1], c.id[2])
		if senses[k] < 0 {
			outlines[k] = [3]int32{c.id[0], c.id[2], c.id[1]}
		}
		d.places = append(append(d.places, c.id[:]...), c.points...)
		d.segments = append(append(d.segments, [2]int32{c.id[0], c.id[1]}, [2]int32{c.id[1], c.id[2]}, [2]int32{c.id[2], c.id[0]}), c.segments...)
	}
	triangles, err := d.triangulate(a.ctx)
	if err != nil {
		return nil, err
	}
	var out []piece
	for _, t := range triangles {
		layers := int32(0)
		for k, o := range outlines {
			if plane.holds(o, t[0]) && plane.holds(o, t[1]) && plane.holds(o, t[2]) {
				layers += int32(senses[k])
			}
		}
		if layers < 0 {
			t[1], t[2] = t[2], t[1]
			layers = -layers
		}
		if layers > 0 {
			out = append(out, piece{places: t, layers: layers, group: group})
		}
	}
	return out, nil
}
