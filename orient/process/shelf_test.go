package process

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// writeRecord puts a file into the material folder of a user's folder.
func writeRecord(t *testing.T, user, name, text string) string {
	t.Helper()
	file := filepath.Join(user, "material", name)
	if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

// A user's file takes the place of a built-in one of the same name, cases not
// told apart, or stands beside them.
func TestUserRecordsOverlay(t *testing.T) {
	user := t.TempDir()
	own := strings.Replace(steelFile(t), "overhang_limit_deg = 45", "overhang_limit_deg = 50", 1)
	writeRecord(t, user, "316L.toml", own)
	writeRecord(t, user, "our steel.toml", own)
	writeRecord(t, user, "notes.txt", "not a record")
	writeRecord(t, user, ".hidden.toml", "not a record")
	shelf := OpenLibrary(builtinRecords(), user).Materials
	if err := shelf.Problems(); err != nil {
		t.Fatal(err)
	}
	for _, id := range []string{"316l", "316L", "our steel"} {
		m, err := shelf.Get(id)
		if err != nil || m.OverhangLimitDeg != 50 {
			t.Errorf("Get(%q): overhang limit %g, %v; want 50", id, m.OverhangLimitDeg, err)
		}
	}
	if !shelf.Edited("316l") || shelf.Edited("316l-fine") {
		t.Error("Edited does not tell the user's own record from a built-in one")
	}
	builtin := OpenLibrary(builtinRecords(), "").Materials.List()
	list := shelf.List()
	if len(list) != len(builtin)+1 {
		t.Errorf("%d records, want one more than the %d built-in ones", len(list), len(builtin))
	}
	for i := 1; i < len(list); i++ {
		if list[i-1].Name > list[i].Name {
			t.Errorf("%q is listed before %q", list[i-1].Name, list[i].Name)
		}
	}
}

// A bad file is named with line and advice, and hides no other record.
func TestBadUserRecord(t *testing.T) {
	user := t.TempDir()
	bad := strings.Replace(steelFile(t), "overhang_limit_deg = 45", "overhang_limit_deg = 450", 1)
	over := writeRecord(t, user, "316l.toml", bad)
	writeRecord(t, user, "lost.toml", "shrinkage = [")
	writeRecord(t, user, "sound.toml", steelFile(t))
	shelf := OpenLibrary(builtinRecords(), user).Materials
	err := shelf.Problems()
	if err == nil {
		t.Fatal("no problem reported")
	}
	for _, want := range []string{
		over + ", line 15: overhang_limit_deg is 450",
		`until then the built-in material "316L filament, 16/16/20" is used`,
		"lost.toml, line 1: ",
		"until then this material is left out",
	} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%v\nwant it to hold %q", err, want)
		}
	}
	if m, err := shelf.Get("316l"); err != nil || m.OverhangLimitDeg != 45 {
		t.Errorf("the built-in record is not used: %g, %v", m.OverhangLimitDeg, err)
	}
	if _, err := shelf.Get("sound"); err != nil {
		t.Error(err)
	}
	if _, err := shelf.Get("lost"); err == nil || !strings.Contains(err.Error(), "there are: 316l, 316l-fine") {
		t.Errorf("Get(lost) = %v, want the list of what there is", err)
	}
}

func TestUnreadableUserRecord(t *testing.T) {
	user := t.TempDir()
	if err := os.MkdirAll(filepath.Join(user, "material"), 0o755); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(user, "material", "gone.toml")
	if err := os.Symlink(filepath.Join(user, "nowhere"), file); err != nil {
		t.Skip("no symbolic links here:", err)
	}
	err := OpenLibrary(builtinRecords(), user).Problems()
	if err == nil || !strings.Contains(err.Error(), file) || !strings.Contains(err.Error(), "left out") {
		t.Errorf("problems = %v, want %s named", err, file)
	}
}

// Changing what a shelf has given does not change the shelf.
func TestRecordsAreCopies(t *testing.T) {
	shelf := OpenLibrary(builtinRecords(), "").Materials
	m, err := shelf.Get("316l")
	if err != nil {
		t.Fatal(err)
	}
	m.Sources[0].Text, m.Settings[0].Value = "changed", "changed"
	shelf.List()[0].Sources[0].Text = "changed"
	for _, m := range shelf.List() {
		if m.Sources[0].Text == "changed" || m.Settings[0].Value == "changed" {
			t.Errorf("%s: the kept record has changed", m.ID)
		}
	}
}

func TestLoadFromAnywhere(t *testing.T) {
	shelf := OpenLibrary(builtinRecords(), "").Materials
	m, err := shelf.Load("../../assets/records/material/316l-fine.toml")
	if err != nil || m.ID != "316l-fine" || m.LayerHeightMM != 0.10 {
		t.Errorf("Load = %s, layer %g, %v", m.ID, m.LayerHeightMM, err)
	}
	if _, err := shelf.Load("absent.toml"); err == nil || !strings.Contains(err.Error(), "absent.toml") {
		t.Errorf("Load(absent) = %v", err)
	}
	if _, err := shelf.Load("../../assets/records/printer/plate-250x210.toml"); err == nil || !strings.Contains(err.Error(), "is no key of a material record") {
		t.Errorf("Load(printer) = %v", err)
	}
}
