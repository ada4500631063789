package furnace

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// octahedron stands on one corner.
func octahedron(a float64) *mesh.Mesh {
	return &mesh.Mesh{
		Vertices: []r3.Vec{{Z: 0}, {X: a, Z: a}, {Y: a, Z: a}, {X: -a, Z: a}, {Y: -a, Z: a}, {Z: 2 * a}},
		Facets:   [][3]int32{{0, 2, 1}, {0, 3, 2}, {0, 4, 3}, {0, 1, 4}, {5, 1, 2}, {5, 2, 3}, {5, 3, 4}, {5, 4, 1}},
	}
}

// TestHostileShapes: an answer, or one clear sentence; never a hang, a NaN or a
// rigid motion dressed up as sag.
func TestHostileShapes(t *testing.T) {
	cube := [6]float64{0, 0, 0, 10, 10, 10}
	holed := boxes(cube)
	holed.Facets = slices.Delete(holed.Facets, 2, 4) // the lid is missing
	pinhole := ring(5, 8, 10, 400)
	pinhole.Facets = slices.Delete(pinhole.Facets, 10, 11)
	nan := boxes(cube)
	nan.Vertices[3].X = math.NaN()
	fins := boxes([6]float64{0, 0, 0, 40, 20, 4})
	for x := 2.0; x < 38; x += 3 {
		fins.Append(boxes([6]float64{x, 0, 3.9, x + 0.4, 20, 14}))
	}
	loose := boxes([6]float64{0, 0, 0, 20, 20, 20})
	loose.Append(insideOut(boxes([6]float64{4, 4, 4, 16, 16, 16})))
	loose.Append(boxes([6]float64{8, 8, 8, 12, 12, 12}))
	upside := octahedron(6)

	tests := []struct {
		name string
		mesh *mesh.Mesh
		want error // nil: an answer; errAny: some sentence or an answer
		most float64
	}{
		{"body loose in a cavity", loose, ErrLoose, 0},
		{"two bodies side by side", boxes(cube, [6]float64{15, 0, 0, 25, 10, 10}), nil, 0.1},
		{"body above another", boxes(cube, [6]float64{0, 0, 12, 10, 10, 20}), ErrLoose, 0},
		{"bodies that touch along an edge", boxes(cube, [6]float64{10, 0, 10, 20, 10, 20}), ErrLoose, 0},
		{"standing bodies that touch along an edge", boxes(cube, [6]float64{10, 10, 0, 20, 20, 10}), nil, 0.1},
		{"lid missing", holed, ErrOpen, 0},
		{"pinhole", pinhole, nil, 0.1},
		{"thin fins", fins, nil, 0.5},
		{"needle upright", boxes([6]float64{0, 0, 0, 0.5, 0.5, 60}), nil, 0.5},
		{"needle lying", boxes([6]float64{0, 0, 0, 200, 0.4, 0.4}), nil, 0.1},
		{"on one corner", upside, errAny, 10},
		{"ball", ball(10, 40), errAny, 10},
		{"lying bar", disc(8, 50, 180).Transform(mesh.RotationAbout(r3.Vec{X: 1}, math.Pi/2), r3.Vec{Z: 8}), nil, 0.3},
		{"tips", boxes([6]float64{0, 0, 0, 4, 4, 10}, [6]float64{0, 0, 10, 30, 4, 13}), ErrTips, 0},
		{"above the setter", boxes([6]float64{0, 0, 3, 10, 10, 13}), ErrLoose, 0},
		{"below the setter", boxes([6]float64{0, 0, -3, 10, 10, 13}), errAny, -1},
		{"empty", &mesh.Mesh{}, errAny, -1},
		{"not a number", nan, errAny, -1},
		{"flat", boxes([6]float64{0, 0, 0, 10, 10, 0}), errAny, -1},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
			defer cancel()
			s, err := Solve(ctx, tt.mesh, DefaultCreep(), Options{Elements: 6000})
			if ctx.Err() != nil {
				t.Fatal("it hangs")
			}
			if err != nil {
				checkSentence(t, err, tt.want)
			} else {
				checkAnswer(t, s, tt.want == nil || tt.want == errAny, tt.most)
			}
		})
	}
}

// checkSentence wants the error wanted, said in one line.
func checkSentence(t *testing.T, err, want error) {
	t.Helper()
	if want == nil || want != errAny && !errors.Is(err, want) {
		t.Errorf("error %v, want %v", err, want)
	}
	if text := err.Error(); strings.Contains(text, "\n") || strings.Contains(text, "NaN") {
		t.Errorf("not one clear sentence: %q", text)
	}
}

// checkAnswer wants a sag of numbers from 0 to most.
func checkAnswer(t *testing.T, s *Sag, wanted bool, most float64) {
	t.Helper()
	if !wanted || !(s.MM >= 0 && s.MM <= most) || math.IsNaN(s.ResidualMM) || math.IsNaN(s.SpanMM) {
		t.Errorf("sag %v, residual %v, span %v", s.MM, s.ResidualMM, s.SpanMM)
	}
}

// errAny stands for some sentence.
var errAny = errors.New("any")

// ball is a sphere that stands on z = 0.
func ball(r float64, rings int) *mesh.Mesh {
	m := &mesh.Mesh{Vertices: []r3.Vec{{}, {Z: 2 * r}}}
	n := 2 * rings
	for i := 1; i < rings; i++ {
		sp, cp := math.Sincos(math.Pi * float64(i) / float64(rings))
		for j := range n {
			s, c := math.Sincos(2 * math.Pi * float64(j) / float64(n))
			m.Vertices = append(m.Vertices, r3.Vec{X: r * sp * c, Y: r * sp * s, Z: r - r*cp})
		}
	}
	at := func(i, j int) int32 {
		switch i {
		case 0:
			return 0
		case rings:
			return 1
		}
		return int32(2 + (i-1)*n + j%n)
	}
	for i := range rings {
		for j := range n {
			a, b, c, d := at(i, j), at(i, j+1), at(i+1, j+1), at(i+1, j)
			if a != b {
				m.Facets = append(m.Facets, [3]int32{a, b, c})
			}
			if c != d {
				m.Facets = append(m.Facets, [3]int32{a, c, d})
			}
		}
	}
	if m.Volume() < 0 {
		return insideOut(m)
	}
	return m
}
