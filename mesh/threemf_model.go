package mesh

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"

	"github.com/hpinc/go3mf"
	"gonum.org/v1/gonum/spatial/r3"
)

// maxSkeleton bounds what a model part holds beside meshes and foreign elements.
const maxSkeleton = 16 << 20

// modelScan reads a model part as it is unpacked. Vertices and triangles, nearly
// all of it, go straight into meshes; elements of extensions are passed over; the
// rest, its skeleton, is small and is left to the 3MF library.
type modelScan struct {
	*xmlScan
	limit    *facetLimit
	skeleton bytes.Buffer
	meshes   map[uint32]*Mesh // by the identifier of the object
	beside   map[uint32]bool  // objects whose meshes have more than triangles
	root     rootTag
	used     []string // namespace prefixes in use, without those of XML itself

	tag    xmlTag // reused from tag to tag
	open   []openElement
	names  []byte // of the open elements, one after the other
	others int    // tags other than vertices and triangles
	object uint32
	mesh   *Mesh
}

// rootTag is what is kept of the root element.
type rootTag struct {
	prefix, name string
	attrs        map[string]string
	core         []string // prefixes that stand for the core namespace
}

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
func scanModel(r io.Reader, limit *facetLimit) (*modelScan, error) {
	m := &modelScan{
		xmlScan: newXMLScan(r), limit: limit,
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

// setRoot keeps what the root element says.
func (m *modelScan) setRoot(tag *xmlTag) {
	m.root = rootTag{prefix: string(tag.prefix), name: string(tag.name), attrs: map[string]string{}}
	for _, a := range tag.attrs {
		prefix, local := cutName(a.name)
		m.root.attrs[string(a.name)] = string(a.value)
		switch {
		case string(a.value) != go3mf.Namespace:
			m.use(prefix)
		case string(a.name) == "xmlns":
			m.root.core = append(m.root.core, "")
		case string(prefix) == "xmlns":
			m.root.core = append(m.root.core, string(local))
		}
	}
}

// isCore reports whether a prefix stands for the core namespace.
func (t *rootTag) isCore(prefix []byte) bool {
	for _, p := range t.core {
		if p == string(prefix) {
			return true
		}
	}
	return false
}

// renames reports whether a tag gives its own prefix another meaning.
func (m *modelScan) renames(tag *xmlTag) bool {
	name := "xmlns"
	if len(tag.prefix) > 0 {
		name += ":" + string(tag.prefix)
	}
	space := tag.attr(name)
	return space != nil && string(space) != go3mf.Namespace
}

// bindsCore refuses an element within which a further prefix stands for the core:
// its meshes would be taken for foreign and passed over.
func (m *modelScan) bindsCore(tag *xmlTag) error {
	for _, a := range tag.attrs {
		if prefix, _ := cutName(a.name); (string(a.name) == "xmlns" || string(prefix) == "xmlns") && string(a.value) == go3mf.Namespace {
			return errors.New("the namespace of 3MF is declared within the model in place of its root")
		}
	}
	return nil
}

// use remembers a namespace prefix.
func (m *modelScan) use(prefix []byte) {
	if len(prefix) == 0 || len(m.used) >= maxAttributes || m.root.isCore(prefix) || string(prefix) == "xml" || string(prefix) == "xmlns" {
		return
	}
	for _, u := range m.used {
		if u == string(prefix) {
			return
		}
	}
	m.used = append(m.used, string(prefix))
}

// addOther deals with an element that is neither vertex nor triangle.
func (m *modelScan) addOther(kind elementKind, text []byte) error {
	if m.others++; m.others > maxOtherTags {
		return fmt.Errorf("more than %d tags beside vertices and triangles", maxOtherTags)
	}
	switch kind {
	case foreignElement:
		if m.kind() >= meshElement {
			m.beside[m.object] = true
		}
		return nil
	case verticesElement, trianglesElement:
		return nil
	case meshElement:
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

// addVertex takes the vertex of the tag. Coordinates have 32 bits, as in STL.
func (m *modelScan) addVertex() error {
	var v [3]float64
	for k, name := range [3]string{"x", "y", "z"} {
		text, err := m.demand(name)
		if err != nil {
			return err
		}
		if v[k], err = strconv.ParseFloat(string(text), 32); err != nil {
			var style numberStyle
			if _, odd := style.parseOdd(text); odd != nil {
				err = odd
			}
			return fmt.Errorf("vertex %d of object %d: %w", len(m.mesh.Vertices), m.object, err)
		}
	}
	p := r3.Vec{X: v[0], Y: v[1], Z: v[2]}
	if !finite(p) {
		return fmt.Errorf("vertex %d of object %d is not a number", len(m.mesh.Vertices), m.object)
	}
	if err := m.limit.takeVertices(1); err != nil {
		return err
	}
	m.mesh.Vertices = append(m.mesh.Vertices, p)
	return nil
}

// addTriangle takes the triangle of the tag.
func (m *modelScan) addTriangle() error {
	var f [3]int32
	for k, name := range [3]string{"v1", "v2", "v3"} {
		text, err := m.demand(name)
		if err != nil {
			return err
		}
		n, err := strconv.ParseUint(string(text), 10, 31)
		if err != nil {
			return fmt.Errorf("triangle %d of object %d: %q is no vertex number", len(m.mesh.Facets), m.object, clip(text))
		}
		f[k] = int32(n)
	}
	if err := m.limit.take(1); err != nil {
		return err
	}
	m.mesh.Facets = append(m.mesh.Facets, f)
	return nil
}

// demand gives the value of an attribute of the tag without blanks around it.
func (m *modelScan) demand(name string) ([]byte, error) {
	text := m.tag.attr(name)
	if text == nil {
		return nil, fmt.Errorf("a %s without %s", m.tag.name, name)
	}
	if bytes.IndexByte(text, '&') >= 0 {
		return nil, fmt.Errorf("the %s of a %s is %q, not a plain number", name, m.tag.name, clip(text))
	}
	return bytes.TrimSpace(text), nil
}

// checkMeshes wants the triangles to name vertices that there are.
func (m *modelScan) checkMeshes() error {
	for _, id := range m.objects() {
		mesh := m.meshes[id]
		n := int32(min(len(mesh.Vertices), math.MaxInt32))
		for i, f := range mesh.Facets {
			if worst := max(f[0], f[1], f[2]); worst >= n {
				return fmt.Errorf("object %d: triangle %d names vertex %d, but there are %d; export the part again", id, i, worst, n)
			}
		}
	}
	return nil
}

// objects lists the objects with meshes in ascending order.
func (m *modelScan) objects() []uint32 {
	var out []uint32
	for id := range m.meshes {
		out = append(out, id)
	}
	slices.Sort(out)
	return out
}
