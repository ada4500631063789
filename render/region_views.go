package render

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// regionViews gives up to most cameras that together show the regions of the
// support plan best, the best one first; nil where there are none. A camera more is
// only taken where it shows what the others do not.
func (s *Scene) regionViews(ctx context.Context, most int) []Camera {
	return s.bestViews(ctx, viewsAround(len(s.mesh.Facets)), most)
}

// sizeViews are the same for faces that look all ways: from above where that shows
// as much.
func (s *Scene) sizeViews(ctx context.Context, most int) []Camera {
	var above, below []Camera
	for _, c := range viewsAround(len(s.mesh.Facets)) {
		if c.PitchDeg > 0 {
			above = append(above, c)
		} else {
			below = append(below, c)
		}
	}
	return s.bestViews(ctx, append(above, below...), most)
}

// bestViews chooses among the cameras.
func (s *Scene) bestViews(ctx context.Context, all []Camera, most int) []Camera {
	if len(s.regions) < 2 {
		return nil
	}
	shown := make([][]float64, len(all))
	for i, c := range all {
		if ctx.Err() != nil {
			return nil
		}
		shown[i] = s.shares(ctx, c)
	}
	var out []Camera
	seen := make([]float64, len(s.regions)) // by the cameras so far
	for len(out) < most {
		best, gain := -1, leastGain
		for i := range all {
			if g := gainOf(shown[i], seen); g > gain+1e-9 {
				best, gain = i, g
			}
		}
		if best < 0 {
			break
		}
		out = append(out, all[best])
		for n, v := range shown[best] {
			seen[n] = max(seen[n], v)
		}
	}
	return out
}

// closeUp gives the camera and scale at which what is seen of the regions fills the
// shot; false where that is not much nearer than the whole part.
func (s *Scene) closeUp(ctx context.Context, shot Shot) (near Shot, ok bool) {
	whole := shot
	whole.Camera, whole.MMPerPixel = s.tight(shot)
	f := s.depthOf(ctx, Shot{Camera: shot.Camera, Width: 240, Height: 180}.complete())
	defer s.buffers.Put(f.b)
	l := lens{right: f.lens.right, up: f.lens.up, pxPerMM: 1, center: s.box.Center(), reachMM: 1}
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for i, n := range s.regionOf {
		if n <= 0 || !f.b.front[i] || !f.inSight(middleOf(s.mesh, i)) {
			continue
		}
		for _, v := range s.mesh.Facets[i] {
			p := l.at(s.mesh.Vertices[v])
			x0, x1 = min(x0, p.x), max(x1, p.x)
			y0, y1 = min(y0, p.y), max(y1, p.y)
		}
	}
	if x0 > x1 {
		return shot, false
	}
	const (
		around  = 1.25 // room for the part about the regions
		nearest = 0.2  // of the scale of the whole
		worth   = 0.7
	)
	shot.Camera.PanXMM, shot.Camera.PanYMM = -(x0+x1)/2, (y0+y1)/2
	shot.MMPerPixel = max(around*fit(x1-x0, y1-y0, shot), nearest*whole.MMPerPixel)
	return shot, shot.MMPerPixel < worth*whole.MMPerPixel
}

// leastGain is how much of the showing of one region a camera has to add.
const leastGain = 0.1

// gainOf sums over the regions what shown adds to seen.
func gainOf(shown, seen []float64) float64 {
	sum := 0.0
	for n, v := range shown {
		sum += max(v-seen[n], 0)
	}
	return sum
}

// viewsAround are the cameras tried, the usual ones first; fewer for a large mesh.
func viewsAround(facets int) []Camera {
	const large = 200_000
	turns, pitches := 8, []float64{-28, 22, -60, 55}
	if facets > large {
		turns, pitches = 4, []float64{-40, 30}
	}
	var out []Camera
	for _, pitch := range pitches {
		for k := range turns {
			c := DefaultCamera()
			c.YawDeg, c.PitchDeg = math.Mod(c.YawDeg+float64(k)*360/float64(turns), 360), pitch
			out = append(out, c)
		}
	}
	return out
}

// shares tells how well each region is seen from a camera, by number: the share of
// its true area that shows, 1 from a third on, where it is plain to see.
func (s *Scene) shares(ctx context.Context, c Camera) []float64 {
	const plainFrom = 1.0 / 3
	f := s.depthOf(ctx, Shot{Camera: c, Width: 240, Height: 180}.complete())
	defer s.buffers.Put(f.b)
	out := make([]float64, len(s.regions))
	for i, n := range s.regionOf {
		if n <= 0 || !f.b.front[i] {
			continue
		}
		shadow := r3.Dot(s.mesh.AreaVector(i), f.lens.eye)
		points := pointsOf(s.mesh.Corners(i))
		for _, p := range points {
			if f.inSight(p) {
				out[n] += shadow / float64(len(points))
			}
		}
	}
	for n := range out {
		if a := s.regions[n].areaMM2; a > 0 {
			out[n] = min(out[n]/a/plainFrom, 1)
		}
	}
	return out
}

// pointsOf gives points spread over a triangle: the middles of its four quarters.
func pointsOf(a, b, c r3.Vec) [4]r3.Vec {
	mix := func(u, v, w float64) r3.Vec {
		return r3.Add(r3.Scale(u, a), r3.Add(r3.Scale(v, b), r3.Scale(w, c)))
	}
	const far, near = 2.0 / 3, 1.0 / 6
	return [4]r3.Vec{mix(1.0/3, 1.0/3, 1.0/3), mix(far, near, near), mix(near, far, near), mix(near, near, far)}
}

// depthOf rasterises the part alone, for its depth. The buffers are to be given
// back to the scene.
func (s *Scene) depthOf(ctx context.Context, shot Shot) *frame {
	f := &frame{
		s: s, ctx: ctx, shot: shot, pal: &shot.Palette, lens: s.lens(shot, 1), unit: 1, w: shot.Width, h: shot.Height,
	}
	f.b = s.take(f.w, f.h)
	f.b.project(s, &f.lens, 0)
	f.b.face(s, f.w, f.h)
	f.b.part.clear(nil)
	src := &partSource{s: s, b: f.b}
	f.b.part.draw(ctx, &f.b.lists, src, func(b *band) painter { return f.partPainter(b, src) })
	return f
}

// viewWords says from where a camera looks.
func viewWords(c Camera) string {
	side := [8]string{"front", "front right", "right", "back right", "back", "back left", "left", "front left"}
	k := int(math.Round(math.Mod(c.YawDeg+360, 360)/45)) % len(side)
	height := "above"
	if c.PitchDeg < 0 {
		height = "below"
	}
	return "from " + height + ", " + side[k]
}
