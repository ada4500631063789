package job_test

import (
	"bytes"
	"path/filepath"
	"testing"
	"time"

	"kilnpoise/app/job"
	"kilnpoise/mesh/meshtest"
)

// heavy is a job with a part of 65 MB: a sphere of 1.3 million facets as binary STL.
func heavy(b *testing.B) job.Job {
	b.Helper()
	j := sample(b)
	j.Part.Content = job.NewContent(stl(b, meshtest.Sphere(50, 1140)))
	b.Logf("the part has %d bytes", j.Part.Content.Size())
	return j
}

// BenchmarkFirstSave saves a part that was just opened: it is packed.
func BenchmarkFirstSave(b *testing.B) {
	j := heavy(b)
	c, err := job.Create(b.Context(), filepath.Join(b.TempDir(), "a.kilnpoise"), j)
	if err != nil {
		b.Fatal(err)
	}
	defer func() { _ = c.Release() }()
	b.SetBytes(j.Part.Content.Size())
	b.ReportAllocs()
	for b.Loop() {
		j.Part.Content = job.NewContent(j.Part.Content.Bytes())
		if err := c.Save(b.Context(), j); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkSaveAgain saves a change of a job: its part is packed already.
func BenchmarkSaveAgain(b *testing.B) {
	j := heavy(b)
	c, err := job.Create(b.Context(), filepath.Join(b.TempDir(), "a.kilnpoise"), j)
	if err != nil {
		b.Fatal(err)
	}
	defer func() { _ = c.Release() }()
	b.SetBytes(j.Part.Content.Size())
	b.ReportAllocs()
	for b.Loop() {
		if err := c.Save(b.Context(), j); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRead(b *testing.B) {
	j := heavy(b)
	data := written(b, j)
	b.Logf("the job has %d bytes", len(data))
	b.SetBytes(j.Part.Content.Size())
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := job.Read(b.Context(), bytes.NewReader(data), int64(len(data))); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkKeep writes an autosave of a job whose part has been kept before.
func BenchmarkKeep(b *testing.B) {
	j := heavy(b)
	k := job.NewKeeper(b.TempDir(), job.KeeperOptions{Pause: time.Hour})
	defer func() { _ = k.Close() }()
	b.ReportAllocs()
	for b.Loop() {
		k.Keep(job.Origin{}, j)
		if err := k.Flush(); err != nil {
			b.Fatal(err)
		}
	}
}
