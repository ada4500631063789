package kit

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
)

// MarkKind is a state told by a shape.
type MarkKind int

const (
	MarkPasses MarkKind = iota // a tick
	MarkFails                  // a square with a stroke through it
	MarkNote                   // a ring with a dot: worth knowing
)

// svg gives the drawing of a mark; the theme gives the colour.
func (k MarkKind) svg() string {
	const frame = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 24 24">%s</svg>`
	switch k {
	case MarkPasses:
		return fmt.Sprintf(frame, `<path d="M9.5 20.5 1.8 12.8 4.6 10l4.9 4.9L19.4 5l2.8 2.8z" fill="#000000"/>`)
	case MarkFails:
		return fmt.Sprintf(frame, `<path d="M1 1h22v22H1z M4.2 6.2v13.6h13.6z M6.2 4.2l13.6 13.6V4.2z" fill-rule="evenodd" fill="#000000"/>`)
	default:
		return fmt.Sprintf(frame, `<path d="M12 1a11 11 0 1 1 0 22 11 11 0 0 1 0-22z M12 4a8 8 0 1 0 0 16 8 8 0 0 0 0-16z M12 8.5a3.5 3.5 0 1 1 0 7 3.5 3.5 0 0 1 0-7z" fill="#000000"/>`)
	}
}

// Color gives the colour of the state.
func (k MarkKind) Color() fyne.ThemeColorName {
	return [...]fyne.ThemeColorName{ColorBetter, ColorWorse, theme.ColorNameWarning}[k]
}

// NewMark draws the mark of a state.
func NewMark(k MarkKind) *canvas.Image {
	name := fmt.Sprintf("kilnpoise-mark-%d.svg", k)
	res := fyne.NewStaticResource(name, []byte(k.svg()))
	img := canvas.NewImageFromResource(theme.NewColoredResource(res, k.Color()))
	img.FillMode = canvas.ImageFillContain
	img.SetMinSize(fyne.NewSquareSize(12))
	return img
}
