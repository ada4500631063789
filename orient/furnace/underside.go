package furnace

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// underside is the part as the setter sees it from below, on a grid of vertical lines: what
// a block can be put under, and what would be in its way.
type underside struct {
	cells  mesh.Columns
	height []float64 // mm; +Inf where nothing is above
	slope  []float64 // of the underside, degrees
	limits BlockLimits
	still  r2.Vec // where the part shrinks to
}

const (
	// undersideLines is how many lines see the part.
	undersideLines = 160 * 160
	// steepestDeg is the slope on which a part stays where it is put: the angle of friction
	// 0.5 (judgement, as that is).
	steepestDeg = 26
	// seatMM is by how much an underside may be off the top of a block and rest on it, and
	// asideMM what is kept clear beside a block (judgement).
	seatMM, asideMM = 0.1, 0.5
	// leastSideMM is the narrowest block that is cut and put in place by hand, and
	// standsUp how many times its side a block may be high and stand by itself (judgement).
	leastSideMM, standsUp = 4.0, 3.0
	// longestStripMM is the longest strip (judgement).
	longestStripMM = 150.0
)

// newUnderside looks at the part, and at what else stands on the setter, from below.
func newUnderside(ctx context.Context, m *mesh.Mesh, others []Prop, limits BlockLimits) (*underside, error) {
	const layers = 64 // crossings of a line in the mean: what has more is a heap of facets (judgement)
	u := &underside{limits: limits}
	u.cells.Context, u.cells.Layers = ctx, layers
	all := &mesh.Mesh{Vertices: m.Vertices, Facets: m.Facets}
	for i := range others {
		if all.Facets = all.Facets[:len(all.Facets):len(all.Facets)]; len(others[i].Shape.Facets) > 0 {
			all = joined(all, others[i].Shape)
		}
	}
	b := all.Bounds()
	u.cells.Fill(all.Vertices, all.Facets, b.Min, b.Max, undersideLines)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	n := u.cells.NX * u.cells.NY
	u.height, u.slope = make([]float64, n), make([]float64, n)
	for j := range u.cells.NY {
		for i := range u.cells.NX {
			at := j*u.cells.NX + i
			u.height[at] = math.Inf(1)
			line := u.cells.At(i, j)
			if len(line) == 0 {
				continue
			}
			u.height[at] = float64(line[0].Z)
			normal := all.AreaVector(int(line[0].Facet))
			u.slope[at] = math.Acos(min(math.Abs(normal.Z)/r3.Norm(normal), 1)) * 180 / math.Pi
			if int(line[0].Facet) >= len(m.Facets) { // what is not the part carries, and is in the way
				u.height[at], u.slope[at] = 0, 0
			}
		}
	}
	u.still = middleOfFeet(m)
	return u, nil
}

// joined gives two meshes as one.
func joined(a, b *mesh.Mesh) *mesh.Mesh {
	out := &mesh.Mesh{}
	out.Append(a)
	out.Append(b)
	return out
}

// middleOfFeet gives the middle of the box around what lies on the setter.
func middleOfFeet(m *mesh.Mesh) r2.Vec {
	feet := footCorners(m)
	if len(feet) == 0 {
		b := m.Bounds()
		feet = []r2.Vec{{X: b.Min.X, Y: b.Min.Y}, {X: b.Max.X, Y: b.Max.Y}}
	}
	lo, hi := extent(feet)
	return r2.Scale(0.5, r2.Add(lo, hi))
}

// cell gives the line nearest to a place; false outside the grid.
func (u *underside) cell(x, y float64) (at int, ok bool) {
	i, j := int(math.Floor((x-u.cells.X0)/u.cells.DX)), int(math.Floor((y-u.cells.Y0)/u.cells.DY))
	if i < 0 || j < 0 || i >= u.cells.NX || j >= u.cells.NY {
		return 0, false
	}
	return j*u.cells.NX + i, true
}

// carries reports whether a block can carry the underside on a line.
func (u *underside) carries(at int) bool {
	return u.height[at] >= u.limits.LeastMM && u.slope[at] <= steepestDeg && !math.IsInf(u.height[at], 1)
}

// each visits the lines over a rectangle.
func (u *underside) each(lo, hi r2.Vec, visit func(at int)) {
	i0, i1 := int(math.Ceil((lo.X-u.cells.X0)/u.cells.DX-0.5)), int(math.Floor((hi.X-u.cells.X0)/u.cells.DX-0.5))
	j0, j1 := int(math.Ceil((lo.Y-u.cells.Y0)/u.cells.DY-0.5)), int(math.Floor((hi.Y-u.cells.Y0)/u.cells.DY-0.5))
	for j := max(j0, 0); j <= min(j1, u.cells.NY-1); j++ {
		for i := max(i0, 0); i <= min(i1, u.cells.NX-1); i++ {
			visit(j*u.cells.NX + i)
		}
	}
}

// block gives the block of the given sides whose middle is under a place, with the share of
// its top that carries; false where none can stand there, or not be put there and taken away.
func (u *underside) block(x, y float64, size r2.Vec) (b Block, share float64, ok bool) {
	at, inside := u.cell(x, y)
	if !inside || !u.carries(at) {
		return b, 0, false
	}
	b = Block{At: r3.Vec{X: x, Y: y, Z: u.height[at]}, SizeMM: size, SlopeDeg: u.slope[at]}
	half := r2.Scale(0.5, size)
	lo, hi := r2.Sub(r2.Vec{X: x, Y: y}, half), r2.Add(r2.Vec{X: x, Y: y}, half)
	low, high, top := math.Inf(1), math.Inf(-1), 0.0
	u.each(lo, hi, func(at int) {
		if h := u.height[at]; !math.IsInf(h, 1) {
			low, high = min(low, h), max(high, h)
			if u.carries(at) {
				top++
			}
		}
	})
	share = top * u.cells.CellArea() / (size.X * size.Y)
	level := math.Tan(b.SlopeDeg*math.Pi/180)*math.Hypot(size.X, size.Y) + seatMM
	if top == 0 || low < u.limits.LeastMM || high-low > level {
		return b, 0, false
	}
	u.green(&b)
	return b, min(share, 1), u.clear(&b, high)
}

// green fills in where the place that the block carries is as the part goes in.
func (u *underside) green(b *Block) {
	s := u.limits.Shrinkage
	rise := 1 / (1 - s[2][2])
	b.GreenMM = b.At.Z * rise
	b.ClearMM = b.GreenMM - b.At.Z
	d := r3.Vec{X: b.At.X - u.still.X, Y: b.At.Y - u.still.Y}
	way := s.MulVec(d)
	grown := r2.Vec{X: d.X / (1 - s[0][0]), Y: d.Y / (1 - s[1][1])}
	b.From = r3.Vec{X: u.still.X + grown.X, Y: u.still.Y + grown.Y, Z: b.GreenMM}
	b.SlideMM = math.Hypot(way.X/(1-s[0][0]), way.Y/(1-s[1][1]))
}

// clear reports whether nothing of the part, as it shrinks over the block, is in its way.
// high is the highest point of its top.
func (u *underside) clear(b *Block, high float64) bool {
	const steps = 4
	s := u.limits.Shrinkage
	ok := true
	for k := range steps + 1 {
		f := float64(k) / steps // 1: green
		kx, ky, rise := 1-s[0][0]*f, 1-s[1][1]*f, 1/(1-s[2][2]*f)
		x, y := u.still.X+(b.At.X-u.still.X)*kx, u.still.Y+(b.At.Y-u.still.Y)*ky
		half := r2.Vec{X: (b.SizeMM.X/2 + asideMM) * kx, Y: (b.SizeMM.Y/2 + asideMM) * ky}
		slack := seatMM + math.Tan(b.SlopeDeg*math.Pi/180)*(math.Hypot(b.SizeMM.X, b.SizeMM.Y)+2*asideMM)
		u.each(r2.Vec{X: x - half.X, Y: y - half.Y}, r2.Vec{X: x + half.X, Y: y + half.Y}, func(at int) {
			ok = ok && u.height[at]*rise >= high-slack
		})
	}
	return ok
}

// droops gives the droop on every line that a block can carry, and the score of them all.
func (u *underside) droops(s *Sag) (lines []float64, score float64) {
	const power = 6
	lines = make([]float64, len(u.height))
	for j := range u.cells.NY {
		for i := range u.cells.NX {
			if at := j*u.cells.NX + i; u.carries(at) {
				x, y := u.cells.Center(i, j)
				lines[at] = s.DroopMM(r3.Vec{X: x, Y: y, Z: u.height[at]})
				score += math.Pow(lines[at], power)
			}
		}
	}
	return lines, math.Pow(score, 1.0/power)
}

// wideFor is how wide a block of that height has to be.
func wideFor(high float64) float64 { return math.Ceil(max(leastSideMM, high/standsUp)) }

// strip gives the longest strip through a place along X or Y that is level with it and
// droops nearly as much, by the droop of the lines; false where it would be no strip.
func (u *underside) strip(x, y float64, alongX bool, droop []float64) (Block, float64, bool) {
	at, inside := u.cell(x, y)
	if !inside || !u.carries(at) {
		return Block{}, 0, false
	}
	wide, step := wideFor(u.height[at]), min(u.cells.DX, u.cells.DY)
	reach := func(way float64) (far float64) {
		for far = 0; far < longestStripMM/2; far += step {
			px, py := x, y+way*(far+step)
			if alongX {
				px, py = x+way*(far+step), y
			}
			next, inside := u.cell(px, py)
			if !inside || !u.carries(next) || math.Abs(u.height[next]-u.height[at]) > seatMM || droop[next] < nearWorst*droop[at] {
				return far
			}
		}
		return far
	}
	low, high := reach(-1), reach(1)
	long := math.Floor(low + high)
	if long < 1.5*wide {
		return Block{}, 0, false
	}
	middle := (high - low) / 2
	if alongX {
		return u.block(x+middle, y, r2.Vec{X: long, Y: wide})
	}
	return u.block(x, y+middle, r2.Vec{X: wide, Y: long})
}
