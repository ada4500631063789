package window

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"kilnpoise/mesh"
	"kilnpoise/orient"
)

func TestAWayUpIsReadAsVectorOrTurns(t *testing.T) {
	half := math.Sqrt(0.5)
	for _, c := range []struct {
		text string
		want r3.Vec
	}{
		{"0, -1, 0", r3.Vec{Y: -1}}, {"0 0 5", r3.Vec{Z: 1}}, {"(1; 0; 1)", r3.Vec{X: half, Z: half}}, {"0,−1,0", r3.Vec{Y: -1}},
		{"A 90", r3.Vec{Y: 1}}, {"a=-90", r3.Vec{Y: -1}}, {"B 90", r3.Vec{X: -1}}, {"A 180 B 0 C 45", r3.Vec{Z: -1}}, {"A −90.0°, C +30.0°", r3.Vec{Y: -1}},
		{"A +90.0, B -12.0 deg", r3.Vec{X: math.Sin(12 * math.Pi / 180), Y: math.Cos(12 * math.Pi / 180)}},
	} {
		if got, err := readWay(c.text); err != nil || r3.Norm(r3.Sub(got, c.want)) > 1e-9 {
			t.Errorf("%q is %v (%v), want %v", c.text, got, err, c.want)
		}
	}
	for _, text := range []string{"", "1, 2", "1, 2, x", "0 0 0", "A", "A 90 A 30", "A 90 D 3", "NaN 0 0", "A 900", "1e9 0 0", "90 A"} {
		if got, err := readWay(text); err == nil {
			t.Errorf("%q is read as %v", text, got)
		}
	}
}

// The turns that are shown of a pose, typed again, give the same way up.
func TestTurnsShownCanBeTyped(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := mesh.Identity()
		for _, axis := range []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
			m = mesh.RotationAbout(axis, rapid.Float64Range(-math.Pi, math.Pi).Draw(t, "turn")).Mul(m)
		}
		c := orient.Candidate{Pose: orient.Pose{Rotation: m}}
		shown, _, _ := strings.Cut(strings.TrimPrefix(turnsLine(&c), "Turned from the file by "), ": ")
		up, err := readWay(shown)
		if err != nil || r3.Dot(up, c.Pose.Up()) < math.Cos(0.3*math.Pi/180) {
			t.Fatalf("%q is %v (%v), want %v", shown, up, err, c.Pose.Up())
		}
	})
}

// A way that is typed is measured and becomes a card, which is chosen.
func TestATypedWayBecomesTheChosenCard(t *testing.T) {
	b := mapped(t)
	v := b.why.sphere
	before := len(b.desk.candidates())
	v.way.SetText("nonsense")
	v.typed()
	if !strings.Contains(v.words.Text, "ype three numbers") {
		t.Errorf("nonsense is answered with %q", v.words.Text)
	}
	v.way.SetText("1, 1, 1")
	v.typed()
	b.waitAdvised()
	c := b.desk.candidate()
	if got := c.Pose.Up(); r3.Norm(r3.Sub(got, r3.Unit(r3.Vec{X: 1, Y: 1, Z: 1}))) > 0.01 || c.Origin != orient.Given {
		t.Errorf("chosen is %v (%s)", got, c.Origin)
	}
	if n := len(b.desk.candidates()); n <= before-1 || !b.shelf.cards[b.desk.index()].selected || b.shelf.cards[b.desk.index()].face.tag != "your own" {
		t.Errorf("%d cards after %d, the card is %+v", n, before, b.shelf.cards[b.desk.index()].face)
	}
	if v.way.Text != "" {
		t.Errorf("%q stays in the entry", v.way.Text)
	}
}
