package kit

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
)

// Scroller shows a column that is as wide as the scroller and may be higher.
type Scroller struct {
	widget.BaseWidget
	Column *fyne.Container
	scroll *container.Scroll
}

// ScrollGutter is kept free of text for the scroll bar.
const ScrollGutter = 12

// NewScroller makes a column that can be scrolled.
func NewScroller(column *fyne.Container) *Scroller {
	s := &Scroller{Column: column}
	s.scroll = container.NewVScroll(container.New(&gutter{}, column))
	s.ExtendBaseWidget(s)
	return s
}

// Reflow lays the column out again after its contents have changed.
func (s *Scroller) Reflow() {
	s.scroll.Content.Refresh()
	s.scroll.Refresh()
	s.Refresh()
}

// Top scrolls to the beginning.
func (s *Scroller) Top() { s.scroll.ScrollToTop() }

// CreateRenderer makes the renderer.
func (s *Scroller) CreateRenderer() fyne.WidgetRenderer { return &scrollerRenderer{s} }

type scrollerRenderer struct{ s *Scroller }

// Layout tells the column its width before the scroll asks for its height.
func (r *scrollerRenderer) Layout(size fyne.Size) {
	inner := r.s.scroll.Content.(*fyne.Container)
	inner.Layout.(*gutter).width = size.Width
	r.s.scroll.Resize(size)
	inner.Resize(fyne.NewSize(size.Width, max(size.Height, inner.MinSize().Height)))
	r.s.scroll.Refresh()
}

func (r *scrollerRenderer) MinSize() fyne.Size           { return fyne.NewSize(120, 80) }
func (r *scrollerRenderer) Refresh()                     { r.Layout(r.s.Size()) }
func (r *scrollerRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.s.scroll} }
func (r *scrollerRenderer) Destroy()                     {}

// gutter keeps the right edge of one column free for the scroll bar, and
// answers its height for the width that the scroller last had.
type gutter struct{ width float32 }

func (g *gutter) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	w := size.Width - ScrollGutter
	objects[0].Move(fyne.NewPos(0, 0))
	objects[0].Resize(fyne.NewSize(w, HeightOf(objects[0], w)))
}

func (g *gutter) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(1, HeightOf(objects[0], max(1, g.width-ScrollGutter)))
}

// Bottom scrolls to the end.
func (s *Scroller) Bottom() { s.scroll.ScrollToBottom() }

// Reveal scrolls until the column is seen from top to bottom.
func (s *Scroller) Reveal(top, bottom float32) {
	const margin = 24
	at, seen := s.scroll.Offset.Y, s.scroll.Size().Height
	switch {
	case top-margin < at:
		at = max(top-margin, 0)
	case bottom+margin > at+seen:
		at = min(bottom+margin-seen, max(s.scroll.Content.Size().Height-seen, 0))
	default:
		return
	}
	s.scroll.Offset.Y = at
	s.scroll.Refresh()
}
