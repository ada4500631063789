package mesh

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/hpinc/go3mf"
	specerr "github.com/hpinc/go3mf/errors"
)

// Namespaces of 3MF extensions that have no bearing on the shape, or whose
// bearing is carried out here. Any other that a file requires is refused, as the
// core specification asks (section 2.3.2).
const (
	nsProduction   = "http://schemas.microsoft.com/3dmanufacturing/production/2015/06"
	nsMaterial     = "http://schemas.microsoft.com/3dmanufacturing/material/2015/02"
	nsTriangleSets = "http://schemas.microsoft.com/3dmanufacturing/trianglesets/2021/07"
	nsSlice        = "http://schemas.microsoft.com/3dmanufacturing/slice/2015/07"
)

// package3MF is a 3MF being read: its model parts, decoded when first named.
type package3MF struct {
	ctx    context.Context
	opc    *opcPackage
	room   *room
	models map[string]*modelPart
	notes  []string
}

// modelPart is a model part that has been read: what the library made of its
// skeleton, and the meshes by object.
type modelPart struct {
	*go3mf.Model
	meshes map[uint32]*Mesh
	beside map[uint32]bool // objects whose meshes have more than triangles
}

func read3MF(ctx context.Context, r io.ReaderAt, size int64, room *room) (content, error) {
	opc, err := openPackage(r, size)
	if err != nil {
		return content{}, err
	}
	p := &package3MF{ctx: ctx, opc: opc, room: room, models: map[string]*modelPart{}}
	if err := p.noteLead(r); err != nil {
		return content{}, err
	}
	root, notes, err := opc.rootModel()
	if err != nil {
		return content{}, err
	}
	p.notes = append(p.notes, notes...)
	model, err := p.model(root)
	if err != nil {
		return content{}, err
	}
	p.noteMetadata(model.Metadata)
	unit, err := ParseUnit(model.Units.String())
	if err != nil {
		return content{}, err
	}
	b := &builder{source: p, root: root, used: map[*Mesh]bool{}, within: map[objectKey]bool{}, noted: map[string]bool{}}
	items, err := b.items(model.Build.Items)
	return content{items: items, unit: unit, notes: p.notes}, err
}

// noteLead remarks on bytes before the zip, as self-extracting archives have.
func (p *package3MF) noteLead(r io.ReaderAt) error {
	var lead [4]byte
	if _, err := r.ReadAt(lead[:], 0); err != nil {
		return fmt.Errorf("cannot be read (%w); copy it again", err)
	}
	if string(lead[:]) != "PK\x03\x04" {
		p.notes = append(p.notes, "The file does not begin with its zip package; what stands before it was passed over.")
	}
	return nil
}

// model reads the model part of the given name once.
func (p *package3MF) model(name string) (*modelPart, error) {
	if m, ok := p.models[name]; ok {
		return m, nil
	}
	scan, err := p.scan(name)
	if err != nil {
		return nil, err
	}
	if err := scan.root.check(); err != nil {
		return nil, fmt.Errorf("part %s: %w", name, err)
	}
	if err := p.extensions(name, scan); err != nil {
		return nil, err
	}
	m, err := decodeModel(p.ctx, scan.skeleton.Bytes())
	if err != nil {
		return nil, fmt.Errorf("part %s cannot be understood (%w); export the part again", name, err)
	}
	p.models[name] = &modelPart{Model: m, meshes: scan.meshes, beside: scan.beside}
	p.noteRules(name, scan, m)
	return p.models[name], nil
}

// scan goes through a model part as it is unpacked.
func (p *package3MF) scan(name string) (*modelScan, error) {
	r, err := p.opc.open(name, maxUnpacked)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	scan, err := scanModel(r, p.room)
	switch {
	case err == nil:
		return scan, nil
	case p.ctx.Err() != nil:
		return nil, p.ctx.Err()
	case errors.Is(err, errNotText):
		return nil, fmt.Errorf("part %s %w", name, err)
	case strings.HasPrefix(err.Error(), "line ") || strings.HasPrefix(err.Error(), "object "):
		return nil, fmt.Errorf("part %s, %w", name, err)
	}
	return nil, errDamaged(name, err)
}

// check refuses a part whose root element is not a 3MF model in a unit that 3MF
// knows: the library would find nothing in it, or not say what it found.
func (t *rootTag) check() error {
	space := "xmlns"
	if t.prefix != "" {
		space += ":" + t.prefix
	}
	if ns := t.attrs[space]; t.name != "model" || ns != go3mf.Namespace {
		return fmt.Errorf("its root is %q of %q, not a 3MF model; export the part again", clip([]byte(t.name)), clip([]byte(ns)))
	}
	switch unit := t.attrs["unit"]; unit {
	case "", "micron", "millimeter", "centimeter", "inch", "foot", "meter":
		return nil
	default:
		return fmt.Errorf("its unit %q is not one of 3MF's; export the part in millimetres", clip([]byte(unit)))
	}
}

// extensions refuses a part that requires what is not read here, and remarks on
// what it uses beside the core.
func (p *package3MF) extensions(name string, scan *modelScan) error {
	for _, prefix := range strings.Fields(scan.root.attrs["requiredextensions"]) {
		switch ns := scan.root.attrs["xmlns:"+prefix]; ns {
		case nsProduction, nsMaterial, nsTriangleSets:
		case nsSlice:
			p.notes = append(p.notes, "The file also holds the part as slices; its mesh, which may be coarser, was read.")
		case "":
			return fmt.Errorf("part %s requires the extension %q without saying which it is; export the part again", name, clip([]byte(prefix)))
		default:
			return fmt.Errorf("part %s requires the extension %q (%s), which is not read here; export the part without it", name, clip([]byte(prefix)), printable(ns, maxName))
		}
	}
	var beside []string
	for _, prefix := range scan.used {
		if ns := scan.root.attrs["xmlns:"+prefix]; ns != nsProduction {
			beside = append(beside, strings.TrimSpace(prefix+" "+printable(ns, maxName)))
		}
	}
	if len(beside) > 0 {
		p.notes = append(p.notes, fmt.Sprintf("Beside the shape the file has data of other kinds, which were passed over: %s.", strings.Join(beside, ", ")))
	}
	return nil
}

// decodeModel has the 3MF library decode the skeleton of one model part, as a
// package with nothing else in it: what the rest of the file refers to is settled
// here, part by part, with bounds. The library panics on some malformed parts.
func decodeModel(ctx context.Context, data []byte) (m *go3mf.Model, err error) {
	defer func() {
		if r := recover(); r != nil {
			m, err = nil, errors.New("its elements are nested in a way that 3MF does not have")
		}
	}()
	lone, err := lonePackage(data)
	if err != nil {
		return nil, err
	}
	m = new(go3mf.Model)
	err = go3mf.NewDecoder(bytes.NewReader(lone), int64(len(lone))).DecodeContext(ctx, m)
	var at *specerr.Error
	if errors.As(err, &at) {
		return nil, fmt.Errorf("%s: %w", at.XPath(), at.Err)
	}
	return m, err
}

// The least that a package holds beside its model part.
const (
	contentTypesPart = "[Content_Types].xml"
	contentTypesText = `<?xml version="1.0" encoding="UTF-8"?>` + "\n" +
		`<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">` +
		`<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>` +
		`<Default Extension="model" ContentType="` + modelType + `"/></Types>`
	rootRelationsText = `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">` +
		`<Relationship Id="r" Target="/3D/3dmodel.model" Type="` + relModel + `"/></Relationships>`
)

// lonePackage wraps a model part in the smallest package that there is,
// uncompressed.
func lonePackage(model []byte) ([]byte, error) {
	var b bytes.Buffer
	b.Grow(len(model) + 2048)
	z := zip.NewWriter(&b)
	for _, part := range []struct {
		name string
		data []byte
	}{{contentTypesPart, []byte(contentTypesText)}, {"_rels/.rels", []byte(rootRelationsText)}, {"3D/3dmodel.model", model}} {
		w, err := z.CreateHeader(&zip.FileHeader{Name: part.name, Method: zip.Store})
		if err != nil {
			return nil, err
		}
		if _, err := w.Write(part.data); err != nil {
			return nil, err
		}
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// noteMetadata remarks on names that the core specification does not know
// (section 3.4.1) or that come twice.
func (p *package3MF) noteMetadata(list []go3mf.Metadata) {
	seen := map[string]bool{}
	for _, m := range list {
		name := m.Name.Local
		if m.Name.Space == "" && !isKnownMetadata(name) {
			p.notes = append(p.notes, fmt.Sprintf("The file has metadata under the name %q, which 3MF does not know; it was passed over.", clip([]byte(name))))
		}
		if seen[m.Name.Space+":"+name] {
			p.notes = append(p.notes, fmt.Sprintf("The file has metadata under the name %q twice.", clip([]byte(name))))
		}
		seen[m.Name.Space+":"+name] = true
		if len(seen) > maxAttributes {
			return
		}
	}
}

// isKnownMetadata tells the names that need no namespace.
func isKnownMetadata(name string) bool {
	switch name {
	case "Title", "Designer", "Description", "Copyright", "LicenseTerms", "Rating",
		"CreationDate", "ModificationDate", "Application":
		return true
	}
	return false
}
