package mesh

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Fit is how an outline goes into a rectangle.
type Fit struct {
	// Turn is by how much the outline is turned about Z, counter-clockwise, to have
	// the most room, radians, above -pi/2 and at most pi/2.
	Turn float64
	// Fill is the larger share of a side that it then takes: at most 1 where it fits.
	Fill float64
}

// FitInto gives the turn at which a convex outline, counter-clockwise, has the most
// room in a rectangle with sides x and y, and how full that is. Between two
// directions of edges the same corners touch the sides (rotating calipers, Shamos
// 1978), and both widths are then sinusoids whose larger one is least at an end or
// where they cross. Among equally good turns the least one is taken.
func FitInto(outline []r2.Vec, x, y float64) Fit {
	best := Fit{Fill: fillAt(outline, 0, x, y)}
	try := func(turn float64) {
		f := Fit{turn, fillAt(outline, turn, x, y)}
		const same = 1e-9
		if f.Fill < best.Fill-same || f.Fill < best.Fill+same && math.Abs(f.Turn) < math.Abs(best.Turn)-same {
			best = f
		}
	}
	turns := edgeTurns(outline)
	for i, a := range turns {
		try(a)
		b := math.Pi/2 + turns[0]
		if i+1 < len(turns) {
			b = turns[i+1]
		}
		for _, quarter := range []float64{0, math.Pi / 2} { // either way round
			try(a - quarter)
			if c, ok := evenTurn(outline, a-quarter, b-quarter, x, y); ok {
				try(c)
			}
		}
	}
	best.Turn = withinHalfTurn(best.Turn)
	return best
}

// edgeTurns gives the turns within a quarter that lay an edge along an axis, in
// order.
func edgeTurns(outline []r2.Vec) []float64 {
	var turns []float64
	for i, p := range outline {
		e := r2.Sub(outline[(i+1)%len(outline)], p)
		if e == (r2.Vec{}) {
			continue
		}
		turn := math.Mod(-math.Atan2(e.Y, e.X), math.Pi/2)
		if turn < 0 {
			turn += math.Pi / 2
		}
		turns = append(turns, turn)
	}
	slices.Sort(turns)
	return turns
}

// withinHalfTurn brings an angle above -pi/2 and to at most pi/2: half a turn changes
// nothing.
func withinHalfTurn(a float64) float64 {
	a = math.Remainder(a, math.Pi)
	if a <= -math.Pi/2 {
		a += math.Pi
	}
	return a
}

// fillAt is the larger share of the sides that the turned outline takes.
func fillAt(outline []r2.Vec, turn, x, y float64) float64 {
	loX, hiX, loY, hiY := sideTouches(outline, turn)
	d, e := r2.Sub(hiX, loX), r2.Sub(hiY, loY)
	sin, cos := math.Sincos(turn)
	return max((d.X*cos-d.Y*sin)/x, (e.X*sin+e.Y*cos)/y)
}

// sideTouches gives the points that are lowest and highest along X and Y when the
// outline is turned.
func sideTouches(outline []r2.Vec, turn float64) (loX, hiX, loY, hiY r2.Vec) {
	if len(outline) == 0 {
		return
	}
	sin, cos := math.Sincos(turn)
	across := func(p r2.Vec) float64 { return p.X*cos - p.Y*sin }
	along := func(p r2.Vec) float64 { return p.X*sin + p.Y*cos }
	loX, hiX, loY, hiY = outline[0], outline[0], outline[0], outline[0]
	for _, p := range outline {
		if across(p) < across(loX) {
			loX = p
		}
		if across(p) > across(hiX) {
			hiX = p
		}
		if along(p) < along(loY) {
			loY = p
		}
		if along(p) > along(hiY) {
			hiY = p
		}
	}
	return loX, hiX, loY, hiY
}

// evenTurn gives the turn between two neighbouring ones at which both sides are
// equally full.
func evenTurn(outline []r2.Vec, from, to, x, y float64) (float64, bool) {
	loX, hiX, loY, hiY := sideTouches(outline, (from+to)/2)
	d, e := r2.Sub(hiX, loX), r2.Sub(hiY, loY)
	// (d.X cos - d.Y sin)/x = (e.X sin + e.Y cos)/y
	turn := math.Atan2(d.X/x-e.Y/y, d.Y/x+e.X/y)
	turn += math.Pi * math.Round(((from+to)/2-turn)/math.Pi)
	return turn, turn > from && turn < to
}
