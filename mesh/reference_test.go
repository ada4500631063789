package mesh

import (
	"context"
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// row is one line of a reference table, by column name.
type row map[string]string

// readTable reads a table from the folder of sample data.
func readTable(t *testing.T, name string) []row {
	t.Helper()
	f, err := os.Open(filepath.Join(sharedFolder(t), "reference", name))
	if err != nil {
		t.Skip(err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []row
	for _, line := range lines[1:] {
		r := row{}
		for i, cell := range line {
			r[lines[0][i]] = cell
		}
		out = append(out, r)
	}
	return out
}

// number gives a cell, and false where it is blank.
func (r row) number(t *testing.T, column string) (float64, bool) {
	t.Helper()
	if r[column] == "" {
		return 0, false
	}
	v, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		t.Fatalf("column %s: %v", column, err)
	}
	return v, true
}

// wantCount compares a count where the table has one.
func (r row) wantCount(t *testing.T, column string, got int) {
	t.Helper()
	if want, ok := r.number(t, column); ok && got != int(want) {
		t.Errorf("%s = %d, want %v", column, got, want)
	}
}

// outcome is what became of a file.
type outcome struct {
	file *File
	part *Part
	err  error
}

func try(path string) outcome {
	var o outcome
	if o.file, o.err = ReadFile(context.Background(), path, ReadOptions{}); o.err == nil {
		o.part, o.err = o.file.Part(context.Background())
	}
	return o
}

// verdict names the outcome in the words of the tables.
func (o outcome) verdict() []string {
	if o.err != nil {
		return []string{"reject"}
	}
	out := []string{"load"}
	remarks := slices.DeleteFunc(slices.Clone(o.file.Notes), func(s string) bool { return strings.HasPrefix(s, "The file has no unit") })
	if len(remarks)+len(o.part.Health.Findings) > 0 {
		out = append(out, "load-warn", "repair")
	}
	if len(o.part.Health.Repairs) > 0 {
		out = slices.DeleteFunc(append(out, "repair"), func(s string) bool { return s == "load" })
	}
	return out
}

// checkSentence wants one sentence that names the file and says what to do.
func checkSentence(t *testing.T, path string, err error) {
	t.Helper()
	text := err.Error()
	if !strings.HasPrefix(text, filepath.Base(path)) || strings.Contains(text, "\n") || !strings.Contains(text, "; ") || len(text) > 400 {
		t.Errorf("not one sentence with file and advice: %q", text)
	}
}

// madeOurs lists rows of hostile_made.csv with another outcome here, and why.
var madeOurs = map[string][2]string{
	"geo_self_intersecting_single.stl": {"repair", "the pulled corner turns the body inside out without crossing it (brute force: every line is inside 0 or 1 times after turning), so it is turned over and the volume is 500"},
}

// TestMadeFiles holds the readers against files made to be hard.
func TestMadeFiles(t *testing.T) {
	for _, r := range readTable(t, "hostile_made.csv") {
		t.Run(r["file"], func(t *testing.T) {
			path := filepath.Join(sharedFolder(t), "meshes", "hostile", "made", r["file"])
			want := r["outcome"]
			if o, ok := madeOurs[r["file"]]; ok {
				want = o[0]
			}
			o := try(path)
			if got := o.verdict(); !slices.Contains(got, want) {
				t.Fatalf("outcome %v, want %s (%s): error %v", got, want, r["defect"], o.err)
			}
			if o.err != nil {
				checkSentence(t, path, o.err)
				return
			}
			checkMade(t, r, o)
		})
	}
}

func checkMade(t *testing.T, r row, o outcome) {
	read := o.part.Health.AsRead
	r.wantCount(t, "raw_triangles", read.Facets)
	r.wantCount(t, "open_edges", read.OpenEdges)
	r.wantCount(t, "nonmanifold_edges", read.SharedEdges)
	if r["file"] != "geo_crack_ulp.stl" { // joined first, then counted in the table
		r.wantCount(t, "shells", read.Shells)
	}
	tol := 1e-6
	if r["file"] == "geo_crack_0p01.stl" { // left open: 10 or 10.01, nobody knows
		tol = 2e-3
	}
	if v, ok := r.number(t, "volume_mm3"); ok && !near(o.part.Mesh.Volume(), v, tol) {
		t.Errorf("volume %v, want %v", o.part.Mesh.Volume(), v)
	}
	size := o.part.Mesh.Bounds().Size()
	for i, s := range strings.Fields(r["bbox_mm"]) {
		want, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		if got := component(size, i); !near(got, want, max(tol, 1e-6)) {
			t.Errorf("size %v, want %s", size, r["bbox_mm"])
		}
	}
}

// foundOurs lists rows of hostile_found.csv with another outcome here, and why.
var foundOurs = map[string][2]string{
	"3mf_lib3mf/NotListed.3mf":          {"reject", "it lists extensions as required that it does not declare; the core specification (2.3.2) has the reader refuse"},
	"obj/notenoughindices.obj":          {"reject", "one triangle has no volume, as in geo_single_triangle.stl"},
	"obj/obj_with_no_face_in_chunk.obj": {"reject", "one triangle has no volume, as in geo_single_triangle.stl"},
	"obj/number_formats.obj":            {"reject", "one triangle has no volume, as in geo_single_triangle.stl; its numbers are read"},
	"obj/singlevn.obj":                  {"reject", "a flat sheet has no volume, as in geo_flat_sheet.stl"},
	"obj/concave_polygon.obj":           {"reject", "flat polygons have no volume, as in geo_flat_sheet.stl"},
	"obj/wallhole.obj":                  {"load", "ears cut from its concave polygons leave none of the defects that a fan of triangles has"},
}

// foundUncounted lists rows whose counts differ for a reason, not the outcome.
var foundUncounted = map[string]string{
	"obj/wallhole.obj":     "concave polygons: the table has them cut as fans",
	"obj/box_longline.obj": "polygons that repeat corners: the table has them cut as fans",
	"obj/regr_3429812.obj": "a polygon that is not flat: the table cuts it along its other diagonal",
}

// TestFoundFiles holds the readers against files from the test suites of other
// importers.
func TestFoundFiles(t *testing.T) {
	for _, r := range readTable(t, "hostile_found.csv") {
		t.Run(r["file"], func(t *testing.T) {
			path := filepath.Join(sharedFolder(t), "meshes", "hostile", filepath.FromSlash(r["file"]))
			want := strings.Split(strings.Split(r["suggested_outcome"], " (")[0], " or ")
			if o, ok := foundOurs[r["file"]]; ok {
				want = []string{o[0]}
			}
			o := try(path)
			got := o.verdict()
			if !slices.ContainsFunc(want, func(w string) bool { return slices.Contains(got, w) }) {
				t.Fatalf("outcome %v, want %v (%s): error %v", got, want, r["defect"], o.err)
			}
			if o.err != nil {
				checkSentence(t, path, o.err)
				return
			}
			if _, ok := foundUncounted[r["file"]]; !ok && r["reader"] == "ok" {
				read := o.part.Health.AsRead
				r.wantCount(t, "triangles", read.Facets)
				r.wantCount(t, "shells", read.Shells)
				r.wantCount(t, "open_edges", read.OpenEdges)
				r.wantCount(t, "nonmanifold_edges", read.SharedEdges)
				if v, ok := r.number(t, "signed_volume"); ok && !near(read.Volume, v, 1e-5) {
					t.Errorf("volume %v, want %v", read.Volume, v)
				}
			}
		})
	}
}

// TestRealParts compares real parts with values from a numpy reader checked
// against CGAL 5.5.1, admesh 0.98.4 and others (real.csv), where volumes agree to
// 6e-7 and areas to 1.5e-5.
func TestRealParts(t *testing.T) {
	const tol = 1e-5
	for _, r := range readTable(t, "real.csv") {
		t.Run(r["file"], func(t *testing.T) {
			o := try(filepath.Join(sharedFolder(t), "meshes", "real", r["file"]))
			if o.err != nil {
				t.Fatal(o.err)
			}
			h, m := o.part.Health, o.part.Mesh
			if o.part.SHA256 != r["sha256"] {
				t.Errorf("hash %s, want %s", o.part.SHA256, r["sha256"])
			}
			r.wantCount(t, "triangles", h.AsRead.Facets)
			r.wantCount(t, "boundary_edges", h.AsRead.OpenEdges)
			r.wantCount(t, "non_manifold_edges", h.AsRead.SharedEdges)
			r.wantCount(t, "shells_edge_connected", h.AsRead.Shells)
			r.wantCount(t, "shells_negative_volume", h.Cavities)
			if !h.Watertight {
				t.Errorf("not watertight: %v", h.Findings)
			}
			size, com := m.Bounds().Size(), m.Solid().Centroid
			compare := func(column string, got, scale float64) {
				if want, ok := r.number(t, column); ok && !(abs64(got-want) <= tol*scale) {
					t.Errorf("%s = %v, want %v", column, got, want)
				}
			}
			compare("signed_volume", m.Volume(), m.Volume())
			compare("surface_area", m.Area(), m.Area())
			for i, axis := range []string{"x", "y", "z"} {
				compare("bbox_"+axis, component(size, i), component(size, i))
				compare("com_"+axis, component(com, i), r3.Norm(size))
			}
			if h.OverlapVolume != 0 {
				t.Errorf("overlap of %v mm3 in a sound part: %v", h.OverlapVolume, h.Findings)
			}
		})
	}
}

func abs64(v float64) float64 { return max(v, -v) }
