package mesh

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/hpinc/go3mf"
	"github.com/hpinc/go3mf/spec"
	"gonum.org/v1/gonum/spatial/r3"
)

// Bounds on components, which can name each other: a few lines of XML could
// stand for any number of copies.
const (
	maxDepth  = 20_000
	maxVisits = 100_000
)

// objectKey names an object: identifiers are good within one model part only.
type objectKey struct {
	path string
	id   uint32
}

// object is a go3mf object with its place in the list of its part.
type object struct {
	*go3mf.Object
	key   objectKey
	order int
	mesh  *Mesh // nil where it has none
}

// builder turns the build of a 3MF into meshes.
type builder struct {
	source  *package3MF
	root    string
	objects map[string]map[uint32]object // by part, then identifier
	noted   map[string]bool
	used    map[*Mesh]bool     // built at least once
	within  map[objectKey]bool // objects that are being expanded
	visits  int
}

// affine is the map v -> linear v + shift.
type affine struct {
	linear Matrix
	shift  r3.Vec
}

func (a affine) after(b affine) affine {
	return affine{linear: a.linear.Mul(b.linear), shift: r3.Add(a.linear.MulVec(b.shift), a.shift)}
}

func (b *builder) items(build []*go3mf.Item) ([]Item, error) {
	var items []Item
	for i, it := range build {
		key := objectKey{path: b.reference(it.AnyAttr, b.root), id: it.ObjectID}
		obj, err := b.find(key)
		if err != nil {
			return nil, fmt.Errorf("build item %d: %w", i+1, err)
		}
		if b.passOverItem(i+1, obj) {
			continue
		}
		item := Item{Name: obj.Name, Mesh: &Mesh{}}
		if item.Name == "" {
			item.Name = it.PartNumber
		}
		at, err := affineOf(it.Transform, it.HasTransform())
		if err == nil {
			err = b.expand(item.Mesh, obj, at, 0)
		}
		if err != nil {
			return nil, fmt.Errorf("build item %d: %w; export the part again", i+1, err)
		}
		if len(item.Mesh.Facets) == 0 {
			return nil, fmt.Errorf("build item %d: object %d holds no triangles; export the part again", i+1, obj.ID)
		}
		items = append(items, item)
	}
	if len(items) == 0 && len(build) > 0 {
		text := b.source.notes[len(b.source.notes)-1] // of the item that was passed over last
		return nil, fmt.Errorf("the file names nothing to build that is part of the model (%s); export the part again", strings.TrimSuffix(text, "."))
	}
	if len(items) == 0 {
		return nil, errors.New("the file names nothing to build; export the part again")
	}
	return items, nil
}

// reference gives the part that an item or component points into (p:path of the
// production extension), or the one it stands in.
func (b *builder) reference(attrs spec.AnyAttr, own string) string {
	group, ok := attrs.Get(nsProduction).(*spec.UnknownAttrs)
	if !ok {
		return own
	}
	for _, a := range group.Attr {
		if a.Name.Local == "path" && a.Value != "" {
			return partName(own, a.Value)
		}
	}
	return own
}

// find looks an object up, decoding its part when that has not been done.
func (b *builder) find(key objectKey) (object, error) {
	if _, ok := b.objects[key.path]; !ok {
		if err := b.list(key.path); err != nil {
			return object{}, err
		}
	}
	obj, ok := b.objects[key.path][key.id]
	if !ok {
		return object{}, fmt.Errorf("object %d is not in part %s; export the part again", key.id, key.path)
	}
	return obj, nil
}

func (b *builder) list(path string) error {
	model, err := b.source.model(path)
	if err != nil {
		return err
	}
	list := map[uint32]object{}
	for i, o := range model.Resources.Objects {
		if o.ID == 0 || o.ID > maxResourceID {
			return fmt.Errorf("part %s has an object with %d for its id, which is no number of an object (1 to %d); export the part again", path, o.ID, maxResourceID)
		}
		if _, ok := list[o.ID]; ok {
			return fmt.Errorf("part %s has two objects numbered %d; export the part again", path, o.ID)
		}
		list[o.ID] = object{Object: o, key: objectKey{path, o.ID}, order: i, mesh: model.meshes[o.ID]}
		if model.beside[o.ID] {
			b.note(fmt.Sprintf("Object %d has more in its mesh than triangles (beams, sets), which was passed over.", o.ID))
		}
		if m := list[o.ID].mesh; m != nil {
			m.compact() // copies of an object must not multiply vertices that nothing uses
		}
	}
	if b.objects == nil {
		b.objects = map[string]map[uint32]object{}
	}
	b.objects[path] = list
	return nil
}

// passOver remarks on objects that are not part geometry.
func (b *builder) passOver(obj object) bool {
	if obj.Type == go3mf.ObjectTypeModel {
		return false
	}
	b.note(fmt.Sprintf("Object %d is of type %q, not part of the model, and was passed over.", obj.ID, obj.Type))
	return true
}

// passOverItem does the same for what is to be built.
func (b *builder) passOverItem(i int, obj object) bool {
	if obj.Type != go3mf.ObjectTypeOther {
		return b.passOver(obj)
	}
	b.note(fmt.Sprintf("Build item %d is object %d of type \"other\", which 3MF forbids there; it was passed over.", i, obj.ID))
	return true
}

// note adds a remark once.
func (b *builder) note(text string) {
	if !b.noted[text] && len(b.noted) < maxAttributes {
		b.noted[text] = true
		b.source.notes = append(b.source.notes, text)
	}
}

// expand adds an object and all that it is made of to out.
func (b *builder) expand(out *Mesh, obj object, at affine, depth int) error {
	switch b.visits++; {
	case b.within[obj.key]:
		return fmt.Errorf("object %d is made of itself", obj.ID)
	case b.visits > maxVisits:
		return fmt.Errorf("the objects are made of more than %d pieces", maxVisits)
	case depth > maxDepth:
		return fmt.Errorf("object %d lies within more than %d others", obj.ID, maxDepth)
	case obj.mesh == nil && obj.Components == nil:
		return fmt.Errorf("object %d has neither a mesh nor components", obj.ID)
	case obj.mesh != nil && obj.Components != nil:
		return fmt.Errorf("object %d has both a mesh and components, where 3MF has one of them", obj.ID)
	}
	if err := b.source.ctx.Err(); err != nil {
		return err
	}
	if obj.mesh != nil {
		if err := b.place(out, obj.mesh, at); err != nil {
			return err
		}
	}
	if obj.Components == nil {
		return nil
	}
	b.within[obj.key] = true
	defer delete(b.within, obj.key)
	for _, c := range obj.Components.Component {
		if err := b.component(out, obj, c, at, depth); err != nil {
			return err
		}
	}
	return nil
}

func (b *builder) component(out *Mesh, obj object, c *go3mf.Component, at affine, depth int) error {
	piece, err := b.find(objectKey{path: b.reference(c.AnyAttr, obj.key.path), id: c.ObjectID})
	if err != nil || b.passOver(piece) {
		return err
	}
	if piece.key.path == obj.key.path && piece.order > obj.order {
		b.note(fmt.Sprintf("Object %d uses object %d before the file defines it; it was read all the same.", obj.ID, piece.ID))
	}
	own, err := affineOf(c.Transform, c.HasTransform())
	if err != nil {
		return fmt.Errorf("object %d: %w", obj.ID, err)
	}
	return b.expand(out, piece, at.after(own), depth+1)
}

// place adds a copy of a mesh to out. The first use of each mesh was counted when
// it was read, and the mesh itself will do where it stands as it is.
func (b *builder) place(out *Mesh, m *Mesh, at affine) error {
	if b.used[m] {
		if err := b.source.room.take(len(m.Facets)); err != nil {
			return err
		}
		if err := b.source.room.takeVertices(len(m.Vertices)); err != nil {
			return err
		}
	}
	first := !b.used[m]
	b.used[m] = true
	switch {
	case first && len(out.Facets) == 0 && at == affine{linear: Identity()}:
		out.Vertices, out.Facets = slices.Clip(m.Vertices), slices.Clip(m.Facets)
	case len(out.Facets) == 0:
		*out = *m.Transform(at.linear, at.shift)
		out.Facets = slices.Clip(out.Facets)
	default:
		out.Append(m.Transform(at.linear, at.shift))
	}
	return nil
}

// affineOf turns a 3MF matrix, which multiplies row vectors from the right
// (core specification 3.3), round.
func affineOf(t go3mf.Matrix, given bool) (affine, error) {
	if !given {
		return affine{linear: Identity()}, nil
	}
	var a affine
	scale := 0.0
	for i := range 3 {
		for j := range 3 {
			a.linear[i][j] = float64(t[4*j+i])
			scale = math.Max(scale, math.Abs(a.linear[i][j]))
		}
	}
	a.shift = r3.Vec{X: float64(t[12]), Y: float64(t[13]), Z: float64(t[14])}
	if !finite(a.shift) || math.IsNaN(scale) || math.IsInf(scale, 0) {
		return a, errors.New("a transform with a number that is none")
	}
	if det := math.Abs(a.linear.Det()); !(det > 1e-12*scale*scale*scale) {
		return a, errors.New("a transform that flattens the object")
	}
	return a, nil
}
