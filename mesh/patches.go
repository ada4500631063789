package mesh

import "context"

// patches are the pieces of a surface that hang together over edges of exactly
// two facets. Within a patch the facets can be made to face one way, unless it is
// twisted like a Moebius strip.
type patches struct {
	of   []int32 // the patch of each facet; -1 for collapsed facets
	turn []bool  // facets that face against the majority of their patch
	list []patch
}

type patch struct {
	first   int32 // a facet of it, the lowest
	facets  int32
	turned  int32 // facets to turn over
	twisted bool
}

// findPatches walks the facets from neighbour to neighbour. The facets to turn
// are the fewer of each patch; where that leaves a choice, the first stays. It
// stops with the error of ctx.
func findPatches(ctx context.Context, t *Topology) (*patches, error) {
	n := len(t.mesh.Facets)
	p := &patches{of: make([]int32, n), turn: make([]bool, n)}
	for i := range p.of {
		p.of[i] = -1
	}
	var stack []int32
	wait := pause{ctx: ctx}
	for i, f := range t.mesh.Facets {
		if wait.over() {
			return nil, ctx.Err()
		}
		if p.of[i] < 0 && !collapsed(f) {
			if stack = p.walk(t, int32(i), stack[:0], &wait); len(stack) > 0 {
				return nil, ctx.Err()
			}
		}
	}
	for i, q := range p.of {
		if q >= 0 && 2*p.list[q].turned > p.list[q].facets {
			p.turn[i] = !p.turn[i]
		}
	}
	for q := range p.list {
		if a := &p.list[q]; 2*a.turned > a.facets {
			a.turned = a.facets - a.turned
		}
	}
	return p, nil
}

// walk gathers the patch that holds facet start. It gives the stack for use again,
// empty unless it was stopped.
func (p *patches) walk(t *Topology, start int32, stack []int32, wait *pause) []int32 {
	number := int32(len(p.list))
	a := patch{first: start}
	p.of[start] = number
	stack = append(stack, start)
	for len(stack) > 0 && !wait.over() {
		facet := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		a.facets++
		if p.turn[facet] {
			a.turned++
		}
		for side := 3 * int(facet); side < 3*int(facet)+3; side++ {
			twin, ok := t.Twin(side)
			if !ok {
				continue
			}
			next := int32(twin / 3)
			turn := p.turn[facet] == t.Agrees(side, twin)
			if p.of[next] < 0 {
				p.of[next], p.turn[next] = number, turn
				stack = append(stack, next)
			} else if p.turn[next] != turn {
				a.twisted = true
			}
		}
	}
	p.list = append(p.list, a)
	return stack
}

// turned counts the facets to turn over.
func (p *patches) turned() int {
	n := 0
	for _, a := range p.list {
		n += int(a.turned)
	}
	return n
}

// maxSettle bounds the patches among which settle looks for one to turn.
const maxSettle = 10_000

// settle turns whole patches over, the smaller of those that meet first, where
// this makes the sides on shared edges cancel. It changes the list of facets to
// turn, not the mesh, and gives up where no single patch helps any more.
func (p *patches) settle(t *Topology) {
	if len(p.list) == 1 || len(p.list) > maxSettle {
		return
	}
	edges := t.sharedSides()
	for range 8 {
		gain := make([]int, len(p.list))
		for _, side := range edges {
			p.weigh(t, side, gain)
		}
		best := -1
		for q, g := range gain {
			if g > 0 && (best < 0 || g > gain[best] || g == gain[best] && p.list[q].facets < p.list[best].facets) {
				best = q
			}
		}
		if best < 0 {
			return
		}
		p.turnPatch(int32(best))
	}
}

// weigh adds to each patch at an edge by how much turning it would bring the
// sides there nearer to cancelling.
func (p *patches) weigh(t *Topology, side int, gain []int) {
	balance := 0
	sum := map[int32]int{}
	t.Around(side, func(s int) {
		v := 1
		if t.Agrees(side, s) != p.turn[s/3] {
			v = -1
		}
		balance += v
		sum[p.of[s/3]] += v
	})
	for q, v := range sum {
		gain[q] += abs(balance) - abs(balance-2*v)
	}
}

func (p *patches) turnPatch(q int32) {
	for i, of := range p.of {
		if of == q {
			p.turn[i] = !p.turn[i]
		}
	}
	p.list[q].turned = p.list[q].facets - p.list[q].turned
}

// sharedSides gives the first side of every edge that more than two facets share.
func (t *Topology) sharedSides() []int {
	var out []int
	t.eachEdge(func(side int) {
		if t.Shared(side) {
			out = append(out, side)
		}
	})
	return out
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}

// shells numbers the pieces of the surface that hang together over edges of any
// kind, by patch: those patches that share an edge are of one shell.
func (p *patches) shells(t *Topology) (of []int32, n int) {
	u := newUnion(len(p.list))
	for side, next := range t.ring {
		if int(next) != side {
			u.join(p.of[side/3], p.of[next/3])
		}
	}
	return u.number()
}

// units numbers the pieces of the surface that bound something by themselves, by
// patch. Patches that meet at a shared edge are of one unit only where they need
// each other for their sides to cancel: two blocks that touch along an edge are
// two units. The facets of each patch must face one way.
func (p *patches) units(t *Topology) (of []int32, n int) {
	u := newUnion(len(p.list))
	for _, side := range t.sharedSides() {
		balance := map[int32]int{}
		t.Around(side, func(s int) {
			if t.Agrees(side, s) {
				balance[p.of[s/3]]--
			} else {
				balance[p.of[s/3]]++
			}
		})
		first := int32(-1)
		t.Around(side, func(s int) {
			if q := p.of[s/3]; balance[q] != 0 {
				if first < 0 {
					first = q
				}
				u.join(first, q)
			}
		})
	}
	return u.number()
}

// union gathers numbers in groups (disjoint sets, with path halving).
type union struct{ parent []int32 }

func newUnion(n int) *union {
	u := &union{parent: make([]int32, n)}
	for i := range u.parent {
		u.parent[i] = int32(i)
	}
	return u
}

func (u *union) root(q int32) int32 {
	for u.parent[q] != q {
		u.parent[q] = u.parent[u.parent[q]]
		q = u.parent[q]
	}
	return q
}

// join puts a and b in one group, whose root is its lowest member.
func (u *union) join(a, b int32) {
	if a != b {
		a, b = u.root(a), u.root(b)
		u.parent[max(a, b)] = min(a, b)
	}
}

// number counts the groups and numbers them by their lowest members.
func (u *union) number() (of []int32, n int) {
	of = make([]int32, len(u.parent))
	for q := range u.parent {
		if r := u.root(int32(q)); int(r) == q {
			of[q] = int32(n)
			n++
		} else {
			of[q] = of[r]
		}
	}
	return of, n
}

// Shells numbers the pieces of the surface that hang together over edges, from 0
// by their first facet, and gives the number of each facet; -1 for facets with a
// repeated corner. Pieces that touch in single points are apart.
func (t *Topology) Shells() (of []int32, n int) {
	p, _ := findPatches(context.Background(), t) // fails only when its context ends
	byPatch, n := p.shells(t)
	for i, q := range p.of {
		if q >= 0 {
			p.of[i] = byPatch[q]
		}
	}
	return p.of, n
}
