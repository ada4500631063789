package mesh

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"
)

// Bounds on what a file may ask for. A file states counts and sizes before it
// gives the data; nothing is set aside on its word alone, and what is beyond
// these bounds is refused.
const (
	// maxFacets keeps a part and all that is worked out from it within a few
	// gigabytes, and indices within 31 bits with room to spare.
	maxFacets = 20_000_000
	// maxCoordinate is a kilometre: beyond it the numbers are not a part, and
	// products of three lengths lose their last digits.
	maxCoordinate = 1e6
	// minCoordinate is a nanometre.
	minCoordinate = 1e-6
)

// ReadingMemory is the memory that any file may take beside four times its size,
// in bytes.
const ReadingMemory = 500 << 20

// Memory that a file may take: four times its own size and ReadingMemory, for all that
// is read from it and worked out of that by mending. At the worst moment a facet, a
// vertex and a piece of the surface that hangs together take so much of it
// (measured, rounded up; TestMemoryOfReading holds it): 200 bytes for each facet of
// a closed surface, several times that for triangles that are all apart.
const (
	facetMemory  = 110
	vertexMemory = 180
	pieceMemory  = 230
)

// room is the memory that a file may still fill; the zero room has no bounds. Files
// that pack, copy or repeat facets unfold to many more than their size shows; they
// are refused before the memory is gone.
type room struct {
	allowed, left            int64
	facets, vertices, pieces int // counted so far
}

// roomFor gives what a file of size bytes may fill that takes packed bytes where it
// is kept. What it unpacks to is held beside all that is read from it, and lets as
// much garbage gather.
func roomFor(size, packed int64) room {
	if packed <= 0 || packed >= size {
		packed, size = size, 0
	}
	n := 4*packed + ReadingMemory
	return room{allowed: n, left: n - 2*size}
}

// most gives n, or as many facets as there is room for.
func (r *room) most(n int) int {
	return int(max(min(int64(n), r.left/facetMemory), 0))
}

// take counts n facets.
func (r *room) take(n int) error {
	if r.facets += n; r.facets > maxFacets {
		return errors.New(tooMany)
	}
	return r.fill(int64(n) * facetMemory)
}

// takeVertices counts n vertices.
func (r *room) takeVertices(n int) error {
	r.vertices += n
	return r.fill(int64(n) * vertexMemory)
}

// takePieces counts n pieces of surface.
func (r *room) takePieces(n int) error {
	r.pieces += n
	return r.fill(int64(n) * pieceMemory)
}

func (r *room) fill(bytes int64) error {
	if r.left -= bytes; r.left >= 0 || r.allowed == 0 {
		return nil
	}
	var list []string
	for _, c := range []struct {
		n    int
		many string
	}{{r.facets, "facets"}, {r.vertices, "vertices"}, {r.pieces, "pieces of surface"}} {
		if c.n > 0 {
			list = append(list, fmt.Sprintf("%d %s", c.n, c.many))
		}
	}
	return fmt.Errorf("%s take more memory than a file of this size may (%d MB); export the part with a coarser tolerance, as binary STL", strings.Join(list, ", "), r.allowed>>20)
}

// tooMany refuses more facets than can be handled.
const tooMany = "more than 20 million facets; export the part with a coarser tolerance"

// finite reports whether all three coordinates are ordinary numbers.
func finite(v r3.Vec) bool {
	s := v.X + v.Y + v.Z // any NaN or Inf makes the sum NaN or Inf
	return !math.IsNaN(s) && !math.IsInf(s, 0)
}

// largestCoordinate gives the greatest magnitude among the coordinates of v.
func largestCoordinate(v r3.Vec) float64 {
	return max(math.Abs(v.X), math.Abs(v.Y), math.Abs(v.Z))
}

// checkSize refuses meshes that no machine could mean: coordinates beyond a
// kilometre, or everything within a nanometre of the origin. It looks only at
// vertices that facets use.
func checkSize(m *Mesh, unit Unit) error {
	var largest float64
	for i, f := range m.Facets {
		for _, v := range f {
			p := m.Vertices[v]
			if !finite(p) {
				return fmt.Errorf("facet %d has a corner that is not a number; export the part again", i+1)
			}
			c := largestCoordinate(p)
			if c > maxCoordinate {
				return fmt.Errorf("facet %d reaches %.3g mm from the origin (read in %s), beyond a kilometre; check the unit or export the part again", i+1, c, unit)
			}
			largest = max(largest, c)
		}
	}
	if largest < minCoordinate {
		return fmt.Errorf("no coordinate is larger than %.3g mm (read in %s); check the unit or export the part again", largest, unit)
	}
	return nil
}

// errTooMany refuses a file that holds more facets than can be handled.
func errTooMany(place string) error { return fmt.Errorf("%s: %s", place, tooMany) }

// withAdvice adds what to do to an error that does not say so itself.
func withAdvice(err error) error {
	if err == nil || strings.Contains(err.Error(), ";") {
		return err
	}
	return fmt.Errorf("%w; export the part again", err)
}

// place writes a position for a sentence, mm.
func place(v r3.Vec) string {
	return fmt.Sprintf("(%s, %s, %s)", short(v.X), short(v.Y), short(v.Z))
}

// short writes a length with a few digits and without "-0".
func short(x float64) string {
	if math.Abs(x) < 5e-5 {
		return "0"
	}
	return fmt.Sprintf("%.4g", x)
}

// count writes a number with its noun in the right form.
func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
