package mesh

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
)

// ruleFile breaks, or just keeps, one rule of the 3MF core specification or of the
// Open Packaging Conventions. What comes of it is read right (the corner of 1/6
// cubic unit, and no note), read with a note, or refused with the reason. Sections
// and wording are from memory of core specification 1.3 and ISO/IEC 29500-2.
type ruleFile struct {
	section, rule string
	data          []byte
	note, refuse  string
}

// wholePackage is a package that keeps every rule.
func wholePackage() map[string]string {
	return map[string]string{
		contentTypesPart: contentTypesText, "_rels/.rels": fmt.Sprintf(relsText, rootRel), "3D/3dmodel.model": tetraModel(`unit="millimeter" xml:lang="en-US"`),
	}
}

// packageWith is that with other parts; those that are "" go.
func packageWith(t testing.TB, parts map[string]string) []byte {
	all := wholePackage()
	maps.Copy(all, parts)
	maps.DeleteFunc(all, func(_, text string) bool { return text == "" })
	return zipOf(t, all)
}

// modelWith is a whole package whose model has what replaced stands for.
func modelWith(t testing.TB, replaced ...string) []byte {
	old := tetraModel(`unit="millimeter" xml:lang="en-US"`)
	text := strings.NewReplacer(replaced...).Replace(old)
	if text == old && len(replaced) > 0 {
		t.Fatalf("%q is not in the model", replaced)
	}
	return packageWith(t, map[string]string{"3D/3dmodel.model": text})
}

func packageRules(t testing.TB) []ruleFile {
	rels := func(text string) []byte {
		return packageWith(t, map[string]string{"_rels/.rels": fmt.Sprintf(relsText, text)})
	}
	second := func(target string) string {
		return `<Relationship Id="s" Target="` + target + `" Type="` + relModel + `"/>`
	}
	part := func(name, text string) []byte { return packageWith(t, map[string]string{name: text}) }
	types := func(old, with string) []byte {
		return part(contentTypesPart, strings.Replace(contentTypesText, old, with, 1))
	}
	ownRels := func(text string) []byte {
		return part("3D/_rels/3dmodel.model.rels", fmt.Sprintf(relsText, text))
	}
	const otherRel = `<Relationship Id="t" Target="/Metadata/t.png" Type="http://schemas.openxmlformats.org/package/2006/relationships/metadata/thumbnail"/>`
	encrypted := modelWith(t)
	for at := 0; ; at++ { // bit 0 of the flags, in the directory and before each part
		i := bytes.Index(encrypted[at:], []byte("PK\x01\x02"))
		if i < 0 {
			break
		}
		at += i
		encrypted[at+8] |= 1
	}
	return []ruleFile{
		{"core 2.1", "a whole package", modelWith(t), "", ""},
		{"core 2.1.1", "one relationship of the package to a 3D model: none", rels(otherRel), "", "does not say which part is its model"},
		{"core 2.1.1", "one relationship of the package to a 3D model: two, to two parts", packageWith(t, map[string]string{
			"_rels/.rels": fmt.Sprintf(relsText, rootRel+second("/3D/b.model")), "3D/b.model": tetraModel("")}), "", "names 2 parts as its model"},
		{"core 2.1.1", "one relationship of the package to a 3D model: two, to one part", rels(rootRel + second("/3D/3dmodel.model")), "names its model 2 times", ""},
		{"core 2.1.1", "the model part is there", rels(second("/3D/b.model")), "", "part /3d/b.model is missing"},
		{"core 2.1.1", "nothing outside the package", rels(strings.Replace(rootRel, "/>", ` TargetMode="External"/>`, 1)), "", "points outside the file"},
		{"core 2.1.1", "model parts need not be used", part("3D/b.model", tetraModel("")), "", ""},
		{"core 2.1.2", "the model has the content type of one", types("package.3dmanufacturing-3dmodel+xml", "package.other+xml"), "/3d/3dmodel.model has the content type", ""},
		{"core 2.1.3", "a thumbnail is in the package", rels(rootRel + otherRel), "/metadata/t.png, which it does not hold", ""},
		{"core 2.1.3", "a thumbnail that is there", packageWith(t, map[string]string{"_rels/.rels": fmt.Sprintf(relsText, rootRel+otherRel), "Metadata/t.png": "x"}), "", ""},
		{"core 2.1.4", "one print ticket at most", ownRels(strings.Repeat(`<Relationship Id="t" Target="/3D/3dmodel.model" Type="`+relPrintTicket+`"/>`, 2)), "2 print tickets", ""},
		{"core 2.3.1", "XML is UTF-8", part("3D/3dmodel.model", "\xff\xfe<\x00m\x00"), "", "not UTF-8"},
		{"core 2.3.1", "no other encoding is declared", modelWith(t, `encoding="UTF-8"`, `encoding="ISO-8859-1"`), "declares the encoding", ""},
		{"core 2.3.1", "UTF-8 in small letters is the same", modelWith(t, `encoding="UTF-8"`, `encoding='utf-8'`), "", ""},
		{"core 2.3.1", "no document type", modelWith(t, "<model", "<!DOCTYPE model><model"), "", "document type"},
		{"core 2.3.1", "no document type in the relationships", part("_rels/.rels", "<!DOCTYPE r>"+fmt.Sprintf(relsText, rootRel)), "", "document type"},
		{"OPC 6.2.2", "names differ by more than case", packageWith(t, map[string]string{"3d/3DMODEL.model": tetraModel("")}), "", "twice"},
		{"OPC 6.2.2", "names are not those of folders", part("3D/3dmodel.model/b.txt", "x"), "", ""},
		{"OPC 6.5.2", "the root is a list of relationships", part("_rels/.rels", strings.Replace(fmt.Sprintf(relsText, rootRel), "package/2006/relationships", "package/2007/relationships", 1)), "", "/_rels/.rels is no list of relationships"},
		{"OPC 6.5.2", "each relationship has a type", rels(rootRel + `<Relationship Id="t" Target="/3D/3dmodel.model"/>`), "lacks its number, type or target", ""},
		{"OPC 6.5.2", "each relationship has a target", rels(rootRel + `<Relationship Id="t" Type="t"/>`), "lacks its number, type or target", ""},
		{"OPC 6.5.2", "each relationship has a number", rels(strings.Replace(rootRel, `Id="r" `, "", 1)), "lacks its number, type or target", ""},
		{"OPC 6.5.2", "numbers of relationships differ", rels(rootRel + strings.Replace(otherRel, `Id="t"`, `Id="r"`, 1)), "numbered \"r\"", ""},
		{"OPC 6.5.3", "targets are relative to the source", packageWith(t, map[string]string{"_rels/.rels": fmt.Sprintf(relsText, strings.Replace(rootRel, "/3D/3dmodel", "3D/3dmodel", 1))}), "", ""},
		{"OPC 7.2.3", "there is a list of content types", part(contentTypesPart, ""), "has no list of content types", ""},
		{"OPC 7.2.3", "the list of content types can be read", part(contentTypesPart, "<Types"), "list of content types cannot be understood", ""},
		{"OPC 7.2.3", "an override goes before the extension", types("</Types>", `<Override PartName="/3D/3dmodel.model" ContentType="a/b"/></Types>`), `has the content type "a/b"`, ""},
		{"OPC 7.2.3", "extensions in any case", types(`Extension="model"`, `Extension="MODEL"`), "", ""},
		{"OPC 7.3", "parts come in one piece", packageWith(t, map[string]string{"3D/3dmodel.model": "", "3D/3dmodel.model/[0].piece": tetraModel("")[:100], "3D/3dmodel.model/[1].last.piece": tetraModel("")[100:]}), "", "in pieces"},
		{"OPC 7.3", "no part is encrypted", encrypted, "", "is encrypted"},
		{"OPC 7.3", "only deflate", otherMethod(t), "", "cannot be unpacked"},
	}
}

// otherMethod packs a model by a method that OPC does not have.
func otherMethod(t testing.TB) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for name, text := range wholePackage() {
		method := zip.Store
		if strings.HasSuffix(name, ".model") {
			method = 12
		}
		w, err := z.CreateRaw(&zip.FileHeader{Name: name, Method: method, UncompressedSize64: uint64(len(text)), CompressedSize64: uint64(len(text))})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write([]byte(text)); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func modelRules(t testing.TB) []ruleFile {
	with := func(replaced ...string) []byte { return modelWith(t, replaced...) }
	model := func(resources, build string) []byte {
		return packageWith(t, map[string]string{"3D/3dmodel.model": modelText("", resources, build)})
	}
	const item = `<item objectid="1"/>`
	object := func(attrs, inner string) string { return `<object ` + attrs + `>` + inner + `</object>` }
	tetra := object(`id="1"`, tetraMesh)
	uses := func(ids ...string) string {
		var b strings.Builder
		for _, id := range ids {
			fmt.Fprintf(&b, `<component objectid="%s"/>`, id)
		}
		return `<components>` + b.String() + `</components>`
	}
	return []ruleFile{
		{"core 2.3.2", "required extensions are known", with("<model", `<model xmlns:q="http://example.com/q" requiredextensions="q"`), "", `requires the extension "q" (http://example.com/q)`},
		{"core 2.3.2", "required extensions are declared", with("<model", `<model requiredextensions="q"`), "", "without saying which it is"},
		{"core 2.3.2", "each of several is", with("<model", `<model xmlns:p="`+nsProduction+`" xmlns:q="http://example.com/q" requiredextensions="p q"`), "", `requires the extension "q"`},
		{"core 2.3.2", "recommended extensions may be left", with("<model", `<model xmlns:q="http://example.com/q" recommendedextensions="q"`), "", ""},
		{"core 2.3.2", "elements of other namespaces may be left", with("<model", `<model xmlns:q="http://example.com/q"`, "<resources>", `<resources><q:a><vertex/></q:a>`), "q http://example.com/q", ""},
		{"core 2.3.2", "no elements that the core does not have", with("<resources>", "<resources><gasket/>"), `element "gasket"`, ""},
		{"core 3.2", "the unit is one of six", with("millimeter", "mil"), "", `unit "mil"`},
		{"core 3.2", "the unit in small letters", with("millimeter", "Millimeter"), "", `unit "Millimeter"`},
		{"core 3.3", "a transform has 12 numbers", with(item, `<item objectid="1" transform="1 0 0 0 1 0 0 0 1 0 0 0 1"/>`), "", "/model/build/item[0]"},
		{"core 3.3", "a transform keeps a volume", with(item, `<item objectid="1" transform="1 0 0 1 0 0 0 0 1 0 0 0"/>`), "", "flattens the object"},
		{"core 3.3", "a mirror leaves the outside outside", with(item, `<item objectid="1" transform="-1 0 0 0 1 0 0 0 1 0 0 0"/>`), "", ""},
		{"core 3.3", "transforms multiply from the inside out", model(tetra+object(`id="2"`, `<components><component objectid="1" transform="0.5 0 0 0 0.5 0 0 0 0.5 1 0 0"/></components>`), `<item objectid="2" transform="2 0 0 0 2 0 0 0 2 -2 0 0"/>`), "", ""},
		{"core 3.4", "the root is a model", with("<model ", "<part ", "</model>", "</part>"), "", `root is "part"`},
		{"core 3.4", "one list of resources", with("<build>", "<resources></resources><build>"), "", "second resources"},
		{"core 3.4", "one build", with("</build>", "</build><build></build>"), "", "second build"},
		{"core 3.4", "a build", with("<build>"+item+"</build>", ""), "", "nothing to build"},
		{"core 3.4.1", "metadata under a known name", with("<resources>", `<metadata name="Mood">x</metadata><resources>`), `"Mood", which 3MF does not know`, ""},
		{"core 3.4.1", "metadata once", with("<resources>", `<metadata name="Title">x</metadata><metadata name="Title">y</metadata><resources>`), `"Title" twice`, ""},
		{"core 3.4.1", "metadata has a name", with("<resources>", `<metadata>x</metadata><resources>`), `name ""`, ""},
		{"core 3.4.1", "the namespace of metadata is declared", with("<resources>", `<metadata name="q:Mood">x</metadata><resources>`), `"q:Mood"`, ""},
		{"core 3.4.3", "an item names an object that is there", with(item, `<item objectid="7"/>`), "", "object 7 is not in part"},
		{"core 3.4.3", "an item names an object", with(item, `<item/>`), "", "build item 1"},
		{"core 3.4.3", "an item names an object by a number", with(item, `<item objectid="one"/>`), "", "/model/build/item[0]"},
		{"core 3.4.3", "an item does not name a material", model(`<basematerials id="2"><base name="steel" displaycolor="#808080"/></basematerials>`+tetra, `<item objectid="2"/>`), "", "object 2 is not in part"},
		{"core 3.4.3.1", "no item is of type other: alone", model(object(`id="1" type="other"`, tetraMesh), item), "", `of type "other", which 3MF forbids`},
		{"core 3.4.3.1", "no item is of type other: beside", model(tetra+object(`id="2" type="other"`, tetraMesh), item+`<item objectid="2"/>`), `of type "other", which 3MF forbids`, ""},
		{"core 3.4.3.1", "items in any order", model(object(`id="1"`, tetraMesh)+object(`id="2" type="support"`, tetraMesh), `<item objectid="2"/>`+item), `type "support"`, ""},
		{"core 4", "numbers of objects differ", model(tetra+tetra, item), "", "two objects numbered 1"},
		{"core 4", "numbers of objects and materials differ", model(`<basematerials id="1"><base name="steel" displaycolor="#808080"/></basematerials>`+tetra, item), "the number 1 for two things", ""},
		{"core 4", "numbers of objects are above 0", model(object(`id="0"`, tetraMesh), `<item objectid="0"/>`), "", "no number of an object"},
		{"core 4", "numbers of objects have 31 bits", model(object(`id="2147483648"`, tetraMesh), `<item objectid="2147483648"/>`), "", "no number of an object"},
		{"core 4", "an object has a number", model(object("", tetraMesh), item), "", "no number of an object"},
		{"core 4", "the type is one of five", model(object(`id="1" type="gasket"`, tetraMesh), item), "", "/model/resources/object[0]"},
		{"core 4", "an object has a mesh or components", model(object(`id="1"`, ""), item), "", "neither a mesh nor components"},
		{"core 4", "an object has no mesh beside components", model(tetra+object(`id="2"`, tetraMesh+uses("1")), `<item objectid="2"/>`), "", "both a mesh and components"},
		{"core 4", "an object has one mesh", model(object(`id="1"`, tetraMesh+tetraMesh), item), "", "two meshes"},
		{"core 4", "pindex only with pid", model(object(`id="1" pindex="1"`, tetraMesh), item), "pindex without pid", ""},
		{"core 4", "pid names what is there", model(object(`id="1" pid="7" pindex="0"`, tetraMesh), item), "properties 7, which", ""},
		{"core 4", "pid and pindex that are there", model(`<basematerials id="7"><base name="steel" displaycolor="#808080"/></basematerials>`+object(`id="1" pid="7" pindex="0"`, tetraMesh), item), "", ""},
		{"core 4.1", "triangles before vertices", model(object(`id="1"`, swapped(tetraMesh)), item), "triangles before its vertices", ""},
		{"core 4.1", "one list of vertices", with("<triangles>", `<vertices><vertex x="5" y="5" z="5"/></vertices><triangles>`), "", "second list of vertices"},
		{"core 4.1", "one list of triangles", with("</mesh>", `<triangles><triangle v1="0" v2="1" v3="2"/></triangles></mesh>`), "", "second list of triangles"},
		{"core 4.1.1", "vertices have three numbers", with(` y="1"`, ""), "", "a vertex without y"},
		{"core 4.1.1", "numbers are numbers", with(`x="1"`, `x="1 0"`), "", `"1 0" is not a number`},
		{"core 4.1.1", "numbers have no comma", with(`x="1"`, `x="1,0"`), "", "decimal comma"},
		{"core 4.1.1", "numbers are finite", with(`x="1"`, `x="1e400"`), "", "is not a number"},
		{"core 4.1.1", "numbers may have a sign and an exponent", with(`x="1"`, `x="+10.0E-1"`), "", ""},
		{"core 4.1.2", "triangles name vertices that are there", with(`v3="2"`, `v3="4"`), "", "names vertex 4, but there are 4"},
		{"core 4.1.2", "triangles count from 0", with(`v3="2"`, `v3="-1"`), "", `"-1" is no vertex number`},
		{"core 4.1.2", "triangles have three corners", with(` v2="1"`, ""), "", "a triangle without v2"},
		{"core 4.1.2", "the corners of a triangle differ", with("</triangles>", `<triangle v1="1" v2="1" v3="2"/></triangles>`), "1 facet with a repeated corner", ""},
		{"core 4.1.2", "edges are of two triangles", with("</triangles>", `<triangle v1="0" v2="2" v3="1"/></triangles>`), "stored more than once", ""},
		{"core 4.1.2", "triangles face outward", with(`v1="0" v2="2" v3="1"`, `v1="0" v2="1" v3="2"`), "turned over", ""},
		{"core 4.1.2", "all triangles face outward", model(object(`id="1"`, tetraMesh), `<item objectid="1" transform="-1 0 0 0 -1 0 0 0 -1 0 0 0"/>`), "", ""},
		{"core 4.2", "components are there", model(object(`id="2"`, uses("1")), `<item objectid="2"/>`), "", "object 1 is not in part"},
		{"core 4.2", "components come before", model(object(`id="2"`, uses("1"))+tetra, `<item objectid="2"/>`), "before the file defines it", ""},
		{"core 4.2", "there is a component", model(object(`id="1"`, uses()), item), "", "holds no triangles"},
		{"core 4.2", "no component of itself", model(object(`id="1"`, uses("1")), item), "", "object 1 is made of itself"},
		{"core 4.2", "no ring of components", model(tetra+object(`id="2"`, uses("1", "4"))+object(`id="3"`, uses("2"))+object(`id="4"`, uses("3")), `<item objectid="3"/>`), "", "object 3 is made of itself"},
		{"core 4.2", "the same component in several ways is no ring", model(tetra+object(`id="2"`, uses("1"))+object(`id="3"`, uses("1"))+object(`id="4"`, `<components><component objectid="2"/></components>`), `<item objectid="4"/>`), "", ""},
		{"core 4.2", "a chain of 64 components", model(chainOf(64), `<item objectid="64"/>`), "", ""},
		{"core 4.2", "a chain of 5000 components", model(chainOf(5000), `<item objectid="5000"/>`), "", ""},
		{"core 4.2", "a chain of 5000 components, the other way", model(reversedChainOf(5000), `<item objectid="5000"/>`), "before the file defines it", ""},
		{"core 4.2", "a long chain that bites its tail", model(strings.Replace(chainOf(3000), `<object id="1">`+tetraMesh, `<object id="1">`+uses("3000"), 1), `<item objectid="3000"/>`), "", "is made of itself"},
		{"core 4.2", "no pid on components", model(`<basematerials id="7"><base name="steel" displaycolor="#808080"/></basematerials>`+tetra+object(`id="2" pid="7"`, uses("1")), `<item objectid="2"/>`), "components with properties", ""},
		{"core 4.2", "a component of type other is no part", model(tetra+object(`id="2" type="other"`, tetraMesh)+object(`id="3"`, uses("1", "2")), `<item objectid="3"/>`), `of type "other"`, ""},
		{"core 5", "a material has a name", model(`<basematerials id="7"><base displaycolor="#808080"/></basematerials>`+tetra, item), "", ""},
		{"XML 2.1", "one root", with("</model>", "</model><model/>"), "", "after its root"},
		{"XML 2.1", "elements end in order", with("</resources>", "</build>"), "", `an end of "build" where "resources" is to end`},
		{"XML 2.1", "the text is whole", with("</model>", ""), "", "ends before its elements do"},
		{"XML 3.1", "attributes once", with(`x="1"`, `x="1" x="1"`), "", "comes twice"},
		{"XML 3.1", "deeply nested foreign elements", with("<model", `<model xmlns:q="http://example.com/q"`, "<resources>", `<resources>`+strings.Repeat("<q:a>", 5000)+strings.Repeat("</q:a>", 5000)), "", "nested more than 100 deep"},
	}
}

// swapped puts the triangles of a mesh first.
func swapped(mesh string) string {
	begin, middle, end := len("<mesh>"), strings.Index(mesh, "<triangles>"), strings.Index(mesh, "</mesh>")
	return mesh[:begin] + mesh[middle:end] + mesh[begin:middle] + mesh[end:]
}

// chainOf is objects 1 to n, each made of the one before.
func chainOf(n int) string {
	var b strings.Builder
	fmt.Fprintf(&b, `<object id="1">%s</object>`, tetraMesh)
	for i := 2; i <= n; i++ {
		fmt.Fprintf(&b, `<object id="%d"><components><component objectid="%d"/></components></object>`, i, i-1)
	}
	return b.String()
}

// reversedChainOf is the same with the last first.
func reversedChainOf(n int) string {
	list := strings.SplitAfter(chainOf(n), "</object>")
	slices.Reverse(list)
	return strings.Join(list, "")
}

// Test3MFRules reads one small file for every rule that a reader can check.
func Test3MFRules(t *testing.T) {
	rules := slices.Concat(packageRules(t), modelRules(t))
	read, noted, refused := 0, 0, 0
	for _, tt := range rules {
		t.Run(tt.section+" "+tt.rule, func(t *testing.T) {
			f, err := readBytes("a.3mf", tt.data)
			if tt.refuse != "" {
				refused++
				if err == nil {
					t.Fatalf("read, with notes %q", f.Notes)
				}
				checkSentence(t, "a.3mf", err)
				if !strings.Contains(err.Error(), tt.refuse) {
					t.Errorf("error %v, want %q", err, tt.refuse)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			p, err := f.Part(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			if v := p.Mesh.Volume(); !near(v, 1.0/6, 1e-6) || len(f.Items) != 1 {
				t.Errorf("%d items, volume %v", len(f.Items), v)
			}
			said := slices.DeleteFunc(slices.Concat(f.Notes, p.Health.Repairs, p.Health.Findings), func(s string) bool { return strings.Contains(s, "largest side") })
			if tt.note == "" {
				read++
			} else {
				noted++
			}
			if all := strings.Join(said, " "); (tt.note == "") != (all == "") || !strings.Contains(all, tt.note) {
				t.Errorf("notes %q, want %q", said, tt.note)
			}
		})
	}
	t.Logf("%d files: %d read right, %d with a note, %d refused", len(rules), read, noted, refused)
}
