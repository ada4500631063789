package mesh

import (
	"context"
	"math"
	"runtime"
	"sync/atomic"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh/parallel"
)

// Voxels says how much of each brick of a lattice is solid.
type Voxels struct {
	Lattice
	// Fill is the solid share of each brick, 0 to 1, at Index.
	Fill []float32
	// Cover is the share of each brick's plan, seen along z, that has solid in
	// the brick: Fill/Cover is how high it stands there on the mean.
	Cover []float32
	// OpenShare is the share of lines through the mesh that went in and did not
	// come out again, or the other way about: 0 for a closed mesh.
	OpenShare float64
}

// Volume gives the solid volume, mm3.
func (v *Voxels) Volume() float64 {
	var sum float64
	for _, f := range v.Fill {
		sum += float64(f)
	}
	return sum * v.BrickVolume()
}

// Voxels measures the solid share of every brick of l. Each column of bricks
// along z is pierced by rays x rays lines at even spacing, and along a line the
// solid stretches are exact, so faces across z are exact and others good to
// about 1/rays of a brick. Solid is where the surface winds around a point at
// least once: overlapping bodies count once, closed cavities not at all, and a
// mesh turned inside out as a whole is read as if it were not.
//
// Lines that do not balance (an open mesh) are left out of their column's mean,
// and counted in OpenShare. The answer does not depend on the number of cores.
func (m *Mesh) Voxels(ctx context.Context, l Lattice, rays int) (*Voxels, error) {
	if err := l.check(); err != nil {
		return nil, err
	}
	p := piercing{
		mesh: m, lattice: l, rays: max(1, rays), inverted: m.insideOut(),
		fill: make([]float32, l.Bricks()), cover: make([]float32, l.Bricks()),
	}
	p.sortIntoRows()
	if err := p.run(ctx); err != nil {
		return nil, err
	}
	v := &Voxels{Lattice: l, Fill: p.fill, Cover: p.cover}
	if hit := p.hit.Load(); hit > 0 {
		v.OpenShare = float64(p.open.Load()) / float64(hit)
	}
	return v, nil
}

// insideOut reports whether the facets face inward on the whole, in one quick
// pass: only the sign of the volume is wanted.
func (m *Mesh) insideOut() bool {
	var six float64
	var o r3.Vec
	for i := range m.Facets {
		a, b, c := m.Corners(i)
		if i == 0 {
			o = a
		}
		a, b, c = r3.Sub(a, o), r3.Sub(b, o), r3.Sub(c, o)
		six += r3.Dot(a, r3.Cross(b, c))
	}
	return six < 0
}

// piercing is one run of Voxels: rows of columns are worked on independently.
type piercing struct {
	mesh      *Mesh
	lattice   Lattice
	rays      int
	inverted  bool
	fill      []float32
	cover     []float32
	rowStart  []int32 // facets over row j are rowFacets[rowStart[j]:rowStart[j+1]]
	rowFacets []int32
	hit, open atomic.Int64
}

// sortIntoRows lists for every row of columns the facets above it.
func (p *piercing) sortIntoRows() {
	n := p.lattice.N[1]
	start := make([]int32, n+1)
	spans := make([][2]int32, len(p.mesh.Facets))
	for i := range p.mesh.Facets {
		a, b, c := p.mesh.Corners(i)
		lo := p.row(min(a.Y, b.Y, c.Y))
		hi := min(p.row(max(a.Y, b.Y, c.Y))+1, n)
		spans[i] = [2]int32{int32(lo), int32(hi)}
		for j := lo; j < hi; j++ {
			start[j+1]++
		}
	}
	for j := range n {
		start[j+1] += start[j]
	}
	p.rowStart, p.rowFacets = start, make([]int32, start[n])
	next := append([]int32(nil), start[:n]...)
	for i, s := range spans {
		for j := s[0]; j < s[1]; j++ {
			p.rowFacets[next[j]] = int32(i)
			next[j]++
		}
	}
}

// row gives the row of bricks that holds y, within 0..n (n: beyond the last).
func (p *piercing) row(y float64) int {
	k := math.Floor((y - p.lattice.Origin.Y) / p.lattice.Pitch.Y)
	return int(min(max(k, 0), float64(p.lattice.N[1])))
}

// run shares the rows out among the cores.
func (p *piercing) run(ctx context.Context) error {
	var next atomic.Int64
	var wg parallel.Group
	for range min(runtime.GOMAXPROCS(0), p.lattice.N[1]) {
		wg.Go(func() {
			var lines Columns
			for ctx.Err() == nil {
				j := int(next.Add(1)) - 1
				if j >= p.lattice.N[1] {
					return
				}
				p.pierceRow(&lines, j)
			}
		})
	}
	wg.Wait()
	return ctx.Err()
}

// pierceRow fills the bricks of row j.
func (p *piercing) pierceRow(lines *Columns, j int) {
	l, rays := p.lattice, p.rays
	lines.NX, lines.NY = l.N[0]*rays, rays
	lines.DX, lines.DY = l.Pitch.X/float64(rays), l.Pitch.Y/float64(rays)
	lines.X0, lines.Y0 = l.Origin.X, l.Origin.Y+float64(j)*l.Pitch.Y
	lines.unsorted = lines.unsorted[:0]
	for _, i := range p.rowFacets[p.rowStart[j]:p.rowStart[j+1]] {
		a, b, c := p.mesh.Corners(int(i))
		lines.cast(i, a, b, c)
	}
	lines.begin()
	lines.settle(0, lines.NY)
	var hit, open int64
	for i := range l.N[0] {
		h, o := p.fillColumn(lines, i, j)
		hit, open = hit+h, open+o
	}
	p.hit.Add(hit)
	p.open.Add(open)
}

// fillColumn adds up the lines of column (i, j) and says how many met the mesh
// and how many of these did not balance.
func (p *piercing) fillColumn(lines *Columns, i, j int) (hit, open int64) {
	all := int64(p.rays * p.rays)
	for n := range int(all) {
		line := lines.At(i*p.rays+n%p.rays, n/p.rays)
		if len(line) > 0 {
			hit++
			if !balanced(line) {
				open++
			}
		}
	}
	trusted := all - open
	if open == hit { // nothing better: take what closes of them
		trusted = all
	}
	for n := range int(all) {
		line := lines.At(i*p.rays+n%p.rays, n/p.rays)
		if trusted == all || balanced(line) {
			p.fillLine(line, i, j, 1/float64(trusted))
		}
	}
	return hit, open
}

// balanced reports whether a line leaves the mesh as often as it enters.
func balanced(line []Crossing) bool {
	depth := 0
	for _, c := range line {
		if c.Up {
			depth--
		} else {
			depth++
		}
	}
	return depth == 0
}

// fillLine adds the solid stretches of one line to the bricks of its column.
func (p *piercing) fillLine(line []Crossing, i, j int, weight float64) {
	depth, low := 0, 0.0
	for _, c := range line {
		if c.Up == p.inverted {
			if depth == 0 {
				low = float64(c.Z)
			}
			depth++
			continue
		}
		depth--
		if depth == 0 {
			p.addStretch(i, j, low, float64(c.Z), weight)
		}
	}
}

// addStretch adds the solid from z = low to high.
func (p *piercing) addStretch(i, j int, low, high, weight float64) {
	l := p.lattice
	u := max((low-l.Origin.Z)/l.Pitch.Z, 0)
	v := min((high-l.Origin.Z)/l.Pitch.Z, float64(l.N[2]))
	for k := int(u); float64(k) < v; k++ {
		part := min(v, float64(k+1)) - max(u, float64(k))
		at := l.Index(i, j, k)
		p.fill[at] = float32(min(float64(p.fill[at])+part*weight, 1))
		p.cover[at] = float32(min(float64(p.cover[at])+weight, 1))
	}
}
