package mesh

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"

	"github.com/hschendel/stl"
	"gonum.org/v1/gonum/spatial/r3"
)

// unknownCount is what programs leave in the header that write facets as they
// come and never return to fill in the number.
const unknownCount = math.MaxUint32

// readSTLBinary reads a binary STL. The count in the header is held against the
// bytes that are there before the library sees it, for the library would set
// aside memory on its word.
func readSTLBinary(r io.ReaderAt, size int64, room *room) (content, error) {
	if size < stlHeaderSize {
		return content{}, fmt.Errorf("has only %d bytes, too few for an STL file; export the part again", size)
	}
	var header [stlHeaderSize]byte
	if _, err := r.ReadAt(header[:], 0); err != nil {
		return content{}, fmt.Errorf("cannot be read (%w); copy it again", err)
	}
	n, notes, err := facetsPresent(stlCount(header[:]), size)
	if err != nil {
		return content{}, err
	}
	if note := secondSTL(r, stlSize(n), size); note != "" {
		notes = append(notes, note)
	}
	binary.LittleEndian.PutUint32(header[stlHeaderSize-4:], n)
	sink := &stlSink{room: room}
	whole := io.NewSectionReader(&headed{header: header[:], r: r}, 0, stlSize(n))
	if err := stl.CopyAll(whole, sink); err != nil {
		return content{}, fmt.Errorf("cannot be read to its end (%w); copy it again", err)
	}
	return sink.content(notes)
}

// facetsPresent settles how many facets to read: what the header says, unless
// the length of the file shows better.
func facetsPresent(stated uint32, size int64) (n uint32, notes []string, err error) {
	have, rest := (size-stlHeaderSize)/stlFacetSize, (size-stlHeaderSize)%stlFacetSize
	filled := stated != 0 && stated != unknownCount
	switch {
	case have == 0:
		return 0, nil, errors.New("the file holds no triangles; export the part again")
	case have > maxFacets && (!filled || int64(stated) > maxFacets):
		return 0, nil, errTooMany("header")
	case int64(stated) == have && rest == 0:
	case filled && int64(stated) > have:
		return 0, nil, fmt.Errorf("cut off: the header promises %d facets, only %d are there; copy or export the file again", stated, have)
	case filled && rest != 0:
		notes = append(notes, fmt.Sprintf("%d bytes after the last of the %d facets were passed over.", size-stlSize(stated), stated))
		return stated, notes, nil
	default:
		notes = append(notes, fmt.Sprintf("The header states %d facets, the file holds %d; all %d were read.", stated, have, have))
	}
	return uint32(have), notes, nil
}

// secondSTL remarks on another binary STL that begins where the first ends, as in
// files that were copied one behind the other.
func secondSTL(r io.ReaderAt, begin, size int64) string {
	var header [stlHeaderSize]byte
	if size-begin < stlHeaderSize {
		return ""
	}
	if _, err := r.ReadAt(header[:], begin); err != nil || stlCount(header[:]) == 0 || stlSize(stlCount(header[:])) > size-begin {
		return ""
	}
	return fmt.Sprintf("Behind it begins another STL of %d facets, which was not read; keep each in a file of its own.", stlCount(header[:]))
}

// headed is r with its first bytes replaced.
type headed struct {
	header []byte
	r      io.ReaderAt
}

func (h *headed) ReadAt(b []byte, off int64) (int, error) {
	if off >= int64(len(h.header)) {
		return h.r.ReadAt(b, off)
	}
	n := copy(b, h.header[off:])
	if n == len(b) {
		return n, nil
	}
	m, err := h.r.ReadAt(b[n:], off+int64(n))
	return n + m, err
}

// stlSink takes facets from either STL reader.
type stlSink struct {
	soup    *soup
	room    *room
	full    error // once there is no room for more
	against int   // facets whose stored normal points against their winding
	broken  int   // first facet with a coordinate that is no number, plus one
}

// SetName, SetBinaryHeader and SetASCII belong to stl.Writer; the name in an
// STL file is rarely more than the name of the program that wrote it.
func (s *stlSink) SetName(string)         {}
func (s *stlSink) SetBinaryHeader([]byte) {}
func (s *stlSink) SetASCII(bool)          {}

// SetTriangleCount is called with the number that facetsPresent has checked.
func (s *stlSink) SetTriangleCount(n uint32) { s.soup = newSoup(s.room.most(int(n))) }

// AppendTriangle takes one facet.
func (s *stlSink) AppendTriangle(t stl.Triangle) {
	s.add(wide(t.Vertices[0]), wide(t.Vertices[1]), wide(t.Vertices[2]), wide(t.Normal))
}

// add takes a facet, or none any more where there is no room.
func (s *stlSink) add(a, b, c, normal r3.Vec) {
	if s.full != nil {
		return
	}
	before := len(s.soup.table.vertices)
	s.soup.add(a, b, c)
	if s.full = s.room.take(1); s.full == nil {
		s.full = s.room.takeVertices(len(s.soup.table.vertices) - before)
	}
	if s.broken == 0 && !(finite(a) && finite(b) && finite(c)) {
		s.broken = len(s.soup.facets)
	}
	if r3.Dot(r3.Cross(r3.Sub(b, a), r3.Sub(c, a)), normal) < 0 {
		s.against++
	}
}

func (s *stlSink) content(notes []string) (content, error) {
	if s.full != nil {
		return content{}, s.full
	}
	n := len(s.soup.facets)
	if s.broken > 0 {
		return content{}, fmt.Errorf("facet %d has a corner that is not a number; export the part again", s.broken)
	}
	if s.against > 0 {
		notes = append(notes, fmt.Sprintf("The stored normals of %d of %d facets point against the order of their corners; the order was believed.", s.against, n))
	}
	return content{items: []Item{{Mesh: s.soup.mesh()}}, notes: notes}, nil
}

func wide(v stl.Vec3) r3.Vec {
	return r3.Vec{X: float64(v[0]), Y: float64(v[1]), Z: float64(v[2])}
}
