package furnace

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

const (
	// defaultElements is the size budget where the user sets none.
	defaultElements = 40_000
	// finest is how many bricks go through the thinnest wall at most, unless a
	// budget was asked for; leastElements are spent even where fewer would do.
	finest        = 4
	leastElements = 6_000
	// mostAlong bounds the bricks along one axis.
	mostAlong = 30_000
)

// wish is what a grid is laid out for.
type wish struct {
	box    mesh.Box
	volume float64 // of the solid, mm3
	wall   float64 // thinnest wall that carries, mm
	budget int     // bricks; 0 for the default
	planes [3][]plane
}

// plane is where flat faces lie across an axis, with their area.
type plane struct{ at, area float64 }

// pitch chooses the brick's edge: the budget's, but a whole part of the thinnest
// wall where at least two bricks through it can be had for it. A default budget
// may be overdrawn by half for one brick more, one that was asked for hardly.
func (w wish) pitch() float64 {
	budget, overdraw := float64(w.budget), 1.15
	if w.budget <= 0 {
		budget, overdraw = defaultElements, 1.6
	}
	p := math.Cbrt(w.volume / budget)
	if w.wall <= 0 {
		return p
	}
	through := w.wall / p
	if w.budget <= 0 && through > finest {
		return w.wall / max(finest, math.Ceil(w.wall/math.Cbrt(w.volume/leastElements)-0.15))
	}
	whole := math.Floor(through * math.Cbrt(overdraw))
	if whole < 2 {
		return p
	}
	return w.wall / whole
}

// lattice lays bricks of about the given pitch over the box, from its low corner
// on. Along each axis the pitch may give way a little so that as many flat faces
// as can be lie between bricks and not inside them: a plate of whole bricks is
// as stiff as it should be, one whose faces cut bricks only nearly so.
func (w wish) lattice(pitch float64) mesh.Lattice {
	l := mesh.Lattice{Origin: w.box.Min}
	size := w.box.Size()
	l.N[0], l.Pitch.X = fit(size.X, pitch, w.box.Min.X, w.planes[0])
	l.N[1], l.Pitch.Y = fit(size.Y, pitch, w.box.Min.Y, w.planes[1])
	l.N[2], l.Pitch.Z = fit(size.Z, pitch, w.box.Min.Z, w.planes[2])
	return l
}

// fit chooses how many bricks go along a side.
func fit(length, pitch, low float64, planes []plane) (n int, edge float64) {
	const give = 1.15 // bricks may be this much longer or shorter than asked
	if !(length > 0) {
		return 1, pitch
	}
	near := min(max(math.Round(length/pitch), 1), mostAlong)
	best, least := near, math.Inf(1)
	for k := max(math.Floor(length/pitch/give), 1); k <= min(math.Ceil(length/pitch*give), mostAlong); k++ {
		p := length / k
		stretch := math.Log(p / pitch)
		if cost := misfit(planes, low, p) + stretch*stretch; cost < least-1e-12 {
			best, least = k, cost
		}
	}
	return int(best), length / best
}

// misfit is the mean square distance of the planes from the ends of bricks, in
// bricks, weighted by area.
func misfit(planes []plane, low, pitch float64) float64 {
	var sum, area float64
	for _, q := range planes {
		u := (q.at - low) / pitch
		off := u - math.Round(u)
		sum, area = sum+q.area*off*off, area+q.area
	}
	if area == 0 {
		return 0
	}
	return sum / area
}

// flats collects the flat faces of m that lie across the axes.
func flats(m *mesh.Mesh) (planes [3][]plane) {
	const square = 1 - 1e-6 // cosine to the axis
	var found [3]map[int64]*plane
	step := max(m.Bounds().Diagonal()*1e-6, 1e-9)
	for a := range found {
		found[a] = map[int64]*plane{}
	}
	for i := range m.Facets {
		n := m.AreaVector(i)
		area := r3.Norm(n)
		p, _, _ := m.Corners(i)
		for a, v := range [3]float64{n.X, n.Y, n.Z} {
			if area == 0 || math.Abs(v) < square*area {
				continue
			}
			at := [3]float64{p.X, p.Y, p.Z}[a]
			key := int64(math.Round(at / step))
			if found[a][key] == nil {
				found[a][key] = &plane{at: at}
			}
			found[a][key].area += area
		}
	}
	for a := range planes {
		planes[a] = largest(found[a])
	}
	return planes
}

// largest gives the planes of most area, in the order of their places.
func largest(found map[int64]*plane) []plane {
	const most = 256
	all := make([]plane, 0, len(found))
	for _, p := range found {
		all = append(all, *p)
	}
	slices.SortFunc(all, func(a, b plane) int {
		return cmp.Or(cmp.Compare(b.area, a.area), cmp.Compare(a.at, b.at))
	})
	all = all[:min(most, len(all))]
	slices.SortFunc(all, func(a, b plane) int { return cmp.Compare(a.at, b.at) })
	return all
}
