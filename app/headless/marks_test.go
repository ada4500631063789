package headless

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient/mark"
)

// pins is a block of 40 x 20 x 10 with two pins of 12 and 8 beside it, 30 apart.
func pins() *mesh.Mesh {
	m := meshtest.Block(40, 20, 10)
	for _, pin := range []struct{ radius, x float64 }{{6, -20}, {4, 10}} {
		more, first := meshtest.Cylinder(pin.radius, 25, 96), int32(len(m.Vertices))
		for _, v := range more.Vertices {
			m.Vertices = append(m.Vertices, r3.Add(v, r3.Vec{X: pin.x, Y: 40}))
		}
		for _, f := range more.Facets {
			m.Facets = append(m.Facets, [3]int32{f[0] + first, f[1] + first, f[2] + first})
		}
	}
	return m
}

func TestBriefTellsWhatHasToBeTrue(t *testing.T) {
	var f briefFile
	err := decodeBrief("brief.toml", strings.NewReader(`
[[dimension]]
name = "pin"
bore_at = [-14, 40, 12]
tolerance_mm = 0.15
[[dimension]]
bore_at = [-14, 40, 12]
to_bore_at = [14, 40, 12]
[[dimension]]
bore_at = [14, 40, 12]
to_face_at = [20, 20, 5]
[[dimension]]
between = [[20, 10, 10], [20, 10, 0]]
nominal_mm = 10.2
[[angle]]
between = [[20, 10, 10], [40, 10, 5]]
tolerance_deg = 0.4
[[flatness]]
at = [20, 10, 10]
[[parallelism]]
name = "lid"
at = [20, 10, 10]
to = [20, 10, 0]
tolerance_mm = 0.3
[[stock]]
at = [-14, 40, 12]
mm = 0.5
[[stock]]
name = "seat"
at = [20, 10, 10]
mm = 0.3
`), &f)
	if err != nil {
		t.Fatal(err)
	}
	m, err := f.marks(pins())
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []struct {
		what           mark.Characteristic
		name           string
		nominal, limit float64
	}{
		{mark.Diameter, "pin", 12, 0.15}, {mark.BoreToBore, "", 30, 0.2}, {mark.BoreToFace, "", 20, 0.2}, {mark.Distance, "", 10.2, 0.2},
		{mark.Angle, "angle 1", 90, 0.4}, {mark.Flatness, "flatness 1", 0, 0.2}, {mark.Parallelism, "lid", 0, 0.3},
	} {
		d := m.Dimensions[i]
		limit, _ := d.Limit()
		if d.What != want.what || d.Name != want.name || math.Abs(d.NominalMM+d.NominalDeg-want.nominal) > 1e-6 || limit != want.limit {
			t.Errorf("dimension %d is %s %q, %g, allowed %g; want %+v", i, d.What, d.Name, d.NominalMM+d.NominalDeg, limit, want)
		}
	}
	if s := m.Stock; len(s) != 2 || !s[0].On.Round || s[0].MM != 0.5 || s[1].On.Round || s[1].Name != "seat" {
		t.Errorf("the stock is %+v", s)
	}
}

func TestBriefWithFaultsInWhatHasToBeTrue(t *testing.T) {
	for text, want := range map[string]string{
		"[[dimension]]\nname = \"a\"": "dimension no. 1 of the brief: give either",
		"[[dimension]]\nbetween = [[20, 10, 10], [20, 10, 0]]\nto_bore_at = [14, 40, 12]":     "goes with bore_at",
		"[[dimension]]\nbore_at = [14, 40, 12]\nto_bore_at = [1, 1, 1]\nto_face_at = [1,1,1]": "one of them",
		"[[dimension]]\nbore_at = [14, 40, 12]\ntolerance_mm = -1":                            "-1: a nominal size",
		"[[dimension]]\nbore_at = [14, 40, 12]\nto_face_at = [20, 10, 10]":                    "beside the axis",
		"[[angle]]\ntolerance_deg = 1":                                                        "angle no. 1 of the brief: give between",
		"[[flatness]]\nname = \"a\"":                                                          "flatness no. 1 of the brief: give at",
		"[[parallelism]]\nat = [20, 10, 10]":                                                  "parallelism no. 1 of the brief: give at",
		"[[stock]]\nmm = 1":                                                                   "stock no. 1 of the brief: give at",
		"[[stock]]\nat = [20, 10, 10]\nmm = 0":                                                "stock is more than 0",
	} {
		var f briefFile
		err := decodeBrief("brief.toml", strings.NewReader(text), &f)
		if err == nil {
			_, err = f.marks(pins())
		}
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q gives %v, want %q", text, err, want)
		}
	}
}
