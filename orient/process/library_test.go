package process

import (
	"path/filepath"
	"testing"
)

func TestUserFolder(t *testing.T) {
	home := t.TempDir()
	t.Setenv("XDG_CONFIG_HOME", home) // Linux
	t.Setenv("HOME", home)            // macOS
	t.Setenv("AppData", home)         // Windows
	got, err := UserFolder()
	if err != nil {
		t.Fatal(err)
	}
	if filepath.Base(got) != "records" || filepath.Base(filepath.Dir(got)) != "kilnpoise" {
		t.Errorf("UserFolder() = %s", got)
	}
}

// Without any records the library is empty, not broken.
func TestEmptyLibrary(t *testing.T) {
	lib := OpenLibrary(nil, filepath.Join(t.TempDir(), "absent"))
	if err := lib.Problems(); err != nil {
		t.Error(err)
	}
	if n := len(lib.Materials.List()); n != 0 {
		t.Errorf("%d materials", n)
	}
	if _, err := lib.Printers.Get("x"); err == nil {
		t.Error("an empty shelf gives a record")
	}
}
