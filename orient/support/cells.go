package support

import (
	"context"
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// job is a set of faces under which a body is to be built.
type job struct {
	facets []int32
	// gapZ and gapXY are kept from the part above and below, and to its walls, mm.
	gapZ, gapXY float64
	// solid fills the whole space; otherwise it is an egg crate of walls.
	solid bool
	// grounded leaves out what would not stand on the plate.
	grounded bool
}

// cell is an upright square column of a body, as wide as its walls.
type cell struct {
	i, j int
	job  int32
	// bottom and top are the heights at its corners, counter-clockwise from the
	// low corner in x and y.
	bottom, top [4]float64
	// chosen says that the pattern has a wall here.
	chosen bool
}

// height is the mean height of a cell.
func (c *cell) height() float64 {
	var sum float64
	for k := range 4 {
		sum += c.top[k] - c.bottom[k]
	}
	return sum / 4
}

// crate is the lattice of cells in which bodies are built.
type crate struct {
	site  *Site
	jobs  []job
	lines mesh.Columns // one line through the middle of every cell
	cells []cell       // by row, then column, then height
	// first lists the cells by place: those of (i, j) are
	// cells[first[j*NX+i]:first[j*NX+i+1]].
	first []int32
	least float64 // the least height of a body, mm
}

// mostCells bounds the lattice: a plate of 400 mm in squares of 0.25 mm; mostColumns the
// cells in it, several over one another: more are a heap of bodies (judgement).
const (
	mostCells   = 1 << 22
	mostColumns = 1 << 20
)

// mostFits bounds the facets that all cells together are held against: where long facets
// meet in a point by the thousand each cell there meets them all. Parts of a million
// facets take some five million (judgement: three seconds).
const mostFits = 15_000_000

// ErrTooMany is returned where the support would take too long to be built.
var ErrTooMany = errors.New("support: it has too many columns, or meets too many facets, to be built in reasonable time")

// newCrate divides the plate under the part into squares of about wall mm and
// finds the cells of every job. Each cell on its own keeps clear of the part.
func (s *Site) newCrate(ctx context.Context, jobs []job, wall, least float64) (*crate, error) {
	return s.crateWithin(ctx, jobs, wall, least, mostFits)
}

// crateWithin is newCrate that gives up beyond so many facets to be held against.
func (s *Site) crateWithin(ctx context.Context, jobs []job, wall, least float64, most int) (*crate, error) {
	k := &crate{site: s, jobs: jobs, least: least}
	lo, hi := s.Stance.Lo, s.Stance.Hi
	// A needle gets a wider field, for the columns bound how long a row may be.
	const needle = 50
	w, h := max(hi.X-lo.X, wall), max(hi.Y-lo.Y, wall)
	w, h = max(w, h/needle), max(h, w/needle)
	hi.X, hi.Y = lo.X+w, lo.Y+h
	of := make([]int32, len(s.Stance.Facets))
	for i := range of {
		of[i] = -1
	}
	stance := *s.Stance // with the faces of the jobs, and only these, to be held
	stance.Kinds = make([]Kind, len(of))
	for n, b := range jobs {
		for _, f := range b.facets {
			of[f], stance.Kinds[f] = int32(n), Overhang
		}
	}
	squares := max(w/wall, 1) * max(h/wall, 1)
	k.lines.Fill(s.Stance.Vertices, s.Stance.Facets, lo, hi, int(min(squares, mostCells)))
	fit := newFitter(k)
	t := tally{stance: &stance, closed: s.Closed}
	k.first = make([]int32, k.lines.NX*k.lines.NY+1)
	for j := range k.lines.NY {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		for i := range k.lines.NX {
			x, y := k.lines.Center(i, j)
			t.column(k.lines.At(i, j), func(facet int32, z, floor float64, below int32) {
				c := cell{i: i, j: j, job: of[facet]}
				p := post{facet: facet, below: below, x: x, y: y, floor: floor, top: z}
				if fit.fit(&c, p) {
					k.cells = append(k.cells, c)
				}
			})
			k.first[j*k.lines.NX+i+1] = int32(len(k.cells))
		}
		if len(k.cells) > mostColumns || fit.held > most {
			return nil, ErrTooMany
		}
	}
	return k, nil
}

// at gives the range of cells at (i, j); empty outside the lattice.
func (k *crate) at(i, j int) (from, to int32) {
	if i < 0 || j < 0 || i >= k.lines.NX || j >= k.lines.NY {
		return 0, 0
	}
	n := j*k.lines.NX + i
	return k.first[n], k.first[n+1]
}

// corner gives the place of corner n of the cells at (i, j), counter-clockwise
// from the low one.
func (k *crate) corner(i, j, n int) (x, y float64) {
	step := [4][2]int{{0, 0}, {1, 0}, {1, 1}, {0, 1}}[n]
	return k.lines.X0 + float64(i+step[0])*k.lines.DX, k.lines.Y0 + float64(j+step[1])*k.lines.DY
}

// fitter fits cells into the space under the part.
type fitter struct {
	crate   *crate
	shelves *shelves
	mark    []int32
	request int32
	near    []int32
	held    int // facets that cells were held against
	clip    clipper
}

func newFitter(k *crate) *fitter {
	s := k.site.Stance
	return &fitter{crate: k, shelves: s.shelve(), mark: make([]int32, len(s.Facets))}
}

// steepCos is the cosine of 70 degrees: steeper faces are walls to keep away
// from sideways, others are roofs and floors to keep away from up and down.
const steepCos = 0.342

// fit gives the cell its heights, and false where there is no room for it. All
// facets over its square are held against it exactly, so that no part of the
// cell is nearer to a roof or floor than gapZ, up and down, and none nearer to a
// wall than gapXY.
func (f *fitter) fit(c *cell, p post) bool {
	b := &f.crate.jobs[c.job]
	var w window
	w.x0, w.y0 = f.crate.corner(c.i, c.j, 0)
	w.x1, w.y1 = f.crate.corner(c.i, c.j, 2)
	f.start(c, p, b.gapZ)
	wide := w.grow(b.gapXY)
	f.request++
	f.near = f.shelves.near(r3.Vec{X: wide.x0, Y: wide.y0}, r3.Vec{X: wide.x1, Y: wide.y1}, f.mark, f.request, f.near[:0])
	f.held += len(f.near)
	s := f.crate.site.Stance
	for _, facet := range f.near {
		var corners [3]r3.Vec
		corners[0], corners[1], corners[2] = s.corners(facet)
		if wide.misses(&corners) {
			continue
		}
		n := unit(r3.Cross(r3.Sub(corners[1], corners[0]), r3.Sub(corners[2], corners[0])))
		switch {
		case math.Abs(n.Z) < steepCos:
			for _, over := range [2]window{wide, w} {
				if piece := f.clip.over(over, corners); len(piece) > 0 && !c.keepFromWall(piece, w, p, b.gapZ) {
					return false
				}
			}
		case n.Z < 0:
			if piece := f.clip.over(w, corners); len(piece) > 0 {
				c.keepUnder(piece, w, p, b.gapZ)
			}
		default:
			if piece := f.clip.over(w, corners); len(piece) > 0 {
				c.keepOver(piece, w, p, b.gapZ)
			}
		}
	}
	return c.stands(f.crate.least) && !(b.grounded && c.bottom != [4]float64{})
}

// stands reports whether every corner is high enough.
func (c *cell) stands(least float64) bool {
	for k := range 4 {
		if !(c.top[k]-c.bottom[k] >= least) {
			return false
		}
	}
	return true
}

// start lays the top along the facet above the middle, and the bottom along that
// below.
func (f *fitter) start(c *cell, p post, gap float64) {
	s := f.crate.site.Stance
	for k := range 4 {
		x, y := f.crate.corner(c.i, c.j, k)
		c.top[k] = s.heightAt(p.facet, x, y) - gap
		c.bottom[k] = 0
		if p.below >= 0 {
			c.bottom[k] = max(s.heightAt(p.below, x, y)+gap, 0)
		}
	}
}

// heightAt gives the height of a facet's plane, which is not upright, at x, y.
func (s *Stance) heightAt(facet int32, x, y float64) float64 {
	a, b, c := s.corners(facet)
	n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
	return a.Z - (n.X*(x-a.X)+n.Y*(y-a.Y))/n.Z
}
