package mesh

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"

	"gonum.org/v1/gonum/spatial/r3"
)

// stlText reads text STL. The library's own text reader wants lower-case
// keywords, one per line, and tells no line; programs write neither so strictly.
type stlText struct {
	ctx     context.Context
	words   *wordReader
	sink    stlSink
	numbers numberStyle
	cutter  polygonCutter
	corners []r3.Vec  // of the facet that is being read
	begins  int       // the line on which it begins
	whole   int       // facets read to their end
	solids  int       // that have begun
	open    bool      // inside a solid
	cutOff  bool      // ends within a facet
	unended int       // solids within which another begins
	loose   lineCount // facets outside a solid
	remarks lineCount // words before the first solid
	extra   int       // numbers beyond the third on a vertex line
	many    lineCount // facets of more than three corners
	crossed lineCount // those that cross themselves
	bent    lineCount // those that are not flat
}

// errCutOff is that of a file which ends within a facet.
var errCutOff = errors.New("the file is cut off before its first whole facet")

// maxCorners bounds the corners of one facet.
const maxCorners = 1_000_000

func readSTLText(ctx context.Context, r io.ReaderAt, size int64, room *room) (content, error) {
	t := &stlText{ctx: ctx, words: newWordReader(io.NewSectionReader(r, 0, size)), cutter: polygonCutter{work: mostCutting}}
	// A facet takes at least some 100 bytes of text; the soup grows as needed.
	t.sink = stlSink{soup: newSoup(int(min(size/200, 1<<20))), room: room}
	if err := t.read(); err != nil {
		return content{}, err
	}
	if len(t.sink.soup.facets) == 0 {
		return content{}, errors.New("the file holds no triangles; export the part again")
	}
	c, err := t.sink.content(t.notes())
	c.cutOff, c.unended = t.cutOff, t.open
	return c, err
}

// notes says in which ways the file is not as it should be.
func (t *stlText) notes() []string {
	notes := t.numbers.notes()
	note := func(format string, args ...any) { notes = append(notes, fmt.Sprintf(format, args...)) }
	if t.remarks.n > 0 {
		note("%s before the first solid passed over, from line %d on.", count(t.remarks.n, "word", "words"), t.remarks.first)
	}
	if t.solids > 1 {
		note("The file holds %d solids one after the other, which were read as one part.", t.solids)
	}
	if t.unended > 0 {
		note("%s without an end before the next begins.", count(t.unended, "solid comes", "solids come"))
	}
	if t.loose.n > 0 {
		note("%s outside a solid, the first on line %d, and were read all the same.", count(t.loose.n, "facet stands", "facets stand"), t.loose.first)
	}
	if t.many.n > 0 {
		note("%s more than three corners, the first on line %d, and were cut into triangles.", count(t.many.n, "facet has", "facets have"), t.many.first)
	}
	if t.crossed.n > 0 {
		note("%s, the first on line %d; the triangles made of that may not be what was meant.", count(t.crossed.n, "facet crosses or touches its own edges", "facets cross or touch their own edges"), t.crossed.first)
	}
	if t.bent.n > 0 {
		note("%s, the first on line %d; where to bend was chosen.", count(t.bent.n, "facet with more than three corners is not flat", "facets with more than three corners are not flat"), t.bent.first)
	}
	if t.extra > 0 {
		note("%d numbers beyond the third on vertex lines were passed over.", t.extra)
	}
	switch {
	case t.cutOff:
		note("The file is cut off on line %d: only %s read, and whatever came after is missing. Copy or export the file again.",
			t.words.line, count(t.whole, "whole facet before it was", "whole facets before it were"))
	case t.open:
		note("The file ends without endsolid after %s, on line %d; facets may be missing at its end.", count(t.whole, "facet", "facets"), t.words.line)
	}
	return notes
}

// read reads the whole file: any number of solids, which become one mesh.
func (t *stlText) read() error {
	word, err := t.skipRemarks()
	for word != nil && err == nil {
		switch {
		case isWord(word, "solid"):
			if t.solids++; t.open {
				t.unended++
			}
			t.open = true
			word, err = t.skipName()
		case isWord(word, "endsolid"):
			t.open = false
			word, err = t.skipName()
		case isWord(word, "facet"):
			if err = t.expect("normal"); err == nil {
				word, err = t.facet()
			}
		default:
			err = t.unexpected(word, "a facet")
		}
	}
	if t.cutOff = errors.Is(err, errCutOff) && t.whole > 0; t.cutOff {
		err = nil
	}
	if err != nil {
		return err
	}
	return t.readError()
}

// skipRemarks passes over what stands before the first solid, which begins a line,
// or the first facet. It gives the word there.
func (t *stlText) skipRemarks() ([]byte, error) {
	word := bytes.TrimPrefix(t.words.next(), []byte(byteOrderMark))
	for line := 0; word != nil; word = t.words.next() {
		begins := t.words.line != line
		line = t.words.line
		if begins && (isWord(word, "solid") || isWord(word, "facet")) {
			break
		}
		t.remarks.add(true, line)
	}
	return word, nil
}

// skipName passes over the name after solid or endsolid: the words on its line,
// or, in a file on one line, those before the next keyword. It gives the word
// after, a facet after which has been read already.
func (t *stlText) skipName() ([]byte, error) {
	line := t.words.line
	for {
		word := t.words.next()
		if word == nil || t.words.line != line || isWord(word, "endsolid") || !t.open && isWord(word, "solid") {
			return word, nil
		}
		if isWord(word, "facet") {
			if word = t.words.next(); isWord(word, "normal") {
				return t.facet()
			}
			if t.words.line != line {
				return word, nil
			}
		}
	}
}

// facet reads on after "facet normal" and gives the word after "endfacet".
func (t *stlText) facet() ([]byte, error) {
	t.begins = t.words.line
	t.loose.add(!t.open, t.begins)
	normal := t.normal()
	for _, want := range []string{"outer", "loop", "vertex"} {
		if err := t.expect(want); err != nil {
			return nil, err
		}
	}
	if err := t.loop(); err != nil {
		return nil, err
	}
	if err := t.expect("endfacet"); err != nil {
		return nil, err
	}
	t.whole++
	return t.words.next(), t.take(normal)
}

// loop reads the corners of a facet from behind the first "vertex" to "endloop".
func (t *stlText) loop() error {
	t.corners = t.corners[:0]
	for {
		var v r3.Vec
		after, err := t.corner(&v)
		if err != nil {
			return err
		}
		t.corners = append(t.corners, v)
		switch n := len(t.corners); {
		case n >= 3 && isWord(after, "endloop"):
			return nil
		case n < 3 && !isWord(after, "vertex"):
			return t.unexpected(after, "vertex")
		case !isWord(after, "vertex"):
			return t.unexpected(after, "endloop")
		case n > maxCorners:
			return t.fault("a facet with more than %d corners", maxCorners)
		}
	}
}

// take adds the facet whose corners have been read, cut into triangles where it has
// more than three.
func (t *stlText) take(normal r3.Vec) error {
	c := t.corners
	if len(c) == 3 {
		t.sink.add(c[0], c[1], c[2], normal)
	} else {
		numbers := make([]int32, len(c))
		for i := range numbers {
			numbers[i] = int32(i)
		}
		t.cutter.vertices = c
		facets, fault, err := t.cutter.cut(t.ctx, numbers)
		if err != nil {
			return t.fault("a facet with %d corners has %w", len(c), err)
		}
		t.many.add(true, t.begins)
		t.crossed.add(fault.crossed, t.begins)
		t.bent.add(fault.bent, t.begins)
		for _, f := range facets {
			t.sink.add(c[f[0]], c[f[1]], c[f[2]], normal)
		}
	}
	if t.sink.full != nil {
		return t.fault("%w", t.sink.full)
	}
	return nil
}

// normal reads the stored normal, which decides nothing: one that is no number
// is as good as none.
func (t *stlText) normal() r3.Vec {
	var n [3]float64
	for i := range n {
		n[i], _ = t.numbers.parse(t.words.next())
	}
	return r3.Vec{X: n[0], Y: n[1], Z: n[2]}
}

// corner reads three numbers, passes over any more, and gives the word after.
func (t *stlText) corner(v *r3.Vec) ([]byte, error) {
	var n [3]float64
	for i := range n {
		word := t.words.next()
		if word == nil {
			return nil, t.unexpected(nil, "a number")
		}
		var err error
		if n[i], err = t.numbers.parse(word); err != nil {
			if t.words.last() { // half of one
				return nil, t.unexpected(nil, "a number")
			}
			return nil, t.fault("%w", err)
		}
	}
	*v = r3.Vec{X: n[0], Y: n[1], Z: n[2]}
	for {
		word := t.words.next()
		if len(word) == 0 || bytes.IndexByte([]byte("+-.0123456789"), word[0]) < 0 {
			return word, nil // the next keyword
		}
		t.extra++
	}
}

func (t *stlText) expect(want string) error {
	if word := t.words.next(); !isWord(word, want) {
		return t.unexpected(word, want)
	}
	return nil
}

func (t *stlText) unexpected(word []byte, want string) error {
	if word != nil && !t.words.last() { // the last word may be half of one
		return t.fault("%q where %s should stand", clip(word), want)
	}
	if err := t.readError(); err != nil {
		return err
	}
	return fmt.Errorf("line %d: %w; copy or export it again", t.words.line, errCutOff)
}

func (t *stlText) fault(format string, args ...any) error {
	return withAdvice(fmt.Errorf("line %d: "+format, append([]any{t.words.line}, args...)...))
}

// readError tells the end of the file from a failure to read it.
func (t *stlText) readError() error {
	if err := t.words.err; err != nil && err != io.EOF {
		return fmt.Errorf("line %d: cannot be read (%w); copy the file again", t.words.line, err)
	}
	return nil
}

// isWord compares in any case.
func isWord(word []byte, want string) bool {
	return len(word) == len(want) && bytes.EqualFold(word, []byte(want))
}
