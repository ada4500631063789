package load

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// rowLayout is a bed full of copies of one part, in rows from its lower left corner.
type rowLayout []rowPlace

type rowPlace struct {
	t  *turned
	at r2.Vec
}

const (
	// mostRowEdges is up to how many edges of an outline rows are tried with all of them;
	// past it with those of the hull, which loses what could interlock.
	mostRowEdges = 160
	// offsets is how many ways of shifting each other row are tried; half a step, the
	// hexagonal one for discs, is among them.
	offsets = 8
)

// bestRows tries rows of a part at each turn, in which each other part, or each other row,
// may be turned by half a turn more, and gives those that hold the most.
func bestRows(turns []*turned, size r2.Vec, gap float64) rowLayout {
	var best rowLayout
	for _, t := range turns {
		halfTurned := t
		for _, o := range turns {
			if math.Abs(math.Remainder(o.deg-t.deg-180, 360)) < 1e-9 {
				halfTurned = o
			}
		}
		ways := [][2]*turned{{t, t}}
		if halfTurned != t {
			ways = append(ways, [2]*turned{t, halfTurned})
		}
		for _, w := range ways {
			if got := rowsOf(w, size, gap); len(got) > len(best) {
				best = got
			}
		}
	}
	return best
}

// rowsOf lays rows of one turn, each other row at the other turn: parts of a row stand
// the least step apart, and a row stands as low over the one below as its offset lets it.
func rowsOf(turns [2]*turned, size r2.Vec, gap float64) rowLayout {
	a, b := turns[0], turns[1]
	step := max(leastStep(a, a, 0, r2.Vec{X: 1}, gap), leastStep(b, b, 0, r2.Vec{X: 1}, gap))
	own := max(rise(a, a, 0, step, gap), rise(b, b, 0, step, gap)) // of the row after the next
	var best rowLayout
	for k := range offsets {
		shift := step * float64(k) / offsets
		up := rise(a, b, shift, step, gap)
		back := max(rise(b, a, -shift, step, gap), own-up)
		if got := fillRows(turns, size, shift, step, up, back); len(got) > len(best) {
			best = got
		}
	}
	return best
}

// rise gives how much higher a row has to stand over another when it is shifted.
func rise(low, high *turned, shift, step, gap float64) float64 {
	up := 0.0
	reach := low.box.Size().X + high.box.Size().X + gap
	for n := -math.Ceil(reach / step); n <= math.Ceil(reach/step); n++ {
		up = max(up, leastStep(low, high, shift+n*step, r2.Vec{Y: 1}, gap))
	}
	return up
}

// leastStep gives how far the second part, shifted along X, has to stand along an axis
// from the first so as to keep the gap, coming from outside; both by their lower left
// corners. 0 where they pass by each other.
func leastStep(a, b *turned, shift float64, way r2.Vec, gap float64) float64 {
	far := r2.Dot(way, a.box.Size()) + gap + 1e-6
	at := r2.Add(r2.Vec{X: shift}, r2.Scale(far, way))
	at = r2.Sub(r2.Add(at, a.box.Min), b.box.Min)
	if way.Y == 1 && (b.box.Min.X+at.X > a.box.Max.X+gap || b.box.Max.X+at.X < a.box.Min.X-gap) {
		return 0
	}
	fixed, moved := rowEdges(a), rowEdges(b).Placed(0, at)
	return far - reachAlong(moved.Edges, fixed.Edges, r2.Scale(-1, way), gap, far) + safe/4
}

func rowEdges(t *turned) Outline {
	if len(t.edges.Edges) > mostRowEdges {
		return t.edges.Hull()
	}
	return t.edges
}

// fillRows fills a bed with rows, the even ones shifted.
func fillRows(turns [2]*turned, size r2.Vec, shift, step, up, back float64) rowLayout {
	var out rowLayout
	const rounding = 1e-9
	rises := [2]float64{up, back}
	for y, n := 0.0, 0; ; n++ {
		t := turns[n%2]
		s := t.box.Size()
		if y+s.Y > size.Y+rounding {
			return out
		}
		x := 0.0
		if n%2 == 1 {
			x = shift
		}
		for ; x+s.X <= size.X+rounding; x += step {
			corner := r2.Vec{X: x - size.X/2, Y: y - size.Y/2}
			out = append(out, rowPlace{t, r2.Sub(corner, t.box.Min)})
		}
		if rises[n%2] <= 0 || step <= 0 {
			return out
		}
		y += rises[n%2]
	}
}
