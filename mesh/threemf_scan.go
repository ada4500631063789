package mesh

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"unicode/utf8"
)

// Bounds on the XML of a model part. It streams past in a window, so that its
// length costs time and no memory.
const (
	maxOtherTags  = 1_000_000 // tags other than vertices and triangles
	maxTagLength  = 1 << 16
	maxAttributes = 64
	maxText       = 1 << 20 // between two tags
	maxNesting    = 100     // of elements
	scanWindow    = 1 << 18
)

// xmlScan goes through XML text once. It refuses what 3MF forbids (document
// types, other encodings than UTF-8) and knows no more of XML than that takes.
type xmlScan struct {
	r       io.Reader
	buf     []byte
	at, end int // buf[at:end] is read and still to come
	known   int // buf[at:known] of it is known to be text
	line    int // of buf[at], from 1
	err     error
}

func newXMLScan(r io.Reader) *xmlScan {
	return &xmlScan{r: r, buf: make([]byte, scanWindow), line: 1}
}

// rest gives what is in the window.
func (s *xmlScan) rest() []byte { return s.buf[s.at:s.known] }

// take moves past n bytes of the window and gives them.
func (s *xmlScan) take(n int) []byte {
	b := s.buf[s.at : s.at+n]
	s.line += bytes.Count(b, []byte{'\n'})
	s.at += n
	return b
}

// fill reads more into the window; false at the end of the text, or where it
// cannot be read or is none. It is called only while less than a tag's length is
// in the window, so that there is always room.
func (s *xmlScan) fill() bool {
	if s.err != nil {
		return false
	}
	if s.at > 0 {
		s.end = copy(s.buf, s.buf[s.at:s.end])
		s.known -= s.at
		s.at = 0
	}
	n, err := s.r.Read(s.buf[s.end:])
	s.end += n
	if err != nil {
		s.err = err
	}
	if !s.isText(err == io.EOF) {
		s.known, s.err = s.at, errNotText
		return false
	}
	return n > 0 || s.err == nil
}

var errNotText = errors.New("is not UTF-8 text, as 3MF demands; export the part again")

// isText checks what has come in since it was asked last; a character may be cut
// off at the end of the window, though not at the end of the text.
func (s *xmlScan) isText(last bool) bool {
	fresh := s.buf[s.known:s.end]
	whole := len(fresh)
	for k := 1; !last && k < utf8.UTFMax && k <= len(fresh); k++ {
		if c := fresh[len(fresh)-k]; utf8.RuneStart(c) {
			if !utf8.FullRune(fresh[len(fresh)-k:]) {
				whole = len(fresh) - k
			}
			break
		}
	}
	s.known += whole
	return bytes.IndexByte(fresh[:whole], 0) < 0 && utf8.Valid(fresh[:whole])
}

// failure gives the error that the text could not be read for, nil at its end.
func (s *xmlScan) failure() error {
	if s.err == nil || s.err == io.EOF {
		return nil
	}
	return s.err
}

// fault says in which line something is wrong.
func (s *xmlScan) fault(err error) error {
	if cause := s.failure(); cause != nil {
		return cause
	}
	return withAdvice(fmt.Errorf("line %d: %w", s.line, err))
}

// text moves to the next "<" and hands what stands before it to out, which may
// be nil; false at the end of the text.
func (s *xmlScan) text(out *bytes.Buffer) (bool, error) {
	for length := 0; ; {
		i := bytes.IndexByte(s.rest(), '<')
		n := i
		if i < 0 {
			n = len(s.rest())
		}
		if length += n; length > maxText {
			return false, s.fault(errors.New("a megabyte of text between two tags"))
		}
		if b := s.take(n); out != nil {
			out.Write(b)
		}
		if i >= 0 {
			return true, nil
		}
		if !s.fill() {
			return false, s.failure()
		}
	}
}

// begins reports whether the window goes on with prefix.
func (s *xmlScan) begins(prefix string) bool {
	for len(s.rest()) < len(prefix) && s.fill() {
	}
	return bytes.HasPrefix(s.rest(), []byte(prefix))
}

// pass moves past the next occurrence of end, after skip bytes.
func (s *xmlScan) pass(skip int, end string) error {
	s.take(skip)
	for {
		if i := bytes.Index(s.rest(), []byte(end)); i >= 0 {
			s.take(i + len(end))
			return nil
		}
		s.take(max(len(s.rest())-len(end)+1, 0))
		if !s.fill() {
			return s.fault(errMore)
		}
	}
}

// short gives the tag or instruction that the window stands on, which ends in
// end and is no longer than a tag may be.
func (s *xmlScan) short(end string) ([]byte, error) {
	for {
		if i := bytes.Index(s.rest(), []byte(end)); i >= 0 {
			return s.take(i + len(end)), nil
		}
		if len(s.rest()) > maxTagLength {
			return nil, s.fault(fmt.Errorf("a tag longer than %d kilobytes", maxTagLength>>10))
		}
		if !s.fill() {
			return nil, s.fault(errMore)
		}
	}
}

// start reads the start tag that the window stands on into tag and gives it as it
// was written.
func (s *xmlScan) start(tag *xmlTag) ([]byte, error) {
	for {
		c := tagReader{data: s.rest()}
		n, err := c.read(tag)
		switch {
		case err == nil:
			return s.take(n), nil
		case err != errMore:
			return nil, s.fault(err)
		case len(s.rest()) > maxTagLength:
			return nil, s.fault(fmt.Errorf("a tag longer than %d kilobytes", maxTagLength>>10))
		case !s.fill():
			return nil, s.fault(errMore)
		}
	}
}
