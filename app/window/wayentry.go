package window

import (
	"errors"
	"math"
	"regexp"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/window/kit"
	"kilnpoise/mesh"
)

// wayHint says how a way up is typed.
const wayHint = "0, −1, 0 or A 90 B −30"

// errWay is what a way up that cannot be read is answered with.
var errWay = errors.New("type three numbers of the file’s axes, such as 0, −1, 0, or the turns about X, Y and Z in degrees, such as A 90 B −30 C 0")

// lettered finds an angle with its letter.
var lettered = regexp.MustCompile(`(?i)([ABC])\s*[:=]?\s*([-+]?\d+(?:\.\d+)?)`)

// readWay reads a way up: a vector of the file that is to point up, or the turns A,
// B and C about X, Y and Z, in this order, as ISO/ASTM 52921 has them. It gives a
// unit vector of the part frame.
func readWay(text string) (r3.Vec, error) {
	text = strings.NewReplacer("−", "-", "°", " ", kit.NBSP, " ").Replace(text)
	if strings.ContainsAny(text, "abcABC") {
		return readTurns(text)
	}
	fields := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" ,;()[]", r) })
	if len(fields) != 3 {
		return r3.Vec{}, errWay
	}
	var v [3]float64
	for i, f := range fields {
		x, err := strconv.ParseFloat(f, 64)
		if err != nil || math.IsNaN(x) || math.Abs(x) > 1e6 {
			return r3.Vec{}, errWay
		}
		v[i] = x
	}
	up := r3.Vec{X: v[0], Y: v[1], Z: v[2]}
	if r3.Norm(up) < 1e-6 {
		return r3.Vec{}, errors.New("0, 0, 0 points nowhere; give at least one number that is not 0")
	}
	return r3.Unit(up), nil
}

func readTurns(text string) (r3.Vec, error) {
	var angles [3]float64
	var given [3]bool
	for _, m := range lettered.FindAllStringSubmatch(text, -1) {
		i := strings.Index("ABC", strings.ToUpper(m[1]))
		deg, err := strconv.ParseFloat(m[2], 64)
		if err != nil || math.Abs(deg) > 360 || given[i] {
			return r3.Vec{}, errWay
		}
		angles[i], given[i] = deg, true
	}
	rest := lettered.ReplaceAllString(text, "")
	rest = strings.ReplaceAll(rest, "deg", "")
	if given == [3]bool{} || strings.Trim(rest, " ,;") != "" {
		return r3.Vec{}, errWay
	}
	turn := mesh.Identity()
	for i, axis := range []r3.Vec{{X: 1}, {Y: 1}, {Z: 1}} {
		turn = mesh.RotationAbout(axis, angles[i]*math.Pi/180).Mul(turn)
	}
	return r3.Unit(turn.Row(2)), nil
}
