package window

import (
	"math"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"gonum.org/v1/gonum/spatial/r3"
)

// mapped opens a part and waits for the map of every way up.
func mapped(t *testing.T) *bench {
	t.Helper()
	b := advised(t, "tee.stl", tee())
	b.until("the map", func() bool { return b.sphere.drawn != nil && b.why.sphere.chart.Picture != nil })
	return b
}

// at gives the pixel of the map where a direction lies.
func (b *bench) pickUp(up r3.Vec) {
	x, y := b.sphere.shot.SpotOf(up)
	b.pickSphere(x, y)
}

func TestAClickOnTheMapLooksFromThere(t *testing.T) {
	b := mapped(t)
	b.choose(asLoadedOf(b.desk.candidates()).Rank - 1) // part frame and print frame are one
	up := r3.Unit(r3.Vec{X: 1, Y: -1, Z: 1})
	b.pickUp(up)
	c := b.machines.Camera
	if math.Abs(c.YawDeg-45) > 1 || math.Abs(c.PitchDeg-35.26) > 1 {
		t.Errorf("the camera stands at yaw %.1f, pitch %.1f, want 45 and 35.3", c.YawDeg, c.PitchDeg)
	}
	if text := plainSpaces(b.why.sphere.words.Text); !strings.Contains(text, "Up (0.58, −0.58, 0.58): combined cost") || !b.why.sphere.own.Visible() {
		t.Errorf("the map says %q", text)
	}
	b.ownDirection()
	b.waitAdvised()
	if got := b.desk.candidate().Pose.Up(); r3.Norm(r3.Sub(got, up)) > 0.02 {
		t.Errorf("measured as a candidate is %v, want %v", got, up)
	}
}

func TestAClickOnAMarkChoosesTheCandidate(t *testing.T) {
	b := mapped(t)
	want := b.desk.candidates()[2]
	b.pickUp(want.Pose.Up())
	if got := b.desk.candidate(); got.Pose != want.Pose {
		t.Errorf("chosen is %s, want %s", got.Name, want.Name)
	}
}

func TestTheMapIsColouredByAnyMeasure(t *testing.T) {
	b := mapped(t)
	s := b.why.sphere.measure
	before := b.why.sphere.chart.Picture
	for i, name := range s.Options {
		if strings.HasPrefix(name, "Green height") {
			s.SetSelectedIndex(i)
		}
	}
	b.until("the map by height", func() bool { return b.why.sphere.chart.Picture != before })
	if got := b.sphere.shot.Measure.Key; got != "height" {
		t.Errorf("the map is coloured by %q, want height", got)
	}
	b.pickUp(r3.Vec{Z: 1})
	b.why.sphere.chart.TypedKey(&fyne.KeyEvent{Name: fyne.KeyUp})
	if !b.why.sphere.chart.Aiming {
		t.Error("the arrows do not move a cross-hair over the map")
	}
}

// The exact faces are marks of their own on the map, and a click on one measures
// exactly that face.
func TestFacesOnTheMapAreTheirOwn(t *testing.T) {
	b := mapped(t)
	x, y := b.sphere.shot.SpotOf(r3.Vec{Z: -1}) // the plate of the tee
	face := b.sphere.drawn.FaceAt(b.sphere.shot, x+2, y)
	if face == nil {
		t.Fatal("the plate of the tee is no mark on the map")
	}
	if _, ok := b.tellDirection(x+2, y, false); !ok || !strings.Contains(b.why.sphere.words.Text, "On a face") {
		t.Errorf("the map says %q", b.why.sphere.words.Text)
	}
	for _, c := range b.desk.candidates() {
		if r3.Dot(c.Pose.Up(), face.Up.Vec()) > 0.9999 && c.Passes() != face.Passes() {
			t.Errorf("as a candidate it passes: %v, on the map: %v", c.Passes(), face.Passes())
		}
	}
}
