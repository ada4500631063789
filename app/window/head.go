package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
)

// head is the top of the page: whether the part is sound, the verdict in one
// sentence, and for what brief; to its right what the program is doing.
type head struct {
	// OnOpen, OnBrief, OnStop and OnUnit are called by the buttons.
	OnOpen, OnBrief, OnStop, OnUnit func()
	// OnKey gets the keys that the buttons have no use for.
	OnKey func(*fyne.KeyEvent)

	part    *prose
	verdict *prose
	brief   *prose
	status  *prose
	bar     *progressLine
	open    *escButton
	edit    *escButton
	stop    *escButton
	unit    *link
	box     *fyne.Container
}

func newHead() *head {
	h := &head{
		part:    newSmall(""),
		verdict: newProse(roleVerdict, theme.ColorNameForeground, ""),
		brief:   newSmall(""),
		status:  newSmall(""),
		bar:     newProgressLine(),
	}
	long := roleLongVerdict
	h.verdict.small = &long
	h.part.most, h.verdict.most, h.brief.most, h.status.most = 2, 2, 2, 1
	h.status.align = fyne.TextAlignTrailing
	h.open = newEscButton("Open a part…", func() { call(h.OnOpen) }, nil)
	h.edit = newEscButton("Brief", func() { call(h.OnBrief) }, nil)
	h.stop = newEscButton("Stop", func() { call(h.OnStop) }, nil)
	h.stop.Hide()
	h.unit = newLink("another unit…", func() { call(h.OnUnit) })
	h.unit.Hide()
	change := newLink("change…", func() { call(h.OnBrief) })
	for _, b := range []*escButton{h.open, h.edit, h.stop} {
		b.onKey = h.passKey
	}
	h.unit.OnKey, change.OnKey = h.passKey, h.passKey
	side := container.New(&headSide{}, h.status, h.bar, h.stop, h.open, h.edit)
	h.box = container.New(&headLayout{}, newPile(3,
		container.New(&trailing{}, h.part, h.unit), h.verdict, container.New(&trailing{}, h.brief, change)), side)
	return h
}

// passKey hands a key on that no button has a use for.
func (h *head) passKey(e *fyne.KeyEvent) {
	if h.OnKey != nil {
		h.OnKey(e)
	}
}

// SetBusy shows a stage with its progress, and Stop.
func (h *head) SetBusy(stage string, fraction float64) {
	h.status.SetText(stage)
	h.bar.Set(fraction, true)
	h.stop.Show()
	h.box.Refresh()
}

// SetIdle shows how the last work ended.
func (h *head) SetIdle(outcome string) {
	h.status.SetText(outcome)
	h.bar.Set(0, false)
	h.stop.Hide()
	h.box.Refresh()
}

const headSideWidth = 300

// headLayout sets the sentences left and the side block right.
type headLayout struct{}

func (l *headLayout) widths(total float32) (text, side float32) {
	side = min(headSideWidth, total*0.27)
	return total - side - 24, side
}

func (l *headLayout) heightAt(objects []fyne.CanvasObject, width float32) float32 {
	text, _ := l.widths(width)
	return max(heightOf(objects[0], text), headSideHeight)
}

func (l *headLayout) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	text, side := l.widths(size.Width)
	objects[0].Move(fyne.NewPos(0, 0))
	objects[0].Resize(fyne.NewSize(text, heightOf(objects[0], text)))
	objects[1].Move(fyne.NewPos(size.Width-side, 0))
	objects[1].Resize(fyne.NewSize(side, headSideHeight))
}

func (l *headLayout) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(400, headSideHeight)
}

const headSideHeight = 72

// headSide sets the buttons flush right, Stop among them while there is work, and
// under them the status with its progress line.
type headSide struct{}

func (*headSide) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	status, bar, stop, open, edit := objects[0], objects[1], objects[2], objects[3], objects[4]
	x := size.Width
	for _, b := range []fyne.CanvasObject{edit, open, stop} {
		if !b.Visible() {
			continue
		}
		m := b.MinSize()
		x -= m.Width
		b.Move(fyne.NewPos(x, 0))
		b.Resize(m)
		x -= 8
	}
	y := open.MinSize().Height + 8
	status.Move(fyne.NewPos(0, y))
	status.Resize(fyne.NewSize(size.Width, 18))
	bar.Move(fyne.NewPos(0, y+21))
	bar.Resize(fyne.NewSize(size.Width, 5))
}

func (*headSide) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(200, headSideHeight) }
