package mesh

import (
	"context"
	"errors"
)

// Bounds on the search for facets that cross: pairs looked at, pairs looked at
// closely, with exact numbers, and pairs that meet, of which there may be more where
// there are very many facets. A surface beyond them is more of a heap than of bodies, or
// too large for the time it would take (judgement: about five seconds each).
const (
	maxPairs         = 400_000_000
	maxClose         = 2_000_000
	closePerFacet    = 4
	maxMeetings      = 100_000
	facetsPerMeeting = 4
)

// errCrowded is returned where the facets are too many, or lie too close.
var errCrowded = errors.New("too many of its facets lie close together")

// eachPair calls visit for pairs of facets whose boxes meet and that share no more
// than one corner, or all of whose corners lie in one plane; some pairs come more
// than once.
func eachPair(ctx context.Context, m *Mesh, visit func(i, j int32) error) error {
	// A surface meets few of the cells of its box: with several for each facet those
	// that it meets hold some ten.
	g, err := newFacetGridOf(ctx, m, m.Bounds(), min(max(4*float64(len(m.Facets)), 64), 1<<24))
	if err != nil {
		return err
	}
	wait := pause{ctx: ctx}
	var boxes []Box
	pairs := int64(0)
	for c := range g.cells.Bricks() {
		list := g.in(c)
		n := int64(len(list))
		if pairs += n * n / 2; pairs > maxPairs {
			return errCrowded
		}
		boxes = boxes[:0]
		for _, f := range list {
			boxes = append(boxes, m.facetBox(f))
		}
		for a := range list {
			if wait.left -= len(list) - a; wait.over() {
				return ctx.Err()
			}
			for b := a + 1; b < len(list); b++ {
				if !boxes[a].meets(&boxes[b]) {
					continue
				}
				if err := visit(list[a], list[b]); err != nil {
					return err
				}
			}
		}
	}
	return nil
}

func (m *Mesh) facetBox(f int32) Box {
	box := emptyBox()
	for _, v := range m.Facets[f] {
		box.take(&m.Vertices[v])
	}
	return box
}

// meets reports whether two boxes have a point in common.
func (b *Box) meets(c *Box) bool {
	return b.Min.X <= c.Max.X && c.Min.X <= b.Max.X &&
		b.Min.Y <= c.Max.Y && c.Min.Y <= b.Max.Y &&
		b.Min.Z <= c.Max.Z && c.Min.Z <= b.Max.Z
}

// inCommon counts the corners that two facets share.
func inCommon(f, g [3]int32) int {
	n := 0
	for _, v := range f {
		if v == g[0] || v == g[1] || v == g[2] {
			n++
		}
	}
	return n
}
