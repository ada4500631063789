package render

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"kilnpoise/mesh"
	"kilnpoise/orient"
)

// samplePointsOn gives n directions of a spherical Fibonacci lattice with smooth
// measures: support least along a tilted axis, gates failed about -X, sag beyond
// numbers about -Z.
func samplePointsOn(n int) []orient.MapPoint {
	axis := r3.Unit(r3.Vec{X: 1, Y: 2, Z: 2})
	out := make([]orient.MapPoint, n)
	for i := range out {
		z := 1 - (2*float64(i)+1)/float64(n)
		sin, cos := math.Sincos(float64(i) * math.Pi * (3 - math.Sqrt(5)))
		r := math.Sqrt(1 - z*z)
		up := r3.Vec{X: r * cos, Y: r * sin, Z: z}
		out[i] = orient.MapPoint{Up: orient.Triple{up.X, up.Y, up.Z}, Cost: (1 - r3.Dot(up, axis)) / 2, State: orient.Failed}
		if up.X > -0.6 {
			out[i].State = orient.Passed
		}
		m := &out[i].Measures
		m.SupportVolumeMM3, m.TipAngleDeg = 4200*(1-r3.Dot(up, axis)), 40*math.Abs(z)
		m.SagMM, m.SagCollapses = 0.2+z*z, z < -0.8
	}
	return out
}

// upward is a candidate built along up.
func upward(rank int, origin orient.Origin, up r3.Vec) orient.Candidate {
	return orient.Candidate{Rank: rank, Origin: origin, Pose: orient.Pose{Rotation: mesh.RotationBetween(r3.Unit(up), r3.Vec{Z: 1})}}
}

// sampleMarks are some candidates, two of them close together and two on the rim.
func sampleMarks() []orient.Candidate {
	return []orient.Candidate{
		upward(1, orient.FromSearch, r3.Vec{X: 1, Y: 2, Z: 2}), upward(2, orient.FromSearch, r3.Vec{X: 1, Y: 2.1, Z: 2.3}),
		upward(3, orient.FromSearch, r3.Vec{X: -1}), upward(4, orient.AsLoaded, r3.Vec{Z: 1}),
		upward(5, orient.Given, r3.Vec{Y: -1, Z: -1}), upward(6, orient.FromSearch, r3.Vec{Y: 1}),
	}
}

func measureOf(t testing.TB, key string) Measure {
	t.Helper()
	m, err := MeasureNamed(Measures(nil), key)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestGoldenDirectionMap(t *testing.T) {
	full := NewDirectionMap(samplePointsOn(2000))
	for _, c := range []struct {
		name, key string
		density   float64
		palette   Palette
	}{
		{"map-support.png", "support_volume", 1, LightPalette()},
		{"map-tip-dark.png", "tip_angle", 1, DarkPalette()},
		{"map-sag-2x.png", "sag", 2, LightPalette()},
	} {
		t.Run(c.name, func(t *testing.T) {
			sameAsGolden(t, c.name, full.Frame(MapShot{
				Measure: measureOf(t, c.key), Candidates: sampleMarks(), Chosen: 2,
				Width: int(300 * c.density), Height: int(170 * c.density), Density: c.density, Palette: c.palette,
			}))
		})
	}
}

// direction draws a unit vector evenly from the sphere.
func direction(t *rapid.T) r3.Vec {
	z := rapid.Float64Range(-1, 1).Draw(t, "z")
	sin, cos := math.Sincos(rapid.Float64Range(0, 2*math.Pi).Draw(t, "longitude"))
	r := math.Sqrt(1 - z*z)
	return r3.Vec{X: r * cos, Y: r * sin, Z: z}
}

func TestDirectionAtInvertsTheProjection(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		shot := MapShot{
			Width: rapid.IntRange(80, 900).Draw(t, "width"), Height: rapid.IntRange(80, 700).Draw(t, "height"),
			Density: rapid.Float64Range(0.5, 3).Draw(t, "density"), Bare: rapid.Bool().Draw(t, "bare"),
		}
		up := direction(t)
		if math.Abs(up.Z) < 1e-6 { // on the rim rounding decides whether it is met
			return
		}
		x, y := shot.SpotOf(r3.Scale(3, up))
		back, ok := shot.DirectionAt(x, y)
		if !ok || r3.Norm(r3.Sub(back, up)) > 1e-9 {
			t.Fatalf("%v is drawn at %g, %g, where %v is read (%v)", up, x, y, back, ok)
		}
	})
}

// Equal solid angles have equal areas: the image of a small parallelogram on the
// sphere has the same share of the disc everywhere, that of the half sphere, pi r^2
// for 2 pi.
func TestEqualSolidAnglesHaveEqualAreas(t *testing.T) {
	d := discs{left: spot{x: 200, y: 150}, right: spot{x: 500, y: 150}, radius: 120}
	rapid.Check(t, func(t *rapid.T) {
		up := direction(t)
		const step = 1e-4
		if math.Abs(up.Z) < 2*step { // the patch would lie on both discs
			return
		}
		u := mesh.Across(up)
		v := r3.Cross(up, u)
		move := func(d r3.Vec) r3.Vec { return r3.Unit(r3.Add(up, r3.Scale(step, d))) }
		a, b := d.at(move(u)), d.at(move(v))
		c, e := d.at(move(r3.Scale(-1, u))), d.at(move(r3.Scale(-1, v)))
		area := math.Abs((a.x-c.x)*(b.y-e.y)-(a.y-c.y)*(b.x-e.x)) / (4 * step * step)
		if want := d.radius * d.radius / 2; math.Abs(area-want) > 1e-3*want {
			t.Fatalf("at %v a steradian has %g square pixels, want %g", up, area, want)
		}
	})
}

// Where the discs lie, by the axes that everyone knows.
func TestAxesOnTheDiscs(t *testing.T) {
	shot := MapShot{Width: 400, Height: 220}
	d := shot.complete().discs()
	for _, c := range []struct {
		up   r3.Vec
		x, y float64
	}{
		{r3.Vec{Z: 1}, d.left.x, d.left.y}, {r3.Vec{Z: -1}, d.right.x, d.right.y},
		{r3.Vec{X: 1}, d.left.x + d.radius, d.left.y}, {r3.Vec{Y: 1}, d.left.x, d.left.y - d.radius},
		{r3.Vec{X: 1, Z: -1e-12}, d.left.x + d.radius, d.left.y},
		{r3.Vec{Y: -1, Z: -1e-6}, d.right.x, d.right.y + d.radius},
	} {
		if x, y := shot.SpotOf(c.up); math.Hypot(x-c.x, y-c.y) > 1e-3 {
			t.Errorf("%v is drawn at %.2f, %.2f, want %.2f, %.2f", c.up, x, y, c.x, c.y)
		}
	}
	for _, p := range [][2]float64{{0, 0}, {200, 5}, {399, 219}, {200, 110}} {
		if up, ok := shot.DirectionAt(p[0], p[1]); ok {
			t.Errorf("outside the discs, at %v, the direction %v is read", p, up)
		}
	}
}

// The index finds what a look at every sample finds, and a sample keeps its value.
func TestBlendAgainstEverySample(t *testing.T) {
	for _, n := range []int{1, 3, 40, 700} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			points := samplePointsOn(n)
			values := make([]float64, n)
			for i := range values {
				values[i] = points[i].Cost
			}
			index := newSphereIndex(points)
			for i := range points {
				if v, k := index.blend(points[i].Up.Vec(), values); math.Abs(v-values[i]) > 1e-6 || int(k) != i {
					t.Errorf("on sample %d: %g of sample %d, want %g", i, v, k, values[i])
				}
			}
			rapid.Check(t, func(t *rapid.T) {
				up := direction(t)
				got, k := index.blend(up, values)
				best, sum, weights := math.Inf(1), 0.0, 0.0
				for i, u := range index.ups {
					d2 := r3.Norm2(r3.Sub(u, up))
					best = min(best, d2)
					if d2 < index.reach*index.reach {
						w := (index.reach*index.reach - d2) / (d2 + tinyChord2)
						sum, weights = sum+w*w*values[i], weights+w*w
					}
				}
				if d := r3.Norm2(r3.Sub(index.ups[k], up)); d > best+1e-12 {
					t.Fatalf("nearest at %g, want %g", d, best)
				}
				if weights > 0 && math.Abs(got-sum/weights) > 1e-9 {
					t.Fatalf("value %g, want %g", got, sum/weights)
				}
			})
		})
	}
}

// What the map says of a direction comes near to what was measured there: a
// smooth measure is met to a few hundredths of its range.
func TestMapValueOfSmoothMeasure(t *testing.T) {
	m := NewDirectionMap(samplePointsOn(1000))
	support := measureOf(t, "support_volume")
	axis := r3.Unit(r3.Vec{X: 1, Y: 2, Z: 2})
	rapid.Check(t, func(t *rapid.T) {
		up := direction(t)
		got, passes, ok := m.At(support, up)
		want := 4.2 * (1 - r3.Dot(up, axis))
		if !ok || math.Abs(got-want) > 0.03*8.4 {
			t.Fatalf("at %v: %g cm3 (%v), want %g", up, got, ok, want)
		}
		if math.Abs(up.X+0.6) > 0.1 && passes != (up.X > -0.6) {
			t.Fatalf("at %v passes = %v", up, passes)
		}
	})
	if v, _, _ := m.At(measureOf(t, "sag"), r3.Vec{Z: -1}); !math.IsInf(v, 1) {
		t.Errorf("sag at -Z %g, want a collapse", v)
	}
}

func TestMapTakesAnything(t *testing.T) {
	nan := samplePointsOn(20)
	for i := range nan {
		nan[i].Cost, nan[i].Up = math.NaN(), orient.Triple{}
	}
	for name, points := range map[string][]orient.MapPoint{
		"none": nil, "one": samplePointsOn(1), "no numbers, no directions": nan, "a few": samplePointsOn(7),
	} {
		for _, size := range [][2]int{{1, 1}, {30, 20}, {300, 90}, {90, 300}} {
			img := NewDirectionMap(points).Frame(MapShot{Width: size[0], Height: size[1], Candidates: sampleMarks(), Chosen: 9})
			if img.Rect.Dx() != size[0] || img.Rect.Dy() != size[1] {
				t.Errorf("%s: a picture of %v, want %v", name, img.Rect, size)
			}
		}
	}
	if _, _, ok := NewDirectionMap(nil).At(Measure{}, r3.Vec{Z: 1}); ok {
		t.Error("a map without points knows a value")
	}
}

// No sign covers another, unless there is no room at all.
func TestSignsStandApart(t *testing.T) {
	var all []orient.Candidate
	for i := range 9 {
		all = append(all, upward(i+1, orient.FromSearch, r3.Vec{X: 0.01 * float64(i), Y: 0.5, Z: 1}))
	}
	s := MapShot{Width: 300, Height: 170, Candidates: all, Chosen: 4}.complete()
	f := &mapFrame{s: s, discs: s.discs()}
	signs := f.signs()
	if signs[0].text != "4" || !signs[0].loud || signs[0].set != signs[0].at {
		t.Errorf("the chosen one does not stand in its place: %+v", signs[0])
	}
	for i := range signs {
		for j := range i {
			if d := math.Hypot(signs[i].set.x-signs[j].set.x, signs[i].set.y-signs[j].set.y); d < 2*signRadius {
				t.Errorf("signs %d and %d are %.1f apart, want %g", i, j, d, 2*signRadius)
			}
		}
	}
}

func TestMeasuresAreToldApart(t *testing.T) {
	seen := map[string]bool{}
	c := sampleCandidate(2, orient.FromSearch, "Z")
	for _, m := range Measures(nil) {
		if m.Key == "" || m.Name == "" || seen[m.Key] || seen[m.Label()] {
			t.Errorf("measure %q, %q: empty or twice", m.Key, m.Label())
		}
		seen[m.Key], seen[m.Label()] = true, true
		if v := m.OfCandidate(&c); math.IsNaN(v) {
			t.Errorf("%s of a candidate is no number", m.Key)
		}
	}
	if _, err := MeasureNamed(Measures(nil), "beauty"); err == nil {
		t.Error("a measure that is not there is found")
	}
	for _, tt := range []struct {
		key  string
		v    float64
		want string
	}{
		{"support_volume", 1.23456, "1.23 cm³"}, {"support_volume", 0.0123, "0.012 cm³"}, {"support_volume", 123.4, "123 cm³"},
		{"sag", math.Inf(1), "collapses"}, {"tip_angle", 31.4, "31°"}, {"cost", 0.314, "0.31"}, {"footprint", 1234.5, "1234 mm²"}, {"footprint", 12345.6, "12 346 mm²"},
	} {
		if got := measureOf(t, tt.key).Text(tt.v); got != tt.want {
			t.Errorf("%s of %g reads %q, want %q", tt.key, tt.v, got, tt.want)
		}
	}
}

func BenchmarkDirectionMap(b *testing.B) {
	for _, n := range []int{2000, 20000} {
		for _, density := range []float64{1, 2} {
			b.Run(fmt.Sprintf("%d points, density %g", n, density), func(b *testing.B) {
				m := NewDirectionMap(samplePointsOn(n))
				shot := MapShot{
					Measure: measureOf(b, "support_volume"), Candidates: sampleMarks(), Chosen: 1,
					Width: int(300 * density), Height: int(170 * density), Density: density,
				}
				b.ReportAllocs()
				for range b.N {
					m.Frame(shot)
				}
			})
		}
	}
}

// An exact face is a mark of its own in the colour of its own value, and leaves the
// lattice about it as it was; struck through where its gates are not passed.
func TestFacesAreSingleMarks(t *testing.T) {
	var points []orient.MapPoint
	for i := range 400 {
		z := 1 - 2*(float64(i)+0.5)/400
		r, a := math.Sqrt(1-z*z), 2.399963*float64(i)
		points = append(points, orient.MapPoint{Up: orient.Triple{r * math.Cos(a), r * math.Sin(a), z}, Cost: 1 + z})
	}
	s := MapShot{Width: 400, Height: 260, Density: 1}
	plain := NewDirectionMap(points).Frame(s)
	up := r3.Unit(r3.Vec{X: 0.3, Y: 0.2, Z: 0.9})
	x, y := s.SpotOf(up)
	changed := map[orient.State]int{}
	for _, state := range []orient.State{orient.Passed, orient.Doubtful, orient.Failed} {
		m := NewDirectionMap(append(points[:len(points):len(points)], orient.MapPoint{Up: orient.Triple{up.X, up.Y, up.Z}, Cost: 2, State: state, Face: true}))
		img := m.Frame(s)
		for py := range 260 {
			for px := range 400 {
				if img.RGBAAt(px, py) == plain.RGBAAt(px, py) {
					continue
				}
				if math.Hypot(float64(px)-x, float64(py)-y) > 10 {
					t.Fatalf("%s: the map differs at %d, %d, far from the mark at %.0f, %.0f", state, px, py, x, y)
				}
				changed[state]++
			}
		}
		if f := m.FaceAt(s, x+3, y-3); f == nil || f.State != state {
			t.Errorf("%s: the mark is not found", state)
		}
		if f := m.FaceAt(s, x+20, y); f != nil {
			t.Errorf("%s: a mark is found beside it", state)
		}
	}
	if changed[orient.Passed] == 0 || changed[orient.Doubtful] <= changed[orient.Passed] || changed[orient.Failed] <= changed[orient.Doubtful] {
		t.Errorf("the states cover %v pixels", changed)
	}
}

// A shape that is not drawn true says so in the picture itself.
func TestExaggerationIsWrittenIntoThePicture(t *testing.T) {
	s := &Scene{sagMM: 0.3}
	for times, want := range map[float64]string{0: "", 1: "", 20: "shape drawn with 20 × the sag"} {
		if got := s.drawnLarger(times); got != want {
			t.Errorf("%g: %q, want %q", times, got, want)
		}
	}
}
