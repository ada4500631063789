package process

import (
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/pelletier/go-toml/v2"
)

// steelFile gives the text of the built-in record of 316L.
func steelFile(t testing.TB) string {
	t.Helper()
	data, err := os.ReadFile("../../assets/records/material/316l.toml")
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// A technician's slips, each with the line and the words that lead him back.
func TestReadMaterialFaults(t *testing.T) {
	sound := steelFile(t)
	swap := func(old, new string) string {
		if !strings.Contains(sound, old) {
			t.Fatalf("the record does not hold %q", old)
		}
		return strings.Replace(sound, old, new, 1)
	}
	tests := []struct {
		name, text string
		at         string // text of the line that the message names; "" for none
		want       string
	}{
		{"misspelt key", swap("overhang_limit_deg = 45", "overhang_limit = 45"), "overhang_limit = 45", "overhang_limit is no key of a material record; correct the spelling"},
		{"misspelt key in a table", swap("poisson = 0.42", "poison = 0.42"), "poison = 0.42", "creep.poison is no key"},
		{"missing figure", swap("layer_height_mm = 0.15", "# layer_height_mm = 0.15"), "", "layer_height_mm is missing; give the layer height"},
		{"missing figure in a table", swap("poisson = 0.42", ""), "", "creep.poisson is missing"},
		{"two values for three axes", swap("shrinkage = [0.16, 0.16, 0.20]", "shrinkage = [0.16, 0.20]"), "shrinkage = [0.16, 0.20]", "shrinkage has 2 values; give 3"},
		{"four values for three axes", swap("shrinkage = [0.16, 0.16, 0.20]", "shrinkage = [0.16, 0.16, 0.2, 0.2]"), "shrinkage = [0.16, 0.16, 0.2, 0.2]", "shrinkage has 4 values; give 3"},
		{"percent for fraction", swap("[0.16, 0.16, 0.20]", "[16, 16, 20]"), "shrinkage = [16, 16, 20]", "write 16 % as 0.16"},
		{"out of range in a table", swap("poisson = 0.42", "poisson = 0.6"), "poisson = 0.6", "creep.poisson is 0.6"},
		{"text for number", swap("layer_height_mm = 0.15", `layer_height_mm = "0.15"`), `layer_height_mm = "0.15"`, "layer_height_mm holds the wrong kind of value"},
		{"decimal comma", swap("layer_height_mm = 0.15", "layer_height_mm = 0,15"), "layer_height_mm = 0,15", "expected newline"},
		{"not a number", swap("layer_height_mm = 0.15", "layer_height_mm = nan"), "layer_height_mm = nan", "layer_height_mm is NaN"},
		{"twice", swap("layer_height_mm = 0.15", "layer_height_mm = 0.15\nlayer_height_mm = 0.2"), "layer_height_mm = 0.2", "already defined"},
		{"another format", "{\"shrinkage\": 0.16}", "{\"shrinkage\": 0.16}", ""},
		{"empty", "", "", "shrinkage is missing"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := ReadMaterial("own.toml", []byte(tt.text))
			var file *FileError
			if !errors.As(err, &file) {
				t.Fatalf("error %v, want a *FileError", err)
			}
			if file.File != "own.toml" || !strings.HasPrefix(err.Error(), "own.toml") {
				t.Errorf("%v does not begin with the file", err)
			}
			if !strings.Contains(err.Error(), tt.want) {
				t.Errorf("%v\nwant it to hold %q", err, tt.want)
			}
			got := ""
			if lines := strings.Split(tt.text, "\n"); file.Line > 0 {
				got = lines[file.Line-1]
			}
			if !strings.HasPrefix(got, tt.at) || (tt.at == "") != (got == "") {
				t.Errorf("line %d is %q, want %q", file.Line, got, tt.at)
			}
		})
	}
}

// A missing figure is said once, not again as out of range.
func TestMissingIsSaidOnce(t *testing.T) {
	text := strings.Replace(steelFile(t), "layer_height_mm = 0.15", "", 1)
	_, err := ReadMaterial("own.toml", []byte(text))
	if got := keyErrors(err); len(got) != 1 {
		t.Errorf("complains of %q, want one: %v", got, err)
	}
}

func TestReadTakesWhatEditorsDo(t *testing.T) {
	want, err := ReadMaterial("own.toml", []byte(steelFile(t)))
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		"byte order mark":  "\ufeff" + steelFile(t),
		"Windows endings":  strings.ReplaceAll(steelFile(t), "\n", "\r\n"),
		"whole number":     strings.Replace(steelFile(t), "green_density_g_cm3 = 5.0", "green_density_g_cm3 = 5", 1),
		"without end line": strings.TrimSpace(steelFile(t)),
	} {
		got, err := ReadMaterial("own.toml", []byte(text))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		got.Note = strings.ReplaceAll(got.Note, "\r\n", "\n")
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
	}
}

func TestReadRefusesAWrongFile(t *testing.T) {
	_, err := ReadMaterial("part.toml", make([]byte, largestRecord+1))
	if err == nil || !strings.Contains(err.Error(), "is it the right file?") {
		t.Errorf("error %v", err)
	}
}

func TestReadMachines(t *testing.T) {
	printer, err := ReadPrinter("p.toml", []byte(`
		name = "plate"
		plate_mm = [250, 210]
		height_mm = 200
		nozzle_mm = 0.4
		speed_mm_s = 35
		travel_overhead = 1.3`))
	if err != nil || printer.PlateMM != [2]float64{250, 210} || printer.TravelOverhead != 1.3 {
		t.Errorf("ReadPrinter = %+v, %v", printer, err)
	}
	_, err = ReadFurnace("f.toml", []byte("name = 'box'\nsetter_mm = [100]\nheight_mm = 90\nfriction = 0.5\nfriction_low = 0.2\nfriction_high = 1\n"))
	if err == nil || !strings.Contains(err.Error(), "f.toml, line 2: setter_mm has 1 values; give 2") {
		t.Errorf("ReadFurnace: %v", err)
	}
}

// Whatever the bytes, reading ends in a record that is valid and comes back the
// same after writing, or in an error that names the file.
func FuzzReadMaterial(f *testing.F) {
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
	f.Add([]byte("[creep]\npoisson = [[]]\n[[source]]\n[creep.x]"))
	f.Add([]byte("note = \"\"\"\nshrinkage = 3\n\"\"\""))
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 1<<16 {
			t.Skip("long")
		}
		m, err := ReadMaterial("fuzz.toml", data)
		if err != nil {
			if !strings.HasPrefix(err.Error(), "fuzz.toml") {
				t.Errorf("error %q does not name the file", err)
			}
			return
		}
		if err := m.Validate(); err != nil {
			t.Errorf("read a record that is not valid: %v", err)
		}
		out, err := toml.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		back, err := ReadMaterial("fuzz.toml", out)
		if err != nil {
			t.Fatalf("%v in\n%s", err, out)
		}
		if !reflect.DeepEqual(trimmed(m), trimmed(back)) {
			t.Errorf("comes back changed: %s", cmp.Diff(m, back))
		}
	})
}

// trimmed makes nil and empty lists the same.
func trimmed(m Material) Material {
	m.Settings = append([]Setting{}, m.Settings...)
	m.Sources = append([]Source{}, m.Sources...)
	return m
}

func BenchmarkReadMaterial(b *testing.B) {
	data := []byte(steelFile(b))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ReadMaterial("own.toml", data); err != nil {
			b.Fatal(err)
		}
	}
}
