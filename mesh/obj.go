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
	short    lineCount      // faces with fewer than three corners
	crossed  lineCount      // faces that cross or touch themselves
	bent     lineCount      // faces that are not flat
	forward  int            // faces that name vertices which come later
	skipped  map[string]int // shapes other than polygons, by keyword
	unknown  lineCount      // lines that begin with a word that OBJ does not have
	unended  bool           // the file ends within a line
}

// objFace is one polygon: its corners end at end, and it stands on line.
type objFace struct {
	line int
	end  int
}

func readOBJ(ctx context.Context, r io.ReaderAt, size int64, room *room) (content, error) {
	o := &objReader{room: room, lines: bufio.NewScanner(io.NewSectionReader(r, 0, size)), skipped: map[string]int{}}
	o.lines.Buffer(make([]byte, 1<<16), maxOBJLine)
	o.lines.Split(func(data []byte, atEOF bool) (int, []byte, error) {
		advance, line, err := splitAnyLine(data, atEOF)
		if advance > 0 {
			o.unended = advance == len(line)
		}
		return advance, line, err
	})
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
		if bytes.IndexByte(line, 0) >= 0 {
			return fmt.Errorf("line %d: holds a byte 0, so that it is no text; export the part again as OBJ or STL", o.line)
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
		line = o.lines.Bytes()
		if o.line == 1 {
			line = bytes.TrimPrefix(line, []byte(byteOrderMark))
		}
		line, _, _ = bytes.Cut(line, []byte("#"))
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
	default:
		o.unknown.add(!isOBJWord(key), o.line)
	}
	return nil
}

// isOBJWord tells the words that lines may begin with which have no bearing on the
// polygons (from memory of the format's description, its appendix B1).
func isOBJWord(word string) bool {
	switch word {
	case "vt", "vn", "vp", "g", "s", "o", "mg", // data, groups
		"cstype", "deg", "bmat", "step", "parm", "trim", "hole", "scrv", "sp", "end", "con", // free forms
		"bzp", "bsp", "cdc", "cdp", "res", // the same of old
		"bevel", "c_interp", "d_interp", "lod", "usemtl", "mtllib", "maplib", "usemap", "shadow_obj", "trace_obj", "ctech", "stech",
		"call", "csh":
		return true
	}
	return false
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
		o.short.add(true, o.line)
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
	n, err := strconv.ParseInt(string(text), 10, 64) // the same message whatever the size of an int
	have := int64(len(o.vertices))
	switch {
	case err != nil:
		return 0, fmt.Errorf("%q is no vertex number", clip(word))
	case n == 0:
		return 0, errors.New("vertex number 0, but they count from 1")
	case n < -have:
		return 0, fmt.Errorf("vertex %d, but only %d come before it", n, have)
	case n > 3*maxFacets:
		return 0, fmt.Errorf("vertex %d, beyond any list", n)
	case n < 0:
		return int(n + have), nil
	}
	return int(n - 1), nil
}

// mesh cuts the polygons into triangles, now that all vertices are known.
func (o *objReader) mesh(ctx context.Context) (*Mesh, error) {
	m := &Mesh{Vertices: o.vertices, Facets: make([][3]int32, 0, o.facets)}
	cutter := polygonCutter{vertices: o.vertices, work: mostCutting}
	wait := pause{ctx: ctx}
	begin := 0
	for _, face := range o.faces {
		corners := o.corners[begin:face.end]
		begin = face.end
		if wait.over() {
			return nil, ctx.Err()
		}
		for _, v := range corners {
			if int(v) >= len(o.vertices) {
				return nil, fmt.Errorf("line %d: vertex %d, but the file has %d; export the part again", face.line, v+1, len(o.vertices))
			}
		}
		facets, fault, err := cutter.cut(ctx, corners)
		if err == errTangledPolygon {
			return nil, fmt.Errorf("line %d: a face with %d corners has %w; export the part as triangles", face.line, len(corners), err)
		}
		if err != nil {
			return nil, err
		}
		o.crossed.add(fault.crossed, face.line)
		o.bent.add(fault.bent, face.line)
		m.Facets = append(m.Facets, facets...)
	}
	return m, nil
}

// lineCount counts things by line.
type lineCount struct{ n, first int }

// add counts one on a line where it is so.
func (c *lineCount) add(so bool, line int) {
	if !so {
		return
	}
	if c.n++; c.n == 1 {
		c.first = line
	}
}

func (o *objReader) notes() []string {
	notes := o.numbers.notes()
	if o.forward > 0 {
		notes = append(notes, fmt.Sprintf("%s came before their vertices and were read all the same.", count(o.forward, "face", "faces")))
	}
	if o.short.n > 0 {
		notes = append(notes, fmt.Sprintf("%s with fewer than three corners passed over, the first on line %d.", count(o.short.n, "face", "faces"), o.short.first))
	}
	if o.crossed.n > 0 {
		notes = append(notes, fmt.Sprintf("%s, the first on line %d; the triangles made of that may not be what was meant.", count(o.crossed.n, "face crosses or touches its own edges", "faces cross or touch their own edges"), o.crossed.first))
	}
	if o.bent.n > 0 {
		notes = append(notes, fmt.Sprintf("%s, the first on line %d; where to bend was chosen.", count(o.bent.n, "face with more than three corners is not flat", "faces with more than three corners are not flat"), o.bent.first))
	}
	if o.unknown.n > 0 {
		notes = append(notes, fmt.Sprintf("%s passed over, the first is line %d.", count(o.unknown.n, "line begins with a word that OBJ does not have and was", "lines begin with words that OBJ does not have and were"), o.unknown.first))
	}
	if o.unended {
		notes = append(notes, fmt.Sprintf("The file ends within line %d, which may be cut off.", o.line))
	}
	if n := o.skipped["p"] + o.skipped["l"]; n > 0 {
		notes = append(notes, fmt.Sprintf("%s passed over: they enclose nothing.", count(n, "line or point", "lines and points")))
	}
	if n := o.skipped["curv"] + o.skipped["curv2"] + o.skipped["surf"]; n > 0 {
		notes = append(notes, fmt.Sprintf("%s passed over: only polygons are read.", count(n, "curved surface or curve", "curved surfaces and curves")))
	}
	return notes
}
