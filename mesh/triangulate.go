package mesh

import (
	"errors"
)

// errTangled is returned where places and segments cannot be triangulated: too
// many of them, or ones that cross after all.
var errTangled = errors.New("the surface crosses itself in too many places")

// triangulation is one of places in a plane within a frame around them: a Delaunay
// triangulation as far as rounding tells (Lawson, 1977), every turning sense exact,
// into which segments are forced by flipping what crosses them (Sloan, Computers
// and Structures 47, 1993).
type triangulation struct {
	plane *flatPlane
	tri   [][3]int32 // corners, turning left; those of the frame are below 0
	adj   [][3]int32 // the triangle across side k, from corner k to k+1; -1 for none
	fixed map[[2]int32]bool
	at    map[int32]int32 // a triangle at each place
	last  int32
}

// newTriangulation begins with a frame around all places of a grid.
func newTriangulation(plane *flatPlane) *triangulation {
	const far = 1 << (gridBits + 3)
	t := &triangulation{plane: plane, fixed: map[[2]int32]bool{}, at: map[int32]int32{}}
	for _, c := range [3][2]int64{{-far, -far}, {far, -far}, {0, far}} {
		var p gridPoint
		p[plane.u], p[plane.v] = c[0], c[1]
		plane.frame = append(plane.frame, p)
	}
	t.tri, t.adj = [][3]int32{{-1, -2, -3}}, [][3]int32{{-1, -1, -1}}
	t.set(0)
	return t
}

// set enters a triangle at its corners.
func (t *triangulation) set(i int32) {
	for _, p := range t.tri[i] {
		t.at[p] = i
	}
}

// insert adds a place.
func (t *triangulation) insert(p int32) error {
	if _, ok := t.at[p]; ok {
		return nil
	}
	i, side, err := t.locate(p)
	if err != nil {
		return err
	}
	if side < 0 {
		t.splitInside(i, p)
		return nil
	}
	t.splitSide(i, side, p)
	return nil
}

// locate walks to the triangle that holds p; side is that on which it lies, -1
// within.
func (t *triangulation) locate(p int32) (i int32, side int, err error) {
	i = t.last
	for range 4*len(t.tri) + 16 {
		side = -1
		next := int32(-1)
		for k := range 3 {
			s := t.plane.turn(t.tri[i][k], t.tri[i][(k+1)%3], p)
			if s < 0 {
				next = t.adj[i][k]
				break
			}
			if s == 0 {
				side = k
			}
		}
		if next < 0 {
			t.last = i
			return i, side, nil
		}
		i = next
	}
	return 0, 0, errTangled
}

// splitInside makes three of the triangle around p.
func (t *triangulation) splitInside(i, p int32) {
	c, n := t.tri[i], t.adj[i]
	j, k := t.add(), t.add()
	t.put(i, [3]int32{c[0], c[1], p}, [3]int32{n[0], j, k})
	t.put(j, [3]int32{c[1], c[2], p}, [3]int32{n[1], k, i})
	t.put(k, [3]int32{c[2], c[0], p}, [3]int32{n[2], i, j})
	t.relink(n[1], i, j)
	t.relink(n[2], i, k)
	t.settle([]int32{i, j, k}, p)
}

// splitSide makes two of the triangle on whose side p lies, and two of the one
// across.
func (t *triangulation) splitSide(i int32, side int, p int32) {
	a, b, c := t.tri[i][side], t.tri[i][(side+1)%3], t.tri[i][(side+2)%3]
	na, nb := t.adj[i][(side+1)%3], t.adj[i][(side+2)%3] // across b c, across c a
	m := t.adj[i][side]
	j := t.add()
	t.put(i, [3]int32{a, p, c}, [3]int32{-1, j, nb})
	t.put(j, [3]int32{p, b, c}, [3]int32{-1, na, i})
	t.relink(na, i, j)
	around := []int32{i, j}
	if m >= 0 {
		s := t.sideOf(m, b) // b a d
		d := t.tri[m][(s+2)%3]
		ma, mb := t.adj[m][(s+1)%3], t.adj[m][(s+2)%3] // across a d, across d b
		k := t.add()
		t.put(m, [3]int32{p, a, d}, [3]int32{i, ma, k})
		t.put(k, [3]int32{b, p, d}, [3]int32{j, m, mb})
		t.relink(mb, m, k)
		t.adj[i][0], t.adj[j][0] = m, k
		around = append(around, m, k)
	}
	t.settle(around, p)
}

// add makes room for a triangle.
func (t *triangulation) add() int32 {
	t.tri, t.adj = append(t.tri, [3]int32{}), append(t.adj, [3]int32{})
	return int32(len(t.tri) - 1)
}

func (t *triangulation) put(i int32, corners, across [3]int32) {
	t.tri[i], t.adj[i] = corners, across
	t.set(i)
}

// relink tells triangle i that its neighbour is no longer old.
func (t *triangulation) relink(i, old, neighbour int32) {
	if i < 0 {
		return
	}
	for k := range 3 {
		if t.adj[i][k] == old {
			t.adj[i][k] = neighbour
			return
		}
	}
}

// sideOf gives the side of triangle i that begins at a corner.
func (t *triangulation) sideOf(i, corner int32) int {
	for k := range 3 {
		if t.tri[i][k] == corner {
			return k
		}
	}
	return -1
}

// settle flips sides across from a new place until they are Delaunay.
func (t *triangulation) settle(stack []int32, p int32) {
	for left := 16 * (len(t.tri) + 16); len(stack) > 0 && left > 0; left-- {
		i := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		s := t.sideOf(i, p)
		if s < 0 {
			continue
		}
		side := (s + 1) % 3
		j := t.adj[i][side]
		if j < 0 || t.fixed[pairOf(t.tri[i][side], t.tri[i][(side+1)%3])] || !t.inCircle(i, j, side) {
			continue
		}
		if t.flip(i, side) {
			stack = append(stack, i, j)
		}
	}
}

// inCircle reports whether the corner across a side lies in the circle through the
// three of triangle i, clearly and by rounded numbers: it decides on the beauty of
// the triangles, not on their rightness.
func (t *triangulation) inCircle(i, j int32, side int) bool {
	d := t.tri[j][(t.sideOf(j, t.tri[i][(side+1)%3])+2)%3]
	du, dv := t.plane.rounded(d)
	var m [3][3]float64
	size := 0.0
	for k, p := range t.tri[i] {
		u, v := t.plane.rounded(p)
		m[k] = [3]float64{u - du, v - dv, (u-du)*(u-du) + (v-dv)*(v-dv)}
		size = max(size, m[k][2])
	}
	det := m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) - m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) + m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])
	return det > 1e-9*size*size
}

// flip exchanges a side of triangle i for the other diagonal of the two triangles
// on it, unless these make no convex figure.
func (t *triangulation) flip(i int32, side int) bool {
	j := t.adj[i][side]
	if j < 0 {
		return false
	}
	a, b, c := t.tri[i][side], t.tri[i][(side+1)%3], t.tri[i][(side+2)%3]
	s := t.sideOf(j, b) // b a d
	d := t.tri[j][(s+2)%3]
	if t.plane.turn(a, d, c) <= 0 || t.plane.turn(d, b, c) <= 0 {
		return false
	}
	bc, ca := t.adj[i][(side+1)%3], t.adj[i][(side+2)%3]
	ad, db := t.adj[j][(s+1)%3], t.adj[j][(s+2)%3]
	t.put(i, [3]int32{a, d, c}, [3]int32{ad, j, ca})
	t.put(j, [3]int32{d, b, c}, [3]int32{db, bc, i})
	t.relink(bc, i, j)
	t.relink(ad, j, i)
	return true
}

// pairOf gives an edge by its ends.
func pairOf(a, b int32) [2]int32 { return [2]int32{min(a, b), max(a, b)} }

// force makes the segment a b an edge for good. Its ends are places of the
// triangulation, no place lies on it between them, and it crosses no other segment.
func (t *triangulation) force(a, b int32) error {
	t.fixed[pairOf(a, b)] = true
	crossing, err := t.crossed(a, b)
	if err != nil {
		return err
	}
	for left := 64 + 16*int64(len(crossing))*int64(len(crossing)); len(crossing) > 0; left-- {
		if left == 0 {
			return errTangled
		}
		e := crossing[0]
		crossing = crossing[1:]
		i, side := t.findEdge(e[0], e[1])
		if i < 0 || t.fixed[pairOf(e[0], e[1])] {
			return errTangled
		}
		if !t.flip(i, side) {
			crossing = append(crossing, e)
			continue
		}
		// The new diagonal runs from corner 1 to corner 2 of triangle i.
		if c, d := t.tri[i][1], t.tri[i][2]; t.plane.crosses(a, b, c, d) {
			crossing = append(crossing, [2]int32{c, d})
		}
	}
	return nil
}

// crossed lists the edges that the segment a b crosses, from a on.
func (t *triangulation) crossed(a, b int32) (edges [][2]int32, err error) {
	i, side, err := t.towards(a, b)
	if err != nil || i < 0 {
		return nil, err
	}
	for range 2*len(t.tri) + 16 {
		c, d := t.tri[i][side], t.tri[i][(side+1)%3]
		edges = append(edges, [2]int32{c, d})
		j := t.adj[i][side]
		if j < 0 {
			return nil, errTangled
		}
		s := t.sideOf(j, d) // d c e
		e := t.tri[j][(s+2)%3]
		if e == b {
			return edges, nil
		}
		i = j
		switch t.plane.turn(a, b, e) {
		case 1: // e lies left like d: out between c and e
			side = (s + 1) % 3
		case -1:
			side = (s + 2) % 3
		default:
			return nil, errTangled
		}
	}
	return nil, errTangled
}

// towards finds the triangle at a through whose far side the way to b leads; -1
// where there is an edge from a to b already.
func (t *triangulation) towards(a, b int32) (i int32, side int, err error) {
	first, ok := t.at[a]
	if _, there := t.at[b]; !ok || !there {
		return 0, 0, errTangled
	}
	i = first
	for range len(t.tri) + 1 {
		s := t.sideOf(i, a)
		c, d := t.tri[i][(s+1)%3], t.tri[i][(s+2)%3]
		if c == b || d == b {
			return -1, 0, nil
		}
		if t.plane.turn(a, b, c) < 0 && t.plane.turn(a, b, d) > 0 {
			return i, (s + 1) % 3, nil
		}
		if i = t.adj[i][(s+2)%3]; i == first || i < 0 { // across d a, round a to the left
			break
		}
	}
	return 0, 0, errTangled
}

// findEdge gives a triangle with an edge and the side that it is, -1 where there
// is none.
func (t *triangulation) findEdge(a, b int32) (i int32, side int) {
	if a < 0 { // round a corner of the frame there is no whole turn
		a, b = b, a
	}
	first := t.at[a]
	i = first
	for range len(t.tri) + 1 {
		s := t.sideOf(i, a)
		if t.tri[i][(s+1)%3] == b {
			return i, s
		}
		if t.tri[i][(s+2)%3] == b {
			return i, (s + 2) % 3
		}
		if i = t.adj[i][(s+2)%3]; i == first || i < 0 {
			break
		}
	}
	return -1, 0
}
