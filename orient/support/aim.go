package support

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// axes are the first directions to be tried, between those along the edges and
// the corners of a cube.
func axes() []r3.Vec {
	return []r3.Vec{{Z: 1}, {X: 1}, {X: -1}, {Y: 1}, {Y: -1}, {Z: -1}}
}

// betweenAxes are the twenty directions toward the edges and corners of a cube.
func betweenAxes() []r3.Vec {
	var out []r3.Vec
	for _, zeros := range []int{1, 0} {
		for n := range 27 {
			d := [3]int{n%3 - 1, n/3%3 - 1, n/9 - 1}
			count := 0
			for _, c := range d {
				if c == 0 {
					count++
				}
			}
			if count == zeros {
				out = append(out, r3.Unit(r3.Vec{X: float64(d[0]), Y: float64(d[1]), Z: float64(d[2])}))
			}
		}
	}
	return out
}

const (
	// aims is how many directions are looked along when aiming at a piece, about
	// 4 degrees apart, and manyAims how many pieces are aimed at.
	aims     = 2048
	manyAims = 128
	// aimedStrokes is how many aimed strokes are made at most, atOnce at a time,
	// for as long as not idleRounds of them in a row bring less than aimGain of
	// the pieces.
	aimedStrokes = 64
	atOnce       = 4
	aimGain      = 0.002
	idleRounds   = 3
)

// aimSphere gives n directions spread evenly over the sphere (a Fibonacci
// lattice; Swinbank and Purser, Q. J. R. Meteorol. Soc. 132, 2006).
func aimSphere(n int) []r3.Vec {
	out := make([]r3.Vec, n)
	golden := math.Pi * (3 - math.Sqrt(5))
	for i := range out {
		z := 1 - (2*float64(i)+1)/float64(n)
		r := math.Sqrt(1 - z*z)
		sin, cos := math.Sincos(golden * float64(i))
		out[i] = r3.Vec{X: r * cos, Y: r * sin, Z: z}
	}
	return out
}

// aim looks from near p for a straight way out that is as wide as the cutter:
// the shortest of those with room to spare, else the widest. It reports false
// where there is none.
func (o *openings) aim(p r3.Vec, sphere []r3.Vec) (r3.Vec, bool) {
	from, _ := o.nearest(p, o.radius)
	room := o.radius + o.pitch/2
	least := o.radius - 0.75*o.pitch
	var best r3.Vec
	bestWidth, bestLength := least, math.Inf(1)
	for _, d := range sphere {
		width, length := o.follow(from, d, bestWidth)
		width = min(width, room)
		if width > bestWidth || width == room && length < bestLength {
			best, bestWidth, bestLength = d, width, length
		}
	}
	return best, best != r3.Vec{}
}

// follow goes from a place along d until it leaves the lattice, and gives the
// least clearance on the way and the length; 0 where it falls to least or less.
func (o *openings) follow(from, d r3.Vec, least float64) (width, length float64) {
	width = math.Inf(1)
	for {
		c, ok := o.brick(r3.Add(from, r3.Scale(length, d)))
		if !ok {
			return width, length
		}
		if o.outside(c) { // the rim of the lattice is no wall
			return width, length
		}
		clear := float64(o.clear[o.lattice.Index(c[0], c[1], c[2])])
		if clear < least || clear == 0 {
			return 0, length
		}
		width = min(width, clear)
		length += max(clear-least, o.pitch/2)
	}
}

// outside reports whether a brick is so near the rim of the lattice that the
// rim may be nearer than the part.
func (o *openings) outside(c [3]int) bool {
	margin := widestRadii*o.radius + 2*o.pitch
	for a, p := range [3]float64{o.lattice.Pitch.X, o.lattice.Pitch.Y, o.lattice.Pitch.Z} {
		if float64(min(c[a]+1, o.lattice.N[a]-c[a]))*p <= margin {
			return true
		}
	}
	return false
}
