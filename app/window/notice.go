package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"
	"kilnpoise/app/window/kit"
)

// notice is one sentence across the page, below its head, with what can be done
// about it. It never hides anything and waits until it is dealt with.
type notice struct {
	kind    kit.MarkKind
	text    string
	actions []noticeAction
	// choices, where there are any, are offered as a list.
	choices *noticeChoice
	// dismiss is the label of the button that does nothing, where that needs words of
	// its own; "" is Dismiss.
	dismiss string
	// key tells notices of one matter apart from others: a new one replaces it.
	key string
}

// noticeAction is a button of a notice.
type noticeAction struct {
	label string
	do    func()
}

// noticeChoice lets the user take one of several things.
type noticeChoice struct {
	options []string
	take    func(index int)
}

// noticeBoard shows the notices below each other.
type noticeBoard struct {
	// OnChanged is called when the height may have changed.
	OnChanged func()
	// attempt does what an action stands for.
	attempt func(do func())
	box     *fyne.Container
	notices []notice
}

func newNoticeBoard() *noticeBoard {
	return &noticeBoard{box: kit.NewPile(4), attempt: func(do func()) { do() }}
}

// Put shows n in place of any notice of the same key.
func (b *noticeBoard) Put(n notice) {
	for i := range b.notices {
		if b.notices[i].key == n.key {
			b.notices[i] = n
			b.rebuild()
			return
		}
	}
	b.notices = append(b.notices, n)
	b.rebuild()
}

// Clear takes the notice of that key away.
func (b *noticeBoard) Clear(key string) {
	for i := range b.notices {
		if b.notices[i].key == key {
			b.notices = append(b.notices[:i], b.notices[i+1:]...)
			b.rebuild()
			return
		}
	}
}

// Text gives the text of the notice of that key, or "".
func (b *noticeBoard) Text(key string) string {
	for _, n := range b.notices {
		if n.key == key {
			return n.text
		}
	}
	return ""
}

func (b *noticeBoard) rebuild() {
	b.box.Objects = nil
	for _, n := range b.notices {
		b.box.Objects = append(b.box.Objects, b.strip(n))
	}
	b.box.Refresh()
	if b.OnChanged != nil {
		b.OnChanged()
	}
}

// strip lays one notice out: mark and text, then the buttons, then Dismiss.
func (b *noticeBoard) strip(n notice) fyne.CanvasObject {
	text := kit.NewBody(n.text)
	buttons := container.NewHBox()
	if n.choices != nil {
		buttons.Add(b.choice(n))
	}
	for _, a := range n.actions {
		buttons.Add(widget.NewButton(a.label, func() {
			b.Clear(n.key)
			b.attempt(a.do)
		}))
	}
	label := n.dismiss
	if label == "" {
		label = "Dismiss"
	}
	dismiss := widget.NewButton(label, func() { b.Clear(n.key) })
	dismiss.Importance = widget.LowImportance
	buttons.Add(dismiss)
	ground := canvas.NewRectangle(kit.Themed(kit.ColorRaised))
	ground.StrokeColor, ground.StrokeWidth, ground.CornerRadius = kit.Themed(n.kind.Color()), 1, 4
	row := container.New(&stripLayout{}, kit.NewItem(kit.NewMark(n.kind), text), buttons)
	return container.New(&overlay{}, ground, kit.NewInset(10, 4, 4, 4, row))
}

// choice offers several things to take.
func (b *noticeBoard) choice(n notice) fyne.CanvasObject {
	list := widget.NewSelect(n.choices.options, nil)
	list.PlaceHolder = "Choose"
	list.OnChanged = func(string) {
		i := list.SelectedIndex()
		if i < 0 {
			return
		}
		b.Clear(n.key)
		b.attempt(func() { n.choices.take(i) })
	}
	return list
}

// stripLayout sets a text that may wrap and buttons to its right, or below it
// where the room is short.
type stripLayout struct{}

func (l *stripLayout) textWidth(objects []fyne.CanvasObject, width float32) float32 {
	return width - objects[1].MinSize().Width - 12
}

func (l *stripLayout) below(objects []fyne.CanvasObject, width float32) bool {
	return l.textWidth(objects, width) < 260
}

func (l *stripLayout) HeightAt(objects []fyne.CanvasObject, width float32) float32 {
	buttons := objects[1].MinSize().Height
	if l.below(objects, width) {
		return kit.HeightOf(objects[0], width) + 2 + buttons
	}
	return max(kit.HeightOf(objects[0], l.textWidth(objects, width)), buttons)
}

func (l *stripLayout) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	buttons := objects[1].MinSize()
	if l.below(objects, size.Width) {
		h := kit.HeightOf(objects[0], size.Width)
		objects[0].Move(fyne.NewPos(0, 0))
		objects[0].Resize(fyne.NewSize(size.Width, h))
		objects[1].Move(fyne.NewPos(size.Width-buttons.Width, h+2))
		objects[1].Resize(buttons)
		return
	}
	w := l.textWidth(objects, size.Width)
	h := kit.HeightOf(objects[0], w)
	objects[0].Move(fyne.NewPos(0, (size.Height-h)/2))
	objects[0].Resize(fyne.NewSize(w, h))
	objects[1].Move(fyne.NewPos(size.Width-buttons.Width, (size.Height-buttons.Height)/2))
	objects[1].Resize(buttons)
}

func (l *stripLayout) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return objects[1].MinSize()
}

// overlay lays all objects over each other, as high as the last asks for.
type overlay struct{}

func (*overlay) HeightAt(objects []fyne.CanvasObject, width float32) float32 {
	return kit.HeightOf(objects[len(objects)-1], width)
}

func (*overlay) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	for _, o := range objects {
		o.Move(fyne.NewPos(0, 0))
		o.Resize(size)
	}
}

func (*overlay) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return objects[len(objects)-1].MinSize()
}
