package headless

import (
	"bytes"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"kilnpoise/assets"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient"
	"kilnpoise/orient/process"
)

// FuzzBrief takes any bytes for a brief file. It must end in a brief whose material
// is valid, or in a plain error that names the file or what is wrong in the brief;
// and the same bytes say the same twice.
func FuzzBrief(f *testing.F) {
	for _, text := range []string{
		"",
		"material = \"316l\"\ncandidates = 3\noverhang_limit_deg = 40\nlayer_height_mm = 0.15\nshrinkage = [0.16, 0.16, 0.2]\n",
		"[cutter]\ndiameter_mm = 3\nlength_mm = 70\nholder_mm = 10\n[priorities]\nless_sag = 5\n",
		"[[face]]\nkind = \"keep_clean\"\nname = \"seat\"\nat = [30, 4, 25]\nwithin_deg = 20\n",
		"[[dimension]]\nname = \"reach\"\nbetween = [[0, 4, 20], [40, 4, 20]]\ntolerance_mm = 0.2\n[[load]]\nalong = [0, 0, 1]\n",
		"[[dimension]]\nbore_at = [1, 1, 1]\nnominal_mm = -1\n",
		"shrinkage = [nan, inf, 1e400]\n", "candidates = 9223372036854775808\n", "[[face]]\nat = [1, 2]\n", "\xff\x00", "a.b.c = [[[{}]]]",
		"[priorities]\nless_sag = -0.0\n", "[[load]]\nalong = [1e308, 1e308, 1e308]\n", "material = \"../../x.toml\"\n",
	} {
		f.Add([]byte(text))
	}
	part := meshtest.Block(40, 8, 20)
	library := process.OpenLibrary(assets.Records(), "")
	path := filepath.Join(f.TempDir(), "fuzz.toml")
	f.Fuzz(func(t *testing.T, data []byte) {
		// A brief may name records by path: those of the machine are none of the test's.
		if len(data) > 1<<14 || bytes.Contains(data, []byte(".toml")) {
			t.Skip()
		}
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		o := Options{Brief: path}
		brief := func() (orient.Brief, error) {
			file, err := readBrief(o.Brief)
			if err != nil {
				return orient.Brief{}, err
			}
			return o.brief(library, &file, part, nil)
		}
		b, err := brief()
		again, twice := brief()
		if err != nil {
			if twice == nil || err.Error() != twice.Error() {
				t.Errorf("error %v, and the second time %v", err, twice)
			}
			if text := err.Error(); text == "" || strings.ContainsAny(text, "\x00\n") {
				t.Errorf("error %q", text)
			}
			return
		}
		if err := b.Material.Validate(); err != nil {
			t.Errorf("a brief with a material that is not valid: %v", err)
		}
		if b.Candidates < 0 || b.Candidates > mostCandidates {
			t.Errorf("%d candidates", b.Candidates)
		}
		for i, face := range b.Marks.Faces {
			if len(face.Facets) == 0 {
				t.Errorf("face %d marks nothing", i)
			}
		}
		if !reflect.DeepEqual(b, again) {
			t.Errorf("another brief the second time:\n%+v\n%+v", b, again)
		}
	})
}
