package mesh

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strconv"
)

// maxSkeleton bounds what a model part holds beside meshes and foreign elements.
const maxSkeleton = 16 << 20

// modelScan reads a model part as it is unpacked. Vertices and triangles, nearly
// all of it, go straight into meshes; elements of extensions are passed over; the
// rest, its skeleton, is small and is left to the 3MF library.
type modelScan struct {
	*xmlScan
	room     *room
	skeleton bytes.Buffer
	meshes   map[uint32]*Mesh // by the identifier of the object
	beside   map[uint32]bool  // objects whose meshes have more than triangles
	root     rootTag
	used     []string // namespace prefixes in use, without those of XML itself
	encoding string   // as declared
	stranger string   // an element that the core does not have
	early    uint32   // an object with its triangles before its vertices

	tag    xmlTag // reused from tag to tag
	open   []openElement
	names  []byte // of the open elements, one after the other
	others int    // tags other than vertices and triangles
	object uint32
	mesh   *Mesh
	seen   seenElements
}

// seenElements are those that may come once, in the model and in the mesh that is
// being read.
type seenElements struct{ resources, build, vertices, triangles bool }

// openElement is an element that has not ended yet.
type openElement struct {
	name int // where its name begins in names
	kind elementKind
}

// elementKind is what an element is to the reader.
type elementKind uint8

const (
	coreElement elementKind = iota // of the core, left to the library
	foreignElement
	modelElement
	resourcesElement
	objectElement
	meshElement
	verticesElement
	trianglesElement
	vertexElement
	triangleElement
)

// scanModel reads a model part from r.
func scanModel(r io.Reader, room *room) (*modelScan, error) {
	m := &modelScan{
		xmlScan: newXMLScan(r), room: room,
		meshes: map[uint32]*Mesh{}, beside: map[uint32]bool{},
	}
	for {
		more, err := m.text(m.textSink())
		if err == nil && more {
			err = m.markup()
		}
		if err == nil && m.skeleton.Len() > maxSkeleton {
			err = m.fault(fmt.Errorf("more than %d megabytes beside vertices and triangles", maxSkeleton>>20))
		}
		if err != nil {
			return nil, err
		}
		if !more {
			break
		}
	}
	if len(m.open) > 0 {
		return nil, m.fault(errors.New("the text ends before its elements do"))
	}
	return m, m.checkMeshes()
}

// textSink is where text goes: to the skeleton, or nowhere within meshes and
// foreign elements.
func (m *modelScan) textSink() *bytes.Buffer {
	if m.kind() == coreElement {
		return &m.skeleton
	}
	return nil
}

// kind gives that of the innermost element.
func (m *modelScan) kind() elementKind {
	if len(m.open) == 0 {
		return coreElement
	}
	return m.open[len(m.open)-1].kind
}

// markup moves past the tag, comment or instruction that the window stands on.
// Comments and quoted sections are left out of the skeleton: the library cannot
// read them.
func (m *modelScan) markup() error {
	switch {
	case m.begins("</"):
		return m.finish()
	case m.begins("<!--"):
		return m.pass(len("<!--"), "-->")
	case m.begins("<![CDATA["):
		return m.pass(len("<![CDATA["), "]]>")
	case m.begins("<!"):
		return m.fault(errors.New("a document type or entity definition, which 3MF forbids"))
	case m.begins("<?"):
		text, err := m.short("?>")
		if bytes.HasPrefix(text, []byte("<?xml ")) {
			m.encoding = declaredEncoding(text)
		}
		m.skeleton.Write(text)
		return err
	}
	text, err := m.start(&m.tag)
	if err != nil {
		return err
	}
	if err := m.enter(text); err != nil {
		return m.fault(err)
	}
	return nil
}

// declaredEncoding gives the encoding that an XML declaration names, "" where it
// names none.
func declaredEncoding(text []byte) string {
	_, text, _ = bytes.Cut(text, []byte("encoding"))
	text = bytes.TrimLeft(text, " \t\r\n=")
	if len(text) == 0 {
		return ""
	}
	name, _, _ := bytes.Cut(text[1:], text[:1])
	return string(name)
}

// enter deals with the start tag that has just been read.
func (m *modelScan) enter(text []byte) error {
	kind, err := m.kindOf(&m.tag)
	if err != nil {
		return err
	}
	switch kind {
	case vertexElement:
		err = m.addVertex()
	case triangleElement:
		err = m.addTriangle()
	default:
		err = m.addOther(kind, text)
	}
	if err != nil || m.tag.closed {
		return err
	}
	if len(m.open) >= maxNesting {
		return fmt.Errorf("elements nested more than %d deep", maxNesting)
	}
	m.open = append(m.open, openElement{len(m.names), kind})
	m.names = appendName(m.names, m.tag.prefix, m.tag.name)
	return nil
}

func appendName(to, prefix, local []byte) []byte {
	if len(prefix) > 0 {
		to = append(append(to, prefix...), ':')
	}
	return append(to, local...)
}

// kindOf says what the element of a tag is, by where it stands.
func (m *modelScan) kindOf(tag *xmlTag) (elementKind, error) {
	if m.root.name == "" && len(m.open) == 0 {
		m.setRoot(tag)
		return modelElement, nil
	}
	if len(m.open) == 0 {
		return coreElement, errors.New("an element after its root has ended")
	}
	for i := range tag.attrs {
		prefix, _ := cutName(tag.attrs[i].name)
		m.use(prefix)
	}
	m.use(tag.prefix)
	parent := m.kind()
	if parent == foreignElement || !m.root.isCore(tag.prefix) || m.renames(tag) {
		return foreignElement, m.bindsCore(tag)
	}
	return coreKind(parent, string(tag.name)), nil
}

// coreKind says what a core element of that name is inside another.
func coreKind(parent elementKind, name string) elementKind {
	child, kind := childOf(parent)
	switch {
	case name == child:
		return kind
	case parent == meshElement && name == "triangles":
		return trianglesElement
	case parent >= meshElement:
		return foreignElement // 3MF has no more in a mesh
	}
	return coreElement
}

// childOf gives the element that is looked for inside another, the first of a mesh.
func childOf(parent elementKind) (name string, kind elementKind) {
	switch parent {
	case modelElement:
		return "resources", resourcesElement
	case resourcesElement:
		return "object", objectElement
	case objectElement:
		return "mesh", meshElement
	case meshElement:
		return "vertices", verticesElement
	case verticesElement:
		return "vertex", vertexElement
	case trianglesElement:
		return "triangle", triangleElement
	}
	return "", coreElement
}

// addOther deals with an element that is neither vertex nor triangle.
func (m *modelScan) addOther(kind elementKind, text []byte) error {
	if m.others++; m.others > maxOtherTags {
		return fmt.Errorf("more than %d tags beside vertices and triangles", maxOtherTags)
	}
	if err := m.onlyOnce(kind); err != nil {
		return err
	}
	switch kind {
	case foreignElement:
		if m.kind() >= meshElement {
			m.beside[m.object] = true
		}
		return nil
	case verticesElement, trianglesElement:
		return nil
	case coreElement:
		if parent := m.kind(); m.stranger == "" && !isCoreChild(parent, string(m.tag.name)) {
			m.stranger = string(m.tag.name)
		}
	case meshElement:
		m.seen.vertices, m.seen.triangles = false, false
		if _, ok := m.meshes[m.object]; ok {
			return fmt.Errorf("object %d has two meshes", m.object)
		}
		m.mesh = &Mesh{}
		m.meshes[m.object] = m.mesh
	case objectElement:
		// What the library makes of a number that is none, it says.
		id, _ := strconv.ParseUint(string(m.tag.attr("id")), 10, 32)
		if _, ok := m.meshes[uint32(id)]; ok {
			return fmt.Errorf("two objects numbered %d", id)
		}
		m.object = uint32(id)
	}
	m.skeleton.Write(text)
	return nil
}

// onlyOnce refuses elements that come twice where the core specification has one.
func (m *modelScan) onlyOnce(kind elementKind) error {
	var seen *bool
	var what string
	switch name := string(m.tag.name); {
	case kind == resourcesElement:
		seen, what = &m.seen.resources, "a second resources element"
	case kind == coreElement && m.kind() == modelElement && name == "build":
		seen, what = &m.seen.build, "a second build element"
	case kind == verticesElement:
		if m.seen.triangles {
			m.early = m.object
		}
		seen, what = &m.seen.vertices, "a second list of vertices"
	case kind == trianglesElement:
		seen, what = &m.seen.triangles, "a second list of triangles"
	default:
		return nil
	}
	if *seen {
		return errors.New(what)
	}
	*seen = true
	return nil
}

// isCoreChild reports whether the core specification has an element of that name
// within another, as far as the kind of that is known.
func isCoreChild(parent elementKind, name string) bool {
	switch parent {
	case modelElement:
		return name == "metadata" || name == "build"
	case resourcesElement:
		return name == "basematerials"
	case objectElement:
		return name == "components" || name == "metadatagroup"
	}
	return true
}

// finish deals with the end tag that the window stands on.
func (m *modelScan) finish() error {
	text, err := m.short(">")
	if err != nil {
		return err
	}
	name := bytes.TrimRight(text[2:len(text)-1], " \t\r\n")
	if len(m.open) == 0 {
		return m.fault(fmt.Errorf("an end of %q that never began", clip(name)))
	}
	last := m.open[len(m.open)-1]
	want := m.names[last.name:]
	if !bytes.Equal(name, want) {
		return m.fault(fmt.Errorf("an end of %q where %q is to end", clip(name), clip(want)))
	}
	m.open, m.names = m.open[:len(m.open)-1], m.names[:last.name]
	switch last.kind {
	case foreignElement, verticesElement, trianglesElement, vertexElement, triangleElement:
	default:
		m.skeleton.Write(text)
	}
	return nil
}
