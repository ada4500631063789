package assets

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

var makeParts = flag.String("make", "", "make the meshes whose sources match this pattern anew, such as 'parts/*.scad' (needs openscad)")

// TestMakeParts is the way from parts/NAME.scad to parts/NAME.stl; without its
// flag it does nothing.
func TestMakeParts(t *testing.T) {
	if *makeParts == "" {
		t.Skip("run with -make 'parts/*.scad' to make the meshes anew")
	}
	sources, err := filepath.Glob(*makeParts)
	if err != nil || len(sources) == 0 {
		t.Fatalf("no source matches %q (%v)", *makeParts, err)
	}
	for _, source := range sources {
		text := filepath.Join(t.TempDir(), "part.stl")
		if out, err := exec.Command("openscad", "--hardwarnings", "-o", text, source).CombinedOutput(); err != nil {
			t.Fatalf("%s: %v\n%s", source, err, out)
		}
		facets, err := readTextSTL(text)
		if err != nil {
			t.Fatalf("%s: %v", source, err)
		}
		file := strings.TrimSuffix(source, ".scad") + ".stl"
		if err := os.WriteFile(file, binarySTL("Kilnpoise "+filepath.Base(source)+", mm", facets), 0o644); err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: %d facets", file, len(facets))
	}
}

// readTextSTL reads the corners of the facets that OpenSCAD writes. Facets that
// its six digits have closed up are left out.
func readTextSTL(file string) ([]facet, error) {
	data, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	var facets []facet
	var f facet
	corner := 0
	lines := bufio.NewScanner(bytes.NewReader(data))
	for lines.Scan() {
		line := strings.TrimSpace(lines.Text())
		if !strings.HasPrefix(line, "vertex") {
			continue
		}
		v := &f[corner%3]
		if _, err := fmt.Sscanf(line, "vertex %g %g %g", &v[0], &v[1], &v[2]); err != nil {
			return nil, fmt.Errorf("%q: %w", line, err)
		}
		if corner++; corner%3 == 0 && f[0] != f[1] && f[1] != f[2] && f[2] != f[0] {
			facets = append(facets, f)
		}
	}
	return facets, lines.Err()
}

// binarySTL writes 80 bytes of header, the count, and per facet the normal, the
// corners and two bytes of nothing, all little-endian.
func binarySTL(header string, facets []facet) []byte {
	var out bytes.Buffer
	var head [80]byte
	copy(head[:], header)
	out.Write(head[:])
	put := func(v any) { _ = binary.Write(&out, binary.LittleEndian, v) } // a Buffer takes everything
	put(uint32(len(facets)))
	for _, f := range facets {
		n := f.normal()
		put([3]float32{float32(n[0]), float32(n[1]), float32(n[2])})
		put(f)
		put(uint16(0))
	}
	return out.Bytes()
}

// facet is three corners, counter-clockwise seen from outside.
type facet [3][3]float32

// cross is twice the area vector.
func (f facet) cross() [3]float64 {
	var u, v [3]float64
	for i := range 3 {
		u[i] = float64(f[1][i]) - float64(f[0][i])
		v[i] = float64(f[2][i]) - float64(f[0][i])
	}
	return [3]float64{u[1]*v[2] - u[2]*v[1], u[2]*v[0] - u[0]*v[2], u[0]*v[1] - u[1]*v[0]}
}

func (f facet) normal() [3]float64 {
	c := f.cross()
	length := math.Sqrt(c[0]*c[0] + c[1]*c[1] + c[2]*c[2])
	if length == 0 {
		return [3]float64{}
	}
	return [3]float64{c[0] / length, c[1] / length, c[2] / length}
}
