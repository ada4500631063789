package mesh

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/hpinc/go3mf"
)

// ThreeMF is what goes into a 3MF file.
type ThreeMF struct {
	// Objects are built side by side, each as an item of its own.
	Objects []Object
	// Metadata are written in this order.
	Metadata []Metadata
}

// Object is one mesh in a 3MF, mm.
type Object struct {
	Name string
	Mesh *Mesh
}

// Metadata is one entry of the metadata of a 3MF. Names that the core
// specification knows (Title, Designer, Description, Copyright, LicenseTerms,
// Rating, CreationDate, ModificationDate, Application) are written under them;
// all others become lines "name: value" of the Description, where every program
// shows them, since names of one's own would need an extension.
type Metadata struct{ Name, Value string }

// Write3MF writes a 3MF of the core specification in millimetres, without
// extensions. Coordinates are rounded to 32 bits and written so that they read
// back as the same number. Vertices should be welded: facets meet by number. The
// same input gives the same bytes.
func Write3MF(w io.Writer, o ThreeMF) error {
	if len(o.Objects) == 0 {
		return errors.New("there is no object to write")
	}
	model := &go3mf.Model{Units: go3mf.UnitMillimeter, Language: "en-US", Metadata: metadataOf(o.Metadata)}
	for i, obj := range o.Objects {
		if err := writable(obj.Mesh); err != nil {
			return fmt.Errorf("object %d: %w", i+1, err)
		}
		id := uint32(i + 1)
		model.Resources.Objects = append(model.Resources.Objects, &go3mf.Object{ID: id, Name: obj.Name, Mesh: to3MF(obj.Mesh)})
		model.Build.Items = append(model.Build.Items, &go3mf.Item{ObjectID: id})
	}
	var b bytes.Buffer
	e := go3mf.NewEncoder(&b)
	e.FloatPrecision = -1 // as many digits as bring the number back
	if err := e.Encode(model); err != nil {
		return fmt.Errorf("writing 3MF: %w", err)
	}
	if err := settlePackage(w, b.Bytes()); err != nil {
		return fmt.Errorf("writing 3MF: %w", err)
	}
	return nil
}

// settlePackage copies a package with its content types in a fixed order and
// without the time of day. The library lists the types in the order of a Go map,
// another each time, and stamps every part.
func settlePackage(w io.Writer, data []byte) error {
	r, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return err
	}
	z := zip.NewWriter(w)
	for _, f := range r.File {
		if f.Name == contentTypesPart {
			err = addPart(z, f.Name, contentTypesText)
		} else {
			err = copyPart(z, f)
		}
		if err != nil {
			return err
		}
	}
	return z.Close()
}

func addPart(z *zip.Writer, name, text string) error {
	w, err := z.CreateHeader(timeless(zip.FileHeader{Name: name, Method: zip.Deflate}))
	if err != nil {
		return err
	}
	_, err = io.WriteString(w, text)
	return err
}

// copyPart copies a part as it is packed.
func copyPart(z *zip.Writer, f *zip.File) error {
	r, err := f.OpenRaw()
	if err != nil {
		return err
	}
	w, err := z.CreateRaw(timeless(f.FileHeader))
	if err != nil {
		return err
	}
	_, err = io.Copy(w, r)
	return err
}

// timeless sets the time of a part to the first day that a zip can state,
// 1 January 1980.
func timeless(head zip.FileHeader) *zip.FileHeader {
	head.Modified, head.Extra = time.Time{}, nil
	//lint:ignore SA1019 CreateRaw writes these two fields and not Modified
	head.ModifiedDate, head.ModifiedTime = 1<<5|1, 0
	return &head
}

func to3MF(m *Mesh) *go3mf.Mesh {
	out := &go3mf.Mesh{}
	out.Vertices.Vertex = make([]go3mf.Point3D, len(m.Vertices))
	for i, v := range m.Vertices {
		out.Vertices.Vertex[i] = go3mf.Point3D{float32(v.X), float32(v.Y), float32(v.Z)}
	}
	out.Triangles.Triangle = make([]go3mf.Triangle, 0, len(m.Facets))
	for _, f := range m.Facets {
		if collapsed(f) { // forbidden in 3MF, and bounds nothing
			continue
		}
		out.Triangles.Triangle = append(out.Triangles.Triangle, go3mf.Triangle{V1: uint32(f[0]), V2: uint32(f[1]), V3: uint32(f[2])})
	}
	return out
}

// metadataOf gathers the entries under names that 3MF knows, each once.
func metadataOf(list []Metadata) []go3mf.Metadata {
	var out []go3mf.Metadata
	at := map[string]int{}
	put := func(name, text string) {
		if i, ok := at[name]; ok {
			out[i].Value += "\n" + text
			return
		}
		at[name] = len(out)
		out = append(out, go3mf.Metadata{Name: xml.Name{Local: name}, Value: text})
	}
	for _, m := range list {
		value := strings.ToValidUTF8(m.Value, "?")
		if isKnownMetadata(m.Name) {
			put(m.Name, value)
		} else {
			put("Description", strings.ToValidUTF8(m.Name, "?")+": "+value)
		}
	}
	return out
}
