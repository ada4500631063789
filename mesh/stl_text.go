package mesh

import (
	"bytes"
	"errors"
	"fmt"
	"io"

	"gonum.org/v1/gonum/spatial/r3"
)

// stlText reads text STL. The library's own text reader wants lower-case
// keywords, one per line, and tells no line; programs write neither so strictly.
type stlText struct {
	words   *wordReader
	sink    stlSink
	numbers numberStyle
	extra   int  // numbers beyond the third on a vertex line
	open    bool // inside a solid
}

func readSTLText(r io.ReaderAt, size int64, room *room) (content, error) {
	t := &stlText{words: newWordReader(io.NewSectionReader(r, 0, size))}
	// A facet takes at least some 100 bytes of text; the soup grows as needed.
	t.sink = stlSink{soup: newSoup(int(min(size/200, 1<<20))), room: room}
	if err := t.solids(); err != nil {
		return content{}, err
	}
	if len(t.sink.soup.facets) == 0 {
		return content{}, errors.New("the file holds no triangles; export the part again")
	}
	notes := t.numbers.notes()
	if t.extra > 0 {
		notes = append(notes, fmt.Sprintf("%d numbers beyond the third on vertex lines were passed over.", t.extra))
	}
	if t.open {
		notes = append(notes, "The file ends without endsolid; facets may be missing at its end.")
	}
	return t.sink.content(notes)
}

// solids reads the whole file: any number of solids, which become one mesh.
func (t *stlText) solids() error {
	word := t.words.next()
	word = bytes.TrimPrefix(word, []byte(byteOrderMark))
	for word != nil {
		var err error
		switch {
		case isWord(word, "solid"):
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
		if err != nil {
			return err
		}
	}
	return t.readError()
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
	normal := t.normal()
	for _, want := range []string{"outer", "loop", "vertex"} {
		if err := t.expect(want); err != nil {
			return nil, err
		}
	}
	var corner [3]r3.Vec
	for i := range corner {
		after, err := t.corner(&corner[i])
		if err != nil {
			return nil, err
		}
		want := "vertex"
		if i == 2 {
			want = "endloop"
		}
		if !isWord(after, want) {
			return nil, t.unexpected(after, want)
		}
	}
	if t.sink.add(corner[0], corner[1], corner[2], normal); t.sink.full != nil {
		return nil, t.fault("%w", t.sink.full)
	}
	if err := t.expect("endfacet"); err != nil {
		return nil, err
	}
	return t.words.next(), nil
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
	return fmt.Errorf("line %d: the file ends inside a facet; copy or export it again", t.words.line)
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
