package support

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// post is one line of support: from floor up to an overhanging facet.
type post struct {
	region, facet int32
	below         int32 // the facet it stands on; -1 for the plate
	x, y          float64
	floor, top    float64
}

// below is what the vertical lines say about the space under each region.
type below struct {
	site *Site
	// posts are sorted by region; those of region q are posts[first[q]:first[q+1]].
	posts []post
	first []int32
	// rests are the places, by region, where another body lies against the
	// overhang or around it, and no support is needed.
	rests [][]r2.Vec
	// met is the sum of the heights at which lines meet each region, also where
	// another body hides it; ratio is by how much that is below the exact prisms.
	met   []float64
	ratio []float64
}

// lookBelow reads the columns once for all regions.
func (s *Site) lookBelow(of []int32, n int) *below {
	b := &below{site: s, first: make([]int32, n+1), rests: make([][]r2.Vec, n), met: make([]float64, n), ratio: make([]float64, n)}
	t := tally{stance: s.Stance, closed: s.Closed}
	c := s.Columns
	for j := range c.NY {
		for i := range c.NX {
			x, y := c.Center(i, j)
			line, before := c.At(i, j), len(b.posts)
			t.column(line, func(facet int32, z, floor float64, under int32) {
				if of[facet] >= 0 && z-floor > touchMM {
					b.posts = append(b.posts, post{region: of[facet], facet: facet, below: under, x: x, y: y, floor: floor, top: z})
				}
			})
			b.note(line, of, b.posts[before:], r2.Vec{X: x, Y: y})
		}
	}
	b.sort()
	return b
}

// sort brings the posts in the order of their regions, each region's as they were.
func (b *below) sort() {
	for i := range b.posts {
		b.first[b.posts[i].region+1]++
	}
	for q := 1; q < len(b.first); q++ {
		b.first[q] += b.first[q-1]
	}
	next := slices.Clone(b.first)
	sorted := make([]post, len(b.posts))
	for i := range b.posts {
		at := &next[b.posts[i].region]
		sorted[*at] = b.posts[i]
		*at++
	}
	b.posts = sorted
}

// touchMM is how near a surface below counts as touching: more than 32-bit
// numbers lose on a part of half a metre.
const touchMM = 1e-3

// note counts the overhangs that one line meets; those without a post rest.
func (b *below) note(line []mesh.Crossing, of []int32, posts []post, at r2.Vec) {
	for _, m := range line {
		q := of[m.Facet]
		if q < 0 || m.Up {
			continue
		}
		b.met[q] += float64(m.Z)
		hangs := slices.ContainsFunc(posts, func(p post) bool { return p.facet == m.Facet })
		if !hangs {
			b.rests[q] = append(b.rests[q], at)
		}
	}
}

// of gives the posts of a region.
func (b *below) of(q int32) []post { return b.posts[b.first[q]:b.first[q+1]] }

// fill adds what is below to region q. Volumes are made true region by region,
// as in Stance.Measure: by the ratio of the exact prisms to the sampled ones.
func (b *below) fill(r *Region, q int32) {
	posts := b.of(q)
	if b.met[q] == 0 {
		posts = b.probe(r, q)
	}
	s := b.site.Stance
	b.ratio[q] = b.scale(r, q)
	if rests := len(b.rests[q]); rests > 0 {
		r.RestShare = float64(rests) / float64(rests+len(posts))
	}
	r.GapLowMM = math.Inf(1)
	plate, gaps := 0, 0.0
	var touched []Touched
	for _, p := range posts {
		gap := p.top - p.floor
		gaps += gap
		r.GapLowMM, r.GapHighMM = min(r.GapLowMM, gap), max(r.GapHighMM, gap)
		r.VolumeMM3 += b.ratio[q] * gap
		if b.site.Cavity != nil && b.site.Cavity[p.facet] {
			r.InCavityMM3 += b.ratio[q] * gap
		}
		if p.below < 0 {
			plate++
			continue
		}
		r.OnPartMM3 += b.ratio[q] * gap
		touched = append(touched, Touched{Facet: p.below, AreaMM2: b.ratio[q] * s.slopeFactor(p.below)})
	}
	if len(posts) == 0 { // another body hides it all
		r.GapLowMM = 0
		return
	}
	r.GapMeanMM = gaps / float64(len(posts))
	r.PlateShare = float64(plate) / float64(len(posts))
	r.Below = gather(touched)
	for _, t := range r.Below {
		r.ScarBelowMM2 += t.AreaMM2
	}
}

// scale gives the area that one line stands for under region q.
func (b *below) scale(r *Region, q int32) float64 {
	cell := b.site.Columns.CellArea()
	if b.met[q] == 0 {
		return r.ProjectedMM2 / float64(len(r.Facets))
	}
	var prisms float64
	for _, f := range r.Facets {
		prisms -= b.site.Stance.areaVector(f).Z * b.site.Stance.middle(f).Z
	}
	return min(prisms/b.met[q], 4*cell)
}

// probe stands in for the lines where none meets the region: each facet's middle
// is held against the nearest line.
func (b *below) probe(r *Region, q int32) []post {
	posts := make([]post, 0, len(r.Facets))
	for _, f := range r.Facets {
		p := b.site.Stance.middle(f)
		floor, under := b.site.floorAt(p)
		posts = append(posts, post{region: q, facet: f, below: under, x: p.X, y: p.Y, floor: min(floor, p.Z), top: p.Z})
	}
	return posts
}

// floorAt gives the height of the first surface below p on the nearest line, and
// its facet, -1 for the plate.
func (s *Site) floorAt(p r3.Vec) (z float64, facet int32) {
	facet = -1
	for _, m := range s.lineAt(p.X, p.Y) {
		if float64(m.Z) < p.Z && m.Up {
			z, facet = float64(m.Z), m.Facet
		}
	}
	return z, facet
}

// lineAt gives the crossings of the line nearest to x, y.
func (s *Site) lineAt(x, y float64) []mesh.Crossing {
	c := s.Columns
	i := int(min(max((x-c.X0)/c.DX, 0), float64(c.NX-1)))
	j := int(min(max((y-c.Y0)/c.DY, 0), float64(c.NY-1)))
	return c.At(i, j)
}

// gather adds up the areas by facet.
func gather(t []Touched) []Touched {
	slices.SortStableFunc(t, func(a, b Touched) int { return cmp.Compare(a.Facet, b.Facet) })
	var out []Touched
	for _, e := range t {
		if n := len(out); n > 0 && out[n-1].Facet == e.Facet {
			out[n-1].AreaMM2 += e.AreaMM2
			continue
		}
		out = append(out, e)
	}
	return out
}

// places gives where, in plan, the lines meet region q.
func (b *below) places(q int32) []r2.Vec {
	posts := b.of(q)
	out := make([]r2.Vec, len(posts))
	for i, p := range posts {
		out[i] = r2.Vec{X: p.x, Y: p.y}
	}
	return out
}

// settle brings the sum over the regions to the whole: the two are estimates
// from the same lines and differ by less than the grid does.
func (b *below) settle(regions []Region, whole Volume) {
	var sum float64
	for i := range regions {
		sum += regions[i].VolumeMM3
	}
	if sum == 0 {
		return
	}
	k := whole.Whole / sum
	for i := range regions {
		r := &regions[i]
		r.VolumeMM3 *= k
		r.OnPartMM3 *= k
		r.InCavityMM3 *= k
	}
}
