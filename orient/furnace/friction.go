package furnace

import (
	"cmp"
	"math"
	"slices"
)

// Friction
//
// A foot sticks until it would need more than friction x pressure to hold it
// (Coulomb), then slides against that force. As a spring it is stiff while it
// sticks and, once it slides, just so soft that spring x way is the limit. So
// the springs are set anew after every solution, limit / way with the way of the
// last, and the pressure of the last, until the forces stand still: iteratively
// reweighted least squares for the slide, fixed point for the pressure. It needs
// no list of what sticks, and the springs keep the part from floating away.

const (
	// creepShare is how far a foot that sticks may move to take up its force,
	// as a share of the largest displacement.
	creepShare = 1e-3
	// gripShare is the change of the drag forces, as a share of their limits,
	// at which they stand still.
	gripShare = 0.01
)

// stickAll begins with all feet stuck: springs as stiff as the bricks around.
func (c *contact) stickAll() {
	l := c.mg.levels[0]
	for _, foot := range c.feet {
		for _, a := range c.level {
			c.drag[3*int(foot.node)+a] = l.brick.diagonal[a] * float64(l.weight[foot.node])
		}
	}
}

// regrip sets the springs for the ways and pressures of the last solution and
// reports whether the forces stand still.
func (c *contact) regrip() bool {
	var most, changed, limits float64
	for _, v := range c.x {
		most = max(most, math.Abs(v))
	}
	for i, foot := range c.feet {
		at := 3 * int(foot.node)
		u, v := at+c.level[0], at+c.level[1]
		limit := c.friction * max(c.pressure[i], 0)
		if c.lifted[i] || c.restOf(i).friction > 0 { // what slides over a prop is dragged at by slideOver
			limit = 0
		}
		way := math.Hypot(c.x[u], c.x[v])
		spring := limit / math.Hypot(way, creepShare*most)
		changed += math.Abs(spring-c.drag[u]) * way
		limits += limit
		c.drag[u], c.drag[v] = spring, spring
	}
	return changed <= gripShare*limits
}

// hardest gives the n of the feet that are pulled hardest.
func (c *contact) hardest(feet []int, n int) []int {
	feet = slices.Clone(feet)
	slices.SortStableFunc(feet, func(a, b int) int { return cmp.Compare(c.pressure[a], c.pressure[b]) })
	return feet[:n]
}

// slideOver sets the drag of the props that do not shrink for the pressures of the last
// solution and reports whether it stands still. The part shrinks by a hundred times what
// it creeps, so it slides over them for sure, towards the middle of its foot, and friction
// x pressure drags every foot the other way. What that comes to on a body is taken up by its
// feet on the setter, by their pressures.
func (c *contact) slideOver() bool {
	next := make([]float64, len(c.pull))
	var limits, changed float64
	along := make([][2]float64, c.count)
	carried := make([]float64, c.count)
	x0, y0 := c.still()
	for i, foot := range c.feet {
		r, g := c.restOf(i), c.groupOf(foot.node)
		p := max(c.pressure[i], 0)
		if !r.onProp {
			carried[g] += p
		}
		if r.friction == 0 {
			continue
		}
		x, y := c.levelPlace(foot.node)
		if far := math.Hypot(x-x0, y-y0); far > 0 {
			limits += r.friction * p
			for k, d := range [2]float64{x - x0, y - y0} {
				next[3*int(foot.node)+c.level[k]] += r.friction * p * d / far
				along[g][k] += r.friction * p * d / far
			}
		}
	}
	for i, foot := range c.feet {
		if g := c.groupOf(foot.node); !c.restOf(i).onProp && carried[g] > 0 {
			for k := range c.level {
				next[3*int(foot.node)+c.level[k]] -= along[g][k] * max(c.pressure[i], 0) / carried[g]
			}
		}
	}
	for i, v := range next {
		changed += math.Abs(v - c.pull[i])
	}
	c.pull = next
	return changed <= gripShare*limits
}

// still gives the level place that the part shrinks towards: the middle of the box around
// its feet on the setter, or around all of them.
func (c *contact) still() (x, y float64) {
	for _, onProp := range [2]bool{false, true} {
		lo, hi := [2]float64{math.Inf(1), math.Inf(1)}, [2]float64{math.Inf(-1), math.Inf(-1)}
		for i, foot := range c.feet {
			if c.restOf(i).onProp && !onProp {
				continue
			}
			u, v := c.levelPlace(foot.node)
			lo, hi = [2]float64{min(lo[0], u), min(lo[1], v)}, [2]float64{max(hi[0], u), max(hi[1], v)}
		}
		if lo[0] <= hi[0] {
			return (lo[0] + hi[0]) / 2, (lo[1] + hi[1]) / 2
		}
	}
	return 0, 0
}
