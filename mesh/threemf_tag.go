package mesh

import (
	"bytes"
	"errors"
	"fmt"
)

// xmlTag is one start tag. Its slices point into the window of the scan and are
// good until the scan moves on.
type xmlTag struct {
	prefix, name []byte
	attrs        []xmlAttr
	closed       bool // ends in "/>"
}

// xmlAttr is one attribute: its name with its prefix, and what stands between
// the quotes.
type xmlAttr struct{ name, value []byte }

// attr gives the value of an attribute by its full name, nil where there is none.
func (t *xmlTag) attr(name string) []byte {
	for i := range t.attrs {
		if string(t.attrs[i].name) == name {
			return t.attrs[i].value
		}
	}
	return nil
}

// errMore says that the window ends within a tag.
var errMore = errors.New("the text ends inside a tag")

// tagReader reads one start tag from the beginning of data.
type tagReader struct {
	data []byte
	at   int
}

// read fills tag, whose memory it uses again, and gives the length of the tag.
func (c *tagReader) read(tag *xmlTag) (int, error) {
	c.at = 1 // past "<"
	tag.prefix, tag.name = cutName(c.word())
	tag.attrs, tag.closed = tag.attrs[:0], false
	if len(tag.name) == 0 && c.at < len(c.data) {
		return 0, errors.New("a tag without a name")
	}
	for {
		c.blanks()
		switch b := c.peek(); {
		case c.at > maxTagLength:
			return 0, fmt.Errorf("a tag longer than %d kilobytes", maxTagLength>>10)
		case b == '>':
			return c.at + 1, nil
		case b == '/':
			c.at++
			tag.closed = c.peek() == '>'
		case b == 0:
			return 0, errMore
		default:
			if err := c.attribute(tag); err != nil {
				return 0, err
			}
		}
	}
}

func (c *tagReader) attribute(tag *xmlTag) error {
	name := c.word()
	c.blanks()
	if c.at >= len(c.data) {
		return errMore
	}
	if len(name) == 0 || c.peek() != '=' {
		return errors.New("an attribute without a value")
	}
	c.at++
	c.blanks()
	quote := c.peek()
	if quote == 0 {
		return errMore
	}
	if quote != '"' && quote != '\'' {
		return errors.New("an attribute value without quotes")
	}
	c.at++
	n := bytes.IndexByte(c.data[c.at:], quote)
	if n < 0 {
		c.at = len(c.data)
		return errMore
	}
	value := c.data[c.at : c.at+n]
	c.at += n + 1
	if tag.attr(string(name)) != nil {
		return fmt.Errorf("attribute %s comes twice in one tag", clip(name))
	}
	if tag.attrs = append(tag.attrs, xmlAttr{name, value}); len(tag.attrs) > maxAttributes {
		return fmt.Errorf("a tag with more than %d attributes", maxAttributes)
	}
	return nil
}

// peek gives the next byte, 0 at the end of the window: the text holds no such byte.
func (c *tagReader) peek() byte {
	if c.at >= len(c.data) {
		return 0
	}
	return c.data[c.at]
}

func (c *tagReader) blanks() {
	for c.at < len(c.data) && isBlank(c.data[c.at]) {
		c.at++
	}
}

// word reads up to a blank or a character that ends a name.
func (c *tagReader) word() []byte {
	from := c.at
	for c.at < len(c.data) && !endsWord(c.data[c.at]) {
		c.at++
	}
	return c.data[from:c.at]
}

func endsWord(b byte) bool {
	switch b {
	case ' ', '\t', '\n', '\r', '=', '/', '<', '>', '"', '\'':
		return true
	}
	return false
}

func cutName(name []byte) (prefix, local []byte) {
	if i := bytes.IndexByte(name, ':'); i >= 0 {
		return name[:i], name[i+1:]
	}
	return nil, name
}

func isBlank(b byte) bool { return b == ' ' || b == '\t' || b == '\n' || b == '\r' }
