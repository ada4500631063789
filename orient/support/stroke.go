package support

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

const (
	// pixelsPerRadius is how fine the cutter is drawn, coarsestMM how coarse even
	// a thick one; mostPixels bounds the map, and goes before either. Where fewer
	// than handyPixels do, it is drawn twice as fine.
	pixelsPerRadius = 8
	coarsestMM      = 0.5
	handyPixels     = 1 << 17
	mostPixels      = 1 << 19
	// holderPixels is how fine the holder is drawn.
	holderPixels = 16
	// skinPixels is how near to what the cutter sweeps support counts as cut: as
	// much as the part and the cutter are drawn too large.
	skinPixels = 2
	// mapWork is what a pixel of the map costs in all, in steps of work.
	mapWork = 4
)

// stroke is one direction from which the cutter comes, looked at along it: the
// frame is turned so that the cutter comes from above.
type stroke struct {
	site   *Site
	cutter Cutter
	turn   mesh.Matrix
	out    r3.Vec // toward the holder, print frame
	px     float64
	// ground is the lowest height of the tip over each pixel that keeps the
	// cutter off the part, and stop the one that keeps its holder off as well.
	ground, stop *heights
	// cut is the lowest height the cutter cuts to over each pixel, deep the same
	// for a cutter of any length.
	cut, deep []float32
	// work is how much it took, in steps that cost about the same.
	work int
}

// newStroke looks along out at the window around points, at least one, with
// pixels of px mm or, where that is 0, as fine as is good.
func (s *Site) newStroke(out r3.Vec, cutter Cutter, points []r3.Vec, px float64) *stroke {
	k := &stroke{site: s, cutter: cutter, out: out, turn: mesh.RotationBetween(out, r3.Vec{Z: 1})}
	lo, hi := r3.Vec{X: math.Inf(1), Y: math.Inf(1)}, r3.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range points {
		q := k.turn.MulVec(p)
		lo = r3.Vec{X: min(lo.X, q.X), Y: min(lo.Y, q.Y)}
		hi = r3.Vec{X: max(hi.X, q.X), Y: max(hi.Y, q.Y)}
	}
	radius := cutter.DiameterMM / 2
	k.px = px
	if px == 0 {
		k.px = pixelFor(radius, (hi.X-lo.X+4*radius)*(hi.Y-lo.Y+4*radius))
	}
	// Tips stand within a radius of the points, and see a radius further.
	margin := 2*radius + (skinPixels+4)*k.px
	k.ground = newHeights(shift(lo, -margin), shift(hi, margin), k.px)
	k.look(shift(lo, -margin), shift(hi, margin))
	return k
}

// pixelFor gives the pixel for a cutter of the given radius and a window of the
// given area.
func pixelFor(radius, area float64) float64 {
	px := min(radius/pixelsPerRadius, coarsestMM)
	px = min(px, max(px/2, math.Sqrt(area/handyPixels)))
	return max(px, math.Sqrt(area/mostPixels))
}

// shift moves a corner of a window outward.
func shift(v r3.Vec, by float64) r3.Vec { return r3.Vec{X: v.X + by, Y: v.Y + by} }

// look lays the part over the maps and works out how deep the tip goes.
func (k *stroke) look(lo, hi r3.Vec) {
	radius := k.cutter.DiameterMM / 2
	var wide *heights
	if k.cutter.stops() {
		r := k.cutter.HolderMM/2 + k.px
		wide = newHeights(shift(lo, -r), shift(hi, r), max(k.cutter.HolderMM/2/holderPixels, k.px))
	}
	k.lay(wide)
	k.work += mapWork * k.ground.nx * k.ground.ny
	touch := newDisc(radius/k.px, 0, true)
	g := k.ground
	g.z = touch.highest(g.z, g.nx, g.ny)
	g.fence(touch.reach())
	k.stop = &heights{x0: g.x0, y0: g.y0, px: g.px, nx: g.nx, ny: g.ny, z: g.z}
	sweep := newDisc(radius/k.px+skinPixels, 0, false)
	k.deep = sweep.lowest(g.z, g.nx, g.ny)
	k.cut = k.deep
	if wide == nil {
		return
	}
	wide.z = newDisc(k.cutter.HolderMM/2/wide.px, 1, true).highest(wide.z, wide.nx, wide.ny)
	k.stop.z = make([]float32, len(g.z))
	for j := range g.ny {
		for i := range g.nx {
			at, _ := wide.pixel(g.center(i, j))
			k.stop.z[j*g.nx+i] = max(g.z[j*g.nx+i], wide.z[at]-float32(k.cutter.LengthMM))
		}
	}
	k.cut = sweep.lowest(k.stop.z, g.nx, g.ny)
}

// lay draws the part on the maps. Of a closed surface the faces that look away
// are below others.
func (k *stroke) lay(wide *heights) {
	s := k.site.Stance
	turned := make([]r3.Vec, len(s.Vertices))
	for i, v := range s.Vertices {
		turned[i] = k.turn.MulVec(v)
	}
	k.work += len(s.Vertices) + len(s.Facets)
	for _, f := range s.Facets {
		a, b, c := &turned[f[0]], &turned[f[1]], &turned[f[2]]
		if k.site.Closed && (b.X-a.X)*(c.Y-a.Y)-(b.Y-a.Y)*(c.X-a.X) < 0 {
			continue
		}
		k.work += k.ground.raise(a, b, c)
		if wide != nil {
			k.work += wide.raise(a, b, c)
		}
	}
}

// fence keeps tips off the rim of the map, where not all around them is known.
func (h *heights) fence(width int) {
	high := float32(math.Inf(1))
	for j := range h.ny {
		for i := range h.nx {
			if min(i, j, h.nx-1-i, h.ny-1-j) < width {
				h.z[j*h.nx+i] = high
			}
		}
	}
}

// never is the shortfall where no length of cutter gets to.
const never = float32(math.MaxFloat32)

// short gives by how much the cutter is too short to get at p, mm: 0 or less
// where it gets there, never where a longer one would not either.
func (k *stroke) short(p r3.Vec) float32 {
	q := k.turn.MulVec(p)
	at, ok := k.ground.pixel(q.X, q.Y)
	if !ok || float32(q.Z) < k.deep[at] {
		return never
	}
	return k.cut[at] - float32(q.Z)
}

// need gives the length that the cutter must stick out to get at p; +Inf where
// none would do.
func (k *stroke) need(p r3.Vec) float64 {
	q := k.turn.MulVec(p)
	least := math.Inf(1)
	around := newDisc(k.cutter.DiameterMM/2/k.px+skinPixels, 0, false)
	i0, j0 := int((q.X-k.ground.x0)/k.px), int((q.Y-k.ground.y0)/k.px)
	for dy := -len(around) + 1; dy < len(around); dy++ {
		half := around[max(dy, -dy)]
		for dx := -half; dx <= half; dx++ {
			i, j := i0+dx, j0+dy
			if i < 0 || j < 0 || i >= k.ground.nx || j >= k.ground.ny {
				continue
			}
			at := j*k.ground.nx + i
			ground, stop := float64(k.ground.z[at]), float64(k.stop.z[at])
			if ground > q.Z {
				continue
			}
			// stop is the holder's height less the length, unless the tip is the
			// first to meet something.
			least = min(least, stop+k.cutter.LengthMM-q.Z)
		}
	}
	return least
}
