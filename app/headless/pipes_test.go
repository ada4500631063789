//go:build unix

package headless_test

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"kilnpoise/app/headless"
)

// What is no file is refused at once, wherever a file is named: a pipe would be waited
// for without end, and a device read until the memory is full.
func TestPipesAndDevices(t *testing.T) {
	config := t.TempDir()
	t.Setenv("XDG_CONFIG_HOME", config)
	dir := t.TempDir()
	part := writePart(t, hook())
	toml := filepath.Join(dir, "pipe.toml")
	if err := unix.Mkfifo(toml, 0o600); err != nil {
		t.Skip("needs pipes")
	}
	large := filepath.Join(dir, "large.toml")
	if f, err := os.Create(large); err != nil {
		t.Fatal(err)
	} else if err := f.Truncate(100 << 20); err != nil {
		t.Fatal(err)
	} else if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	add := func(flags ...string) func() error {
		return func() error {
			var e headless.BookEntry
			if err := newFlags(&e).Parse(append(flags, "--book", filepath.Join(dir, "firings.db"))); err != nil {
				return err
			}
			return e.Run(context.Background(), time.Now(), &bytes.Buffer{}, &bytes.Buffer{})
		}
	}
	advise := func(set func(o *headless.Options, path string)) func(path string) func() error {
		return func(path string) func() error {
			return func() error {
				o := quick(part)
				set(&o, path)
				return headless.Run(context.Background(), o, &bytes.Buffer{}, &bytes.Buffer{})
			}
		}
	}
	for name, with := range map[string]func(path string) func() error{
		"--brief":     advise(func(o *headless.Options, p string) { o.Brief = p }),
		"--material":  advise(func(o *headless.Options, p string) { o.Material = p }),
		"--printer":   advise(func(o *headless.Options, p string) { o.Printer = p }),
		"--furnace":   advise(func(o *headless.Options, p string) { o.Furnace = p }),
		"part":        advise(func(o *headless.Options, p string) { o.Part = p }),
		"--file":      func(p string) func() error { return add("--file", p) },
		"--part-file": func(p string) func() error { return add("--reading", "w,X,59.52,50.02", "--part-file", p) },
		"import": func(p string) func() error {
			return func() error {
				b := headless.Book{Path: filepath.Join(dir, "firings.db")}
				return b.Import(context.Background(), p, &bytes.Buffer{}, &bytes.Buffer{})
			}
		},
	} {
		paths := []string{toml, dir, large}
		if name != "--material" && name != "--printer" && name != "--furnace" {
			paths = append(paths, "/dev/zero") // by these names a record is meant
		}
		for _, path := range paths {
			if path == large && (name == "--part-file" || name == "part") || path == dir && strings.HasPrefix(name, "--") && strings.HasSuffix(name, "r") {
				continue
			}
			done := make(chan error, 1)
			go func() { done <- with(path)() }()
			select {
			case err := <-done:
				if err == nil || strings.Contains(err.Error(), "\n") {
					t.Errorf("%s %s: error %v", name, filepath.Base(path), err)
				}
			case <-time.After(20 * time.Second):
				t.Fatalf("%s %s is waited for", name, filepath.Base(path))
			}
		}
	}
	folder := filepath.Join(config, "kilnpoise", "records", "material")
	if err := os.MkdirAll(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := unix.Mkfifo(filepath.Join(folder, "pipe.toml"), 0o600); err != nil {
		t.Fatal(err)
	}
	var told bytes.Buffer
	if err := headless.Run(context.Background(), quick(part), &bytes.Buffer{}, &told); err != nil || !strings.Contains(told.String(), "pipe.toml") {
		t.Errorf("a pipe among the records: %v, told %q", err, told.String())
	}
}
