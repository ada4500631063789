package mesh

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// contactSlack is how much farther off than the nearest point the surface
	// still counts as touched by the ball (judgement: curved faces are facets).
	contactSlack = 0.01
	// opposed is the greatest cosine between two sides of a wall that look away
	// from each other: walls may taper by 14 degrees.
	opposed = -0.97
	// mostNormals and alike bound what is kept of many contacts: so many, and
	// none within ten degrees of another.
	mostNormals = 24
	alike       = 0.985
	// sameWay is the cosine within which two walls lie the same way: 12 degrees,
	// which changes the thickness of a wall in a pose by far less than a hundredth.
	sameWay = 0.978
)

// contacts gives the outward normals of the surface, whatever their sign, where the
// largest ball about at, of radius r, touches it: at most one for each small range of
// directions.
func (g *facetGrid) contacts(at r3.Vec, r float64) []r3.Vec {
	var kept contactSet
	g.eachContact(at, r*(1+contactSlack), func(normal r3.Vec, d float64, _ bool, f int32) { kept.take(normal, d, f) })
	return kept.normals()
}

// faceContacts is contacts where the surface comes nearer to at elsewhere, as at the
// end of a pin: only facets count that the ball just touches, and not on an edge.
func (g *facetGrid) faceContacts(at r3.Vec, r float64) []r3.Vec {
	var kept contactSet
	g.eachContact(at, r*(1+contactSlack), func(normal r3.Vec, d float64, onEdge bool, f int32) {
		if !onEdge && d > r*(1-contactSlack) {
			kept.take(normal, d, f)
		}
	})
	return kept.normals()
}

// eachContact visits the facets within reach of at. It gives the normal of the
// surface there, or the way to the edge where that is nearest.
func (g *facetGrid) eachContact(at r3.Vec, reach float64, visit func(normal r3.Vec, d float64, onEdge bool, f int32)) {
	g.onceWithin(at, reach, func(f int32) {
		a, b, c := g.mesh.Corners(int(f))
		out := r3.Sub(nearestOnFacet(at, a, b, c), at)
		d := r3.Norm(out)
		if !(d > 0 && d <= reach) {
			return
		}
		out = r3.Scale(1/d, out)
		n := r3.Cross(r3.Sub(b, a), r3.Sub(c, a))
		if n = r3.Unit(n); math.Abs(r3.Dot(n, out)) > alike { // false for a facet without area
			visit(n, d, false, f)
		} else {
			visit(out, d, true, f)
		}
	})
}

// eachWithin visits the facets of the cells that reach within r of p, some of them
// more than once.
func (g *facetGrid) eachWithin(p r3.Vec, r float64, visit func(f int32)) {
	reach := r3.Vec{X: r, Y: r, Z: r}
	lo, hi := g.cell(r3.Sub(p, reach)), g.cell(r3.Add(p, reach))
	half := r3.Scale(0.5, g.cells.Pitch)
	for k := lo[2]; k <= hi[2]; k++ {
		for j := lo[1]; j <= hi[1]; j++ {
			for i := lo[0]; i <= hi[0]; i++ {
				c := g.cells.Index(i, j, k)
				if g.first[c] == g.first[c+1] || !boxWithin(r3.Sub(g.cells.Center(i, j, k), p), half, r) {
					continue
				}
				for _, f := range g.in(c) {
					visit(f)
				}
			}
		}
	}
}

// onceWithin is eachWithin that visits no facet many times where there are many.
func (g *facetGrid) onceWithin(p r3.Vec, r float64, visit func(f int32)) {
	const many = 1 << 14
	var list []int32
	g.eachWithin(p, r, func(f int32) {
		if len(list) < many {
			visit(f)
		}
		list = append(list, f)
	})
	if len(list) > many {
		for _, f := range eachOnce(list[many:], len(g.mesh.Facets)) {
			visit(f)
		}
	}
}

// contactSet keeps the nearest contact of each small range of directions: of each
// tile of a cube about the ball.
type contactSet struct {
	tiles [6 * tilesAcross * tilesAcross]struct {
		normal r3.Vec
		d      float64 // 0 for an empty tile
		facet  int32
	}
}

const tilesAcross = 12

func (s *contactSet) take(n r3.Vec, d float64, facet int32) {
	t := &s.tiles[tileOf(n)]
	if t.d == 0 || d < t.d || d == t.d && facet < t.facet {
		t.normal, t.d, t.facet = n, d, facet
	}
}

// normals lists what was kept.
func (s *contactSet) normals() []r3.Vec {
	var out []r3.Vec
	for i := range s.tiles {
		if s.tiles[i].d > 0 {
			out = append(out, s.tiles[i].normal)
		}
	}
	return out
}

// tileOf numbers the tile of the cube that a unit vector points at.
func tileOf(n r3.Vec) int {
	axis := 0
	for a := 1; a < 3; a++ {
		if math.Abs(component(n, a)) > math.Abs(component(n, axis)) {
			axis = a
		}
	}
	side, big := 0, component(n, axis)
	if big < 0 {
		side = 1
	}
	across := func(a int) int {
		share := (component(n, a%3)/math.Abs(big) + 1) / 2
		return min(int(share*tilesAcross), tilesAcross-1)
	}
	return ((axis*2+side)*tilesAcross+across(axis+1))*tilesAcross + across(axis+2)
}

// bound tells what of the contacts bounds the wall: sides that look away from each
// other, each pair by itself, for the ball can draw back from the others; where none
// do, all of them together. Where these do not hold the ball, it is no deep place of
// its own: then the way is given along which the ball can move and grow, else zero.
func (w *Wall) bound(contacts []r3.Vec) (way r3.Vec) {
	var paired []r3.Vec
	for _, n := range contacts {
		if slices.ContainsFunc(contacts, func(o r3.Vec) bool { return r3.Dot(n, o) <= opposed }) {
			paired = append(paired, n)
		}
	}
	if len(paired) > 0 {
		w.Normals = thinned(paired)
		return r3.Vec{}
	}
	w.Normals = contacts[:min(len(contacts), mostTogether)]
	shares, rest := balance(w.Normals)
	if r3.Norm(rest) > loose { // any of them may bound it
		w.Normals = thinned(contacts)
		return r3.Scale(-1, r3.Unit(rest))
	}
	w.Shares = shares
	return r3.Vec{}
}

const (
	// mostTogether bounds the contacts that hold a ball together; three or four do.
	mostTogether = 64
	// loose is how far from balance the contacts of a ball may be that they hold.
	loose = 0.1
)

// balance gives the share that each of the contacts of a ball held between them has:
// with these their directions add up to nothing, or as little as they can, which is
// given too (the point of
// the hull of the directions nearest to the origin; Frank and Wolfe, Naval Research
// Logistics 3 (1956) 95). Under a linear map the planes that touch the ball move so
// that the largest ball between them is given by the mean over these shares, by the
// duality of linear programmes.
func balance(contacts []r3.Vec) (shares []float64, rest r3.Vec) {
	const steps = 400
	if len(contacts) == 0 {
		return nil, r3.Vec{}
	}
	shares = make([]float64, len(contacts))
	shares[0] = 1
	rest = contacts[0] // the sum of shares times directions
	for range steps {
		to := 0
		for i, n := range contacts {
			if r3.Dot(n, rest) < r3.Dot(contacts[to], rest) {
				to = i
			}
		}
		way := r3.Sub(contacts[to], rest)
		step := -r3.Dot(rest, way) / r3.Norm2(way)
		if !(step > 0) {
			break
		}
		step = min(step, 1)
		for i := range shares {
			shares[i] *= 1 - step
		}
		shares[to] += step
		rest = r3.Add(rest, r3.Scale(step, way))
	}
	return shares, rest
}

// thinned leaves of many directions a few that lie far from one another, taking
// opposite ones as the same.
func thinned(all []r3.Vec) []r3.Vec {
	if len(all) == 0 {
		return nil
	}
	near := make([]float64, len(all)) // cosine to the nearest one kept
	var kept []r3.Vec
	for next := 0; ; {
		kept = append(kept, all[next])
		for i, n := range all {
			near[i] = max(near[i], math.Abs(r3.Dot(n, all[next])))
		}
		for i := range all {
			if near[i] < near[next] {
				next = i
			}
		}
		if near[next] > alike || len(kept) == mostNormals {
			return kept
		}
	}
}
