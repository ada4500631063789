package mesh

import (
	"math"
	"math/big"
)

// flatPlane looks at the places on one plane of the grid in two of the three
// coordinates: those in which the plane's normal is shortest, so that nothing
// falls together. Turning senses are those seen against the normal.
type flatPlane struct {
	table  *pointTable
	normal gridPoint
	offset *big.Int // normal times any point of the plane
	u, v   int      // the coordinates that are kept
	drop   int
	frame  []gridPoint // places of the frame, numbered -1, -2, ...
}

func newFlatPlane(table *pointTable, a, b, c gridPoint) *flatPlane {
	f := &flatPlane{table: table, normal: b.sub(a).cross(c.sub(a))}
	for k := range 3 {
		if math.Abs(float64(f.normal[k])) > math.Abs(float64(f.normal[f.drop])) {
			f.drop = k
		}
	}
	f.u, f.v = (f.drop+1)%3, (f.drop+2)%3
	if f.normal[f.drop] < 0 {
		f.u, f.v = f.v, f.u
	}
	f.offset = f.normal.dot(a).big()
	return f
}

// rounded gives the two coordinates of a place, rounded.
func (f *flatPlane) rounded(n int32) (u, v float64) {
	if n < 0 {
		p := f.frame[-n-1]
		return float64(p[f.u]), float64(p[f.v])
	}
	p := f.table.points[n].f
	return component(p, f.u), component(p, f.v)
}

// exact gives the place as (U, V) / W.
func (f *flatPlane) exact(n int32) (u, v, w *big.Int) {
	if n < 0 {
		p := f.frame[-n-1]
		return big.NewInt(p[f.u]), big.NewInt(p[f.v]), big.NewInt(1)
	}
	p := &f.table.points[n]
	return p.coordinate(f.u), p.coordinate(f.v), p.coordinate(3)
}

// Rounded coordinates are off by half a step of a 64-bit number of at most 2^32,
// the size of the frame: 2^-21 steps of the grid. The bound below is several times
// what that and the arithmetic can do to a turning sense.
const (
	flatError    = 1.0 / (1 << 18)
	flatRounding = 1e-15
)

// turn gives the turning sense of three places: 1 to the left, -1 to the right, 0
// where they lie on one line.
func (f *flatPlane) turn(a, b, c int32) int {
	au, av := f.rounded(a)
	bu, bv := f.rounded(b)
	cu, cv := f.rounded(c)
	bu, bv, cu, cv = bu-au, bv-av, cu-au, cv-av
	left, right := bu*cv, bv*cu
	det := left - right
	doubt := flatError*(math.Abs(bu)+math.Abs(bv)+math.Abs(cu)+math.Abs(cv)) + flatRounding*(math.Abs(left)+math.Abs(right))
	switch {
	case det > doubt:
		return 1
	case det < -doubt:
		return -1
	}
	return f.exactTurn(a, b, c)
}

func (f *flatPlane) exactTurn(a, b, c int32) int {
	if a == b || b == c || c == a {
		return 0
	}
	l := f.lineThrough(a, b)
	u, v, w := f.exact(c)
	return l.at(u, v, w).Sign()
}

// flatLine is a line: A u + B v + C w = 0.
type flatLine [3]*big.Int

func (f *flatPlane) lineThrough(a, b int32) flatLine {
	au, av, aw := f.exact(a)
	bu, bv, bw := f.exact(b)
	return flatLine{minor(av, aw, bv, bw), minor(aw, au, bw, bu), minor(au, av, bu, bv)}
}

// minor gives a d - b c.
func minor(a, b, c, d *big.Int) *big.Int {
	v := new(big.Int).Mul(a, d)
	return v.Sub(v, new(big.Int).Mul(b, c))
}

func (l flatLine) at(u, v, w *big.Int) *big.Int {
	sum := new(big.Int).Mul(l[0], u)
	sum.Add(sum, new(big.Int).Mul(l[1], v))
	return sum.Add(sum, new(big.Int).Mul(l[2], w))
}

// meet gives the number of the place where the lines through a, b and through c, d
// cross; they must not be parallel.
func (f *flatPlane) meet(a, b, c, d int32) int32 {
	k, l := f.lineThrough(a, b), f.lineThrough(c, d)
	u, v, w := minor(k[1], k[2], l[1], l[2]), minor(k[2], k[0], l[2], l[0]), minor(k[0], k[1], l[0], l[1])
	// The dropped coordinate follows from the plane.
	n := big.NewInt(f.normal[f.drop])
	third := new(big.Int).Mul(f.offset, w)
	third.Sub(third, new(big.Int).Mul(big.NewInt(f.normal[f.u]), u))
	third.Sub(third, new(big.Int).Mul(big.NewInt(f.normal[f.v]), v))
	var h [4]*big.Int
	h[f.u], h[f.v], h[f.drop], h[3] = u.Mul(u, n), v.Mul(v, n), third, w.Mul(w, n)
	return f.table.ratio(h)
}

// crosses reports whether the segments a b and c d cross in a single place that is
// an end of neither.
func (f *flatPlane) crosses(a, b, c, d int32) bool {
	return f.turn(a, b, c)*f.turn(a, b, d) < 0 && f.turn(c, d, a)*f.turn(c, d, b) < 0
}

// on reports whether p lies on the segment a b, between its ends.
func (f *flatPlane) on(p, a, b int32) bool {
	return p != a && p != b && f.turn(a, b, p) == 0 && f.within(p, a, b)
}

// within reports whether p, on the line through a and b, lies between them.
func (f *flatPlane) within(p, a, b int32) bool {
	// The coordinate in which the line is longer tells; it is compared exactly
	// where rounding leaves a doubt.
	pu, pv := f.rounded(p)
	au, av := f.rounded(a)
	bu, bv := f.rounded(b)
	if math.Abs(bu-au) >= math.Abs(bv-av) {
		return f.between(p, a, b, f.u, pu, au, bu)
	}
	return f.between(p, a, b, f.v, pv, av, bv)
}

// between reports whether coordinate k of p lies between those of a and b.
func (f *flatPlane) between(p, a, b int32, k int, pk, ak, bk float64) bool {
	const doubt = 1.0 / (1 << 20)
	if low, high := min(ak, bk), max(ak, bk); pk > low+doubt && pk < high-doubt {
		return true
	} else if pk < low-doubt || pk > high+doubt {
		return false
	}
	return f.order(p, a, k)*f.order(p, b, k) < 0
}

// order compares coordinate k of two places.
func (f *flatPlane) order(a, b int32, k int) int {
	value := func(n int32) (x, w *big.Int) {
		if n < 0 {
			return big.NewInt(f.frame[-n-1][k]), big.NewInt(1)
		}
		return f.table.points[n].coordinate(k), f.table.points[n].coordinate(3)
	}
	ax, aw := value(a)
	bx, bw := value(b)
	return new(big.Int).Mul(ax, bw).Cmp(new(big.Int).Mul(bx, aw))
}

// holds reports whether a place lies in a triangle or on its rim; the triangle
// turns to the left.
func (f *flatPlane) holds(t [3]int32, p int32) bool {
	return f.turn(t[0], t[1], p) >= 0 && f.turn(t[1], t[2], p) >= 0 && f.turn(t[2], t[0], p) >= 0
}
