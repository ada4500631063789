package furnace

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Block is a ceramic block or strip that stands upright on the setter and carries what is
// straight above it: its top follows the underside of the part. It does not shrink, so it
// has one size; what is told of the green part is where that is as it goes in.
type Block struct {
	// At is the middle of its top, sintered, furnace frame, and SizeMM its sides along X
	// and Y: a strip where one is longer.
	At     r3.Vec
	SizeMM r2.Vec
	// SlopeDeg is how far its top slants.
	SlopeDeg float64
	// GreenMM is how high above the setter the place that it is to carry is as the part
	// goes in, and ClearMM how far that is above the block: the part comes down onto it as
	// it shrinks. SlideMM is how far the part slides over it meanwhile, and From where that
	// place begins, green.
	GreenMM, ClearMM, SlideMM float64
	From                      r3.Vec
	// PressN is the force on it.
	PressN float64
}

// HeightMM is its height under the middle of its top.
func (b *Block) HeightMM() float64 { return b.At.Z }

// Strip reports whether it is longer than wide.
func (b *Block) Strip() bool { return b.SizeMM.X != b.SizeMM.Y }

// holds reports whether a place is over the block, or by no more than so much beside it.
func (b *Block) holds(x, y, beside float64) bool {
	dx, dy := x-b.At.X, y-b.At.Y
	return max(dx, -dx) <= b.SizeMM.X/2+beside && max(dy, -dy) <= b.SizeMM.Y/2+beside
}

// restsOn gives the corners of the model's rests with those that lie on the blocks: the
// corners of undersides with nothing but air down to the setter. A block that none is over
// carries the underside above its middle.
func (md *model) restsOn(blocks []Block, friction float64) []rest {
	out := slices.Clone(md.rests)
	taken := map[int]bool{}
	for _, r := range out {
		taken[r.node] = true
	}
	l := md.lattice
	beside := rim * max(l.Pitch.X, l.Pitch.Y)
	under := (&seats{md: md}).under
	for i := range blocks {
		b := &blocks[i]
		var middle []int
		found := false
		for j := range l.N[1] {
			for k := range l.N[0] {
				brick := md.underside(k, j)
				if brick < 0 {
					continue
				}
				if c := l.Center(k, j, 0); b.At.X >= c.X-l.Pitch.X/2 && b.At.X < c.X+l.Pitch.X/2 && b.At.Y >= c.Y-l.Pitch.Y/2 && b.At.Y < c.Y+l.Pitch.Y/2 {
					n := under(brick)
					middle = n[:]
				}
				for _, n := range under(brick) {
					if p := md.node(n); b.holds(p.X, p.Y, beside) && md.open(n) {
						found = true
						out = md.add(out, taken, n, friction)
					}
				}
			}
		}
		for _, n := range middle {
			if !found {
				out = md.add(out, taken, n, friction)
			}
		}
	}
	slices.SortFunc(out, func(a, b rest) int { return cmp.Compare(a.node, b.node) })
	return out
}

// add adds a rest on something that gives way nowhere, unless there is one.
func (md *model) add(rests []rest, taken map[int]bool, node int, friction float64) []rest {
	if taken[node] {
		return rests
	}
	taken[node] = true
	return append(rests, rest{node: node, friction: friction, onProp: true})
}

// underside gives the lowest brick of a column where it is of the part and hangs above
// the setter; -1 where there is none.
func (md *model) underside(i, j int) int {
	l := md.lattice
	for k := range l.N[2] {
		brick := l.Index(i, j, k)
		switch {
		case md.solid[brick] > 0 && (l.Origin.Z+float64(k)*l.Pitch.Z <= restTolerance || md.prop != nil && md.prop[brick]):
			return -1
		case md.solid[brick] >= seatFill: // what is less is a shred that carries nothing
			return brick
		}
	}
	return -1
}

// open reports whether nothing that carries is below a corner.
func (md *model) open(corner int) bool {
	p := md.corner(corner)
	for _, b := range md.around(corner) {
		if k := b / (md.lattice.N[0] * md.lattice.N[1]); k < p[2] && md.solid[b] >= seatFill {
			return false
		}
	}
	return true
}
