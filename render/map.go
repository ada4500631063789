package render

import (
	"image"
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient"
)

// DirectionMap draws the whole sphere of build directions as two equal-area
// discs, coloured by one measure: left the directions that lie on the side of +Z
// of the part frame, right those on the side of -Z, the pole in the middle, X to
// the right and Y up on both. It shows at a glance whether the best direction is
// broad or a needle. It is never changed after NewDirectionMap and may be used by
// several goroutines at once.
type DirectionMap struct {
	points []orient.MapPoint
	// faces are the exact resting faces: single marks on what lies about them.
	faces   []orient.MapPoint
	spheres func() *sphereIndex
}

// NewDirectionMap takes the directions as orient.Advice.Map measures them; it
// keeps hold of points, which must not be changed afterwards. Points without a
// direction are left out; without points the discs stay empty.
func NewDirectionMap(points []orient.MapPoint) *DirectionMap {
	aimless := func(p orient.MapPoint) bool { return !(r3.Norm(p.Up.Vec()) > 0) }
	if slices.ContainsFunc(points, aimless) {
		points = slices.DeleteFunc(slices.Clone(points), aimless)
	}
	var faces []orient.MapPoint
	if isFace := func(p orient.MapPoint) bool { return p.Face }; slices.ContainsFunc(points, isFace) {
		for _, p := range points {
			if p.Face {
				faces = append(faces, p)
			}
		}
		points = slices.DeleteFunc(slices.Clone(points), isFace)
	}
	return &DirectionMap{points: points, faces: faces, spheres: sync.OnceValue(func() *sphereIndex { return newSphereIndex(points) })}
}

// MapShot is everything about a drawing of a map but its points. The zero value
// but for Width and Height is usable: the first of Measures, no candidates.
type MapShot struct {
	Measure Measure
	// Candidates are marked by their ranks; Chosen is the rank of the one that
	// stands out, 0 for none.
	Candidates []orient.Candidate
	Chosen     int
	// Width, Height and Density are as in Shot.
	Width, Height int
	Density       float64
	// Palette holds the colours; the zero value means LightPalette.
	Palette Palette
	// Bare leaves out the legend below the discs: see DirectionMap.Legend.
	Bare bool
}

// complete fills in what the shot leaves open.
func (s MapShot) complete() MapShot {
	s.Width, s.Height = max(s.Width, 1), max(s.Height, 1)
	if !(s.Density > 0) {
		s.Density = 1
	}
	if s.Palette.Ramp == nil {
		s.Palette = LightPalette()
	}
	if s.Measure.of == nil {
		s.Measure = Measures(nil)[0]
	}
	return s
}

// White around the discs, window units: letters stand in it.
const (
	mapLetter = 13 // over and beside each disc
	mapFoot   = 6
	mapLine   = 19 // a line of the legend
)

// discs gives where the discs lie.
func (s MapShot) discs() discs {
	u := s.Density
	foot := mapFoot * u
	if !s.Bare {
		foot += 2 * mapLine * u
	}
	w, h := float64(s.Width), float64(s.Height)
	r := max(min((w/2-2*mapLetter*u)/2, (h-mapLetter*u-foot)/2), 1)
	y := mapLetter*u + (h-mapLetter*u-foot)/2
	return discs{left: spot{x: w / 4, y: y}, right: spot{x: 3 * w / 4, y: y}, radius: r}
}

// DirectionAt gives the build direction, part frame, that is drawn at a point of
// the picture, in pixels from its upper left corner; false outside the discs.
func (s MapShot) DirectionAt(x, y float64) (up r3.Vec, ok bool) {
	d := s.complete().discs()
	return d.under(x, y)
}

// SpotOf gives where a build direction is drawn, the inverse of DirectionAt; up
// need not have length 1, but must not be 0.
func (s MapShot) SpotOf(up r3.Vec) (x, y float64) {
	d := s.complete().discs()
	at := d.at(r3.Unit(up))
	return at.x, at.y
}

// At gives the value of a measure in the direction up, as it is coloured, and
// whether the nearest measured direction passes all gates; false for ok where the
// map has no points.
func (m *DirectionMap) At(measure Measure, up r3.Vec) (value float64, passes, ok bool) {
	if len(m.points) == 0 || r3.Norm(up) == 0 {
		return math.NaN(), false, false
	}
	v, nearest := m.spheres().blend(r3.Unit(up), m.values(measure))
	return v, m.points[nearest].Passes(), true
}

// nearFace is how near a place is to the mark of a face to be on it, window units.
const nearFace = 7

// FaceAt gives the resting face whose mark is drawn at a point of the picture, or nil.
// The caller must not change it.
func (m *DirectionMap) FaceAt(s MapShot, x, y float64) *orient.MapPoint {
	s = s.complete()
	d := s.discs()
	var found *orient.MapPoint
	least := nearFace * s.Density
	for i := range m.faces {
		at := d.at(r3.Unit(m.faces[i].Up.Vec()))
		if away := math.Hypot(at.x-x, at.y-y); away <= least {
			found, least = &m.faces[i], away
		}
	}
	return found
}

// values gives the measure at every point.
func (m *DirectionMap) values(measure Measure) []float64 {
	out := make([]float64, len(m.points))
	for i := range m.points {
		out[i] = measure.OfPoint(&m.points[i])
	}
	return out
}

// Frame draws the map. The image is new and belongs to the caller.
func (m *DirectionMap) Frame(s MapShot) *image.RGBA {
	s = s.complete()
	img := image.NewRGBA(image.Rect(0, 0, s.Width, s.Height))
	pour(img, s.Palette.Background)
	signer, ok := newSigner(img, s.Density, &s.Palette)
	if !ok {
		return img
	}
	f := &mapFrame{m: m, s: s, discs: s.discs(), img: img, pen: pen{img: img}, t: signer.t}
	f.values = m.values(s.Measure)
	f.best, f.worst = rangeOf(f.values, s.Measure.MoreIsBetter)
	f.top = 1
	if slices.ContainsFunc(f.values, func(v float64) bool { return math.IsInf(v, 1) }) {
		const step = 1.0 / float64(len(Ramp{}))
		f.top -= step
	}
	f.fill()
	f.rims()
	f.needles()
	signer.draw(f.signs())
	if !s.Bare {
		f.legend()
	}
	return img
}

// rangeOf gives the finite ends of values, the better first; 0, 0 where there is
// no finite value.
func rangeOf(values []float64, moreIsBetter bool) (best, worst float64) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range values {
		if !isNumber(v) {
			continue
		}
		lo, hi = min(lo, v), max(hi, v)
	}
	switch {
	case lo > hi:
		return 0, 0
	case moreIsBetter:
		return hi, lo
	}
	return lo, hi
}
