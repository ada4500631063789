package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"kilnpoise/app/window/kit"
)

// head is the top of the page: whether the part is sound, the verdict in one
// sentence, and for what brief; to its right what the program is doing.
type head struct {
	// OnOpen, OnBrief, OnStop and OnUnit are called by the buttons.
	OnOpen, OnBrief, OnStop, OnUnit func()
	// OnKey gets the keys that the buttons have no use for.
	OnKey func(*fyne.KeyEvent)

	part    *kit.Prose
	verdict *kit.Prose
	brief   *kit.Prose
	status  *kit.Prose
	bar     *kit.ProgressLine
	open    *kit.EscButton
	edit    *kit.EscButton
	stop    *kit.EscButton
	unit    *kit.Link
	box     *fyne.Container
}

func newHead() *head {
	h := &head{
		part:    kit.NewSmall(""),
		verdict: kit.NewProse(kit.RoleVerdict, theme.ColorNameForeground, ""),
		brief:   kit.NewSmall(""),
		status:  kit.NewSmall(""),
		bar:     kit.NewProgressLine(),
	}
	long := kit.RoleLongVerdict
	h.verdict.Small = &long
	h.part.Most, h.verdict.Most, h.brief.Most, h.status.Most = 2, 2, 2, 1
	h.status.Align = fyne.TextAlignTrailing
	h.open = kit.NewEscButton("Open a part…", func() { kit.Call(h.OnOpen) }, nil)
	h.edit = kit.NewEscButton("Brief", func() { kit.Call(h.OnBrief) }, nil)
	h.stop = kit.NewEscButton("Stop", func() { kit.Call(h.OnStop) }, nil)
	h.stop.Hide()
	h.unit = kit.NewLink("another unit…", func() { kit.Call(h.OnUnit) })
	h.unit.Hide()
	change := kit.NewLink("change…", func() { kit.Call(h.OnBrief) })
	for _, b := range []*kit.EscButton{h.open, h.edit, h.stop} {
		b.OnKey = h.passKey
	}
	h.unit.OnKey, change.OnKey = h.passKey, h.passKey
	side := container.New(&headSide{}, h.status, h.bar, h.stop, h.open, h.edit)
	h.box = container.New(&headLayout{}, kit.NewPile(3,
		container.New(&kit.Trailing{}, h.part, h.unit), h.verdict, container.New(&kit.Trailing{}, h.brief, change)), side)
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

func (l *headLayout) HeightAt(objects []fyne.CanvasObject, width float32) float32 {
	text, _ := l.widths(width)
	return max(kit.HeightOf(objects[0], text), headSideHeight)
}

func (l *headLayout) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	text, side := l.widths(size.Width)
	objects[0].Move(fyne.NewPos(0, 0))
	objects[0].Resize(fyne.NewSize(text, kit.HeightOf(objects[0], text)))
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
