package book

import (
	"context"
	"fmt"
	"path/filepath"
	"testing"
)

// A book of 1 000 firings with 10 readings each: opened with its check, listed,
// and written to.
func BenchmarkBook(b *testing.B) {
	ctx := context.Background()
	path := filepath.Join(b.TempDir(), "b.db")
	store := opened(b, path)
	var firings []Firing
	for i := range 1000 {
		f := lid()
		f.Key = fmt.Sprint("k", i)
		for len(f.Readings) < 10 {
			f.Readings = append(f.Readings, f.Readings[0])
		}
		firings = append(firings, f)
	}
	if _, err := store.AddAll(ctx, firings); err != nil {
		b.Fatal(err)
	}
	run := func(name string, do func() error) {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := do(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	run("open", func() error {
		again, err := Open(ctx, path)
		if err != nil {
			return err
		}
		return again.Close()
	})
	run("list", func() error { _, err := store.List(ctx, Filter{}); return err })
	run("add", func() error { _, err := store.Add(ctx, lid()); return err })
}
