package mesh

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"gonum.org/v1/gonum/spatial/r3"
)

// Lattice is a block of equal bricks with faces along the axes.
type Lattice struct {
	// Origin is the low corner of brick (0, 0, 0), mm.
	Origin r3.Vec
	// Pitch is the brick's edge along each axis, mm.
	Pitch r3.Vec
	// N counts the bricks along x, y and z.
	N [3]int
}

// LatticeOver gives the lattice that fills box with whole bricks of about the
// given pitch: along each axis the pitch is drawn in, never out, so that the
// box ends where a brick ends. A side without length gets one brick.
func LatticeOver(box Box, pitch float64) Lattice {
	size := box.Size()
	side := func(length float64) (int, float64) {
		n := int(max(1, math.Ceil(length/pitch-1e-6)))
		if length <= 0 {
			return 1, pitch
		}
		return n, length / float64(n)
	}
	l := Lattice{Origin: box.Min}
	l.N[0], l.Pitch.X = side(size.X)
	l.N[1], l.Pitch.Y = side(size.Y)
	l.N[2], l.Pitch.Z = side(size.Z)
	return l
}

// Bricks gives the number of bricks.
func (l Lattice) Bricks() int { return l.N[0] * l.N[1] * l.N[2] }

// BrickVolume gives the volume of one brick, mm3.
func (l Lattice) BrickVolume() float64 { return l.Pitch.X * l.Pitch.Y * l.Pitch.Z }

// Index gives the place of brick (i, j, k) in slices over the lattice: x runs
// fastest, then y, then z.
func (l Lattice) Index(i, j, k int) int { return (k*l.N[1]+j)*l.N[0] + i }

// Center gives the middle of brick (i, j, k), mm.
func (l Lattice) Center(i, j, k int) r3.Vec {
	return r3.Vec{
		X: l.Origin.X + (float64(i)+0.5)*l.Pitch.X,
		Y: l.Origin.Y + (float64(j)+0.5)*l.Pitch.Y,
		Z: l.Origin.Z + (float64(k)+0.5)*l.Pitch.Z,
	}
}

// Voxels says how much of each brick of a lattice is solid.
type Voxels struct {
	Lattice
	// Fill is the solid share of each brick, 0 to 1, at Index.
	Fill []float32
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

// MostBricks is the largest lattice that Voxels takes on.
const MostBricks = 1 << 26

// ErrTooFine is returned for a lattice of more than MostBricks bricks.
var ErrTooFine = errors.New("mesh: the grid is too fine for this part")

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
		mesh: m, lattice: l, rays: max(1, rays), inverted: m.Volume() < 0,
		fill: make([]float32, l.Bricks()),
	}
	p.sortIntoRows()
	if err := p.run(ctx); err != nil {
		return nil, err
	}
	v := &Voxels{Lattice: l, Fill: p.fill}
	if hit := p.hit.Load(); hit > 0 {
		v.OpenShare = float64(p.open.Load()) / float64(hit)
	}
	return v, nil
}

// check reports a lattice that cannot be filled.
func (l Lattice) check() error {
	bricks := 1.0
	for _, n := range l.N {
		if n < 1 {
			return fmt.Errorf("mesh: lattice of %v bricks has none", l.N)
		}
		bricks *= float64(n)
	}
	if !(l.Pitch.X > 0 && l.Pitch.Y > 0 && l.Pitch.Z > 0) || math.IsInf(l.BrickVolume(), 0) {
		return fmt.Errorf("mesh: lattice pitch %v must be positive", l.Pitch)
	}
	if bricks > MostBricks {
		return fmt.Errorf("%.3g bricks, at most %d: %w", bricks, MostBricks, ErrTooFine)
	}
	return nil
}

// piercing is one run of Voxels: rows of columns are worked on independently.
type piercing struct {
	mesh      *Mesh
	lattice   Lattice
	rays      int
	inverted  bool
	fill      []float32
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
	var wg sync.WaitGroup
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
	lines.sort()
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
	}
}
