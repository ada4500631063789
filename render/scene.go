package render

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient"
)

// Scene is one candidate on one machine, ready to be drawn. It is never changed
// after NewScene and may be used by several goroutines at once.
type Scene struct {
	stage   Stage
	mesh    *mesh.Mesh
	box     mesh.Box
	outline outline
	flat    []r3.Vec // unit normals of facets
	smooth  []corner // nil: shade flat
	// overhang and supports are nil on the setter, sag on the plate.
	overhang   []bool
	supports   shell
	sag        []float64
	sagMM      float64  // the most of sag
	moved      []r3.Vec // the whole way of the vertices; nil: sag only
	farMM      float64  // the longest way
	sagAt      r3.Vec
	sagWay     r3.Vec // of sagAt
	hasSagAt   bool
	collapses  bool
	from       []int32 // facets of the part; nil: as they are
	footprint  []r2.Vec
	massCenter r3.Vec
	shadow     *shadow
	marked     []orient.MarkSet // of the facets of the part; nil: nothing is
	regionOf   []int32          // of the facets, on the plate; nil: no plan
	regions    []regionSign     // by number, from 1
	buffers    *sync.Pool       // of *buffers; shared by scenes that differ in marks only
}

// NewScene prepares the part of d on the stage. It keeps hold of the meshes and
// slices of d, which must not be changed afterwards. An empty mesh gives a scene
// of the bare machine.
func NewScene(d *orient.Detail, stage Stage) *Scene {
	s := &Scene{stage: stage, mesh: meshOf(d, stage.Machine), buffers: &sync.Pool{}}
	s.box = boundsOf(s.mesh)
	areas := areaVectors(s.mesh)
	s.flat = units(areas)
	take := s.takePlate
	if stage.Machine == OnSetter {
		take = s.takeSetter
	}
	// None of these needs another.
	steps := []func(){
		func() { s.smooth = cornerNormals(s.mesh, areas, s.flat) },
		func() { s.outline = outlineOf(s.mesh, s.flat) },
		func() { take(d) },
		func() { s.shadow = shadowOf(s.mesh, s.box) },
	}
	each(len(steps), func(i int) { steps[i]() })
	s.takeMarks(d.Marked)
	return s
}

// WithMarks gives the scene with other marks, in a moment: all else is shared. As
// in orient.Detail there is one for each facet of the part; others are passed over.
func (s *Scene) WithMarks(marked []orient.MarkSet) *Scene {
	out := *s
	out.takeMarks(marked)
	return &out
}

// takeMarks keeps the marks if they are those of the part.
func (s *Scene) takeMarks(marked []orient.MarkSet) {
	s.marked = nil
	if len(marked) == s.partFacets() && len(marked) > 0 {
		s.marked = marked
	}
}

// partFacets is how many facets the part has: as many as the scene, unless that
// divides them; then the last is divided, too.
func (s *Scene) partFacets() int {
	if s.from == nil {
		return len(s.mesh.Facets)
	}
	most := int32(-1)
	for _, i := range s.from {
		most = max(most, i)
	}
	return int(most) + 1
}

// boundsOf is mesh.Bounds for a large mesh that is drawn many times over.
func boundsOf(m *mesh.Mesh) mesh.Box {
	if len(m.Facets) == 0 {
		return mesh.Box{}
	}
	lo := m.Vertices[m.Facets[0][0]]
	hi := lo
	for i := range m.Facets {
		for _, k := range m.Facets[i] {
			v := &m.Vertices[k]
			lo.X, lo.Y, lo.Z = min(lo.X, v.X), min(lo.Y, v.Y), min(lo.Z, v.Z)
			hi.X, hi.Y, hi.Z = max(hi.X, v.X), max(hi.Y, v.Y), max(hi.Z, v.Z)
		}
	}
	return mesh.Box{Min: lo, Max: hi}
}

// takePlate takes from d what shows on the plate.
func (s *Scene) takePlate(d *orient.Detail) {
	if len(d.Overhang) == len(s.mesh.Facets) {
		s.overhang = d.Overhang
	}
	if len(d.RegionOf) == len(s.mesh.Facets) {
		s.regionOf, s.regions = d.RegionOf, regionSigns(s.mesh, d.RegionOf)
	}
	s.supports = shellOf(d.Supports)
	s.footprint = d.Footprint
	s.massCenter = d.CenterOfMass
}

// takeSetter takes from d what shows on the setter. The part may rest there in
// another pose than on the plate, so that footprint and centre of mass are taken
// from the sintered mesh itself.
func (s *Scene) takeSetter(d *orient.Detail) {
	s.footprint = contactHull(s.mesh)
	s.massCenter = s.mesh.Solid().Centroid
	if len(d.SinteredFrom) == len(s.mesh.Facets) {
		s.from = d.SinteredFrom
	}
	s.sagAt = d.SagAt
	s.hasSagAt = d.SagAt != (r3.Vec{})
	s.collapses = d.SagCollapses
	if len(d.Sag) != len(s.mesh.Vertices) || len(d.Sag) == 0 {
		return
	}
	s.sag, s.hasSagAt = d.Sag, true
	worst := 0
	for i, v := range d.Sag {
		if v > d.Sag[worst] {
			worst = i
		}
	}
	s.sagMM = max(d.Sag[worst], d.SagMM, 0)
	s.sagWay, s.farMM = r3.Vec{Z: -s.sagMM}, s.sagMM
	if len(d.Displacement) == len(d.Sag) {
		s.moved, s.sagWay = d.Displacement, d.Displacement[worst]
		for _, v := range s.moved {
			s.farMM = max(s.farMM, r3.Norm(v))
		}
	}
}

// facetOf gives the facet of the part that facet i of the scene lies on.
func (s *Scene) facetOf(i int) int {
	if s.from != nil {
		return int(s.from[i])
	}
	return i
}

// contactMM is how far above the ground a point may lie and still touch it, the
// same as in the definition of the footprint.
const contactMM = 0.05

// contactHull gives the hull of the points of m that touch the ground, counter-
// clockwise.
func contactHull(m *mesh.Mesh) []r2.Vec {
	var pts []r2.Vec
	for _, f := range m.Facets {
		for _, v := range f {
			if p := m.Vertices[v]; p.Z <= contactMM {
				pts = append(pts, r2.Vec{X: p.X, Y: p.Y})
			}
		}
	}
	return hullOf(pts)
}

// scale of the picture: room around the part, as a factor.
const fitMargin = 1.16

// FitMMPerPixel is the scale at which the part fills a picture of the size of
// the shot at zoom 1, with room around it. It does not change with the yaw of
// the camera, so that turning the part does not make it breathe.
func (s *Scene) FitMMPerPixel(shot Shot) float64 {
	size := s.box.Size()
	across := math.Hypot(size.X, size.Y)
	sp, cp := math.Sincos(shot.Camera.PitchDeg * math.Pi / 180)
	high := across*math.Abs(sp) + size.Z*math.Abs(cp)
	return fit(across, high, shot)
}

// fit is the scale at which a width and height in mm fill the shot.
func fit(across, high float64, shot Shot) float64 {
	w, h := float64(max(shot.Width, 1)), float64(max(shot.Height, 1))
	const least = 1e-6 // an empty part still has a scale
	return max(fitMargin*across/w, fitMargin*high/h, least)
}

// CommonScale is the scale, for Shot.MMPerPixel, at which each scene fits a
// picture of the size of the shot. Without scenes it is 0: fit.
func CommonScale(shot Shot, scenes ...*Scene) float64 {
	var scale float64
	for _, s := range scenes {
		scale = max(scale, s.FitMMPerPixel(shot))
	}
	return scale
}

// MMPerPixel is the scale that the shot is drawn at: of the shot or, when it
// leaves that open, fitting; divided by the zoom. Use it to turn a drag in
// pixels into a pan in millimetres.
func (s *Scene) MMPerPixel(shot Shot) float64 {
	scale := shot.MMPerPixel
	if !(scale > 0) {
		scale = s.FitMMPerPixel(shot)
	}
	return scale / shot.Camera.zoom()
}

// lens gives the lens of the shot for a picture of samples times its size.
func (s *Scene) lens(shot Shot, samples int) lens {
	l := lens{center: s.box.Center(), pxPerMM: float64(samples) / s.MMPerPixel(shot)}
	l.right, l.up, l.eye = shot.Camera.axes()
	l.cx = float64(shot.Width*samples)/2 + shot.Camera.PanXMM*l.pxPerMM
	l.cy = float64(shot.Height*samples)/2 - shot.Camera.PanYMM*l.pxPerMM
	l.reachMM = s.box.Diagonal() + 2*s.farMM*math.Abs(shot.Overlays.SagExaggeration) + 10
	return l
}

// size of the machine: that of the stage or, when it is left open, such that
// the part stands well on it.
func (s *Scene) size() r2.Vec {
	if s.stage.SizeMM.X > 0 && s.stage.SizeMM.Y > 0 {
		return s.stage.SizeMM
	}
	size := s.box.Size()
	side := 1.6*max(size.X, size.Y) + 10
	return r2.Vec{X: side, Y: side}
}

// Moves reports whether the way of the surface in the furnace is known, so that
// the shape can be drawn with it.
func (s *Scene) Moves() bool { return s.sagMM > 0 }
