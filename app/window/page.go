package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	"kilnpoise/app/window/kit"
)

// page sets the parts of the window like a printed page: the head over all, then
// the two machines with the shelf of candidates below them, and beside these the
// reasons. The brief slides in from the left when it is asked for; the reasons
// give way to the hand-over when that is.
type page struct {
	widget.BaseWidget
	head       *fyne.Container
	board      *fyne.Container
	machines   fyne.CanvasObject
	shelfTitle fyne.CanvasObject
	shelf      fyne.CanvasObject
	side       fyne.CanvasObject
	handOver   fyne.CanvasObject
	brief      fyne.CanvasObject

	// drawn is how far the brief is out, 0 to 1.
	drawn float32
	// handing is true while the hand-over stands in place of the reasons.
	handing   bool
	animation *fyne.Animation
}

func (p *page) init() *page {
	p.ExtendBaseWidget(p)
	return p
}

// DrawBrief slides the brief out or in.
func (p *page) DrawBrief(out bool) {
	if p.animation != nil {
		p.animation.Stop()
	}
	from, to := p.drawn, float32(0)
	if out {
		to = 1
	}
	if out {
		kit.SetVisible(p.brief, true) // at once, so that it can take the focus
	}
	p.animation = fyne.NewAnimation(canvas.DurationShort, func(t float32) {
		p.drawn = from + (to-from)*t
		p.Refresh()
	})
	p.animation.Curve = fyne.AnimationEaseOut
	p.animation.Start()
}

// BriefOut reports whether the brief is out or on its way.
func (p *page) BriefOut() bool { return p.drawn > 0 }

// SetHanding shows the hand-over in place of the reasons, or the reasons again.
func (p *page) SetHanding(on bool) {
	p.handing = on
	p.Refresh()
}

const (
	pageMargin    = 20
	pageGap       = 22
	sideWidth     = 436
	sideNarrow    = 424
	narrowPage    = 1150
	briefWidth    = 372
	leastLeft     = 340
	shelfTitleH   = 34
	leastMachines = 200
)

// CreateRenderer makes the renderer.
func (p *page) CreateRenderer() fyne.WidgetRenderer {
	return &pageRenderer{
		page: p, headRule: kit.NewLine(theme.ColorNameForeground, 0, 1), sideRule: kit.Hairline(), briefRule: kit.Hairline(),
	}
}

type pageRenderer struct {
	page                          *page
	headRule, sideRule, briefRule *kit.Rule
}

func (r *pageRenderer) MinSize() fyne.Size { return fyne.NewSize(860, 560) }

func (r *pageRenderer) Layout(size fyne.Size) {
	p := r.page
	inner := size.Width - 2*pageMargin
	y := float32(12)
	y = r.stack(p.head, y, inner) + 10
	r.headRule.Move(fyne.NewPos(pageMargin, y))
	r.headRule.Resize(fyne.NewSize(inner, 1))
	y += 9
	if len(p.board.Objects) > 0 {
		y = r.stack(p.board, y, inner) + 8
	}
	r.body(size, y)
}

// stack places o at y over the inner width and returns its lower edge.
func (r *pageRenderer) stack(o *fyne.Container, y, inner float32) float32 {
	h := kit.HeightOf(o, inner)
	o.Move(fyne.NewPos(pageMargin, y))
	o.Resize(fyne.NewSize(inner, h))
	return y + h
}

// body lays out what stands below the head.
func (r *pageRenderer) body(size fyne.Size, top float32) {
	p := r.page
	height := size.Height - top - 10
	side := float32(sideWidth)
	if size.Width < narrowPage {
		side = sideNarrow
	}
	sideX := size.Width - pageMargin - side
	for _, o := range []fyne.CanvasObject{p.side, p.handOver} {
		o.Move(fyne.NewPos(sideX, top))
		o.Resize(fyne.NewSize(side, height))
	}
	kit.SetVisible(p.side, !p.handing)
	kit.SetVisible(p.handOver, p.handing)
	r.sideRule.Move(fyne.NewPos(sideX-pageGap/2, top))
	r.sideRule.Resize(fyne.NewSize(1, height))

	left := float32(pageMargin)
	right := sideX - pageGap
	left = r.layBrief(left, right, top, height)
	r.layLeft(left, right, top, height)
}

// layBrief places the brief, as far as it is out, and returns where the machines
// begin. Where these would be left too little room the brief takes their place.
func (r *pageRenderer) layBrief(left, right, top, height float32) float32 {
	p := r.page
	kit.SetVisible(p.brief, p.drawn > 0)
	kit.SetVisible(r.briefRule, p.drawn > 0)
	if p.drawn == 0 {
		return left
	}
	width := float32(briefWidth)
	if right-left-width-pageGap < leastLeft {
		width = right - left
	}
	// It comes in from beyond the left edge at full width.
	x := left - (1-p.drawn)*(width+pageMargin)
	p.brief.Move(fyne.NewPos(x, top))
	p.brief.Resize(fyne.NewSize(width, height))
	r.briefRule.Move(fyne.NewPos(x+width+pageGap/2, top))
	r.briefRule.Resize(fyne.NewSize(1, height))
	return x + width + pageGap
}

// layLeft places the machines and the shelf between left and right.
func (r *pageRenderer) layLeft(left, right, top, height float32) {
	p := r.page
	width := right - left
	visible := width >= leastLeft*min(1, p.drawn+0.5)
	for _, o := range []fyne.CanvasObject{p.machines, p.shelfTitle, p.shelf} {
		kit.SetVisible(o, visible)
	}
	if !visible {
		return
	}
	shelf := cardHeight(min(max(height*0.145, leastPicture), mostPicture)) + shelfBar
	machines := max(height-shelf-shelfTitleH, leastMachines)
	p.machines.Move(fyne.NewPos(left, top))
	p.machines.Resize(fyne.NewSize(width, machines))
	p.shelfTitle.Move(fyne.NewPos(left, top+machines))
	p.shelfTitle.Resize(fyne.NewSize(width, shelfTitleH))
	p.shelf.Move(fyne.NewPos(left, top+machines+shelfTitleH))
	p.shelf.Resize(fyne.NewSize(width, height-machines-shelfTitleH))
}

func (r *pageRenderer) Refresh() {
	r.Layout(r.page.Size())
	canvas.Refresh(r.page)
}

// Objects come in the order in which the Tab key walks through them.
func (r *pageRenderer) Objects() []fyne.CanvasObject {
	p := r.page
	return []fyne.CanvasObject{
		p.head, r.headRule, p.board, p.brief, p.machines, p.shelfTitle, p.shelf, r.sideRule, r.briefRule, p.side, p.handOver,
	}
}

func (r *pageRenderer) Destroy() {}
