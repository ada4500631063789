package orient

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient/furnace"
)

// coveringSize is how many directions the crowd has besides the resting faces;
// neighbours are then about 4 degrees apart.
const coveringSize = 2048

// covering gives n directions spread evenly over the sphere, always the same:
// the spherical Fibonacci lattice (Gonzalez, Math. Geosci. 42 (2010) 49). A seed
// other than 0 turns the lattice about Z by the golden angle times the seed.
func covering(n int, seed uint64) []r3.Vec {
	golden := math.Pi * (3 - math.Sqrt(5))
	start := math.Mod(float64(seed%100003)*golden, 2*math.Pi)
	out := make([]r3.Vec, n)
	for i := range out {
		z := 1 - (2*float64(i)+1)/float64(n)
		r := math.Sqrt(1 - z*z)
		sin, cos := math.Sincos(start + float64(i)*golden)
		out[i] = r3.Vec{X: r * cos, Y: r * sin, Z: z}
	}
	return out
}

// restingFace is a flat of the convex hull that the part can stand on.
type restingFace struct {
	// up is the build direction when the part stands on it.
	up   r3.Vec
	area float64
	// footMM2 is how much of the part's surface lies on it, at finished size; 0 where
	// the part does not stand on it.
	footMM2 float64
	// corners are hull points around it, part frame.
	corners []r3.Vec
}

// under reports whether the face lies below the centre of mass.
func (f *restingFace) under(centroid r3.Vec) bool {
	turn := mesh.RotationBetween(f.up, r3.Vec{Z: 1})
	foot := make([]r2.Vec, len(f.corners))
	for k, v := range f.corners {
		p := turn.MulVec(v)
		foot[k] = r2.Vec{X: p.X, Y: p.Y}
	}
	com := turn.MulVec(centroid)
	return furnace.TipAngleDeg(mesh.Outline(foot), r3.Vec{X: com.X, Y: com.Y, Z: 1}) > 0
}

const (
	// coplanarDeg is how far normals may differ within one resting face.
	coplanarDeg = 0.5
	// mostFaces bounds the resting faces of round parts, whose hull has
	// thousands: the largest are kept.
	mostFaces = 400
)

// restingFaces merges the facets of the hull that lie in one plane, the largest
// first.
func restingFaces(hull *mesh.Mesh) []restingFace {
	type plane struct {
		normal r3.Vec
		area   float64
		facet  [3]int32
	}
	planes := make([]plane, 0, len(hull.Facets))
	for i := range hull.Facets {
		n := hull.AreaVector(i)
		if area := r3.Norm(n); area > 0 {
			planes = append(planes, plane{r3.Scale(1/area, n), area, hull.Facets[i]})
		}
	}
	slices.SortStableFunc(planes, func(a, b plane) int { return cmp.Compare(b.area, a.area) })
	cells := newDirectionSet(coplanarDeg)
	var faces []restingFace
	for _, p := range planes {
		up := r3.Scale(-1, p.normal)
		k, ok := cells.find(up)
		if !ok {
			cells.add(up)
			k = len(faces)
			faces = append(faces, restingFace{up: up})
		}
		f := &faces[k]
		f.area += p.area
		for _, v := range p.facet {
			f.corners = append(f.corners, hull.Vertices[v])
		}
	}
	slices.SortStableFunc(faces, func(a, b restingFace) int { return cmp.Compare(b.area, a.area) })
	return faces[:min(len(faces), mostFaces)]
}

// directionSet finds directions near those seen before in about constant time.
type directionSet struct {
	cos   float64
	cell  float64
	cells map[[3]int][]int
	all   []r3.Vec
}

// newDirectionSet takes directions within deg degrees as the same.
func newDirectionSet(deg float64) *directionSet {
	rad := deg * math.Pi / 180
	return &directionSet{cos: math.Cos(rad), cell: 2 * math.Sin(rad/2), cells: map[[3]int][]int{}}
}

func (s *directionSet) key(d r3.Vec) [3]int {
	return [3]int{
		int(math.Floor(d.X / s.cell)), int(math.Floor(d.Y / s.cell)), int(math.Floor(d.Z / s.cell)),
	}
}

// find gives the index of the first direction added that d is near to.
func (s *directionSet) find(d r3.Vec) (int, bool) {
	k := s.key(d)
	best := -1
	for dx := -1; dx <= 1; dx++ {
		for dy := -1; dy <= 1; dy++ {
			for dz := -1; dz <= 1; dz++ {
				for _, i := range s.cells[[3]int{k[0] + dx, k[1] + dy, k[2] + dz}] {
					if r3.Dot(s.all[i], d) >= s.cos && (best < 0 || i < best) {
						best = i
					}
				}
			}
		}
	}
	return best, best >= 0
}

func (s *directionSet) add(d r3.Vec) {
	k := s.key(d)
	s.cells[k] = append(s.cells[k], len(s.all))
	s.all = append(s.all, d)
}
