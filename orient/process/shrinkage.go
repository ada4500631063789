package process

import "math"

// Oversize gives the factors that make the green part of the finished one, per
// axis of the print frame: 1/(1-s). A shrinkage of 1 or more, or NaN, gives NaN.
func (m Material) Oversize() [3]float64 {
	var out [3]float64
	for i, s := range m.Shrinkage {
		out[i] = oversize(s)
	}
	return out
}

// oversize is 1/(1-s), from the definition s = (green - sintered)/green.
func oversize(s float64) float64 {
	if !(s < 1) {
		return math.NaN()
	}
	return 1 / (1 - s)
}

// Percentages gives the factors of oversize as the percentages to type into a
// program that scales: 1.25 becomes 125.
func Percentages(oversize [3]float64) [3]float64 {
	for i := range oversize {
		oversize[i] *= 100
	}
	return oversize
}

// VolumeRatio is sintered volume over green volume: the product of 1-s.
func (m Material) VolumeRatio() float64 {
	return (1 - m.Shrinkage[0]) * (1 - m.Shrinkage[1]) * (1 - m.Shrinkage[2])
}
