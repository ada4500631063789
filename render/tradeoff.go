package render

import "image"

// Point is one candidate in a trade-off chart.
type Point struct {
	X, Y float64
	// Label is short: the rank.
	Label string
	// OnFront joins the point into the Pareto set.
	OnFront bool
	// Chosen and AsLoaded are told by shape as well as by colour. Fails marks a
	// candidate that fails a gate: drawn hollow.
	Chosen, AsLoaded, Fails bool
}

// Axes names what a trade-off chart shows: "support volume, mm³".
type Axes struct{ X, Y string }

// TradeOff draws one measure of the candidates against another, lower being
// better in both. Points with NaN or infinite coordinates are left out. Width
// and height in device pixels.
func TradeOff(points []Point, axes Axes, width, height int, density float64, p Palette) (*image.RGBA, error) {
	return nil, nil
}
