package load

import (
	"math"
	"math/bits"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// raster is a grid of squares, taken or free, its rows as bits.
type raster struct {
	origin r2.Vec // the corner of square 0, 0
	pitch  float64
	nx, ny int
	words  int // of a row
	bits   []uint64
}

func newRaster(origin r2.Vec, pitch float64, nx, ny int) *raster {
	words := (nx + 63) / 64
	return &raster{origin, pitch, nx, ny, words, make([]uint64, words*ny)}
}

func (g *raster) row(y int) []uint64 { return g.bits[y*g.words : (y+1)*g.words] }

// take marks the squares from x0 to below x1 of a row.
func (g *raster) take(y, x0, x1 int) {
	x0, x1 = max(x0, 0), min(x1, g.nx)
	if y < 0 || y >= g.ny || x0 >= x1 {
		return
	}
	row := g.row(y)
	for w := x0 / 64; w <= (x1-1)/64; w++ {
		mask := ^uint64(0)
		if w == x0/64 {
			mask <<= x0 % 64
		}
		if w == (x1-1)/64 {
			mask &= ^uint64(0) >> (63 - (x1-1)%64)
		}
		row[w] |= mask
	}
}

// draw marks every square that comes nearer than r to what edges cover, and some that
// just do not: it is on the safe side.
func (g *raster) draw(edges []Edge, r float64) {
	for i := range edges {
		g.drawEdge(&edges[i], r)
	}
	g.fill(edges)
}

// drawEdge marks the squares near an edge. A square is tested by its middle: beside the
// edge by its half width across it, which is exact, about the ends by its half diagonal.
func (g *raster) drawEdge(e *Edge, r float64) {
	d := r2.Sub(e.B, e.A)
	long := r2.Norm(d)
	beside, corner := r, r+g.pitch*math.Sqrt2/2
	if long > 0 {
		beside += g.pitch / 2 * (math.Abs(d.X) + math.Abs(d.Y)) / long
	}
	box := boxOf(e)
	y0, y1 := g.index(box.Min.Y-corner, g.origin.Y, g.ny), g.index(box.Max.Y+corner, g.origin.Y, g.ny)
	for y := y0; y <= y1; y++ {
		x0, x1 := g.index(box.Min.X-corner, g.origin.X, g.nx), g.index(box.Max.X+corner, g.origin.X, g.nx)
		for x := x0; x <= x1; x++ {
			p := g.middle(x, y)
			limit := corner
			if long > 0 {
				if s := r2.Dot(r2.Sub(p, e.A), d) / (long * long); s >= 0 && s <= 1 {
					limit = beside
				}
			}
			if pointDistance(p, e) < limit-1e-9 {
				g.bits[y*g.words+x/64] |= 1 << (x % 64)
			}
		}
	}
}

func (g *raster) index(v, origin float64, n int) int {
	return min(max(int(math.Floor((v-origin)/g.pitch)), 0), n-1)
}

func (g *raster) middle(x, y int) r2.Vec {
	return r2.Vec{X: g.origin.X + (float64(x)+0.5)*g.pitch, Y: g.origin.Y + (float64(y)+0.5)*g.pitch}
}

// fill marks the squares whose middles edges go round.
func (g *raster) fill(edges []Edge) {
	type crossing struct {
		x   float64
		way int
	}
	rows := make([][]crossing, g.ny)
	for i := range edges {
		e := &edges[i]
		lo, hi := min(e.A.Y, e.B.Y), max(e.A.Y, e.B.Y)
		for y := g.index(lo-g.pitch, g.origin.Y, g.ny); y <= g.index(hi+g.pitch, g.origin.Y, g.ny); y++ {
			at := g.middle(0, y).Y
			way := 0
			switch {
			case e.A.Y <= at && e.B.Y > at:
				way = 1
			case e.B.Y <= at && e.A.Y > at:
				way = -1
			default:
				continue
			}
			rows[y] = append(rows[y], crossing{e.A.X + (e.B.X-e.A.X)*(at-e.A.Y)/(e.B.Y-e.A.Y), way})
		}
	}
	for y, row := range rows {
		slices.SortFunc(row, func(a, b crossing) int {
			switch {
			case a.x < b.x:
				return -1
			case a.x > b.x:
				return 1
			}
			return b.way - a.way
		})
		depth := 0
		for k, c := range row {
			depth += c.way // on the left of an upward edge nothing is gone round yet
			if depth != 0 && k+1 < len(row) {
				x0 := int(math.Ceil((c.x-g.origin.X)/g.pitch - 0.5))
				x1 := int(math.Floor((row[k+1].x-g.origin.X)/g.pitch-0.5)) + 1
				g.take(y, x0, x1)
			}
		}
	}
}

// span is a run of squares of a row.
type span struct{ from, count int }

// stamp is what a part covers at one turn, in runs of squares, by rows.
type stamp struct {
	nx, ny int
	rows   [][]span
}

// stampOf gives the runs of what edges cover with r around it, from the corner of the box
// around both.
func stampOf(edges []Edge, r, pitch float64) stamp {
	box := Outline{edges}.Bounds()
	size := box.Size()
	count := func(v float64) int { return max(int(math.Ceil((v+2*r)/pitch-1e-9)), 1) }
	g := newRaster(r2.Vec{X: box.Min.X - r, Y: box.Min.Y - r}, pitch, count(size.X), count(size.Y))
	g.draw(edges, r)
	s := stamp{nx: g.nx, ny: g.ny, rows: make([][]span, g.ny)}
	for y := range g.ny {
		row := g.row(y)
		for x := 0; x < g.nx; {
			if row[x/64]>>(x%64)&1 == 0 {
				x++
				continue
			}
			from := x
			for x < g.nx && row[x/64]>>(x%64)&1 == 1 {
				x++
			}
			s.rows[y] = append(s.rows[y], span{from, x - from})
		}
	}
	return s
}

// scratch is room for the search of one goroutine.
type scratch struct{ blocked, run []uint64 }

// firstFree gives the lowest row from y0 on, and in it the leftmost column, not beyond
// xMost and yMost, at which a stamp meets nothing that is taken.
func (g *raster) firstFree(s *stamp, y0, xMost, yMost int, room *scratch) (x, y int, ok bool) {
	if xMost < 0 {
		return 0, 0, false
	}
	if len(room.blocked) < g.words {
		room.blocked, room.run = make([]uint64, g.words), make([]uint64, g.words)
	}
	for y = y0; y <= min(yMost, g.ny-s.ny); y++ {
		if x, ok = g.freeInRow(s, y, xMost, room); ok {
			return x, y, true
		}
	}
	return 0, 0, false
}

// freeInRow works on all columns of a row of places at once.
func (g *raster) freeInRow(s *stamp, y, xMost int, room *scratch) (int, bool) {
	blocked := room.blocked[:g.words]
	clear(blocked)
	for dy, spans := range s.rows {
		taken := g.row(y + dy)
		if empty(taken) {
			continue
		}
		for _, sp := range spans {
			run := room.run[:g.words]
			copy(run, taken)
			spread(run, sp.count)
			orShifted(blocked, run, sp.from)
		}
		if x, ok := firstZero(blocked, xMost); !ok || x > xMost {
			return 0, false
		}
	}
	return firstZero(blocked, xMost)
}

func empty(row []uint64) bool {
	for _, w := range row {
		if w != 0 {
			return false
		}
	}
	return true
}

// spread sets each bit where one of the count bits from it on is set.
func spread(row []uint64, count int) {
	for have := 1; have < count; {
		step := min(have, count-have)
		orDown(row, step)
		have += step
	}
}

// orDown adds row moved down by n bits, in place: lower words are done first.
func orDown(row []uint64, n int) {
	words, bit := n/64, n%64
	for i := 0; i+words < len(row); i++ {
		v := row[i+words] >> bit
		if bit > 0 && i+words+1 < len(row) {
			v |= row[i+words+1] << (64 - bit)
		}
		row[i] |= v
	}
}

// orShifted adds from moved down by n bits to to.
func orShifted(to, from []uint64, n int) {
	words, bit := n/64, n%64
	for i := 0; i+words < len(from); i++ {
		v := from[i+words] >> bit
		if bit > 0 && i+words+1 < len(from) {
			v |= from[i+words+1] << (64 - bit)
		}
		to[i] |= v
	}
}

func firstZero(row []uint64, most int) (int, bool) {
	for w, v := range row {
		if v != ^uint64(0) {
			x := w*64 + bits.TrailingZeros64(^v)
			return x, x <= most
		}
		if (w+1)*64 > most {
			break
		}
	}
	return 0, false
}
