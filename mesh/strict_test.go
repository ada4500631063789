package mesh

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"path"
	"strconv"
	"strings"
	"testing"

	"github.com/hpinc/go3mf"
	"pgregory.net/rapid"
)

// The strict reader below holds a 3MF against the core specification by means of
// the standard library alone: encoding/xml and archive/zip, none of what writes
// or reads 3MF here.

type strictModel struct {
	XMLName   xml.Name         `xml:"http://schemas.microsoft.com/3dmanufacturing/core/2015/02 model"`
	Unit      string           `xml:"unit,attr"`
	Lang      string           `xml:"http://www.w3.org/XML/1998/namespace lang,attr"`
	Required  string           `xml:"requiredextensions,attr"`
	Metadata  []strictMetadata `xml:"metadata"`
	Resources struct {
		Objects []strictObject `xml:"object"`
	} `xml:"resources"`
	Build struct {
		Items []strictItem `xml:"item"`
	} `xml:"build"`
	Other []xml.Attr `xml:",any,attr"`
}

type strictMetadata struct {
	Name  string `xml:"name,attr"`
	Value string `xml:",chardata"`
}

type strictObject struct {
	ID        string           `xml:"id,attr"`
	Name      string           `xml:"name,attr"`
	Type      string           `xml:"type,attr"`
	Vertices  []strictVertex   `xml:"mesh>vertices>vertex"`
	Triangles []strictTriangle `xml:"mesh>triangles>triangle"`
}

type strictItem struct {
	ObjectID  string `xml:"objectid,attr"`
	Transform string `xml:"transform,attr"`
}

type strictVertex struct {
	X string `xml:"x,attr"`
	Y string `xml:"y,attr"`
	Z string `xml:"z,attr"`
}

type strictTriangle struct {
	V1 int `xml:"v1,attr"`
	V2 int `xml:"v2,attr"`
	V3 int `xml:"v3,attr"`
}

// strictly reads data and gives all that breaks the specification.
func strictly(data []byte) (model strictModel, faults []string) {
	fault := func(format string, args ...any) { faults = append(faults, fmt.Sprintf(format, args...)) }
	parts, err := unzipped(data)
	if err != nil {
		return model, []string{err.Error()}
	}
	name := strictRelations(parts, fault)
	strictTypes(parts, name, fault)
	if err := xml.Unmarshal(parts[name], &model); err != nil {
		return model, append(faults, err.Error())
	}
	strictRoot(&model, fault)
	ids := map[string]bool{}
	for _, o := range model.Resources.Objects {
		if n, err := strconv.Atoi(o.ID); err != nil || n <= 0 || ids[o.ID] {
			fault("object number %q is none, or comes twice", o.ID)
		}
		ids[o.ID] = true
		strictMesh(&o, fault)
	}
	for i, it := range model.Build.Items {
		if !ids[it.ObjectID] {
			fault("item %d is of object %q, which there is not", i, it.ObjectID)
		}
		if n := len(strings.Fields(it.Transform)); it.Transform != "" && n != 12 {
			fault("item %d: a transform of %d numbers", i, n)
		}
	}
	return model, faults
}

func unzipped(data []byte) (map[string][]byte, error) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, err
	}
	parts := map[string][]byte{}
	for _, f := range z.File {
		switch {
		case f.Method != zip.Store && f.Method != zip.Deflate:
			return nil, fmt.Errorf("%s is packed by method %d", f.Name, f.Method)
		case strings.HasPrefix(f.Name, "/") || strings.Contains(f.Name, `\`) || path.Clean(f.Name) != f.Name || parts[f.Name] != nil:
			return nil, fmt.Errorf("%q is no name of a part, or comes twice", f.Name)
		}
		r, err := f.Open()
		if err != nil {
			return nil, err
		}
		if parts[f.Name], err = io.ReadAll(r); err != nil {
			return nil, err
		}
	}
	return parts, nil
}

// strictRelations gives the name of the model part (core specification 2.1.1).
func strictRelations(parts map[string][]byte, fault func(string, ...any)) string {
	var list struct {
		XMLName xml.Name `xml:"http://schemas.openxmlformats.org/package/2006/relationships Relationships"`
		Each    []struct {
			ID     string `xml:"Id,attr"`
			Type   string `xml:"Type,attr"`
			Target string `xml:"Target,attr"`
			Mode   string `xml:"TargetMode,attr"`
		} `xml:"Relationship"`
	}
	if err := xml.Unmarshal(parts["_rels/.rels"], &list); err != nil {
		fault("_rels/.rels: %v", err)
	}
	name, models := "", 0
	ids := map[string]bool{}
	for _, r := range list.Each {
		if r.ID == "" || ids[r.ID] || r.Mode == "External" {
			fault("relationship %+v", r)
		}
		ids[r.ID] = true
		if r.Type == "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel" {
			name = strings.TrimPrefix(r.Target, "/")
			models++
		}
		if parts[strings.TrimPrefix(r.Target, "/")] == nil || !strings.HasPrefix(r.Target, "/") {
			fault("the target %q is no part", r.Target)
		}
	}
	if models != 1 {
		fault("%d relationships to a model", models)
	}
	return name
}

// strictTypes wants a content type for every part (Open Packaging Conventions).
func strictTypes(parts map[string][]byte, model string, fault func(string, ...any)) {
	var types struct {
		XMLName  xml.Name `xml:"http://schemas.openxmlformats.org/package/2006/content-types Types"`
		Defaults []struct {
			Extension string `xml:"Extension,attr"`
			Type      string `xml:"ContentType,attr"`
		} `xml:"Default"`
	}
	if err := xml.Unmarshal(parts["[Content_Types].xml"], &types); err != nil {
		fault("[Content_Types].xml: %v", err)
	}
	of := map[string]string{}
	for _, d := range types.Defaults {
		if of[d.Extension] != "" {
			fault("two content types for %q", d.Extension)
		}
		of[d.Extension] = d.Type
	}
	for name := range parts {
		want := "application/vnd.openxmlformats-package.relationships+xml"
		if name == model {
			want = "application/vnd.ms-package.3dmanufacturing-3dmodel+xml"
		}
		if got := of[strings.TrimPrefix(path.Ext(name), ".")]; name != "[Content_Types].xml" && got != want {
			fault("part %s has the content type %q", name, got)
		}
	}
}

func strictRoot(m *strictModel, fault func(string, ...any)) {
	if m.Unit != "millimeter" || m.Lang == "" || m.Required != "" || len(m.Build.Items) == 0 {
		fault("unit %q, language %q, required extensions %q, %d items", m.Unit, m.Lang, m.Required, len(m.Build.Items))
	}
	for _, a := range m.Other {
		if a.Name.Local != "xmlns" {
			fault("attribute %v of the model", a)
		}
	}
	names := map[string]bool{}
	for _, d := range m.Metadata {
		switch d.Name {
		case "Title", "Designer", "Description", "Copyright", "LicenseTerms", "Rating", "CreationDate", "ModificationDate", "Application":
		default:
			fault("metadata named %q without a namespace", d.Name)
		}
		if names[d.Name] {
			fault("metadata named %q twice", d.Name)
		}
		names[d.Name] = true
	}
}

// strictMesh wants a closed mesh whose facets agree (core specification 4.1).
func strictMesh(o *strictObject, fault func(string, ...any)) {
	if o.Type != "" && o.Type != "model" || len(o.Vertices) < 3 || len(o.Triangles) < 1 {
		fault("object %s is of type %q with %d vertices and %d triangles", o.ID, o.Type, len(o.Vertices), len(o.Triangles))
	}
	for i, v := range o.Vertices {
		strictNumbers(i, v, fault)
	}
	sides := map[[2]int]int{}
	for i, t := range o.Triangles {
		n := len(o.Vertices)
		if t.V1 == t.V2 || t.V2 == t.V3 || t.V3 == t.V1 || min(t.V1, t.V2, t.V3) < 0 || max(t.V1, t.V2, t.V3) >= n {
			fault("triangle %d is %v of %d vertices", i, t, n)
		}
		sides[[2]int{t.V1, t.V2}]++
		sides[[2]int{t.V2, t.V3}]++
		sides[[2]int{t.V3, t.V1}]++
	}
	for s, n := range sides {
		if sides[[2]int{s[1], s[0]}] != n {
			fault("edge %v is not closed", s)
			break
		}
	}
}

// strictNumbers wants coordinates to be numbers of the schema: digits, point and
// exponent, no blanks and no "inf".
func strictNumbers(i int, v strictVertex, fault func(string, ...any)) {
	for _, text := range []string{v.X, v.Y, v.Z} {
		x, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsInf(x, 0) || math.IsNaN(x) || strings.Trim(text, "0123456789+-.e") != "" {
			fault("vertex %d has the coordinate %q", i, text)
		}
	}
}

// TestStrictReader has the strict reader find what is wrong, so that its silence
// means something.
func TestStrictReader(t *testing.T) {
	good := threeMF(t, tetraModel(`unit="millimeter" xml:lang="en"`))
	types := map[string]string{contentTypesPart: contentTypesText}
	parts, err := unzipped(good)
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range parts {
		types[name] = string(data)
	}
	if _, faults := strictly(zipOf(t, types)); len(faults) > 0 {
		t.Fatalf("a good file: %q", faults)
	}
	tests := []struct{ name, part, old, new, want string }{
		{"repeated vertex", "3D/3dmodel.model", `v3="2"`, `v3="0"`, "triangle 2"},
		{"open", "3D/3dmodel.model", `<triangle v1="1" v2="2" v3="3"/>`, ``, "not closed"},
		{"unit", "3D/3dmodel.model", "millimeter", "inch", `unit "inch"`},
		{"number 0", "3D/3dmodel.model", `<object id="1"`, `<object id="0"`, `object number "0"`},
		{"no such object", "3D/3dmodel.model", `objectid="1"`, `objectid="2"`, `of object "2"`},
		{"transform", "3D/3dmodel.model", `objectid="1"`, `objectid="1" transform="1 0 0"`, "transform of 3"},
		{"comma", "3D/3dmodel.model", `x="1"`, `x="1,0"`, `"1,0"`},
		{"namespace", "3D/3dmodel.model", "core/2015/02", "core/2099/02", "expected element"},
		{"type of the relationship", "_rels/.rels", "/3dmodel\"/>", "/model\"/>", "0 relationships to a model"},
		{"target", "_rels/.rels", "3dmodel.model", "other.model", "no part"},
		{"content type", contentTypesPart, "3dmanufacturing-3dmodel", "3dmanufacturing-4dmodel", "content type"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			bad := map[string]string{}
			for name, text := range types {
				bad[name] = text
			}
			bad[tt.part] = strings.Replace(bad[tt.part], tt.old, tt.new, 1)
			if _, faults := strictly(zipOf(t, bad)); !strings.Contains(strings.Join(faults, "; "), tt.want) {
				t.Errorf("faults %q, want %q", faults, tt.want)
			}
		})
	}
}

// TestWritten3MFIsStrict holds what is written against the strict reader and the
// 3MF library's own, with its validation.
func TestWritten3MFIsStrict(t *testing.T) {
	fin := cubeShape(0, 0, 0, 10)
	fin.Facets = append(fin.Facets, [3]int32{1, 1, 2})
	shapes := []*Mesh{cubeShape(0, 0, 0, 10), torusShape(30, 8, 24, 12), sphereShape(7, 9), lopsided(), fin,
		together(cubeShape(0, 0, 0, 10), reversed(cubeShape(3, 3, 3, 4))), cubeShape(-1e6, 3, -1e-6, 1e-3)}
	names := rapid.StringOf(rapid.RuneFrom([]rune("ab<>&\"'\n\t é水\x00\ufffe/]]>")))
	rapid.Check(t, func(rt *rapid.T) {
		var doc ThreeMF
		for range rapid.IntRange(1, 4).Draw(rt, "objects") {
			doc.Objects = append(doc.Objects, Object{Name: names.Draw(rt, "name"), Mesh: rapid.SampledFrom(shapes).Draw(rt, "shape")})
		}
		for range rapid.IntRange(0, 4).Draw(rt, "entries") {
			doc.Metadata = append(doc.Metadata, Metadata{rapid.SampledFrom([]string{"Title", "Description", "up", "Application", "x:y"}).Draw(rt, "key"), names.Draw(rt, "value")})
		}
		var b bytes.Buffer
		if err := Write3MF(&b, doc); err != nil {
			rt.Fatal(err)
		}
		model, faults := strictly(b.Bytes())
		if len(faults) > 0 || len(model.Resources.Objects) != len(doc.Objects) {
			rt.Fatalf("%d objects: %q", len(model.Resources.Objects), faults)
		}
		var read go3mf.Model
		if err := go3mf.NewDecoder(bytes.NewReader(b.Bytes()), int64(b.Len())).Decode(&read); err != nil {
			rt.Fatal(err)
		}
		if err := read.Validate(); err != nil {
			rt.Fatal(err)
		}
		if f, err := readBytes("a.3mf", b.Bytes()); err != nil || len(f.Items) != len(doc.Objects) {
			rt.Fatalf("not read back: %v", err)
		}
	})
}
