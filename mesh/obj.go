package mesh

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"
)

// maxOBJLine bounds a line with its continuations.
const maxOBJLine = 1 << 22

// objReader reads the polygons of a Wavefront OBJ file; everything else in it
// (normals, textures, groups, materials, lines, points) does not make a part.
type objReader struct {
	lines    *bufio.Scanner
	room     *room
	line     int
	fields   [][]byte
	vertices []r3.Vec
	faces    []objFace
	corners  []int32 // of all faces, one after the other
	numbers  numberStyle
	facets   int
	short    int            // faces with fewer than three corners
	shortAt  int            // line of the first
	forward  int            // faces that name vertices which come later
	skipped  map[string]int // shapes other than polygons, by keyword
}

// objFace is one polygon: its corners end at end, and it stands on line.
type objFace struct {
	line int
	end  int
}

func readOBJ(ctx context.Context, r io.ReaderAt, size int64, room *room) (content, error) {
	o := &objReader{room: room, lines: bufio.NewScanner(io.NewSectionReader(r, 0, size)), skipped: map[string]int{}}
	o.lines.Buffer(make([]byte, 1<<16), maxOBJLine)
	o.lines.Split(splitAnyLine)
	if err := o.read(); err != nil {
		return content{}, err
	}
	m, err := o.mesh(ctx)
	if err != nil {
		return content{}, err
	}
	if len(m.Facets) == 0 {
		return content{}, errors.New("the file holds no faces; export the part as a surface mesh")
	}
	return content{items: []Item{{Mesh: m}}, notes: o.notes()}, nil
}

// splitAnyLine cuts lines at LF, CR LF or CR alone.
func splitAnyLine(data []byte, atEOF bool) (advance int, token []byte, err error) {
	i := bytes.IndexAny(data, "\r\n")
	switch {
	case i < 0 && atEOF && len(data) > 0:
		return len(data), data, nil
	case i < 0, i == len(data)-1 && data[i] == '\r' && !atEOF: // LF may follow
		return 0, nil, nil
	case data[i] == '\r' && i+1 < len(data) && data[i+1] == '\n':
		return i + 2, data[:i], nil
	}
	return i + 1, data[:i], nil
}

func (o *objReader) read() error {
	for {
		line, ok := o.logicalLine()
		if !ok {
			break
		}
		o.split(line)
		if len(o.fields) == 0 {
			continue
		}
		if err := o.statement(string(o.fields[0]), o.fields[1:]); err != nil {
			return withAdvice(fmt.Errorf("line %d: %w", o.line, err))
		}
	}
	if err := o.lines.Err(); errors.Is(err, bufio.ErrTooLong) {
		return fmt.Errorf("line %d: longer than %d megabytes; export the part again", o.line+1, maxOBJLine>>20)
	} else if err != nil {
		return fmt.Errorf("line %d: cannot be read (%w); copy the file again", o.line+1, err)
	}
	return nil
}

// split cuts a line into fields, whose list is used again from line to line.
func (o *objReader) split(line []byte) {
	o.fields = o.fields[:0]
	for field := range bytes.FieldsSeq(line) {
		o.fields = append(o.fields, field)
	}
}

// logicalLine gives the next line without its comment, joined with those that a
// backslash at its end calls for.
func (o *objReader) logicalLine() (line []byte, ok bool) {
	var joined []byte
	for o.lines.Scan() {
		o.line++
		line, _, _ = bytes.Cut(o.lines.Bytes(), []byte("#"))
		trimmed := bytes.TrimRight(line, " \t")
		if !bytes.HasSuffix(trimmed, []byte(`\`)) || len(joined) > maxOBJLine {
			if joined == nil {
				return line, true
			}
			return append(joined, line...), true
		}
		joined = append(append(joined, trimmed[:len(trimmed)-1]...), ' ')
	}
	return joined, joined != nil
}

func (o *objReader) statement(key string, args [][]byte) error {
	switch key {
	case "v":
		return o.vertex(args)
	case "f", "fo":
		return o.face(args)
	case "p", "l", "curv", "curv2", "surf":
		o.skipped[key]++
	}
	return nil
}

// vertex reads x y z. What follows is a weight (x y z w, which matters to curves
// only) or a colour, and is passed over unread.
func (o *objReader) vertex(args [][]byte) error {
	if len(args) < 3 {
		return fmt.Errorf("a vertex with %d numbers in place of three", len(args))
	}
	var n [3]float64
	for i := range n {
		var err error
		if n[i], err = o.numbers.parse(args[i]); err != nil {
			return err
		}
	}
	if err := o.room.takeVertices(1); err != nil {
		return err
	}
	o.vertices = append(o.vertices, r3.Vec{X: n[0], Y: n[1], Z: n[2]})
	return nil
}

// face reads the corners v, v/t, v//n or v/t/n. Negative numbers count back from
// the vertex read last. Numbers beyond the list may still come true later.
func (o *objReader) face(args [][]byte) error {
	if len(args) < 3 {
		if o.short++; o.short == 1 {
			o.shortAt = o.line
		}
		return nil
	}
	if err := o.room.take(len(args) - 2); err != nil {
		return err
	}
	o.facets += len(args) - 2
	later := false
	for _, a := range args {
		n, err := o.corner(a)
		if err != nil {
			return err
		}
		later = later || n >= len(o.vertices)
		o.corners = append(o.corners, int32(n))
	}
	if later {
		o.forward++
	}
	o.faces = append(o.faces, objFace{line: o.line, end: len(o.corners)})
	return nil
}

// corner gives the vertex that one word of a face names, from 0.
func (o *objReader) corner(word []byte) (int, error) {
	text, _, _ := bytes.Cut(word, []byte("/"))
	n, err := strconv.Atoi(string(text))
	switch {
	case err != nil:
		return 0, fmt.Errorf("%q is no vertex number", clip(word))
	case n == 0:
		return 0, errors.New("vertex number 0, but they count from 1")
	case n < 0 && -n > len(o.vertices):
		return 0, fmt.Errorf("vertex %d, but only %d come before it", n, len(o.vertices))
	case n > 3*maxFacets:
		return 0, fmt.Errorf("vertex %d, beyond any list", n)
	case n < 0:
		return n + len(o.vertices), nil
	}
	return n - 1, nil
}

// mesh cuts the polygons into triangles, now that all vertices are known.
func (o *objReader) mesh(ctx context.Context) (*Mesh, error) {
	m := &Mesh{Vertices: o.vertices, Facets: make([][3]int32, 0, o.facets)}
	begin := 0
	for _, face := range o.faces {
		corners := o.corners[begin:face.end]
		begin = face.end
		if err := ctx.Err(); err != nil { // large polygons take their time
			return nil, err
		}
		for _, v := range corners {
			if int(v) >= len(o.vertices) {
				return nil, fmt.Errorf("line %d: vertex %d, but the file has %d; export the part again", face.line, v+1, len(o.vertices))
			}
		}
		if len(corners) > maxPolygon {
			return nil, fmt.Errorf("line %d: a face with %d corners, more than %d; export the part as triangles", face.line, len(corners), maxPolygon)
		}
		m.Facets = append(m.Facets, cutPolygon(o.vertices, corners)...)
	}
	return m, nil
}

func (o *objReader) notes() []string {
	notes := o.numbers.notes()
	if o.forward > 0 {
		notes = append(notes, fmt.Sprintf("%s came before their vertices and were read all the same.", count(o.forward, "face", "faces")))
	}
	if o.short > 0 {
		notes = append(notes, fmt.Sprintf("%s with fewer than three corners passed over, the first on line %d.", count(o.short, "face", "faces"), o.shortAt))
	}
	if n := o.skipped["p"] + o.skipped["l"]; n > 0 {
		notes = append(notes, fmt.Sprintf("%s passed over: they enclose nothing.", count(n, "line or point", "lines and points")))
	}
	if n := o.skipped["curv"] + o.skipped["curv2"] + o.skipped["surf"]; n > 0 {
		notes = append(notes, fmt.Sprintf("%s passed over: only polygons are read.", count(n, "curved surface or curve", "curved surfaces and curves")))
	}
	return notes
}
