package kit

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// flow lays objects side by side and begins a new row where they do not fit.
type flow struct {
	gap, rowGap float32
	width       float32
}

var _ fyne.Layout = (*flow)(nil)

// NewFlow lays objects in rows, gap apart, rows rowGap apart.
func NewFlow(gap, rowGap float32, objects ...fyne.CanvasObject) *fyne.Container {
	return container.New(&flow{gap: gap, rowGap: rowGap}, objects...)
}

// place runs through the objects and reports the height; move may be nil.
func (f *flow) place(objects []fyne.CanvasObject, width float32, move func(fyne.CanvasObject, fyne.Position, fyne.Size)) float32 {
	var x, y, row float32
	for _, o := range objects {
		if !o.Visible() {
			continue
		}
		size := o.MinSize()
		size.Width = min(size.Width, width)
		if x > 0 && x+size.Width > width {
			x, y = 0, y+row+f.rowGap
			row = 0
		}
		if move != nil {
			move(o, fyne.NewPos(x, y), size)
		}
		x += size.Width + f.gap
		row = max(row, size.Height)
	}
	return y + row
}

func (f *flow) HeightAt(objects []fyne.CanvasObject, width float32) float32 {
	return f.place(objects, width, nil)
}

// Layout places the objects.
func (f *flow) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	f.width = size.Width
	f.place(objects, size.Width, func(o fyne.CanvasObject, p fyne.Position, s fyne.Size) {
		o.Move(p)
		o.Resize(s)
	})
}

// MinSize is as wide as the widest object, and as high as the present width
// asks for.
func (f *flow) MinSize(objects []fyne.CanvasObject) fyne.Size {
	var widest float32
	for _, o := range objects {
		if o.Visible() {
			widest = max(widest, o.MinSize().Width)
		}
	}
	return fyne.NewSize(min(widest, 1), f.place(objects, max(f.width, widest), nil))
}
