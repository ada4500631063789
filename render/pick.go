package render

// Pick gives the facet of the part that is seen at pixel x, y of the picture
// that Frame draws for the same shot; false where no facet is. Facets count as
// in the mesh of the part, also where the scene divides them.
func (s *Scene) Pick(shot Shot, x, y int) (facet int, ok bool) {
	shot = shot.complete()
	l := s.lens(shot, 1)
	var b buffers
	b.spots = make([]spot, len(s.mesh.Vertices))
	b.project(s, &l, shot.sink())
	at := spot{x: float64(x) + 0.5, y: float64(y) + 0.5}
	best := 2.0 // behind everything
	for i := range s.mesh.Facets {
		if z, hit := b.depthUnder(s, i, at); hit && z < best {
			best, facet, ok = z, i, true
		}
	}
	if !ok {
		return 0, false
	}
	return s.facetOf(facet), true
}

// depthUnder gives the depth of facet i at a point of the picture; false where
// it does not lie there or is turned away.
func (b *buffers) depthUnder(s *Scene, i int, at spot) (z float64, hit bool) {
	c := b.corners(s, i)
	area := turning(&c[0], &c[1], &c[2])
	if area == 0 || area < 0 && s.outline.closed {
		return 0, false
	}
	u := turning(&at, &c[1], &c[2]) / area
	v := turning(&c[0], &at, &c[2]) / area
	if u < 0 || v < 0 || u+v > 1 {
		return 0, false
	}
	return u*c[0].z + v*c[1].z + (1-u-v)*c[2].z, true
}
