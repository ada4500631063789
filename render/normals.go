package render

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// smoothLimit is the number of facets from which a mesh is shaded flat: its
// facets are then a pixel or two, and the normals would need much memory.
const smoothLimit = 400_000

// areaVectors gives the area vector of each facet.
func areaVectors(m *mesh.Mesh) []r3.Vec {
	out := make([]r3.Vec, len(m.Facets))
	chunks(len(m.Facets), func(_, lo, hi int) {
		for i := lo; i < hi; i++ {
			out[i] = m.AreaVector(i)
		}
	})
	return out
}

// units gives each vector at length 1, and no vector for none.
func units(vs []r3.Vec) []r3.Vec {
	out := make([]r3.Vec, len(vs))
	chunks(len(vs), func(_, lo, hi int) {
		for i := lo; i < hi; i++ {
			out[i] = unit(vs[i])
		}
	})
	return out
}

// unit gives v at length 1, and no vector for none. It does without the care
// for overflow that r3.Unit takes, which is half the time of preparing a scene.
func unit(v r3.Vec) r3.Vec {
	n := math.Sqrt(r3.Dot(v, v))
	if n == 0 {
		return r3.Vec{}
	}
	return r3.Scale(1/n, v)
}

// corner is the normals at the three corners of a facet.
type corner [3][3]float32

// mostAround is how many facets may meet in a vertex for their normals to be compared
// with one another there. Beyond it, as at the tip of a fine cone, each keeps its own:
// its neighbours differ from it by less than the eye can tell.
const mostAround = 512

// cornerNormals gives normals for shading: at each corner the mean, by area, of
// those facets around the vertex that meet this one without a crease. Nil for a
// mesh over smoothLimit.
func cornerNormals(m *mesh.Mesh, areas, normals []r3.Vec) []corner {
	if len(m.Facets) > smoothLimit {
		return nil
	}
	start, around := facetsAround(m)
	out := make([]corner, len(m.Facets))
	crease := math.Cos(creaseDeg * math.Pi / 180)
	chunks(len(m.Facets), func(_, lo, hi int) {
		for i := lo; i < hi; i++ {
			for k, v := range m.Facets[i] {
				var sum r3.Vec
				if start[v+1]-start[v] > mostAround {
					sum = normals[i]
					out[i][k] = [3]float32{float32(sum.X), float32(sum.Y), float32(sum.Z)}
					continue
				}
				for _, j := range around[start[v]:start[v+1]] {
					if int(j) == i || r3.Dot(normals[i], normals[j]) > crease {
						sum = r3.Add(sum, areas[j])
					}
				}
				sum = unit(sum)
				out[i][k] = [3]float32{float32(sum.X), float32(sum.Y), float32(sum.Z)}
			}
		}
	})
	return out
}

// facetsAround lists the facets at each vertex v: around[start[v]:start[v+1]].
func facetsAround(m *mesh.Mesh) (start, around []int32) {
	start = make([]int32, len(m.Vertices)+1)
	for _, f := range m.Facets {
		for _, v := range f {
			start[v+1]++
		}
	}
	for i := range m.Vertices {
		start[i+1] += start[i]
	}
	around = make([]int32, 3*len(m.Facets))
	next := append([]int32(nil), start[:len(m.Vertices)]...)
	for i, f := range m.Facets {
		for _, v := range f {
			around[next[v]] = int32(i)
			next[v]++
		}
	}
	return start, around
}
