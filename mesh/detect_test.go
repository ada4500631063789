package mesh

import (
	"bytes"
	"strings"
	"testing"
)

func TestDetect(t *testing.T) {
	binary := stlBytes(t, cubeShape(0, 0, 0, 1))
	solid := append([]byte("solid facet normal endsolid\n"), binary[28:]...)
	tests := []struct {
		name, file string
		data       []byte
		want       fileFormat
		note       bool
	}{
		{"binary", "a.stl", binary, formatSTLBinary, false},
		{"binary that begins with solid", "a.stl", solid, formatSTLBinary, false},
		{"binary that begins with solid, cut off", "a.stl", solid[:300], formatSTLBinary, false},
		{"binary without extension", "a", binary, formatSTLBinary, false},
		{"binary with bytes after it, without extension", "a", append(bytes.Clone(binary), 1, 2, 3), formatSTLBinary, false},
		{"text", "a.stl", []byte("solid a\nfacet normal 0 0 1\n"), formatSTLText, false},
		{"text after a byte order mark", "a.stl", []byte("\xef\xbb\xbf\n Solid a\nFACET"), formatSTLText, false},
		{"text named OBJ", "a.obj", []byte("solid a\nendsolid"), formatSTLText, true},
		{"text behind remarks", "a", []byte("made for a pump\n; in steel\nsolid a\nfacet normal 0 0 1 outer loop\n"), formatSTLText, false},
		{"text behind remarks, named STL", "a.stl", bytes.Repeat([]byte("made for a pump\n"), 500), formatSTLText, false},
		{"text without a solid", "a", []byte("FACET NORMAL 0 0 1 OUTER LOOP"), formatSTLText, false},
		{"facets in a letter", "a", []byte("each facet normal to the wall, the outer loop of it"), "", false},
		{"OBJ after a byte order mark", "a", []byte("\xef\xbb\xbfv 0 0 0\n"), formatOBJ, false},
		{"OBJ", "a.obj", []byte("# made\n\no part\nv 0 0 0\n"), formatOBJ, false},
		{"OBJ named STL", "a.stl", []byte("v 0 0 0\n"), formatOBJ, true},
		{"OBJ without extension", "a", []byte("mtllib a.mtl\rv 0 0 0\r"), formatOBJ, false},
		{"zip", "a.3MF", []byte("PK\x03\x04..."), format3MF, false},
		{"zip named STL", "a.stl", []byte("PK\x03\x04..."), format3MF, true},
		{"unknown, named 3MF", "a.3mf", []byte("hello"), format3MF, false},
		{"unknown", "a.txt", []byte("hello\nworld"), "", false},
		{"unknown, with zeros", "a", make([]byte, 200), "", false},
		{"a letter to somebody", "a", []byte("vessel drawing, see f. 3"), "", false},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, notes, err := detect(tt.file, bytes.NewReader(tt.data), int64(len(tt.data)))
			if got != tt.want || (err == nil) != (tt.want != "") || (len(notes) > 0) != tt.note {
				t.Errorf("detect = %q, %q, %v", got, notes, err)
			}
		})
	}
	if _, _, err := detect("a.stl", bytes.NewReader(nil), 0); err == nil || !strings.Contains(err.Error(), "empty") {
		t.Errorf("an empty file: %v", err)
	}
}
