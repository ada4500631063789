package mesh

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"unicode/utf8"
)

// Bounds on the XML of a model part. Each tag costs the 3MF library memory, the
// ones that it does not know several times their length.
const (
	maxTags       = 3*maxFacets/2 + maxOtherTags // a closed mesh: one vertex for two facets
	maxOtherTags  = 1_000_000                    // tags other than vertices and triangles
	maxTagLength  = 1 << 16
	maxAttributes = 64
	maxText       = 1 << 20 // between two tags
)

// xmlCheck goes through a model part before the 3MF library does. It refuses what
// the library would take without a word (missing coordinates, doubled attributes,
// document types, other encodings) and blanks what the library cannot read though
// XML allows it (comments, blanks around numbers). It knows no more of XML than
// that takes; the library checks the rest.
type xmlCheck struct {
	data    []byte
	at      int
	tags    int
	others  int // tags other than vertices and triangles
	root    xmlTag
	used    []string  // namespace prefixes in use, without those of xml itself
	scratch []xmlAttr // reused from tag to tag
}

func checkXML(data []byte) (*xmlCheck, error) {
	c := &xmlCheck{data: data}
	if bytes.IndexByte(data, 0) >= 0 || !utf8.Valid(data) {
		return nil, errors.New("is not UTF-8 text, as 3MF demands; export the part again")
	}
	for c.at < len(data) {
		if err := c.step(); err != nil {
			return nil, fmt.Errorf("line %d: %w; export the part again", 1+bytes.Count(data[:min(c.at, len(data))], []byte("\n")), err)
		}
	}
	return c, nil
}

// step moves past the next tag, comment or instruction.
func (c *xmlCheck) step() error {
	open := bytes.IndexByte(c.data[c.at:], '<')
	if open < 0 {
		open = len(c.data) - c.at
	}
	if open > maxText {
		return errors.New("a megabyte of text between two tags")
	}
	c.at += open
	rest := c.data[c.at:]
	switch {
	case len(rest) == 0:
		return nil
	case bytes.HasPrefix(rest, []byte("<!--")):
		return c.blank("-->")
	case bytes.HasPrefix(rest, []byte("<![CDATA[")):
		return c.blank("]]>")
	case bytes.HasPrefix(rest, []byte("<!")):
		return errors.New("a document type or entity definition, which 3MF forbids")
	case bytes.HasPrefix(rest, []byte("<?")):
		return c.skip("?>")
	case bytes.HasPrefix(rest, []byte("</")):
		return c.skip(">")
	}
	return c.start()
}

// skip moves past the next occurrence of end.
func (c *xmlCheck) skip(end string) error {
	n := bytes.Index(c.data[c.at:], []byte(end))
	if n < 0 {
		return errors.New("the text ends inside a tag")
	}
	c.at += n + len(end)
	return nil
}

// blank overwrites a comment or quoted section with spaces.
func (c *xmlCheck) blank(end string) error {
	from := c.at
	if err := c.skip(end); err != nil {
		return err
	}
	for i := from; i < c.at; i++ {
		if c.data[i] != '\n' {
			c.data[i] = ' '
		}
	}
	return nil
}

// start reads a start tag and holds it against the bounds.
func (c *xmlCheck) start() error {
	if c.tags++; c.tags > maxTags {
		return fmt.Errorf("more than %d million tags", maxTags/1_000_000)
	}
	tag := xmlTag{attrs: c.scratch[:0]}
	if err := c.readTag(&tag); err != nil {
		return err
	}
	c.scratch = tag.attrs
	if c.tags == 1 {
		c.root = xmlTag{prefix: tag.prefix, name: tag.name, attrs: slices.Clone(tag.attrs)}
	}
	return c.checkTag(&tag)
}

// checkTag asks vertices and triangles for their numbers. The core namespace has
// the prefix of the root element.
func (c *xmlCheck) checkTag(tag *xmlTag) error {
	c.use(tag.prefix)
	for _, a := range tag.attrs {
		prefix, _ := cutName(a.name)
		c.use(prefix)
	}
	if bytes.Equal(tag.prefix, c.root.prefix) {
		switch string(tag.name) {
		case "vertex":
			return c.demand(tag, "x", "y", "z")
		case "triangle":
			return c.demand(tag, "v1", "v2", "v3")
		}
	}
	if c.others++; c.others > maxOtherTags {
		return fmt.Errorf("more than %d tags beside vertices and triangles", maxOtherTags)
	}
	return nil
}

// demand refuses a tag without all of the attributes, and moves the quotes of
// their values past blanks.
func (c *xmlCheck) demand(tag *xmlTag, names ...string) error {
	for _, name := range names {
		i := slices.IndexFunc(tag.attrs, func(a xmlAttr) bool { return string(a.name) == name })
		if i < 0 {
			return fmt.Errorf("a %s without %s", tag.name, name)
		}
		a := tag.attrs[i]
		quote := c.data[a.begin-1]
		for ; a.begin < a.end && isBlank(c.data[a.begin]); a.begin++ {
			c.data[a.begin-1], c.data[a.begin] = ' ', quote
		}
		for ; a.begin < a.end && isBlank(c.data[a.end-1]); a.end-- {
			c.data[a.end-1], c.data[a.end] = quote, ' '
		}
	}
	return nil
}

// use remembers a namespace prefix.
func (c *xmlCheck) use(prefix []byte) {
	if len(prefix) == 0 || bytes.Equal(prefix, c.root.prefix) || string(prefix) == "xml" || string(prefix) == "xmlns" || len(c.used) >= maxAttributes {
		return
	}
	for _, u := range c.used {
		if u == string(prefix) {
			return
		}
	}
	c.used = append(c.used, string(prefix))
}

// rootAttr gives an attribute of the root element, "" when it has none.
func (c *xmlCheck) rootAttr(name string) string {
	for _, a := range c.root.attrs {
		if string(a.name) == name {
			return string(c.data[a.begin:a.end])
		}
	}
	return ""
}
