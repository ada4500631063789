package mesh

import (
	"bytes"
	"errors"
	"fmt"
)

// xmlTag is one start tag; the slices point into the data.
type xmlTag struct {
	prefix, name []byte
	attrs        []xmlAttr
}

type xmlAttr struct {
	name       []byte // with its prefix
	begin, end int    // of the value, between the quotes
}

// readTag reads the start tag that c stands on.
func (c *xmlCheck) readTag(tag *xmlTag) error {
	from := c.at
	c.at++
	tag.prefix, tag.name = cutName(c.word())
	if len(tag.name) == 0 {
		return errors.New("a tag without a name")
	}
	for {
		c.blanks()
		switch b := c.peek(); {
		case c.at-from > maxTagLength:
			return fmt.Errorf("a tag longer than %d kilobytes", maxTagLength>>10)
		case b == '>':
			c.at++
			return nil
		case b == '/':
			c.at++
		case b == 0:
			return errors.New("the text ends inside a tag")
		default:
			if err := c.attribute(tag); err != nil {
				return err
			}
		}
	}
}

func (c *xmlCheck) attribute(tag *xmlTag) error {
	a := xmlAttr{name: c.word()}
	c.blanks()
	if len(a.name) == 0 || c.peek() != '=' {
		return errors.New("an attribute without a value")
	}
	c.at++
	c.blanks()
	quote := c.peek()
	if quote != '"' && quote != '\'' {
		return errors.New("an attribute value without quotes")
	}
	c.at++
	n := bytes.IndexByte(c.data[c.at:], quote)
	if n < 0 {
		return errors.New("the text ends inside an attribute")
	}
	a.begin, a.end = c.at, c.at+n
	c.at = a.end + 1
	for _, b := range tag.attrs {
		if bytes.Equal(a.name, b.name) {
			return fmt.Errorf("attribute %s comes twice in one tag", clip(a.name))
		}
	}
	if tag.attrs = append(tag.attrs, a); len(tag.attrs) > maxAttributes {
		return fmt.Errorf("a tag with more than %d attributes", maxAttributes)
	}
	return nil
}

func (c *xmlCheck) peek() byte {
	if c.at >= len(c.data) {
		return 0
	}
	return c.data[c.at]
}

func (c *xmlCheck) blanks() {
	for c.at < len(c.data) && isBlank(c.data[c.at]) {
		c.at++
	}
}

// word reads up to a blank or a character that ends a name.
func (c *xmlCheck) word() []byte {
	from := c.at
	for c.at < len(c.data) && !isBlank(c.data[c.at]) && bytes.IndexByte([]byte("=/<>\"'"), c.data[c.at]) < 0 {
		c.at++
	}
	return c.data[from:c.at]
}

func cutName(name []byte) (prefix, local []byte) {
	if i := bytes.IndexByte(name, ':'); i >= 0 {
		return name[:i], name[i+1:]
	}
	return nil, name
}

func isBlank(b byte) bool { return b == ' ' || b == '\t' || b == '\n' || b == '\r' }
