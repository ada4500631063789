package mesh

import "io"

// wordReader splits a text into words and counts lines as it goes. It holds one
// block in memory whatever the length of the lines: some programs write a whole
// part on one.
type wordReader struct {
	r    io.Reader
	buf  []byte
	rest []byte // what of buf is still to come
	word []byte // the word handed out last
	line int    // the line it stands on, from 1
	err  error
}

// maxWord bounds a word; numbers and keywords are far shorter.
const maxWord = 4096

func newWordReader(r io.Reader) *wordReader {
	return &wordReader{r: r, buf: make([]byte, 1<<16), line: 1}
}

// next gives the next word, which stays good until the next call, and nil at
// the end of the text. Words longer than maxWord are cut off there.
func (w *wordReader) next() []byte {
	w.word = w.word[:0]
	for w.fill() {
		if len(w.word) == 0 {
			w.skipBlanks()
		}
		end := 0
		for end < len(w.rest) && w.rest[end] > ' ' {
			end++
		}
		w.word = append(w.word, w.rest[:min(end, maxWord-len(w.word))]...)
		w.rest = w.rest[end:]
		if len(w.rest) > 0 {
			return w.word
		}
	}
	if len(w.word) == 0 {
		return nil
	}
	return w.word
}

// last reports whether the text ends right after the word handed out last.
func (w *wordReader) last() bool { return !w.fill() }

// fill reads the next block; false at the end of the text.
func (w *wordReader) fill() bool {
	for len(w.rest) == 0 {
		if w.err != nil {
			return false
		}
		var n int
		n, w.err = w.r.Read(w.buf)
		w.rest = w.buf[:n]
	}
	return true
}

func (w *wordReader) skipBlanks() {
	i := 0
	for i < len(w.rest) && w.rest[i] <= ' ' {
		if w.rest[i] == '\n' {
			w.line++
		}
		i++
	}
	w.rest = w.rest[i:]
}
