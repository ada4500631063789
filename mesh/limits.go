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

// Memory that a file may take: four times its own size and mostMemory, for all
// that is worked out from it. A facet, with its half vertex, takes facetMemory of
// it at the worst moment, which is while its edges are found (measured, rounded
// up; TestHostileMemory holds it). Files that pack, copy or repeat facets unfold
// to many more than their size shows; they are refused before the memory is gone.
const (
	mostMemory  = 500 << 20
	facetMemory = 200
)

// facetLimit counts down what a file may still unfold to.
type facetLimit struct {
	allowed, facets, vertices int
}

// limitFor gives the facets that a file of size bytes may have.
func limitFor(size int64) facetLimit {
	n := int(min(maxFacets, (4*size+mostMemory)/facetMemory))
	return facetLimit{allowed: n, facets: n, vertices: 3 * n / 2}
}

// take counts n facets.
func (l *facetLimit) take(n int) error {
	if l.facets -= n; l.facets >= 0 {
		return nil
	}
	if l.allowed == maxFacets {
		return errors.New(tooMany)
	}
	return fmt.Errorf("more than %.1f million facets, which take more memory than a file of this size may; export the part as binary STL", float64(l.allowed)/1e6)
}

// takeVertices counts n vertices.
func (l *facetLimit) takeVertices(n int) error {
	if l.vertices -= n; l.vertices >= 0 {
		return nil
	}
	return fmt.Errorf("more than %.1f million vertices, which take more memory than a file of this size may; export the part as binary STL", 1.5*float64(l.allowed)/1e6)
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
