package render

import (
	"image"
	"image/color"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// lettering writes text into pictures, in Liberation Sans. It is not safe for
// concurrent use.
type lettering struct{ face font.Face }

// newLettering gives lettering with an em of px pixels.
func newLettering(px float64, bold bool) (*lettering, error) {
	data := liberationsansregular.TTF
	if bold {
		data = liberationsansbold.TTF
	}
	parsed, err := opentype.Parse(data)
	if err != nil {
		return nil, err
	}
	// At 72 dots per inch a point is a pixel.
	face, err := opentype.NewFace(parsed, &opentype.FaceOptions{Size: px, DPI: 72, Hinting: font.HintingVertical})
	if err != nil {
		return nil, err
	}
	return &lettering{face: face}, nil
}

// width gives the width of text in pixels.
func (l *lettering) width(text string) float64 {
	return float64(font.MeasureString(l.face, text)) / 64
}

// height gives the height of capitals in pixels.
func (l *lettering) height() float64 { return float64(l.face.Metrics().CapHeight) / 64 }

// write puts text with its left end and baseline at x, y.
func (l *lettering) write(img *image.RGBA, x, y float64, text string, c color.RGBA) {
	d := font.Drawer{
		Dst: img, Src: image.NewUniform(c), Face: l.face,
		Dot: fixed.Point26_6{X: fixed.Int26_6(x * 64), Y: fixed.Int26_6(y * 64)},
	}
	d.DrawString(text)
}

// cut shortens text to a width in pixels, with an ellipsis in the middle, where
// file names are least telling.
func (l *lettering) cut(text string, width float64) string {
	return cutMiddle(text, func(s string) bool { return l.width(s) <= width })
}

// cutMiddle shortens text with an ellipsis in the middle until it fits.
func cutMiddle(text string, fits func(string) bool) string {
	if fits(text) {
		return text
	}
	r := []rune(text)
	for keep := len(r) - 1; keep > 1; keep-- {
		head := (keep + 1) / 2
		if s := string(r[:head]) + "…" + string(r[len(r)-keep+head:]); fits(s) {
			return s
		}
	}
	return "…"
}
