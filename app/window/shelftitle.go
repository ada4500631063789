package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"kilnpoise/app/window/kit"
)

// shelfTitle heads the shelf: what it holds, a hint, and what can be done with
// the views above it.
type shelfTitle struct {
	OnRest, OnReset func()
	// OnBesides shows two candidates side by side, or both machines again;
	// OnMachine shows them on the other machine.
	OnBesides, OnMachine func()
	OnKey                func(*fyne.KeyEvent)
	heading, hint        *kit.Prose
	rest                 *kit.Link
	besides              *kit.Link
	machine              *kit.Link
	box                  *fyne.Container
}

func newShelfTitle() *shelfTitle {
	t := &shelfTitle{heading: kit.NewHeading("Ways up, best first"), hint: kit.NewSmall("")}
	t.heading.Most, t.hint.Most = 1, 1
	t.rest = kit.NewLink("Rest on a face", func() { kit.Call(t.OnRest) })
	t.besides = kit.NewLink(besidesWords(false), func() { kit.Call(t.OnBesides) })
	t.machine = kit.NewLink("Other machine", func() { kit.Call(t.OnMachine) })
	t.machine.Hide()
	reset := kit.NewLink("Reset view", func() { kit.Call(t.OnReset) })
	for _, l := range []*kit.Link{t.machine, t.besides, t.rest, reset} {
		l.OnKey = func(e *fyne.KeyEvent) {
			if t.OnKey != nil {
				t.OnKey(e)
			}
		}
	}
	t.box = container.New(&titleLayout{}, t.heading, t.hint, t.machine, t.besides, t.rest, reset)
	return t
}

// SetBesides tells whether two candidates are shown side by side.
func (t *shelfTitle) SetBesides(on bool) {
	t.besides.SetText(besidesWords(on))
	kit.SetVisible(t.machine, on)
	kit.SetVisible(t.rest, !on)
	t.box.Refresh()
}

func besidesWords(on bool) string {
	if on {
		return "Both machines"
	}
	return "Side by side"
}

// SetHint shows a passing remark.
func (t *shelfTitle) SetHint(text string) {
	t.hint.SetText(text)
	t.box.Refresh()
}

// titleLayout sets the heading left, links right and the hint between. Where the
// room is short the heading goes first, then link after link, but for the last:
// a hint is about what is being done.
type titleLayout struct{}

const titleGap, titleLinkGap = 14, 8

func (*titleLayout) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	heading, hint, links := objects[0].(*kit.Prose), objects[1].(*kit.Prose), objects[2:]
	hinted := hint.Role.Width(hint.Text)
	first := 0 // of the links that are shown
	for hint.Text != "" && first < len(links)-1 && hinted > size.Width-linksWidth(links[first:]) {
		first++
	}
	left := size.Width - linksWidth(links[first:])
	x := size.Width
	for i := len(links) - 1; i >= 0; i-- {
		l := links[i]
		if !l.Visible() {
			continue
		}
		m := l.MinSize()
		if i < first { // out of sight
			l.Resize(fyne.NewSize(0, 0))
			continue
		}
		x -= m.Width
		l.Move(fyne.NewPos(x, (size.Height-m.Height)/2+1))
		l.Resize(m)
		x -= titleLinkGap
	}
	w := heading.Role.Width(heading.Text) + 1
	if w > left || hint.Text != "" && w+titleGap+hinted > left {
		w = 0
	}
	kit.SetVisible(heading, w > 0)
	setLine(heading, 0, w, 0, size.Height)
	from := float32(0)
	if w > 0 {
		from = w + titleGap
	}
	setLine(hint, from, max(left-from, 1), 1, size.Height)
}

// setLine sets one line of prose in the middle of a height, a little lower by drop.
func setLine(p *kit.Prose, x, width, drop, height float32) {
	line := p.Role.LineHeight()
	p.Move(fyne.NewPos(x, (height-line)/2+drop))
	p.Resize(fyne.NewSize(width, line))
}

// linksWidth is what the visible links take with the gaps before them.
func linksWidth(links []fyne.CanvasObject) float32 {
	var sum float32
	for _, l := range links {
		if l.Visible() {
			sum += l.MinSize().Width + titleLinkGap
		}
	}
	return sum
}

func (*titleLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(200, shelfTitleH) }
