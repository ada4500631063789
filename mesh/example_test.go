package mesh_test

import (
	"bytes"
	"context"
	"fmt"

	"kilnpoise/mesh"
)

// A block written as text STL by hand, with one of its facets missing.
const openBlock = `solid block
facet normal 0 0 0 outer loop vertex 0 0 0 vertex 0 10 0 vertex 10 10 0 endloop endfacet
facet normal 0 0 0 outer loop vertex 0 0 0 vertex 10 10 0 vertex 10 0 0 endloop endfacet
facet normal 0 0 0 outer loop vertex 0 0 5 vertex 10 0 5 vertex 10 10 5 endloop endfacet
facet normal 0 0 0 outer loop vertex 0 0 5 vertex 10 10 5 vertex 0 10 5 endloop endfacet
facet normal 0 0 0 outer loop vertex 0 0 0 vertex 10 0 0 vertex 10 0 5 endloop endfacet
facet normal 0 0 0 outer loop vertex 0 0 0 vertex 10 0 5 vertex 0 0 5 endloop endfacet
facet normal 0 0 0 outer loop vertex 0 10 0 vertex 0 10 5 vertex 10 10 5 endloop endfacet
facet normal 0 0 0 outer loop vertex 0 10 0 vertex 10 10 5 vertex 10 10 0 endloop endfacet
facet normal 0 0 0 outer loop vertex 0 0 0 vertex 0 0 5 vertex 0 10 5 endloop endfacet
facet normal 0 0 0 outer loop vertex 10 0 0 vertex 10 10 0 vertex 10 10 5 endloop endfacet
facet normal 0 0 0 outer loop vertex 10 0 0 vertex 10 10 5 vertex 10 0 5 endloop endfacet
endsolid block`

func ExampleRead() {
	r := bytes.NewReader([]byte(openBlock))
	file, err := mesh.Read(context.Background(), "block.stl", r, r.Size(), mesh.ReadOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	part, err := file.Part(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(file.Format, file.Notes[0])
	fmt.Println(part.Health.Repairs[0])
	fmt.Printf("%.0f mm3, watertight %v\n", part.Mesh.Volume(), part.Health.Watertight)
	// Output:
	// STL text The file has no unit; millimetres were assumed.
	// 1 small hole in a flat face filled, 25 mm2 in all.
	// 500 mm3, watertight true
}

func ExampleRead_refused() {
	text := []byte("solid a\nfacet normal 0 0 1\nouter loop\nvertex 0 0 1,5\n")
	_, err := mesh.Read(context.Background(), "elbow.stl", bytes.NewReader(text), int64(len(text)), mesh.ReadOptions{})
	fmt.Println(err)
	// Output:
	// elbow.stl: line 4: "1,5" has a decimal comma; set the program that exports the part to decimal points
}
