package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"kilnpoise/app/window/kit"
)

// natural is the width of a cell that is as wide as what stands in it.
const natural = -1

// cells sets objects side by side in columns: of a given width, as wide as they
// are, or sharing what is left (0). Each is as high as the row, or stands in its
// middle where middle is set.
type cells struct {
	widths []float32
	gap    float32
	middle bool
}

var _ fyne.Layout = (*cells)(nil)

// newCells makes a row of that layout.
func newCells(gap float32, widths []float32, objects ...fyne.CanvasObject) *fyne.Container {
	return container.New(&cells{widths: widths, gap: gap}, objects...)
}

// newMiddleCells is a row whose objects stand in the middle of the row's height.
func newMiddleCells(gap float32, widths []float32, objects ...fyne.CanvasObject) *fyne.Container {
	return container.New(&cells{widths: widths, gap: gap, middle: true}, objects...)
}

// share gives the width of each column.
func (c *cells) share(objects []fyne.CanvasObject, width float32) []float32 {
	out := make([]float32, len(objects))
	left, open := width-c.gap*float32(len(objects)-1), 0
	for i, o := range objects {
		switch w := c.widths[i]; w {
		case 0:
			open++
		case natural:
			if o.Visible() {
				out[i] = o.MinSize().Width
			}
			left -= out[i]
		default:
			out[i] = w
			left -= w
		}
	}
	for i := range out {
		if c.widths[i] == 0 {
			out[i] = max(left/float32(open), 1)
		}
	}
	return out
}

func (c *cells) HeightAt(objects []fyne.CanvasObject, width float32) float32 {
	var h float32
	for i, w := range c.share(objects, width) {
		h = max(h, kit.HeightOf(objects[i], w))
	}
	return h
}

// Layout places the objects.
func (c *cells) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	var x float32
	for i, w := range c.share(objects, size.Width) {
		y, h := float32(0), size.Height
		if c.middle {
			h = kit.HeightOf(objects[i], w)
			y = (size.Height - h) / 2
		}
		objects[i].Move(fyne.NewPos(x, y))
		objects[i].Resize(fyne.NewSize(w, h))
		x += w + c.gap
	}
}

// MinSize is that of the columns that do not share.
func (c *cells) MinSize(objects []fyne.CanvasObject) fyne.Size {
	var size fyne.Size
	for i, o := range objects {
		m := o.MinSize()
		size.Height = max(size.Height, m.Height)
		switch w := c.widths[i]; w {
		case 0:
			size.Width += 1
		case natural:
			size.Width += m.Width
		default:
			size.Width += w
		}
	}
	size.Width += c.gap * float32(len(objects)-1)
	return size
}

// under sets a small caption above a control.
func under(caption string, o fyne.CanvasObject) *fyne.Container {
	return kit.NewPile(1, kit.NewSmall(caption), o)
}
