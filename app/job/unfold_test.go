package job_test

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"kilnpoise/app/job"
)

// TestPartThatUnfoldsIsRefused has a small job with parts that unpack to very much:
// what may be read of them goes by what they take in the job.
func TestPartThatUnfoldsIsRefused(t *testing.T) {
	tests := []struct{ name, line, want string }{
		{"vertices.obj", "v 0 0 0\n", "vertices take more memory than a file of this size may"},
		{"faces.obj", "f -1 -2 -3 -4 -5 -6 -7\n", "facets, 12 vertices take more memory than a file of this size may"},
		{"remarks.obj", "# nothing at all\n", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			const tetrahedron = "v 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 3 1 4\n"
			j := sample(t)
			j.Part.File, j.Part.Item = tt.name, job.AllItems
			j.Part.Content = job.NewContent([]byte(strings.Repeat(tetrahedron, 3) + strings.Repeat(tt.line, 32<<20/len(tt.line))))
			data := written(t, j)
			got, _, err := read(data)
			if err != nil {
				t.Fatal(err)
			}
			if n := got.Part.Content.OnDisk(); n == 0 || n > int64(len(data)) {
				t.Errorf("%d bytes in a job of %d", n, len(data))
			}
			t.Logf("%d bytes of job, %d of part", len(data), got.Part.Content.Size())
			_, err = got.Part.Read(context.Background())
			if (err == nil) != (tt.want == "") || err != nil && !strings.Contains(err.Error(), tt.want) {
				t.Errorf("error %v, want %q", err, tt.want)
			}
		})
	}
}

// TestLargePartsAreStored keeps a part as it is where it would have to fit into less
// memory once packed.
func TestLargePartsAreStored(t *testing.T) {
	if testing.Short() {
		t.Skip("short: takes 300 MB")
	}
	for _, tt := range []struct {
		mb     int
		stored bool
	}{{20, false}, {80, true}} {
		j := sample(t)
		j.Part.Content = job.NewContent(bytes.Repeat([]byte("facet with much to say of it 0.123456 "), tt.mb<<20/38))
		if data := written(t, j); len(data) > tt.mb<<20/2 != tt.stored {
			t.Errorf("%d MB became %d bytes", tt.mb, len(data))
		}
	}
}
