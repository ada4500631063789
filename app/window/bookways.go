package window

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/window/kit"
	"kilnpoise/mesh"
	"kilnpoise/orient/process"
)

// readingWay is a way to say along what a length was measured: its words, and the
// direction in the part frame (zero where that is not said) and the print frame.
type readingWay struct {
	label       string
	part, print r3.Vec
}

// aslantWay is the word for what runs along no axis.
const aslantWay = "aslant"

func unitAxis(k int) r3.Vec {
	return [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}[k]
}

func printWay(k int) string { return "XYZ"[k:k+1] + " of the print" }
func partWay(k int) string  { return "XYZ"[k:k+1] + " of the part" }

// readingWays lists what can be chosen: the axes of the print, and those of the
// part where it is known how that stood on the plate.
func readingWays(rotation *mesh.Matrix) []readingWay {
	var out []readingWay
	for k := range 3 {
		out = append(out, readingWay{label: printWay(k), print: unitAxis(k)})
	}
	for k := 0; k < 3 && rotation != nil; k++ {
		out = append(out, readingWay{partWay(k), unitAxis(k), rotation.MulVec(unitAxis(k))})
	}
	return out
}

// wayOf names the directions of a reading.
func wayOf(part, print r3.Vec) readingWay {
	w := readingWay{aslantWay, part, print}
	if k := axisOf(part); k >= 0 {
		w.label = partWay(k)
	} else if k := axisOf(print); k >= 0 {
		w.label = printWay(k)
	}
	return w
}

// axisOf gives the axis along which v points, either way; -1 for none.
func axisOf(v r3.Vec) int {
	const straight = 1e-6
	n := r3.Norm(v)
	for k, c := range [3]float64{v.X, v.Y, v.Z} {
		if n > 0 && math.Abs(math.Abs(c)/n-1) < straight {
			return k
		}
	}
	return -1
}

// along says in words where the way runs in the print.
func (w readingWay) along() string {
	if k := axisOf(w.print); k >= 0 {
		return printWay(k)
	}
	n := w.print
	if norm := r3.Norm(n); norm > 0 {
		n = r3.Scale(1/norm, n)
	}
	return kit.Minus(fmt.Sprintf("(%s, %s, %s) of the print", twoDecimals(n.X), twoDecimals(n.Y), twoDecimals(n.Z)))
}

func twoDecimals(v float64) string {
	return strings.TrimSuffix(strings.TrimRight(kit.Fixed(v, 2), "0"), ".")
}

// greenFactor is green over finished length along a direction of the print frame
// at the oversize factors o; see process.Reading for how faces and points differ.
func greenFactor(across process.Across, direction r3.Vec, o [3]float64) float64 {
	n := r3.Unit(direction)
	var faces, points float64
	for k, c := range [3]float64{n.X, n.Y, n.Z} {
		faces += c * c / (o[k] * o[k])
		points += c * c * o[k] * o[k]
	}
	if across == process.Points {
		return math.Sqrt(points)
	}
	return 1 / math.Sqrt(faces)
}

// instrument is what a length is measured with, and its standard uncertainty.
type instrument struct {
	name    string
	errorMM float64
}

// otherInstrument has a figure of its own.
const otherInstrument = "other"

// instruments are those in every shop. The uncertainties are judgement: about what
// reading, holding and zero make up together in careful hands.
func instruments() []instrument {
	return []instrument{{"calliper", 0.02}, {"micrometer", 0.003}, {"height gauge", 0.01}, {otherInstrument, 0}}
}

// instrumentNote tells the presets.
const instrumentNote = "Nominal green lengths are the finished ones with the record’s oversize. ± is one standard uncertainty of the instrument; " +
	"calliper 0.02 mm, micrometer 0.003 mm and height gauge 0.01 mm are judgement, for careful hands: put your own figure over them. " +
	"What is not measured yet stays empty."
