package process

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/pelletier/go-toml/v2"
)

// addRecords seeds a fuzz test with all built-in records, those of other kinds
// too.
func addRecords(f *testing.F) {
	f.Helper()
	files, err := filepath.Glob("../../assets/records/*/*.toml")
	if err != nil || len(files) == 0 {
		f.Fatalf("no records: %v", err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
}

// checkRecord reads whatever bytes come: in the end there is a record that is valid
// and comes back the same after writing, or an error that names the file.
func checkRecord[T any](t *testing.T, data []byte, read func(string, []byte) (T, error), validate func(*T) error) {
	t.Helper()
	if len(data) > 1<<16 {
		t.Skip("long")
	}
	r, err := read("fuzz.toml", data)
	if err != nil {
		if !strings.HasPrefix(err.Error(), "fuzz.toml") {
			t.Errorf("error %q does not name the file", err)
		}
		return
	}
	if err := validate(&r); err != nil {
		t.Errorf("read a record that is not valid: %v", err)
	}
	out, err := toml.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	back, err := read("fuzz.toml", out)
	if err != nil {
		t.Fatalf("%v in\n%s", err, out)
	}
	if again, err := toml.Marshal(back); err != nil || string(again) != string(out) {
		t.Errorf("comes back changed: %s", cmp.Diff(string(out), string(again)))
	}
}

func FuzzReadPrinter(f *testing.F) {
	addRecords(f)
	f.Add([]byte("plate_mm = [1e400, nan]\nname = ''"))
	f.Fuzz(func(t *testing.T, data []byte) {
		checkRecord(t, data, ReadPrinter, func(p *Printer) error { return p.Validate() })
	})
}

func FuzzReadFurnace(f *testing.F) {
	addRecords(f)
	f.Add([]byte("setter_mm = [[]]\n[[source]]\nfriction = inf"))
	f.Fuzz(func(t *testing.T, data []byte) {
		checkRecord(t, data, ReadFurnace, func(p *Furnace) error { return p.Validate() })
	})
}
