package window

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/orient/mark"
	"kilnpoise/orient/process"
)

// Directions of the part are turned into the print by the candidate that is chosen.
func TestBookTurnsDirectionsOfThePart(t *testing.T) {
	b, k := bookOfPart(t)
	c := -1
	for i, cand := range b.desk.candidates() {
		if math.Abs(cand.Pose.Up().X) > 0.9 {
			c = i
		}
	}
	if c < 0 {
		t.Fatal("no candidate stands along X")
	}
	b.choose(c)
	k.enterNew()
	row := k.form.readings[0]
	row.direction.SetSelected(partWay(0))
	row.wanted.SetText("32")
	r, err := row.Reading()
	if err != nil || math.Abs(math.Abs(r.PrintDirection.Z)-1) > 1e-6 || r.PartDirection != unitAxis(0) {
		t.Errorf("X of the part runs along %+v in the print (%v)", r.PrintDirection, err)
	}
	if want := 32 * b.desk.brief.Material.Oversize()[2]; math.Abs(r.GreenNominalMM-want) > 1e-3 {
		t.Errorf("the green nominal is %g, want %g by the oversize along Z", r.GreenNominalMM, want)
	}
	row.greenWanted.SetText("40.5") // by hand: it no longer follows
	row.wanted.SetText("30")
	if r, _ := row.Reading(); r.GreenNominalMM != 40.5 {
		t.Errorf("the green nominal put in by hand became %g", r.GreenNominalMM)
	}
	row.by.SetSelected("micrometer")
	if r, _ := row.Reading(); r.ErrorMM != 0.003 || r.Instrument != "micrometer" {
		t.Errorf("by micrometer: %+v", r)
	}
	row.sure.SetText("0.008")
	if r, _ := row.Reading(); r.ErrorMM != 0.008 || r.Instrument != "micrometer" {
		t.Errorf("with a figure of one's own: %+v", r)
	}
}

// An aslant direction: the factor of faces and of points against moving them.
func TestBookGreenFactor(t *testing.T) {
	o := [3]float64{1.2, 1.19, 1.25}
	n := r3.Unit(r3.Vec{X: 1, Y: 2, Z: -2})
	grow := func(v r3.Vec) r3.Vec { return r3.Vec{X: v.X * o[0], Y: v.Y * o[1], Z: v.Z * o[2]} }
	if got, want := greenFactor(process.Points, n, o), r3.Norm(grow(n)); math.Abs(got-want) > 1e-12 {
		t.Errorf("points: %g, want %g", got, want)
	}
	// Two faces one apart with the normal n: grown, their distance is that of a grown
	// point of one from the other's grown plane.
	u := r3.Unit(r3.Cross(n, r3.Vec{X: 1}))
	v := r3.Cross(n, u)
	normal := r3.Unit(r3.Cross(grow(u), grow(v)))
	if got, want := greenFactor(process.Faces, n, o), math.Abs(r3.Dot(normal, grow(n))); math.Abs(got-want) > 1e-12 {
		t.Errorf("faces: %g, want %g", got, want)
	}
}

// What is marked is preset, a bore with two diameters at right angles to its axis.
func TestBookPresetsWhatIsMarked(t *testing.T) {
	turn := mesh.Matrix{{0, 0, 1}, {1, 0, 0}, {0, 1, 0}}
	c := &orient.Candidate{Pose: orient.Pose{Rotation: turn}, SinteredSize: r3.Vec{X: 30, Y: 32, Z: 32}}
	slant := r3.Unit(r3.Vec{X: 1, Z: 1})
	got := plannedReadings(c, []mark.Dimension{
		{Name: "width", Along: r3.Vec{Y: 1}, NominalMM: 32}, {Along: slant, What: mark.Diameter, NominalMM: 8},
	})
	if len(got) != 6 || got[0].SinteredNominalMM != 30 || got[3].Name != "width" || got[3].PartDirection != (r3.Vec{Y: 1}) || got[3].SinteredNominalMM != 32 {
		t.Fatalf("planned are %+v", got)
	}
	for _, r := range got[4:] {
		if math.Abs(r3.Dot(r.PartDirection, slant)) > 1e-9 || !strings.HasPrefix(r.Name, "size 2, diameter") {
			t.Errorf("a diameter runs along %+v: %s", r.PartDirection, r.Name)
		}
		if turned := turn.MulVec(r.PartDirection); r3.Norm(r3.Sub(turned, r.PrintDirection)) > 1e-9 {
			t.Errorf("in the print it runs along %+v, want %+v", r.PrintDirection, turned)
		}
	}
	if math.Abs(r3.Dot(got[4].PrintDirection, got[5].PrintDirection)) > 1e-9 {
		t.Error("the two diameters are not at right angles")
	}
}
