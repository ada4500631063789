package mesh

import (
	"cmp"
	"context"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// maxOnOnePlane bounds the segments on one plane: how they cross is found by
// comparing each with the others near it.
const maxOnOnePlane = 20_000

// drawing is places and segments on one plane.
type drawing struct {
	plane    *flatPlane
	places   []int32
	segments [][2]int32
}

// triangulate gives the triangles between the places, none of which crosses a
// segment.
func (d *drawing) triangulate(ctx context.Context) ([][3]int32, error) {
	if err := d.split(ctx); err != nil {
		return nil, err
	}
	t := newTriangulation(d.plane)
	for _, p := range d.places {
		if err := t.insert(p); err != nil {
			return nil, err
		}
	}
	for _, s := range d.segments {
		if err := t.force(s[0], s[1]); err != nil {
			return nil, err
		}
	}
	return slices.DeleteFunc(t.tri, func(c [3]int32) bool { return min(c[0], c[1], c[2]) < 0 }), nil
}

// flatSegment is a segment with its span along one coordinate and the places on it.
type flatSegment struct {
	ends      [2]int32
	low, high r3.Vec // rounded, with room for rounding
	on        []int32
}

// split divides the segments where they cross and at places that lie on them, so
// that they meet in common ends only.
func (d *drawing) split(ctx context.Context) error {
	list := d.distinct()
	if len(list) > maxOnOnePlane {
		return errCrowded
	}
	wait := pause{ctx: ctx}
	for i := range list {
		for j := i + 1; j < len(list) && list[j].low.X <= list[i].high.X; j++ {
			if wait.over() {
				return ctx.Err()
			}
			d.compare(&list[i], &list[j])
		}
	}
	slices.Sort(d.places)
	d.places = slices.Compact(d.places)
	d.segments = d.segments[:0]
	for i := range list {
		if wait.left -= len(d.places); wait.over() {
			return ctx.Err()
		}
		d.findOn(&list[i])
		d.segments = append(d.segments, d.divided(&list[i])...)
	}
	slices.SortFunc(d.segments, comparePairs)
	d.segments = slices.Compact(d.segments)
	return nil
}

// distinct gives the segments, each once and by where they begin, and enters their
// ends among the places.
func (d *drawing) distinct() []flatSegment {
	slices.SortFunc(d.segments, comparePairs)
	list := make([]flatSegment, 0, len(d.segments))
	for _, s := range slices.Compact(d.segments) {
		if s = pairOf(s[0], s[1]); s[0] != s[1] {
			list = append(list, d.newSegment(s))
			d.places = append(d.places, s[0], s[1])
		}
	}
	slices.SortStableFunc(list, func(a, b flatSegment) int { return cmp.Compare(a.low.X, b.low.X) })
	return list
}

// findOn notes the places that lie on a segment between its ends.
func (d *drawing) findOn(s *flatSegment) {
	for _, p := range d.places {
		u, v := d.plane.rounded(p)
		if u >= s.low.X && u <= s.high.X && v >= s.low.Y && v <= s.high.Y && d.plane.on(p, s.ends[0], s.ends[1]) {
			s.on = append(s.on, p)
		}
	}
}

func comparePairs(a, b [2]int32) int {
	return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1]))
}

func (d *drawing) newSegment(s [2]int32) flatSegment {
	const room = 1.0 / (1 << 20)
	au, av := d.plane.rounded(s[0])
	bu, bv := d.plane.rounded(s[1])
	return flatSegment{ends: s, low: r3.Vec{X: min(au, bu) - room, Y: min(av, bv) - room}, high: r3.Vec{X: max(au, bu) + room, Y: max(av, bv) + room}}
}

// compare adds the place where two segments cross.
func (d *drawing) compare(s, t *flatSegment) {
	if s.low.Y > t.high.Y || t.low.Y > s.high.Y {
		return
	}
	if d.plane.crosses(s.ends[0], s.ends[1], t.ends[0], t.ends[1]) {
		d.places = append(d.places, d.plane.meet(s.ends[0], s.ends[1], t.ends[0], t.ends[1]))
	}
}

// divided gives the pieces of a segment.
func (d *drawing) divided(s *flatSegment) (out [][2]int32) {
	a, b := s.ends[0], s.ends[1]
	k := d.plane.u
	if s.high.Y-s.low.Y > s.high.X-s.low.X {
		k = d.plane.v
	}
	sense := d.plane.order(a, b, k)
	slices.SortFunc(s.on, func(p, q int32) int { return -sense * d.plane.order(p, q, k) })
	for _, p := range s.on {
		out = append(out, pairOf(a, p))
		a = p
	}
	return append(out, pairOf(a, b))
}
