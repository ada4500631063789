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
		if c.lifted[i] {
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
