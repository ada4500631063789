//go:build linux

package job_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"kilnpoise/app/job"
	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

// textOBJ is a ring as OBJ with many digits, of about so many bytes.
func textOBJ(size int) []byte {
	ring := int(math.Sqrt(float64(size) / 147))
	m := meshtest.Torus(30, 8, ring)
	var b bytes.Buffer
	for _, v := range m.Vertices {
		fmt.Fprintf(&b, "v %.15f %.15f %.15f\n", v.X, v.Y, v.Z)
	}
	for _, f := range m.Facets {
		fmt.Fprintf(&b, "f %d//%d %d//%d %d//%d\n", f[0]+1, f[0]+1, f[1]+1, f[1]+1, f[2]+1, f[2]+1)
	}
	return b.Bytes()
}

// equalSTL is a block and n times the first of its facets.
func equalSTL(t *testing.T, n int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := mesh.WriteSTL(&b, meshtest.Block(10, 8, 6), "a block"); err != nil {
		t.Fatal(err)
	}
	const head, facet = 84, 50
	data := append(b.Bytes(), bytes.Repeat(b.Bytes()[head:head+facet], n)...)
	binary.LittleEndian.PutUint32(data[head-4:], uint32(n+12))
	return data
}

// TestMemoryOfOpening has a process of its own open jobs of large parts: it takes no
// more than four times the file and 500 MB.
func TestMemoryOfOpening(t *testing.T) {
	if testing.Short() {
		t.Skip("short: parts of some 120 MB")
	}
	const mb = 1 << 20
	for _, tt := range []struct {
		name string
		data []byte
	}{
		{"packed text.obj", textOBJ(45 * mb)}, {"text.obj", textOBJ(120 * mb)}, {"equal.stl", equalSTL(t, 120*mb/50)},
	} {
		t.Run(tt.name, func(t *testing.T) {
			j := sample(t)
			j.Part.File, j.Part.Item, j.Part.Content = tt.name, job.AllItems, job.NewContent(tt.data)
			j.Advice = nil
			path := filepath.Join(t.TempDir(), "large.kilnpoise")
			claim, err := job.Create(context.Background(), path, j)
			if err != nil {
				t.Fatal(err)
			}
			if err := claim.Release(); err != nil {
				t.Fatal(err)
			}
			info, err := os.Stat(path)
			if err != nil {
				t.Fatal(err)
			}
			said := helper(t, "open", path).line()
			var facets, peak int64
			if _, err := fmt.Sscanf(said, "facets %d peak %d kB", &facets, &peak); err != nil || facets < 12 {
				t.Fatalf("it said %q", said)
			}
			peak <<= 10
			bound := 4*info.Size() + 500*mb
			t.Logf("part of %d MB, job of %d MB: at most %d MB of %d", len(tt.data)/mb, info.Size()/mb, peak/mb, bound/mb)
			if peak > bound {
				t.Errorf("%d MB at once, want at most %d", peak/mb, bound/mb)
			}
		})
	}
}
