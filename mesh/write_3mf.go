package mesh

import (
	"archive/zip"
	"bufio"
	"bytes"
	"compress/flate"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strconv"
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
//
// The 3MF library writes the package and all of the model but the vertices and
// triangles, for which it would need several times their memory.
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
		model.Resources.Objects = append(model.Resources.Objects, &go3mf.Object{ID: id, Name: strings.ToValidUTF8(obj.Name, "?"), Mesh: &go3mf.Mesh{}})
		model.Build.Items = append(model.Build.Items, &go3mf.Item{ObjectID: id})
	}
	var b bytes.Buffer
	if err := go3mf.NewEncoder(&b).Encode(model); err != nil {
		return fmt.Errorf("writing 3MF: %w", err)
	}
	if err := settlePackage(w, b.Bytes(), o.Objects); err != nil {
		return fmt.Errorf("writing 3MF: %w", err)
	}
	return nil
}

// settlePackage copies a package, putting the meshes into its model, with its
// content types in a fixed order and without the time of day. The library lists
// the types in the order of a Go map, another each time, and stamps every part.
func settlePackage(w io.Writer, data []byte, objects []Object) error {
	r, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return err
	}
	z := zip.NewWriter(w)
	z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { return flate.NewWriter(w, packing) })
	for _, f := range r.File {
		switch {
		case f.Name == contentTypesPart:
			err = addPart(z, f.Name, contentTypesText)
		case strings.HasSuffix(f.Name, ".model"):
			err = addModel(z, f, objects)
		default:
			err = copyPart(z, f)
		}
		if err != nil {
			return err
		}
	}
	return z.Close()
}

// packing is the level of compression. Of 1.3 million facets it makes 12.7 MB in a
// second; the default level takes four times as long for 11.6 MB.
const packing = 4

// addModel writes the model of a package with the meshes in their places.
func addModel(z *zip.Writer, f *zip.File, objects []Object) error {
	r, err := f.Open()
	if err != nil {
		return err
	}
	defer r.Close()
	skeleton, err := io.ReadAll(r)
	if err != nil {
		return err
	}
	part, err := z.CreateHeader(timeless(zip.FileHeader{Name: f.Name, Method: zip.Deflate}))
	if err != nil {
		return err
	}
	w := bufio.NewWriterSize(part, 1<<16)
	places := bytes.SplitAfter(skeleton, []byte("<mesh>"))
	if len(places) != len(objects)+1 {
		return fmt.Errorf("%d places for %d meshes", len(places)-1, len(objects))
	}
	for i, text := range places {
		if i > 0 {
			writeMesh(w, objects[i-1].Mesh)
			var ok bool
			if _, text, ok = bytes.Cut(text, []byte("</mesh>")); !ok {
				return errors.New("a mesh without an end")
			}
			w.WriteString("</mesh>")
		}
		w.Write(text) // a bufio.Writer keeps its first error
	}
	return w.Flush()
}

// writeMesh writes the vertices and triangles of a mesh. Facets with a repeated
// corner are forbidden in 3MF and bound nothing: they are left out.
func writeMesh(w *bufio.Writer, m *Mesh) {
	w.WriteString("<vertices>")
	var line []byte
	for _, v := range m.Vertices {
		line = appendCoordinate(append(line[:0], `<vertex x="`...), v.X)
		line = appendCoordinate(append(line, `" y="`...), v.Y)
		line = appendCoordinate(append(line, `" z="`...), v.Z)
		w.Write(append(line, `"/>`...))
	}
	w.WriteString("</vertices><triangles>")
	for _, f := range m.Facets {
		if collapsed(f) {
			continue
		}
		line = strconv.AppendInt(append(line[:0], `<triangle v1="`...), int64(f[0]), 10)
		line = strconv.AppendInt(append(line, `" v2="`...), int64(f[1]), 10)
		line = strconv.AppendInt(append(line, `" v3="`...), int64(f[2]), 10)
		w.Write(append(line, `"/>`...))
	}
	w.WriteString("</triangles>")
}

// appendCoordinate writes a coordinate with as many digits as bring its 32 bits
// back.
func appendCoordinate(b []byte, x float64) []byte {
	return strconv.AppendFloat(b, float64(float32(x)), 'g', -1, 32)
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
