package render

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient"
)

// sideArea is the area of the upright quads.
func sideArea(s shell) float64 {
	var sum float64
	for _, q := range s.quads {
		if q.normal.Z == 0 {
			sum += r3.Norm(r3.Cross(r3.Sub(q.corners[1], q.corners[0]), r3.Sub(q.corners[3], q.corners[0])))
		}
	}
	return sum
}

func TestShellLeavesOutSharedSides(t *testing.T) {
	post := func(x, y, lo, hi float64) orient.Post { return orient.Post{X: x, Y: y, Width: 1, Bottom: lo, Top: hi} }
	for _, c := range []struct {
		name  string
		posts []orient.Post
		want  float64
	}{
		{"none", nil, 0},
		{"alone", []orient.Post{post(0.5, 0.5, 0, 3)}, 4 * 3},
		{"two abreast", []orient.Post{post(0.5, 0.5, 0, 3), post(1.5, 0.5, 0, 3)}, 6 * 3},
		{"two apart", []orient.Post{post(0.5, 0.5, 0, 3), post(4.5, 0.5, 0, 3)}, 8 * 3},
		{"a step", []orient.Post{post(0.5, 0.5, 0, 3), post(1.5, 0.5, 0, 5)}, 3*3 + 3*5 + 2},
		{"beside a gap", []orient.Post{post(0.5, 0.5, 0, 6), post(1.5, 0.5, 0, 2), post(1.5, 0.5, 4, 6)}, 3*6 + 3*2 + 3*2 + 2},
		{"a full block", []orient.Post{
			post(0.5, 0.5, 0, 2), post(1.5, 0.5, 0, 2), post(2.5, 0.5, 0, 2),
			post(0.5, 1.5, 0, 2), post(1.5, 1.5, 0, 2), post(2.5, 1.5, 0, 2),
		}, 10 * 2},
		{"nothing in it", []orient.Post{post(0.5, 0.5, 3, 3), {Width: -1, Top: 1}}, 0},
	} {
		if got := sideArea(shellOf(c.posts)); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: open sides of %.3f mm2, want %.3f", c.name, got, c.want)
		}
	}
}

// The engine's grid need not have square cells, nor start at zero: the shell
// must still close without gaps.
func TestShellFollowsTheGrid(t *testing.T) {
	var posts []orient.Post
	for i := range 3 {
		for j := range 2 {
			posts = append(posts, orient.Post{X: -7.3 + 1.25*float64(i), Y: 2.1 + 1.1*float64(j), Width: 1.1, Top: 4})
		}
	}
	if got, want := sideArea(shellOf(posts)), 4*2*(3*1.25+2*1.1); math.Abs(got-want) > 1e-9 {
		t.Errorf("open sides of %.3f mm2, want %.3f", got, want)
	}
}
