package support

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// manyPieces is about how many pieces all support is cut into, fewPieces how
	// many any region gets at least, unless there are so many regions that these
	// alone would be more than mostPieces.
	manyPieces = 40_000
	fewPieces  = 500
	mostPieces = 200_000
)

// fewestPieces gives how many pieces each of so many regions gets at least.
func fewestPieces(regions int) float64 { return min(fewPieces, mostPieces/float64(max(regions, 1))) }

// pieces cuts the support of the regions into small pieces of about equal sides.
// The volumes of a region's pieces sum to its VolumeMM3.
func (s *Site) pieces(regions []Region) []Piece {
	of := make([]int32, len(s.Stance.Facets))
	for i := range of {
		of[i] = -1
	}
	var whole float64
	for q := range regions {
		whole += regions[q].VolumeMM3
		for _, f := range regions[q].Facets {
			of[f] = int32(q)
		}
	}
	b := s.lookBelow(of, len(regions))
	var out []Piece
	for q := range regions {
		r := &regions[q]
		if r.VolumeMM3 <= 0 {
			continue
		}
		posts := b.of(int32(q))
		if len(posts) == 0 {
			posts = b.probe(r, int32(q))
		}
		n := max(manyPieces*r.VolumeMM3/whole, fewestPieces(len(regions)))
		out = cutPosts(posts, r.VolumeMM3, math.Cbrt(r.VolumeMM3/n), r.ProjectedMM2, out)
	}
	return out
}

// cutPosts takes as many of the posts under shadow as makes their distance about
// side, and cuts these into lengths of about side.
func cutPosts(posts []post, volume, side, shadow float64, out []Piece) []Piece {
	lines := min(max(shadow/(side*side), 1), float64(len(posts)))
	block := float64(len(posts)) / lines
	var length float64
	first := len(out)
	for n := 0; float64(n) < lines; n++ {
		// Which post of its block changes from block to block, so as not to fall
		// in step with the rows of the grid.
		_, offset := math.Modf(0.618033988749895 * float64(n))
		at := int(min((float64(n)+offset)*block, float64(len(posts)-1)))
		p := posts[at]
		gap := p.top - p.floor
		cuts := max(1, int(gap/side+0.5))
		length += gap
		for c := range cuts {
			z := p.floor + gap*(float64(c)+0.5)/float64(cuts)
			out = append(out, Piece{At: r3.Vec{X: p.x, Y: p.y, Z: z}, Region: p.region, VolumeMM3: gap / float64(cuts)})
		}
	}
	if length == 0 {
		return out[:first]
	}
	for i := first; i < len(out); i++ {
		out[i].VolumeMM3 *= volume / length
	}
	return out
}
