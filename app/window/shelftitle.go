package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// shelfTitle heads the shelf: what it holds, a hint, and what can be done with
// the views above it.
type shelfTitle struct {
	OnRest, OnReset func()
	OnKey           func(*fyne.KeyEvent)
	heading, hint   *prose
	rest            *link
	box             *fyne.Container
}

func newShelfTitle() *shelfTitle {
	t := &shelfTitle{heading: newHeading("Ways to print it, best first"), hint: newSmall("")}
	t.heading.most, t.hint.most = 1, 1
	t.rest = newLink("Rest it on a face", func() { call(t.OnRest) })
	reset := newLink("Reset the view", func() { call(t.OnReset) })
	for _, l := range []*link{t.rest, reset} {
		l.OnKey = func(e *fyne.KeyEvent) {
			if t.OnKey != nil {
				t.OnKey(e)
			}
		}
	}
	t.box = container.New(&titleLayout{}, t.heading, t.hint, t.rest, reset)
	return t
}

// SetHint shows a passing remark.
func (t *shelfTitle) SetHint(text string) {
	t.hint.SetText(text)
	t.box.Refresh()
}

// titleLayout sets the heading left, links right and the hint between.
type titleLayout struct{}

func (*titleLayout) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	heading, hint, rest, reset := objects[0].(*prose), objects[1].(*prose), objects[2], objects[3]
	x := size.Width
	for _, l := range []fyne.CanvasObject{reset, rest} {
		m := l.MinSize()
		x -= m.Width
		l.Move(fyne.NewPos(x, (size.Height-m.Height)/2+1))
		l.Resize(m)
		x -= 8
	}
	w := min(heading.width(heading.text)+1, x)
	hasHint := hint.text != ""
	if hasHint && x-w-14 < hint.width(hint.text) {
		w = 0 // the hint matters more for the moment
	}
	show(heading, w > 0)
	line := heading.role.lineHeight()
	heading.Move(fyne.NewPos(0, (size.Height-line)/2))
	heading.Resize(fyne.NewSize(w, line))
	left := w
	if w > 0 {
		left += 14
	}
	small := hint.role.lineHeight()
	hint.Move(fyne.NewPos(left, (size.Height-small)/2+1))
	hint.Resize(fyne.NewSize(max(x-left, 1), small))
}

func (*titleLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(200, shelfTitleH) }
