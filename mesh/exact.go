package mesh

import (
	"math"
	"math/big"
	"math/bits"

	"gonum.org/v1/gonum/spatial/r3"
)

// Surfaces that run through each other are cut on a grid of whole numbers, on
// which every question of where a place lies has an exact answer: rounding could
// otherwise give two facets different answers about the edge they share, and tear
// the surface. The grid has steps of a thousand-millionth of the part's size.
const gridBits = 29

// gridPoint is a corner on the grid, in steps; no coordinate exceeds 2^gridBits.
type gridPoint [3]int64

// snapGrid is the grid over a part.
type snapGrid struct {
	origin r3.Vec
	step   float64 // mm, a power of two
}

func newSnapGrid(box Box) snapGrid {
	size := box.Size()
	_, exponent := math.Frexp(max(size.X, size.Y, size.Z) / 2)
	return snapGrid{origin: box.Center(), step: math.Ldexp(1, exponent-gridBits)}
}

// snap gives the nearest point of the grid.
func (g snapGrid) snap(v r3.Vec) gridPoint {
	d := r3.Scale(1/g.step, r3.Sub(v, g.origin))
	return gridPoint{int64(math.Round(d.X)), int64(math.Round(d.Y)), int64(math.Round(d.Z))}
}

// place gives where a point of the grid lies, mm.
func (g snapGrid) place(p r3.Vec) r3.Vec { return r3.Add(g.origin, r3.Scale(g.step, p)) }

func (p gridPoint) sub(q gridPoint) gridPoint {
	return gridPoint{p[0] - q[0], p[1] - q[1], p[2] - q[2]}
}

// cross is exact: differences have 30 bits, products of two 61.
func (p gridPoint) cross(q gridPoint) gridPoint {
	return gridPoint{p[1]*q[2] - p[2]*q[1], p[2]*q[0] - p[0]*q[2], p[0]*q[1] - p[1]*q[0]}
}

func (p gridPoint) vec() r3.Vec { return r3.Vec{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])} }

// wideInt is a whole number of 128 bits.
type wideInt struct {
	high int64
	low  uint64
}

// times gives a b.
func times(a, b int64) wideInt {
	h, l := bits.Mul64(uint64(a), uint64(b))
	high := int64(h)
	if a < 0 {
		high -= b
	}
	if b < 0 {
		high -= a
	}
	return wideInt{high, l}
}

func (w wideInt) plus(v wideInt) wideInt {
	low, carry := bits.Add64(w.low, v.low, 0)
	return wideInt{w.high + v.high + int64(carry), low}
}

func (w wideInt) sign() int {
	switch {
	case w.high < 0:
		return -1
	case w.high == 0 && w.low == 0:
		return 0
	}
	return 1
}

func (w wideInt) big() *big.Int {
	v := new(big.Int).Lsh(big.NewInt(w.high), 64)
	return v.Add(v, new(big.Int).SetUint64(w.low))
}

// dot gives the product of a normal and a difference of points.
func (p gridPoint) dot(q gridPoint) wideInt {
	return times(p[0], q[0]).plus(times(p[1], q[1])).plus(times(p[2], q[2]))
}

// exactPoint is a place on a facet where others cross it: (X, Y, Z) / W in steps of
// the grid, W above 0 and the four without a common divisor, so that equal places
// have equal numbers. Corners of the mesh have W = 1.
type exactPoint struct {
	h  [4]*big.Int // X, Y, Z, W; nil for a corner
	at gridPoint   // of a corner
	f  r3.Vec      // the same, rounded, in steps
}

// coordinate gives one of the four numbers; 3 is W.
func (p *exactPoint) coordinate(k int) *big.Int {
	switch {
	case p.h[0] != nil:
		return p.h[k]
	case k == 3:
		return big.NewInt(1)
	}
	return big.NewInt(p.at[k])
}

// pointTable numbers places; equal ones have the same number. The zero table is
// for a few places, which it finds by looking at each.
type pointTable struct {
	points  []exactPoint
	corners map[gridPoint]int32
	others  map[string]int32
}

func newPointTable() *pointTable {
	return &pointTable{corners: map[gridPoint]int32{}, others: map[string]int32{}}
}

// corner gives the number of a point of the grid.
func (t *pointTable) corner(p gridPoint) int32 {
	if t.corners == nil {
		return t.fewCorners(p)
	}
	n, ok := t.corners[p]
	if !ok {
		n = int32(len(t.points))
		t.corners[p] = n
		t.points = append(t.points, exactPoint{at: p, f: p.vec()})
	}
	return n
}

func (t *pointTable) fewCorners(p gridPoint) int32 {
	for i := range t.points {
		if q := &t.points[i]; q.h[0] == nil && q.at == p {
			return int32(i)
		}
	}
	t.points = append(t.points, exactPoint{at: p, f: p.vec()})
	return int32(len(t.points) - 1)
}

// clear forgets all places.
func (t *pointTable) clear() {
	t.points = t.points[:0]
	clear(t.corners)
	clear(t.others)
}

// ratio gives the number of the place (X, Y, Z) / W, W not 0; it takes the numbers
// over.
func (t *pointTable) ratio(h [4]*big.Int) int32 {
	divisor := new(big.Int)
	for _, v := range h {
		divisor.GCD(nil, nil, divisor, new(big.Int).Abs(v))
	}
	if h[3].Sign() < 0 {
		divisor.Neg(divisor)
	}
	for _, v := range h {
		v.Quo(v, divisor)
	}
	if h[3].IsInt64() && h[3].Int64() == 1 {
		return t.corner(gridPoint{h[0].Int64(), h[1].Int64(), h[2].Int64()})
	}
	var key []byte
	for _, v := range h {
		b := v.Bytes()
		key = append(append(key, byte(v.Sign()+1), byte(len(b)), byte(len(b)>>8)), b...)
	}
	n, ok := t.others[string(key)]
	if !ok {
		if t.others == nil {
			t.others = map[string]int32{}
		}
		n = int32(len(t.points))
		t.others[string(key)] = n
		t.points = append(t.points, exactPoint{h: h, f: r3.Vec{X: quotient(h[0], h[3]), Y: quotient(h[1], h[3]), Z: quotient(h[2], h[3])}})
	}
	return n
}

// quotient gives a / b rounded to 64 bits.
func quotient(a, b *big.Int) float64 {
	v, _ := new(big.Rat).SetFrac(a, b).Float64()
	return v
}

// between gives the number of the place where the way from p to q meets a plane
// that p and q lie on opposite sides of, by the given signed amounts.
func (t *pointTable) between(p, q gridPoint, sp, sq wideInt) int32 {
	wp, wq := sq.big(), sp.big() // the place is (p sq - q sp) / (sq - sp)
	var h [4]*big.Int
	for k := range 3 {
		a := new(big.Int).Mul(big.NewInt(p[k]), wp)
		h[k] = a.Sub(a, new(big.Int).Mul(big.NewInt(q[k]), wq))
	}
	h[3] = wp.Sub(wp, wq)
	return t.ratio(h)
}
