package orient

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient/mark"
)

// layers says what being built in layers does to a dimension. A face lies where the
// nearest layer ends, so its place is off by up to half a layer either way, evenly
// spread (judgement: a face that slopes is taken as its mean over the steps).
type layers struct {
	up    r3.Vec  // build direction, part frame
	plate float64 // along it
	high  float64 // of a layer at finished size, mm
}

func layersOf(b *Brief, p Pose, plate float64) layers {
	return layers{up: p.Up(), plate: plate, high: b.Material.LayerHeightMM / p.Oversize.Z}
}

// even is one standard deviation of what is spread evenly over a width of 1.
var even = 1 / math.Sqrt(12)

// off is one standard deviation of where a feature comes to lie along a direction.
func (l *layers) off(f *mark.Feature, along r3.Vec) float64 {
	if f.Round { // the mean of its upper and lower wall
		return l.high * math.Abs(r3.Dot(l.up, along)) * even / math.Sqrt2
	}
	steep := r3.Dot(l.up, f.Plane.Normal)
	const down = -0.999
	if steep < down && r3.Dot(l.up, f.Plane.At)-l.plate < l.high/2 {
		return 0 // it lies on the plate
	}
	return l.high * math.Abs(steep) * even
}

// length is one standard deviation of a distance.
func (l *layers) length(d *mark.Dimension) float64 {
	var sum float64
	for i := range d.On {
		sum += sumSquares(l.off(&d.On[i], d.Along))
	}
	return math.Sqrt(sum)
}

// diameter is that of the mean diameter: the two walls, half of whose way counts in
// the mean over all directions across the axis.
func (l *layers) diameter(d *mark.Dimension) float64 {
	z := r3.Dot(l.up, d.Along)
	return l.high * (1 - z*z) * even / math.Sqrt2
}

// cusp is the height of the steps on a face that slopes; a level one and an upright
// one have none.
func (l *layers) cusp(f *mark.Feature) float64 {
	steep := math.Abs(r3.Dot(l.up, f.Plane.Normal))
	const level = 0.99999
	if steep > level {
		return 0
	}
	return l.high * steep
}

// angle is one standard deviation of an angle, degrees: a step at one end of each
// leg that slopes.
func (l *layers) angle(d *mark.Dimension) float64 {
	var sum float64
	for i := range d.On {
		if span := d.On[i].SpanMM; span > 0 {
			sum += sumSquares(l.cusp(&d.On[i]) * even / span)
		}
	}
	return math.Sqrt(sum) * 180 / math.Pi
}
