package mesh

import "slices"

// doubles are the facets that have all three corners in common with another,
// gathered in sets.
type doubles struct {
	t    *Topology
	of   []int32   // the set of each facet, -1 for those that are alone
	sets [][]int32 // the facets of each set, ascending
}

// findDoubles compares the facets on each edge. Facets with the same corners
// meet on three edges; they are gathered at the one across from their corner with
// the highest number.
func findDoubles(t *Topology) *doubles {
	d := &doubles{t: t, of: make([]int32, len(t.mesh.Facets))}
	for i := range d.of {
		d.of[i] = -1
	}
	var at []uint64 // corner across and facet
	t.eachEdge(func(side int) {
		if int(t.ring[side]) == side {
			return
		}
		from, to := t.Ends(side)
		at = at[:0]
		t.Around(side, func(s int) {
			if v := t.Opposite(s); v > max(from, to) {
				at = append(at, uint64(v)<<32|uint64(s/3))
			}
		})
		slices.Sort(at)
		d.gather(at)
	})
	return d
}

// gather makes sets of the facets that have the same corner across.
func (d *doubles) gather(at []uint64) {
	for begin := 0; begin < len(at); {
		end := begin + 1
		for end < len(at) && at[end]>>32 == at[begin]>>32 {
			end++
		}
		if end-begin > 1 {
			set := make([]int32, 0, end-begin)
			for _, a := range at[begin:end] {
				set = append(set, int32(uint32(a)))
				d.of[uint32(a)] = int32(len(d.sets))
			}
			d.sets = append(d.sets, set)
		}
		begin = end
	}
}

// drops decides which facets to take out: same of them as plain copies, and
// those of walls without thickness, which are pairs that face opposite ways. One
// facet of a wall stays where it closes the surface around it, none where the
// surface is closed without it, as between two blocks that were put together,
// and both where neither is clear.
func (d *doubles) drops() (drop []bool, same, walls int) {
	drop = make([]bool, len(d.of))
	wall := make([]bool, len(d.sets))
	for i, set := range d.sets {
		forward, backward := d.facing(set)
		keep := 1 // of each facing
		if wall[i] = len(forward) == len(backward); !wall[i] && len(forward) > len(backward) {
			same += markRest(backward, 0, drop)
		} else if !wall[i] {
			same += markRest(forward, 0, drop)
			forward, backward = backward, nil
		}
		same += markRest(forward, keep, drop)
		if wall[i] {
			same += markRest(backward, keep, drop)
		}
	}
	for _, group := range d.groups(wall) {
		walls += d.decide(group, drop)
	}
	return drop, same, walls
}

// facing parts a set into those that face as its first facet does and others.
func (d *doubles) facing(set []int32) (forward, backward []int32) {
	a, b := d.t.Ends(3 * int(set[0]))
	for _, j := range set {
		if runs(d.t.mesh.Facets[j], a, b) {
			forward = append(forward, j)
		} else {
			backward = append(backward, j)
		}
	}
	return forward, backward
}

// runs reports whether a facet has a side from a to b.
func runs(f [3]int32, a, b int32) bool {
	return f[0] == a && f[1] == b || f[1] == a && f[2] == b || f[2] == a && f[0] == b
}

// markRest marks all but the first keep of a list and counts them.
func markRest(list []int32, keep int, drop []bool) int {
	list = list[min(keep, len(list)):]
	for _, j := range list {
		drop[j] = true
	}
	return len(list)
}

// wallGroup is walls that hang together over edges.
type wallGroup struct {
	sets  []int32
	sides []int // one on each of their edges
}

// groups gathers the walls.
func (d *doubles) groups(wall []bool) []wallGroup {
	var out []wallGroup
	seen := make([]bool, len(d.sets))
	looked := map[int]bool{} // sides whose edge has been looked at
	for start := range d.sets {
		if !wall[start] || seen[start] {
			continue
		}
		seen[start] = true
		g := wallGroup{sets: []int32{int32(start)}}
		for i := 0; i < len(g.sets); i++ {
			first := 3 * int(d.sets[g.sets[i]][0])
			for side := first; side < first+3; side++ {
				if looked[side] {
					continue
				}
				g.sides = append(g.sides, side)
				d.t.Around(side, func(s int) {
					looked[s] = true
					if set := d.of[s/3]; set >= 0 && wall[set] && !seen[set] {
						seen[set] = true
						g.sets = append(g.sets, set)
					}
				})
			}
		}
		out = append(out, g)
	}
	return out
}

// decide drops one facet of each wall of a group, or both, or none, and counts
// the walls it dealt with.
func (d *doubles) decide(g wallGroup, drop []bool) int {
	one, both := d.votes(g)
	if one > 0 && both > 0 {
		return 0
	}
	for _, i := range g.sets {
		forward, backward := d.facing(d.sets[i])
		drop[backward[0]] = true
		if both > 0 {
			drop[forward[0]] = true
		}
	}
	return len(g.sets)
}

// votes looks at the edges of a group: where an odd number of other facets ends,
// one facet of the wall belongs there; where an even number does, none.
func (d *doubles) votes(g wallGroup) (one, both int) {
	in := map[int32]bool{}
	for _, i := range g.sets {
		in[i] = true
	}
	for _, side := range g.sides {
		n := 0
		d.t.Around(side, func(s int) {
			facet := int32(s / 3)
			set := d.of[facet]
			if set < 0 || !in[set] && d.sets[set][0] == facet { // of copies, one will stay
				n++
			}
		})
		switch {
		case n%2 == 1:
			one++
		case n > 0:
			both++
		}
	}
	return one, both
}
