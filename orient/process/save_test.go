package process

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// openUser opens a library with an empty user's folder, and gives a second look at
// the same folder.
func openUser(t *testing.T) (lib *Library, again func() *Library) {
	t.Helper()
	user := filepath.Join(t.TempDir(), "records")
	again = func() *Library {
		lib := OpenLibrary(builtinRecords(), user)
		if err := lib.Problems(); err != nil {
			t.Fatal(err)
		}
		return lib
	}
	return again(), again
}

// What is saved is given from then on, by this library and the next one.
func TestSaveAndReset(t *testing.T) {
	lib, again := openUser(t)
	m := steel(t)
	m.Name, m.Note = "Our steel, \"lot 7\"", "two\nlines"
	m.Shrinkage[2] = 0.187
	m.Creep.Calibrated = "2026-03-01, coupon 2"
	if err := lib.Materials.Save(m); err != nil {
		t.Fatal(err)
	}
	got, err := lib.Materials.Get("316l")
	if err != nil {
		t.Fatal(err)
	}
	later, err := again().Materials.Get("316l")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(got, later); diff != "" {
		t.Errorf("read back: %s", diff)
	}
	if later.Shrinkage[2] != 0.187 || later.Note != m.Note || later.Creep.Calibrated != m.Creep.Calibrated {
		t.Errorf("read back %+v", later)
	}
	if err := lib.Materials.Reset("316l"); err != nil {
		t.Fatal(err)
	}
	for _, lib := range []*Library{lib, again()} {
		if m, err := lib.Materials.Get("316l"); err != nil || m.Shrinkage[2] != 0.20 || lib.Materials.Edited("316l") {
			t.Errorf("after Reset: %g, %v", m.Shrinkage[2], err)
		}
	}
	if err := lib.Materials.Reset("316l"); err == nil {
		t.Error("Reset of a built-in record gives no error")
	}
}

func TestSaveMachines(t *testing.T) {
	lib, again := openUser(t)
	p, err := lib.Printers.Get("plate-250x210")
	if err != nil {
		t.Fatal(err)
	}
	p.ID, p.HeightMM = "ours", 205
	if err := lib.Printers.Save(p); err != nil {
		t.Fatal(err)
	}
	f, err := lib.Furnaces.Get("setter-200x160")
	if err != nil {
		t.Fatal(err)
	}
	f.Friction = 0.4
	if err := lib.Furnaces.Save(f); err != nil {
		t.Fatal(err)
	}
	lib = again()
	if p, err := lib.Printers.Get("ours"); err != nil || p.HeightMM != 205 {
		t.Errorf("printer: %+v, %v", p, err)
	}
	if f, err := lib.Furnaces.Get("setter-200x160"); err != nil || f.Friction != 0.4 {
		t.Errorf("furnace: %+v, %v", f, err)
	}
}

// A file that the user has named in his own way is the one that is written.
func TestSaveKeepsTheUsersFile(t *testing.T) {
	user := t.TempDir()
	file := writeRecord(t, user, "316L.toml", steelFile(t))
	shelf := OpenLibrary(builtinRecords(), user).Materials
	m, err := shelf.Get("316l")
	if err != nil {
		t.Fatal(err)
	}
	m.OverhangLimitDeg = 40
	if err := shelf.Save(m); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(file)
	if err != nil || !strings.Contains(string(data), "overhang_limit_deg = 40") {
		t.Errorf("%s: %v\n%s", file, err, data)
	}
	entries, err := os.ReadDir(filepath.Dir(file))
	if err != nil || len(entries) != 1 {
		t.Errorf("%d files beside it: %v, %v", len(entries), entries, err)
	}
}

// A record that cannot be kept leaves the old one as it was, on disk and on the
// shelf, and nothing half-written.
func TestSaveRefuses(t *testing.T) {
	lib, again := openUser(t)
	m := steel(t)
	if err := lib.Materials.Save(m); err != nil {
		t.Fatal(err)
	}
	bad := m
	bad.OverhangLimitDeg = 95
	if err := lib.Materials.Save(bad); err == nil || !strings.Contains(err.Error(), "not saved: overhang_limit_deg is 95") {
		t.Errorf("Save of a bad record = %v", err)
	}
	for _, id := range []string{"", "..", "../x", "a/b", "A", "con", "a.", ".a", strings.Repeat("a", 101), "a\x00"} {
		bad := m
		bad.ID = id
		if err := lib.Materials.Save(bad); err == nil {
			t.Errorf("Save under %q gives no error", id)
		}
	}
	if got, err := again().Materials.Get("316l"); err != nil || got.OverhangLimitDeg != 45 {
		t.Errorf("the old record is %g, %v", got.OverhangLimitDeg, err)
	}
	if err := OpenLibrary(builtinRecords(), "").Materials.Save(m); !errors.Is(err, errNoFolder) {
		t.Errorf("Save without a folder = %v", err)
	}
}

// A folder that cannot be written is an error in words and changes nothing.
func TestSaveIntoABlockedFolder(t *testing.T) {
	user := t.TempDir()
	if err := os.WriteFile(filepath.Join(user, "printer"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	shelf := OpenLibrary(builtinRecords(), user).Printers
	p, err := shelf.Get("plate-250x210")
	if err != nil {
		t.Fatal(err)
	}
	p.HeightMM = 99
	if err := shelf.Save(p); err == nil || !strings.Contains(err.Error(), "printer record is not saved") {
		t.Errorf("Save = %v", err)
	}
	if p, _ := shelf.Get(p.ID); p.HeightMM == 99 {
		t.Error("the shelf holds what was not saved")
	}
}

func TestShelfIsSafeForConcurrentUse(t *testing.T) {
	lib, again := openUser(t)
	m := steel(t)
	var wait sync.WaitGroup
	for i := range 4 {
		wait.Add(1)
		go func() {
			defer wait.Done()
			m := m
			m.Sources = append([]Source(nil), m.Sources...)
			for range 5 {
				m.OverhangLimitDeg = float64(40 + i)
				if err := lib.Materials.Save(m); err != nil {
					t.Error(err)
				}
				lib.Materials.List()
				if _, err := lib.Materials.Get("316l"); err != nil {
					t.Error(err)
				}
			}
		}()
	}
	wait.Wait()
	if got, err := again().Materials.Get("316l"); err != nil || got.OverhangLimitDeg < 40 || got.OverhangLimitDeg > 43 {
		t.Errorf("in the end %g, %v", got.OverhangLimitDeg, err)
	}
}

func TestIDFor(t *testing.T) {
	for name, want := range map[string]string{
		"Our steel, lot 7": "our-steel-lot-7", "316L": "316l", "": "", "  ": "", "Stähle": "st-hle", "../x": "x",
	} {
		if got := IDFor(name); got != want {
			t.Errorf("IDFor(%q) = %q, want %q", name, got, want)
		}
		if want == "" {
			continue
		}
		if err := checkID(IDFor(name)); err != nil {
			t.Error(err)
		}
	}
}
