package mesh

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"gonum.org/v1/gonum/spatial/r3"
)

const (
	coreNS    = `xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02"`
	tetraMesh = `<mesh><vertices><vertex x="0" y="0" z="0"/><vertex x="1" y="0" z="0"/><vertex x="0" y="1" z="0"/><vertex x="0" y="0" z="1"/></vertices>` +
		`<triangles><triangle v1="0" v2="2" v3="1"/><triangle v1="0" v2="1" v3="3"/><triangle v1="0" v2="3" v3="2"/><triangle v1="1" v2="2" v3="3"/></triangles></mesh>`
	relsText = `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">%s</Relationships>`
	rootRel  = `<Relationship Id="r" Target="/3D/3dmodel.model" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>`
)

// modelText is a model part with the given attributes, resources and build.
func modelText(attrs, resources, build string) string {
	return `<?xml version="1.0" encoding="UTF-8"?><model ` + coreNS + ` ` + attrs + `><resources>` + resources + `</resources><build>` + build + `</build></model>`
}

// tetraModel holds one corner of 1/6 cubic unit.
func tetraModel(attrs string) string {
	return modelText(attrs, `<object id="1">`+tetraMesh+`</object>`, `<item objectid="1"/>`)
}

// zipOf packs parts in the order of their names.
func zipOf(t testing.TB, parts map[string]string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	var names []string
	for name := range parts {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write([]byte(parts[name])); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// threeMF packs a model part with what belongs round it.
func threeMF(t testing.TB, model string) []byte {
	return zipOf(t, map[string]string{contentTypesPart: contentTypesText, "_rels/.rels": fmt.Sprintf(relsText, rootRel), "3D/3dmodel.model": model})
}

func Test3MFSample(t *testing.T) {
	f, err := readBytes("a.3mf", packed(t, "testdata/two_units.model"))
	if err != nil {
		t.Fatal(err)
	}
	if f.Unit != Centimetre || f.UnitAssumed || len(f.Items) != 1 || f.Items[0].Name != "A1" {
		t.Fatalf("file %+v", f)
	}
	m := f.Items[0].Mesh
	// One corner of 1/6 cm3 and a mirrored one of eight times that.
	if !near(m.Volume(), 9.0/6*1000, 1e-6) || len(m.Facets) != 8 {
		t.Errorf("volume %v, %d facets", m.Volume(), len(m.Facets))
	}
	// Turned a quarter about Z: x becomes y, y becomes -x, then 5 cm on each axis.
	box := m.Bounds()
	if want := (r3.Vec{X: 30, Y: 20, Z: 50}); apart(box.Min, want) > 1e-4 {
		t.Errorf("low corner %v, want %v", box.Min, want)
	}
	if want := (r3.Vec{X: 50, Y: 60, Z: 70}); apart(box.Max, want) > 1e-4 {
		t.Errorf("high corner %v, want %v", box.Max, want)
	}
	if len(f.Notes) != 1 || !strings.Contains(f.Notes[0], `Object 3 is of type "support"`) {
		t.Errorf("notes %q", f.Notes)
	}
}

func Test3MFRefuses(t *testing.T) {
	obj := `<object id="1">` + tetraMesh + `</object>`
	item := `<item objectid="1"/>`
	comps := func(id, refs string) string {
		return `<object id="` + id + `"><components>` + refs + `</components></object>`
	}
	var bomb strings.Builder // 2^20 corners in twenty lines
	bomb.WriteString(obj)
	for i := 2; i < 22; i++ {
		ref := fmt.Sprintf(`<component objectid="%d"/>`, i-1)
		bomb.WriteString(comps(fmt.Sprint(i), ref+ref))
	}
	tests := []struct{ name, model, want string }{
		{"no build", modelText("", obj, ""), "nothing to build"},
		{"no such object", modelText("", obj, `<item objectid="7"/>`), "object 7 is not in part"},
		{"same number twice", modelText("", obj+obj, item), "two objects numbered 1"},
		{"only a support", modelText("", strings.Replace(obj, `id="1"`, `id="1" type="support"`, 1), item), "nothing to build"},
		{"unknown type", modelText("", strings.Replace(obj, `id="1"`, `id="1" type="gasket"`, 1), item), "/model/resources/object[0]"},
		{"unknown unit", tetraModel(`unit="furlong"`), `unit "furlong" is not one of 3MF's`},
		{"wrong root", `<part ` + coreNS + `/>`, `root is "part"`},
		{"no namespace", `<model unit="millimeter"/>`, "not a 3MF model"},
		{"a component of itself", modelText("", comps("1", `<component objectid="1"/>`), item), "made of itself"},
		{"components in a ring", modelText("", comps("1", `<component objectid="2"/>`)+comps("2", `<component objectid="1"/>`), item), "made of itself"},
		{"components without end", modelText("", bomb.String(), `<item objectid="21"/>`), "more than 100000 pieces"},
		{"empty object", modelText("", `<object id="1"><mesh><vertices/><triangles/></mesh></object>`, item), "holds no triangles"},
		{"flattened", modelText("", obj, `<item objectid="1" transform="1 0 0 0 1 0 0 0 0 0 0 0"/>`), "flattens the object"},
		{"transform of eleven", modelText("", obj, `<item objectid="1" transform="1 0 0 0 1 0 0 0 1 0 0"/>`), "/model/build/item[0]"},
		{"transform with nan", modelText("", obj, `<item objectid="1" transform="nan 0 0 0 1 0 0 0 1 0 0 0"/>`), "a number that is none"},
		{"vertex beyond the list", strings.Replace(tetraModel(""), `v3="2"`, `v3="4"`, 1), "triangle 2 names vertex 4, but there are 4"},
		{"vertex without y", strings.Replace(tetraModel(""), ` y="1"`, "", 1), "line 1: a vertex without y"},
		{"triangle without v2", strings.Replace(tetraModel(""), ` v2="1"`, "", 1), "line 1: a triangle without v2"},
		{"not a number", strings.Replace(tetraModel(""), `x="1"`, `x="one"`, 1), `line 1: vertex 1 of object 1: "one" is not a number`},
		{"decimal comma", strings.Replace(tetraModel(""), `x="1"`, `x="1,5"`, 1), `"1,5" has a decimal comma`},
		{"infinite", strings.Replace(tetraModel(""), `x="1"`, `x="inf"`, 1), "vertex 1 of object 1 is not a number"},
		{"attribute twice", strings.Replace(tetraModel(""), `x="1"`, `x="1" x="2"`, 1), "attribute x comes twice"},
		{"document type", `<!DOCTYPE model [<!ENTITY x SYSTEM "file:///etc/hostname">]>` + tetraModel(""), "document type"},
		{"cut off", tetraModel("")[:400], "part /3d/3dmodel.model"},
		{"cut off in a tag", tetraModel("")[:strings.Index(tetraModel(""), "<triangles>")+5], "ends inside a tag"},
		{"nested models", `<model ` + coreNS + `><model></model></model>`, "part /3d/3dmodel.model"},
		{"UTF-16", "\xff\xfe<\x00m\x00", "not UTF-8"},
		{"a required extension", tetraModel(`xmlns:q="http://example.com/q" requiredextensions="q"`), `requires the extension "q" (http://example.com/q)`},
		{"a required extension not declared", tetraModel(`requiredextensions="q"`), `requires the extension "q" without saying`},
		{"endless attribute", tetraModel(`q="` + strings.Repeat("x", maxTagLength) + `"`), "a tag longer than 64 kilobytes"},
		{"endless text", strings.Replace(tetraModel(""), "<resources>", "<resources>"+strings.Repeat(" ", maxText+1), 1), "a megabyte of text"},
		{"many attributes", tetraModel(manyAttributes()), "more than 64 attributes"},
		{"many other tags", modelText("", strings.Repeat("<q/>", maxOtherTags+1), item), "tags beside vertices and triangles"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := readBytes("a.3mf", threeMF(t, tt.model))
			if err == nil {
				t.Fatal("read without an error")
			}
			checkSentence(t, "a.3mf", err)
			if !strings.Contains(err.Error(), tt.want) {
				t.Errorf("error %v, want %q", err, tt.want)
			}
		})
	}
}

func manyAttributes() string {
	var b strings.Builder
	for i := range maxAttributes {
		fmt.Fprintf(&b, ` a%d=""`, i)
	}
	return b.String()
}

func Test3MFTolerates(t *testing.T) {
	prod := `xmlns:p="` + nsProduction + `"`
	tests := []struct{ name, model, note string }{
		{"as it should", tetraModel(`unit="millimeter" xml:lang="en-US"`), ""},
		{"no unit", tetraModel(""), ""},
		{"a byte order mark", "\xef\xbb\xbf" + tetraModel(""), ""},
		{"comments", strings.ReplaceAll(tetraModel(""), "<vertex", "<!-- < & \" -- ><vertex x='1'> --><vertex"), ""},
		{"a quoted section", strings.Replace(tetraModel(""), "<resources>", "<metadata name=\"Title\"><![CDATA[<&]]></metadata><resources>", 1), ""},
		{"blanks and line ends in numbers", strings.ReplaceAll(tetraModel(""), `x="1"`, "x = '\n 1.0e0\t'"), ""},
		{"a production identifier that is none", strings.Replace(tetraModel(prod+` requiredextensions="p"`), `id="1"`, `id="1" p:UUID="none"`, 1), ""},
		{"colours", strings.Replace(tetraModel(`xmlns:m="`+nsMaterial+`" requiredextensions="m"`), "<resources>", `<resources><m:colorgroup id="5"><m:color color="bad"/></m:colorgroup>`, 1), "m " + nsMaterial},
		{"slices", tetraModel(`xmlns:s="` + nsSlice + `" requiredextensions="s"`), "as slices"},
		{"beams beside triangles", strings.Replace(tetraModel(`xmlns:b="http://example.com/b"`), "</mesh>", `<b:beams/></mesh>`, 1), "more in its mesh than triangles"},
		{"unknown metadata", strings.Replace(tetraModel(""), "<resources>", `<metadata name="Mood">blue</metadata><resources>`, 1), `"Mood", which 3MF does not know`},
		{"metadata twice", strings.Replace(tetraModel(""), "<resources>", `<metadata name="Title">a</metadata><metadata name="Title">b</metadata><resources>`, 1), `"Title" twice`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f, err := readBytes("a.3mf", threeMF(t, tt.model))
			if err != nil {
				t.Fatal(err)
			}
			if v := f.Items[0].Mesh.Volume(); !near(v, 1.0/6, 1e-6) {
				t.Errorf("volume %v", v)
			}
			notes := strings.Join(slices.DeleteFunc(f.Notes, func(s string) bool { return strings.Contains(s, "largest side") }), " ")
			if (tt.note == "") != (notes == "") || !strings.Contains(notes, tt.note) {
				t.Errorf("notes %q, want %q", notes, tt.note)
			}
		})
	}
}

// Test3MFProductionPath has items and components point into other parts, which
// number their objects for themselves.
func Test3MFProductionPath(t *testing.T) {
	prod := `xmlns:p="` + nsProduction + `" requiredextensions="p"`
	sub := modelText("", `<object id="1">`+strings.ReplaceAll(tetraMesh, `"1"`, `"1"`)+`</object><object id="2"><components><component objectid="1" transform="2 0 0 0 2 0 0 0 2 0 0 0"/></components></object>`, "")
	root := modelText(prod,
		`<object id="1">`+tetraMesh+`</object><object id="2"><components><component objectid="1"/><component objectid="2" p:path="/3D/Sub.model" transform="1 0 0 0 1 0 0 0 1 9 0 0"/></components></object>`,
		`<item objectid="2"/><item objectid="1" p:path="Sub.model"/>`)
	parts := map[string]string{"_rels/.rels": fmt.Sprintf(relsText, rootRel), "3D/3dmodel.model": root, "3d/sub.model": sub}
	f, err := readBytes("a.3mf", zipOf(t, parts))
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Items) != 2 || f.Items[0].Name != "item 1" {
		t.Fatalf("items %v", f.Items)
	}
	if v := f.Items[0].Mesh.Volume(); !near(v, 9.0/6, 1e-6) {
		t.Errorf("first item: volume %v, want 1.5", v)
	}
	if v := f.Items[1].Mesh.Volume(); !near(v, 1.0/6, 1e-6) {
		t.Errorf("second item: volume %v, want 1/6", v)
	}
	delete(parts, "3d/sub.model")
	if _, err := readBytes("a.3mf", zipOf(t, parts)); err == nil || !strings.Contains(err.Error(), "part /3d/sub.model is missing") {
		t.Errorf("without the part: %v", err)
	}
}

func Test3MFPackages(t *testing.T) {
	rels := func(rel string) map[string]string {
		return map[string]string{"_rels/.rels": fmt.Sprintf(relsText, rel), "3D/3dmodel.model": tetraModel("")}
	}
	tests := []struct {
		name  string
		parts map[string]string
		note  string
		err   string
	}{
		{"as it should", rels(rootRel), "", ""},
		{"another case and relative", rels(strings.Replace(rootRel, "/3D/3dmodel", "3d/3DModel", 1)), "", ""},
		{"escaped", rels(strings.Replace(rootRel, "3dmodel.model", "%33dmodel.model", 1)), "", ""},
		{"no relationships", map[string]string{"3D/3dmodel.model": tetraModel("")}, "", "does not say which part is its model"},
		{"no such part", rels(strings.Replace(rootRel, "3dmodel.model", "other.model", 1)), "", "/3d/other.model is missing"},
		{"outside", rels(strings.Replace(rootRel, "/3D/3dmodel.model", `http://example.com/a.model" TargetMode="External`, 1)), "", "points outside the file"},
		{"outside by its address", rels(rootRel + `<Relationship Id="t" Target="C:/a.png" Type="t"/>`), "", "points outside the file"},
		{"up and out", rels(strings.Replace(rootRel, "/3D", "/../../../3D", 1)), "", ""},
		{"a thumbnail that is not there", rels(rootRel + `<Relationship Id="t" Target="/a.png" Type="t"/>`), "/a.png, which it does not hold", ""},
		{"two print tickets", rels(rootRel + strings.Repeat(`<Relationship Id="t" Target="/3D/3dmodel.model" Type="`+relPrintTicket+`"/>`, 2)), "2 print tickets", ""},
		{"relationships that are not XML", map[string]string{"_rels/.rels": "<", "3D/3dmodel.model": tetraModel("")}, "", "/_rels/.rels cannot be understood"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f, err := readBytes("a.3mf", zipOf(t, tt.parts))
			if tt.err != "" {
				if err == nil || !strings.Contains(err.Error(), tt.err) {
					t.Errorf("error %v, want %q", err, tt.err)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if notes := strings.Join(f.Notes, " "); !strings.Contains(notes, tt.note) {
				t.Errorf("notes %q, want %q", notes, tt.note)
			}
		})
	}
	lead := append(bytes.Repeat([]byte("MZ "), 100), threeMF(t, tetraModel(""))...)
	f, err := readBytes("a.3mf", lead)
	if err != nil || !strings.Contains(strings.Join(f.Notes, " "), "does not begin with its zip") {
		t.Errorf("bytes before the package: %v", err)
	}
}

// Test3MFBombs unpacks to far more than it should, by the directory or in fact,
// and must be refused with next to nothing set aside.
func Test3MFBombs(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	blanks := strings.Replace(tetraModel(""), "<resources>", "<resources>"+strings.Repeat(" \n", 20<<20), 1)
	tooLarge := lyingZip(t, tetraModel(""), 1<<40)
	lying := lyingZip(t, tetraModel(""), 100)
	crowd := map[string]string{}
	for i := range maxEntries + 1 {
		crowd[fmt.Sprint(i)] = ""
	}
	tests := []struct {
		name string
		data []byte
		want string
	}{
		{"packed a thousandfold", threeMF(t, blanks), "times its size"},
		{"a directory that says a terabyte", tooLarge, "would unpack to"},
		{"a directory that says too little", lying, "is damaged"},
		{"very many entries", zipOf(t, crowd), "more than 10000 entries"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var before, after runtimeBytes
			before.read()
			_, err := readBytes("a.3mf", tt.data)
			after.read()
			if err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("error %v, want %q", err, tt.want)
			}
			if used := after.total - before.total; used > 16<<20 {
				t.Errorf("%d MB set aside", used>>20)
			}
		})
	}
}

// lyingZip states another size for the model in the directory of the package.
func lyingZip(t *testing.T, model string, size uint64) []byte {
	data := threeMF(t, model)
	at := bytes.Index(data, []byte("PK\x01\x02")) // the first entry: 3D/3dmodel.model
	if !bytes.Contains(data[at:at+80], []byte("3dmodel")) {
		t.Fatal("the model is not the first entry")
	}
	binary.LittleEndian.PutUint32(data[at+24:], uint32(min(size, 0xfffffffe)))
	return data
}

// Test3MFManyVertices has objects whose unused vertices copies would multiply.
func Test3MFManyVertices(t *testing.T) {
	var v strings.Builder
	for range 2000 {
		v.WriteString(`<vertex x="7" y="7" z="7"/>`)
	}
	mesh := strings.Replace(tetraMesh, "</vertices>", v.String()+"</vertices>", 1)
	model := modelText("", `<object id="1">`+mesh+`</object><object id="2"><components>`+strings.Repeat(`<component objectid="1"/>`, 1000)+`</components></object>`, `<item objectid="2"/>`)
	f, err := readBytes("a.3mf", threeMF(t, model))
	if err != nil {
		t.Fatal(err)
	}
	if n := len(f.Items[0].Mesh.Vertices); n != 4000 {
		t.Errorf("%d vertices of 1000 copies of 4", n)
	}
}

// TestScanAcrossWindows reads the same model whatever the size of the pieces that
// it comes in.
func TestScanAcrossWindows(t *testing.T) {
	for _, name := range []string{"testdata/prefixed.model", "testdata/two_units.model"} {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		text = append([]byte("<!-- \u00e9\u6c34\U0001d11e -->"), text...)
		whole := scanned(t, bytes.NewReader(text))
		for name, r := range map[string]io.Reader{
			"byte by byte": iotest.OneByteReader(bytes.NewReader(text)), "by halves": iotest.HalfReader(bytes.NewReader(text)),
			"with its end": iotest.DataErrReader(bytes.NewReader(text)),
		} {
			if got := scanned(t, r); !reflect.DeepEqual(got.meshes, whole.meshes) || got.skeleton.String() != whole.skeleton.String() || got.line != whole.line {
				t.Errorf("%s: %v\n%s", name, got.meshes, got.skeleton.String())
			}
		}
		if strings.Contains(whole.skeleton.String(), "vertex") || len(whole.meshes) == 0 {
			t.Errorf("%d meshes, skeleton %s", len(whole.meshes), whole.skeleton.String())
		}
	}
}

func scanned(t *testing.T, r io.Reader) *modelScan {
	t.Helper()
	limit := roomFor(0, 0)
	m, err := scanModel(r, &limit)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// TestScanNeverHangs feeds random tag soup.
func TestScanNeverHangs(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	bits := []string{"<", ">", "/", "=", `"`, "'", " ", "vertex", "x", "<!--", "-->", "<![CDATA[", "]]>", "<?", "?>", "<!", "&", ":", "\n", "\xc3", "<a>", "</a>"}
	for range 4000 {
		var b strings.Builder
		for range rnd.IntN(30) {
			b.WriteString(bits[rnd.IntN(len(bits))])
		}
		limit := roomFor(0, 0)
		_, _ = scanModel(strings.NewReader(b.String()), &limit)
	}
}

func BenchmarkRead3MF1300k(b *testing.B) {
	var buf bytes.Buffer
	if err := Write3MF(&buf, ThreeMF{Objects: []Object{{Mesh: torusShape(30, 8, 1300, 500)}}}); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	b.SetBytes(int64(buf.Len()))
	for b.Loop() {
		if _, err := Read(context.Background(), "a.3mf", bytes.NewReader(buf.Bytes()), int64(buf.Len()), ReadOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}
