package kit

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// pile lays objects below each other, each as wide as the pile and as high as
// that width asks for. Hidden objects take no room.
type pile struct {
	gap   float32
	width float32
}

var _ fyne.Layout = (*pile)(nil)

// NewPile makes a container of that layout.
func NewPile(gap float32, objects ...fyne.CanvasObject) *fyne.Container {
	return container.New(&pile{gap: gap}, objects...)
}

// HeightOf gives the height of o at width.
func HeightOf(o fyne.CanvasObject, width float32) float32 {
	switch o := o.(type) {
	case Tall:
		return o.HeightFor(width)
	case *fyne.Container:
		if l, ok := o.Layout.(interface {
			HeightAt([]fyne.CanvasObject, float32) float32
		}); ok {
			return l.HeightAt(o.Objects, width)
		}
	}
	return o.MinSize().Height
}

// HeightAt gives the height of the whole pile at width.
func (p *pile) HeightAt(objects []fyne.CanvasObject, width float32) float32 {
	var sum float32
	first := true
	for _, o := range objects {
		if !o.Visible() {
			continue
		}
		if !first {
			sum += p.gap
		}
		first = false
		sum += HeightOf(o, width)
	}
	return sum
}

// Layout places the objects.
func (p *pile) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	p.width = size.Width
	var y float32
	for _, o := range objects {
		if !o.Visible() {
			continue
		}
		h := HeightOf(o, size.Width)
		o.Move(fyne.NewPos(0, y))
		o.Resize(fyne.NewSize(size.Width, h))
		y += h + p.gap
	}
}

// MinSize is the widest least width and the height at the present width.
func (p *pile) MinSize(objects []fyne.CanvasObject) fyne.Size {
	var width float32
	for _, o := range objects {
		if o.Visible() {
			width = max(width, o.MinSize().Width)
		}
	}
	return fyne.NewSize(width, p.HeightAt(objects, max(p.width, width)))
}

// inset puts margins around one object, minding its height for width.
type inset struct{ left, top, right, bottom float32 }

var _ fyne.Layout = (*inset)(nil)

// NewInset keeps a margin around o.
func NewInset(left, top, right, bottom float32, o fyne.CanvasObject) *fyne.Container {
	return container.New(&inset{left, top, right, bottom}, o)
}

func (m *inset) HeightAt(objects []fyne.CanvasObject, width float32) float32 {
	return m.top + m.bottom + HeightOf(objects[0], width-m.left-m.right)
}

// Layout places the object inside the margins.
func (m *inset) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	objects[0].Move(fyne.NewPos(m.left, m.top))
	objects[0].Resize(fyne.NewSize(size.Width-m.left-m.right, size.Height-m.top-m.bottom))
}

// MinSize is that of the object with the margins.
func (m *inset) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return objects[0].MinSize().AddWidthHeight(m.left+m.right, m.top+m.bottom)
}

// Gap keeps room free in a pile.
func Gap(height float32) fyne.CanvasObject {
	s := &spacer{height: height}
	s.ExtendBaseWidget(s)
	return s
}

type spacer struct {
	widget.BaseWidget
	height float32
}

func (s *spacer) HeightFor(float32) float32 { return s.height }

// CreateRenderer makes the renderer.
func (s *spacer) CreateRenderer() fyne.WidgetRenderer {
	return widget.NewSimpleRenderer(&fyne.Container{})
}

// SetVisible shows or hides o, only where that changes something.
func SetVisible(o fyne.CanvasObject, visible bool) {
	if o.Visible() == visible {
		return
	}
	if visible {
		o.Show()
	} else {
		o.Hide()
	}
}
