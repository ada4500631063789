package orient

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
)

// alignedDeg is how far a side of the part's box may lean from an axis of the
// print frame and still be called parallel to it.
const alignedDeg = 1

// equalSides is the relative difference below which two sides of the box count
// as equal and their order means nothing.
const equalSides = 0.005

// notationFor writes a pose after ISO/ASTM 52921. Where the part's own box, or else the box of the file, is
// parallel to the axes of the print frame, in the letters of ISO/ASTM 52921 (orthogonal orientation
// notation): the axis along the longest side first, then the second, then the
// shortest. Two rules the standard leaves open are settled here: letters of
// equal sides come in alphabetical order, and where the second and third sides
// are equal only the first letter is given. Which way up, the letters do not
// say: the axis of the file that points up is added.
//
// Other poses are written as the rotations A, B and C about X, Y and Z, in this
// order, from the orientation as loaded.
func notationFor(p Pose, own, file ownBox) string {
	letters, ok := boxLetters(p, own)
	if !ok {
		letters, ok = boxLetters(p, file)
	}
	switch up := fileAxis(p.Up()); {
	case ok && up != "":
		return letters + ", " + up + " up"
	case ok:
		return letters + ", " + rotationsText(p.Rotation)
	default:
		return rotationsText(p.Rotation)
	}
}

// boxLetters gives the letters of the box, if it is parallel to the axes. Where
// two sides are equal the part may be round about the third, so only that one
// has to be parallel.
func boxLetters(p Pose, box ownBox) (string, bool) {
	var letters [3]byte
	for k := range 3 {
		letters[k] = axisLetter(p.Rotation.MulVec(box.axes.Row(k)))
	}
	equal := func(i int) bool { return box.sides[i]-box.sides[i+1] <= equalSides*box.sides[i] }
	first, last := equal(0), equal(1)
	switch {
	case last && !first && letters[0] != 0:
		return string(letters[:1]), true
	case first && !last && letters[2] != 0:
		rest := strings.ReplaceAll("XYZ", string(letters[2:]), "")
		return rest + string(letters[2:]), true
	case letters[0] != 0 && letters[1] != 0 && letters[2] != 0:
		if first && last {
			return "XYZ", true
		}
		return string(letters[:]), true
	}
	return "", false
}

// axisLetter gives the print axis that n is parallel to, or 0.
func axisLetter(n r3.Vec) byte {
	cos := math.Cos(alignedDeg * math.Pi / 180)
	switch {
	case math.Abs(n.X) >= cos:
		return 'X'
	case math.Abs(n.Y) >= cos:
		return 'Y'
	case math.Abs(n.Z) >= cos:
		return 'Z'
	}
	return 0
}

// fileAxis names the axis of the file that d points along, or gives "".
func fileAxis(d r3.Vec) string {
	cos := math.Cos(alignedDeg * math.Pi / 180)
	names := [3][2]string{{"+X", "-X"}, {"+Y", "-Y"}, {"+Z", "-Z"}}
	for i, c := range [3]float64{d.X, d.Y, d.Z} {
		switch {
		case c >= cos:
			return names[i][0]
		case c <= -cos:
			return names[i][1]
		}
	}
	return ""
}

// rotationsText writes a rotation as A, B and C, leaving out those that are 0.
func rotationsText(m mesh.Matrix) string {
	var parts []string
	for i, deg := range rotations(m) {
		if math.Abs(deg) >= 0.05 {
			parts = append(parts, fmt.Sprintf("%c %+.1f", 'A'+i, deg))
		}
	}
	if len(parts) == 0 {
		return "as loaded"
	}
	return strings.Join(parts, ", ") + " deg"
}

// Turns gives the angles A, B and C about X, Y and Z, in this order, by which the
// part is turned from the orientation as loaded, degrees.
func (p Pose) Turns() [3]float64 { return rotations(p.Rotation) }

// rotations gives the angles A, B, C in degrees with m = Rz(C) Ry(B) Rx(A).
func rotations(m mesh.Matrix) [3]float64 {
	const deg = 180 / math.Pi
	b := math.Asin(min(max(-m[2][0], -1), 1))
	if math.Abs(m[2][0]) > 1-1e-12 { // A and C turn about the same axis: all to C
		return [3]float64{0, b * deg, math.Atan2(-m[0][1], m[1][1]) * deg}
	}
	return [3]float64{
		math.Atan2(m[2][1], m[2][2]) * deg, b * deg, math.Atan2(m[1][0], m[0][0]) * deg,
	}
}
