package headless_test

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/headless"
	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient"
)

// hook is an arm on a foot: a part that is better turned.
func hook() *mesh.Mesh {
	return meshtest.Blocks([]float64{0, 10, 40}, []float64{0, 8, 20}, []float64{0, 5, 25, 32}, func(i, j, k int) bool {
		return k == 0 && i == 0 || i == 0 && j == 0 || k == 2 && j == 0
	})
}

// writePart writes a part as STL into a new folder and gives its path.
func writePart(t *testing.T, m *mesh.Mesh) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "hook.stl")
	var b bytes.Buffer
	if err := mesh.WriteSTL(&b, m, "a part for tests"); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// run runs headless and gives what came out on both streams.
func run(t *testing.T, o headless.Options) (stdout, stderr string) {
	t.Helper()
	t.Setenv("XDG_CONFIG_HOME", t.TempDir()) // no records of the person who runs the tests
	var out, told bytes.Buffer
	if err := headless.Run(context.Background(), o, &out, &told); err != nil {
		t.Fatalf("%v\n%s", err, told.String())
	}
	return out.String(), told.String()
}

func TestAllFilesAreWritten(t *testing.T) {
	part, out := writePart(t, hook()), filepath.Join(t.TempDir(), "new", "folder")
	stdout, stderr := run(t, headless.Options{Part: part, Out: out, Candidates: 2, FurnaceGrid: 1000})
	if stdout != "" {
		t.Errorf("standard output has %q without being asked", stdout)
	}
	if !strings.Contains(stderr, "100 %") {
		t.Errorf("no progress on standard error:\n%s", stderr)
	}
	report := readReport(t, filepath.Join(out, "advice.json"))
	for i := range report.Candidates {
		checkMagic(t, filepath.Join(out, "candidate-0"+string(rune('1'+i))+".png"), "\x89PNG")
	}
	checkMagic(t, filepath.Join(out, "hook-sheet.pdf"), "%PDF")
	for _, name := range []string{"hook-green.stl", "hook-green.3mf"} {
		checkGreen(t, filepath.Join(out, name), &report.Candidates[0])
	}
}

// A way up that fails gates is written with a warning; one that passes, or of which
// nothing but the advice is written, has none.
func TestAFailingWayIsWrittenWithAWarning(t *testing.T) {
	for _, tc := range []struct {
		name    string
		side    float64
		noFiles bool
		want    string
	}{
		{"one gate", 40, false, `Warning: this way up fails the gate "walls within the debinding limit"; the files are written all the same.`},
		{"several gates", 400, false, `Warning: this way up fails 3 gates, "fits the printer", "fits the furnace", "walls within the debinding limit"; the files`},
		{"no mesh is written", 40, true, ""},
		{"all passed", 8, false, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			part := writePart(t, meshtest.Block(tc.side, tc.side, tc.side))
			_, told := run(t, headless.Options{Part: part, Out: t.TempDir(), NoFurnace: true, OnlyGiven: true, NoFiles: tc.noFiles})
			switch got := strings.Contains(told, "Warning"); {
			case tc.want == "" && got:
				t.Errorf("it warns:\n%s", told)
			case !strings.Contains(told, tc.want):
				t.Errorf("it says\n%s\nwant %q", told, tc.want)
			}
		})
	}
}

func readReport(t *testing.T, path string) orient.Report {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var r orient.Report
	if err := json.Unmarshal(data, &r); err != nil {
		t.Fatal(err)
	}
	return r
}

func checkMagic(t *testing.T, path, magic string) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Error(err)
		return
	}
	if !bytes.HasPrefix(data, []byte(magic)) {
		t.Errorf("%s does not begin with %q", filepath.Base(path), magic)
	}
}

// checkGreen reads the mesh back: closed, vertex = oversize x rotation x part
// vertex, lowest z 0, centred.
func checkGreen(t *testing.T, path string, c *orient.CandidateReport) {
	t.Helper()
	f, err := mesh.ReadFile(context.Background(), path, mesh.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	p, err := f.Part(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if !p.Health.Watertight {
		t.Errorf("%s is not closed", filepath.Base(path))
	}
	box := p.Mesh.Bounds()
	if d := r3.Norm(r3.Sub(box.Size(), c.GreenSizeMM.Vec())); d > 1e-4 {
		t.Errorf("%s measures %v, want %v", filepath.Base(path), box.Size(), c.GreenSizeMM)
	}
	if math.Abs(box.Min.Z) > 1e-6 || math.Abs(box.Center().X) > 1e-4 || math.Abs(box.Center().Y) > 1e-4 {
		t.Errorf("%s does not stand centred on z = 0: %v", filepath.Base(path), box)
	}
	pose := orient.Pose{Rotation: c.Rotation, Oversize: r3.Vec{X: 1 / 0.84, Y: 1 / 0.84, Z: 1 / 0.8}}
	want := pose.Green(hook())
	if math.Abs(p.Mesh.Volume()-want.Volume()) > 1e-5*want.Volume() {
		t.Errorf("%s holds %g mm3, want %g", filepath.Base(path), p.Mesh.Volume(), want.Volume())
	}
}

// The same input gives the same advice but for the times.
func TestReportIsDeterministic(t *testing.T) {
	part := writePart(t, hook())
	o := headless.Options{Part: part, JSON: true, NoFiles: true, NoFurnace: true}
	times := regexp.MustCompile(`(?s)"elapsed_s": \{.*?\}`)
	first, _ := run(t, o)
	second, _ := run(t, o)
	if times.ReplaceAllString(first, "") != times.ReplaceAllString(second, "") {
		t.Error("two runs differ")
	}
	if !strings.Contains(first, `"support_volume_mm3"`) {
		t.Errorf("no measures in the JSON:\n%.400s", first)
	}
}

// What does not fit the furnace says which record of the library it would fit.
func TestMisfitNamesTheRecordThatFits(t *testing.T) {
	out := t.TempDir()
	run(t, headless.Options{Part: writePart(t, meshtest.Block(180, 60, 8)), Out: out, OnlyGiven: true, NoFurnace: true, NoFiles: true})
	for _, g := range readReport(t, filepath.Join(out, "advice.json")).Candidates[0].Gates {
		if g.Name == orient.GateFurnace && (g.State != orient.Failed || !strings.Contains(g.Reason, "setter-300x250")) {
			t.Errorf("%s: %s", g.State, g.Reason)
		}
	}
}

func TestNoFilesWritesOnlyTheAdvice(t *testing.T) {
	out := t.TempDir()
	run(t, headless.Options{Part: writePart(t, hook()), Out: out, NoFiles: true, NoFurnace: true})
	if got := strings.Join(visible(t, out), " "); got != "advice.json" {
		t.Errorf("the folder holds %s, want advice.json alone", got)
	}
}

// visible lists the files of a folder without the hidden ones.
func visible(t *testing.T, folder string) []string {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") {
			out = append(out, e.Name())
		}
	}
	return out
}

func TestOverridesReachTheMeasures(t *testing.T) {
	shrink, overhang := [3]float64{}, 30.0
	o := headless.Options{
		Part: writePart(t, hook()), JSON: true, NoFiles: true, NoFurnace: true, OnlyGiven: true,
		Up: []r3.Vec{{X: 1}, {X: 1}}, Shrink: &shrink, Overhang: &overhang,
	}
	stdout, _ := run(t, o)
	var r orient.Report
	if err := json.Unmarshal([]byte(stdout), &r); err != nil {
		t.Fatal(err)
	}
	if r.Process.OverhangLimitDeg != 30 || r.Process.Oversize != (orient.Triple{1, 1, 1}) {
		t.Errorf("process = %+v", r.Process)
	}
	given := 0
	for _, c := range r.Candidates {
		if c.Origin == orient.Given {
			given++
			if math.Abs(c.Measures.HeightMM-40) > 1e-4 {
				t.Errorf("height = %g mm, want 40", c.Measures.HeightMM)
			}
		}
	}
	if given != 2 || len(r.Candidates) != 3 {
		t.Errorf("%d given of %d candidates, want 2 of 3", given, len(r.Candidates))
	}
}

func TestBriefFile(t *testing.T) {
	brief := filepath.Join(t.TempDir(), "brief.toml")
	write := func(text string) {
		if err := os.WriteFile(brief, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	o := headless.Options{Part: writePart(t, hook()), JSON: true, NoFiles: true, NoFurnace: true, OnlyGiven: true, Brief: brief}
	write("[[face]]\nkind = \"keep_clean\"\nat = [30, 4, 25]\n[[dimension]]\nname = \"reach\"\nbetween = [[0, 4, 20], [40, 4, 28]]\n[[load]]\nalong = [0, 0, 2]\n")
	stdout, _ := run(t, o)
	var marked orient.Report
	if err := json.Unmarshal([]byte(stdout), &marked); err != nil {
		t.Fatal(err)
	}
	c := marked.Candidates[0]
	if c.Measures.MarkedScarMM2 <= 0 || len(c.Dimensions) != 1 || math.Abs(c.Dimensions[0].NominalMM-40) > 1e-6 || c.Measures.LoadStrength >= 1 {
		t.Errorf("marks of the brief: scar %g, dimensions %+v, strength %g", c.Measures.MarkedScarMM2, c.Dimensions, c.Measures.LoadStrength)
	}
	write("overhang_limit_deg = 40\ncandidates = 3\n[priorities]\nless_sag = 5\n")
	stdout, _ = run(t, o)
	var r orient.Report
	if err := json.Unmarshal([]byte(stdout), &r); err != nil {
		t.Fatal(err)
	}
	if r.Process.OverhangLimitDeg != 40 || r.Process.Priorities["less_sag"] != 5 || r.Process.Priorities["less_support"] == 0 {
		t.Errorf("process = %+v", r.Process)
	}
	for text, want := range map[string]string{
		"candidates = 3\noverhang = 40\n":               "line 2",
		"[priorities]\nless_worry = 5\n":                "less_sag",
		"[priorities]\nless_sag = 9\n":                  "less_sag",
		"material = \"unobtainium\"\n":                  "unobtainium",
		"[[face]]\nkind = \"shiny\"\nat = [30, 4, 25]":  "shiny",
		"[[face]]\nkind = \"smooth\"\nat = [90, 4, 25]": "away",
		"[[dimension]]\nname = \"x\"\n":                 "bore_at",
		"[[load]]\nalong = [0, 0, 0]\n":                 "direction",
		"shrinkage = [0.1, 0.1":                         "line 1",
		"overhang_limit_deg = 120\n":                    "120",
		"shrinkage = [0.16, 0.16, 0.9]\nx = 1":          "line 2",
	} {
		write(text)
		err := headless.Run(context.Background(), o, &bytes.Buffer{}, &bytes.Buffer{})
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("brief %q: error %v, want one that names %q", text, err, want)
		}
	}
}

func TestBadInputIsOneLine(t *testing.T) {
	junk := filepath.Join(t.TempDir(), "junk.stl")
	if err := os.WriteFile(junk, []byte("this is no mesh"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{junk, filepath.Join(t.TempDir(), "missing.stl")} {
		err := headless.Run(context.Background(), headless.Options{Part: part, JSON: true, NoFiles: true, NoFurnace: true}, &bytes.Buffer{}, &bytes.Buffer{})
		if err == nil || strings.Contains(err.Error(), "\n") || !strings.Contains(err.Error(), filepath.Base(part)) {
			t.Errorf("%s: error %q, want one line that names the file", part, err)
		}
	}
}

func TestDemoPartNeedsNoFile(t *testing.T) {
	stdout, _ := run(t, headless.Options{JSON: true, NoFiles: true, NoFurnace: true, OnlyGiven: true})
	if !strings.Contains(stdout, "handle-bracket") {
		t.Errorf("the demo part is missing:\n%.300s", stdout)
	}
}
