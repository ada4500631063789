package render

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// regionSign is where the number of a region belongs: a point on its surface.
type regionSign struct {
	at      r3.Vec
	areaMM2 float64 // 0: there is no such region
}

// regionSigns finds for each region the middle of that of its facets which lies
// nearest to the middle of them all: on a ring that is not in the hole. By number,
// from 1; number 0 is left empty.
func regionSigns(m *mesh.Mesh, regionOf []int32) []regionSign {
	most := int32(0)
	for _, n := range regionOf {
		most = max(most, n)
	}
	signs := make([]regionSign, most+1)
	for i, n := range regionOf {
		if n > 0 {
			area := r3.Norm(m.AreaVector(i))
			signs[n].at = r3.Add(signs[n].at, r3.Scale(area, middleOf(m, i)))
			signs[n].areaMM2 += area
		}
	}
	near := make([]float64, len(signs))
	best := make([]int, len(signs))
	for n := range signs {
		if signs[n].areaMM2 > 0 {
			signs[n].at = r3.Scale(1/signs[n].areaMM2, signs[n].at)
		}
		near[n] = math.Inf(1)
	}
	for i, n := range regionOf {
		if n <= 0 {
			continue
		}
		if d := r3.Norm2(r3.Sub(middleOf(m, i), signs[n].at)); d < near[n] {
			near[n], best[n] = d, i
		}
	}
	for n := range signs {
		if signs[n].areaMM2 > 0 {
			signs[n].at = middleOf(m, best[n])
		}
	}
	return signs
}

func middleOf(m *mesh.Mesh, i int) r3.Vec {
	a, b, c := m.Corners(i)
	return r3.Scale(1.0/3, r3.Add(a, r3.Add(b, c)))
}

// regionSigns gives the numbers of the regions where they fall in the picture, not
// yet spread: the one that stands out first, then those that are seen. A number
// stands on the facet in sight that is nearest to its place; where no part of the
// region is in sight it stands, faint, over the place. It is asked for after the
// part is drawn and before what is laid over it.
func (f *frame) regionSigns() []sign {
	if !f.shot.Overlays.Regions || f.shot.Bare {
		return nil
	}
	var loud, seen, hidden []sign
	k := 1 / float64(f.shot.Samples)
	for n, place := range f.regionPlaces() {
		if n == 0 || f.s.regions[n].areaMM2 == 0 {
			continue
		}
		at := f.lens.at(place.at)
		g := sign{at: spot{x: at.x * k, y: at.y * k}, text: fmt.Sprint(n), loud: n == f.shot.Overlays.Region, faint: !place.seen}
		side := math.Sqrt(f.s.regions[n].areaMM2) * f.lens.pxPerMM // seen flat
		g.aside = place.seen && side < smallRegion*signRadius*f.unit
		switch {
		case g.loud:
			loud = append(loud, g)
		case g.faint:
			hidden = append(hidden, g)
		default:
			seen = append(seen, g)
		}
	}
	return append(append(loud, seen...), hidden...)
}

// smallRegion is the side of a region, in radii of a sign, that the sign would all
// but cover.
const smallRegion = 4

// regionPlace is where the number of a region goes in one picture.
type regionPlace struct {
	at   r3.Vec
	seen bool
}

// regionPlaces finds for each region the place for its number.
func (f *frame) regionPlaces() []regionPlace {
	out := make([]regionPlace, len(f.s.regions))
	away := make([]float64, len(out))
	for n := range out {
		out[n].at, away[n] = f.s.regions[n].at, math.Inf(1)
	}
	for i, n := range f.s.regionOf {
		if n <= 0 || !f.b.front[i] {
			continue
		}
		middle := middleOf(f.s.mesh, i)
		if d := r3.Norm2(r3.Sub(middle, f.s.regions[n].at)); d < away[n] && f.inSight(middle) {
			out[n], away[n] = regionPlace{middle, true}, d
		}
	}
	return out
}

// inSight tells whether nothing hides a point of the surface.
func (f *frame) inSight(p r3.Vec) bool {
	at := f.lens.at(p)
	if !(at.x >= 0 && at.y >= 0 && at.x < float64(f.w) && at.y < float64(f.h)) {
		return false
	}
	const slackPx = 3 // on a slope the pixel's middle is nearer or farther
	return at.z-f.lens.depthOf(slackPx/f.lens.pxPerMM) <= 2*f.b.part.depthRow(int(at.y))[int(at.x)]-1
}

// drawRegionSigns sets the numbers on the finished picture.
func (f *frame) drawRegionSigns() {
	s, ok := newSigner(f.img, f.shot.Density, f.pal)
	if !ok || len(f.signs) == 0 {
		return
	}
	within := insideOf(f.img, f.shot.Density)
	kept := f.signs[:0]
	for _, g := range f.signs {
		if within(g.at) {
			kept = append(kept, g)
		}
	}
	spread(kept, f.shot.Density, within)
	s.draw(kept)
}
