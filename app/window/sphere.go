package window

import (
	"context"
	"fmt"
	"image"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/window/kit"
	"kilnpoise/app/window/machines"
	"kilnpoise/orient"
	"kilnpoise/render"
)

// sphereState is the map of every build direction: measured once for each advice
// in the background, drawn anew for each measure and choice.
type sphereState struct {
	of      *orient.Advice
	drawn   *render.DirectionMap
	measure int
	shot    render.MapShot
	// picked is the direction that was clicked last; zero for none.
	picked r3.Vec
}

// sphereDirections is how many directions the map of the window has: neighbours
// lie about 3 degrees apart, as near as a candidate is told from the next.
const sphereDirections = 4096

// mapSphere measures the whole sphere in the background.
func (w *mainWindow) mapSphere() {
	a := w.desk.advice
	if a == nil || w.sphere.of == a {
		return
	}
	ctx, ticket := w.mapping.begin(w.ctx)
	var drawn *render.DirectionMap
	w.background("measuring the whole sphere", func() error {
		points, err := w.engine.Map(ctx, a, sphereDirections)
		if err == nil {
			drawn = render.NewDirectionMap(points)
		}
		return err
	}, func(err error) {
		w.tellFault(err)
		if !w.mapping.done(ticket) || err != nil || w.desk.part != a.AsRead() {
			return
		}
		w.sphere.of, w.sphere.drawn, w.sphere.picked = a, drawn, r3.Vec{}
		w.showWhy()
	})
}

// Map measures n directions of the whole sphere, and the resting faces exactly.
func (workshop) Map(ctx context.Context, a *orient.Advice, n int) ([]orient.MapPoint, error) {
	points, err := a.Map(ctx, n, nil)
	if err != nil {
		return nil, err
	}
	faces, err := a.MapFaces(ctx)
	return append(points, faces...), err
}

// showSphere draws the map of what is on the desk, in the background.
func (w *mainWindow) showSphere() {
	c, s := w.desk.candidate(), &w.sphere
	if c == nil || w.desk.advice == nil || s.drawn == nil {
		return
	}
	list := render.Measures(&w.desk.advice.Brief)
	s.measure = min(s.measure, len(list)-1)
	w.why.sphere.SetMeasures(measureNames(list), s.measure)
	scale := w.win.Canvas().Scale()
	palette := machines.PicturePalette()
	palette.Background = machines.Opaque(kit.Themed(kit.ColorRaised))
	s.shot = render.MapShot{
		Measure: list[s.measure], Candidates: w.desk.advice.Candidates, Chosen: c.Rank,
		Width: int(sphereWidth * scale), Height: int(sphereHeight * scale), Density: float64(scale), Palette: palette,
	}
	shot, drawn := s.shot, s.drawn
	_, ticket := w.sphering.begin(w.ctx)
	var img *image.RGBA
	w.background("drawing the map of all directions", func() error {
		img = drawn.Frame(shot)
		return nil
	}, func(err error) {
		w.tellFault(err)
		if w.sphering.done(ticket) && err == nil {
			w.why.sphere.chart.SetPicture(img)
		}
	})
}

// takeSphereMeasure colours the map by another measure.
func (w *mainWindow) takeSphereMeasure(i int) {
	w.sphere.measure = i
	w.showSphere()
}

// pointSphere says what lies at a place of the map.
func (w *mainWindow) pointSphere(x, y float64) {
	if w.sphere.picked == (r3.Vec{}) {
		w.tellDirection(x, y, false)
	}
}

// tellDirection says what is known of the direction at a place of the map, and
// whether there is one.
func (w *mainWindow) tellDirection(x, y float64, own bool) (r3.Vec, bool) {
	s := &w.sphere
	up, ok := s.shot.DirectionAt(x, y)
	if !ok || s.drawn == nil {
		w.why.sphere.SetWords(sphereHint, false)
		return up, false
	}
	what := "Up"
	value, passes, known := s.drawn.At(s.shot.Measure, up)
	gates := map[bool]string{true: "passes every gate", false: "does not pass every gate"}[passes]
	if face := s.drawn.FaceAt(s.shot, x, y); face != nil {
		up, value, known = face.Up.Vec(), s.shot.Measure.OfPoint(face), true
		what, gates = "On a face, up", stateWords(face.State)
	}
	if !known {
		return up, false
	}
	w.why.sphere.SetWords(kit.Typeset(kit.Minus(fmt.Sprintf("%s (%.2f, %.2f, %.2f): %s %s, to some per cent; %s.",
		what, up.X, up.Y, up.Z, s.shot.Measure.Name, s.shot.Measure.Text(value), gates))), own)
	return up, true
}

// stateWords says how the gates are passed.
func stateWords(s orient.State) string {
	switch s {
	case orient.Passed:
		return "passes every gate"
	case orient.Doubtful:
		return "in doubt at a gate"
	}
	return "fails a gate"
}

// nearPixels is how near a click must come to the mark of a candidate to choose
// it, in units of the window.
const nearPixels = 9

// pickSphere chooses the candidate that is clicked on the map, or looks at the
// part from the direction that is.
func (w *mainWindow) pickSphere(x, y float64) {
	s := &w.sphere
	near := nearPixels * s.shot.Density
	for i := range s.shot.Candidates {
		cx, cy := s.shot.SpotOf(s.shot.Candidates[i].Pose.Up())
		if math.Hypot(x-cx, y-cy) <= near {
			s.picked = r3.Vec{}
			w.choose(i)
			return
		}
	}
	up, ok := w.tellDirection(x, y, true)
	s.picked = r3.Vec{}
	if !ok {
		return
	}
	s.picked = up
	w.machines.SetCamera(lookFrom(w.desk.candidate().Pose.Rotation.MulVec(up)))
}

// lookFrom looks at the middle of the part from a direction of the print frame.
func lookFrom(d r3.Vec) render.Camera {
	c := render.DefaultCamera()
	d = r3.Unit(d)
	c.PitchDeg = math.Asin(min(max(d.Z, -1), 1)) * 180 / math.Pi
	if math.Hypot(d.X, d.Y) > 1e-6 {
		c.YawDeg = math.Atan2(d.X, -d.Y) * 180 / math.Pi
	}
	return c
}

// ownDirection measures the direction picked on the map as a candidate.
func (w *mainWindow) ownDirection() {
	up := w.sphere.picked
	if up == (r3.Vec{}) {
		return
	}
	w.ownWay(up)
}

// ownWay measures a way up as a candidate, which is then chosen.
func (w *mainWindow) ownWay(up r3.Vec) {
	w.sphere.picked = r3.Vec{}
	w.why.sphere.SetWords(sphereHint, false)
	if w.desk.restOn(r3.Scale(-1, up)) {
		w.did("measure a way up")
		w.title.SetHint("Measuring your own …")
		w.advise()
		return
	}
	w.show()
}
