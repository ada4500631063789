package render

// Pick gives the facet of the part that is seen at pixel x, y of the picture
// that Frame draws for the same shot; false where no facet is.
func (s *Scene) Pick(shot Shot, x, y int) (facet int, ok bool) { return 0, false }
