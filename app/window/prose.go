package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// tall is an object whose height follows from the width that it is given.
type tall interface {
	fyne.CanvasObject
	heightFor(width float32) float32
}

// prose is wrapped text set flush with its left edge, without padding.
type prose struct {
	widget.BaseWidget
	text  string
	role  textRole
	color fyne.ThemeColorName
	align fyne.TextAlign
	// most is the number of lines after which the text is cut with an
	// ellipsis; 0 is no limit.
	most int
	// small sets a text smaller that would be cut otherwise; nil where there is no
	// smaller way.
	small *textRole

	// broken keeps the lines for the widths asked for last: layouts ask for the
	// same height several times.
	broken map[float32]setText
}

// setText is a text broken into lines for a width, and the role that it is set in.
type setText struct {
	lines []string
	role  textRole
}

var (
	_ fyne.Widget = (*prose)(nil)
	_ tall        = (*prose)(nil)
)

func newProse(role textRole, color fyne.ThemeColorName, text string) *prose {
	p := &prose{text: text, role: role, color: color}
	p.ExtendBaseWidget(p)
	return p
}

func newBody(text string) *prose { return newProse(roleBody, theme.ColorNameForeground, text) }

func newSmall(text string) *prose { return newProse(roleSmall, colorSoftInk, text) }

func newHeading(text string) *prose { return newProse(roleHeading, theme.ColorNameForeground, text) }

// SetText replaces the text; the owner lays out again where the height matters.
func (p *prose) SetText(text string) {
	if p.text == text {
		return
	}
	p.text = text
	p.broken = nil
	p.Refresh()
}

// width gives the width of text on one line in role r.
func (r textRole) width(text string) float32 { return r.measure(text).Width }

// narrowest is the width below which nothing is broken: such widths come up only
// while a page is being laid out.
const narrowest = 20

// mostUnbroken is how many letters of a text are shown while it is not broken.
const mostUnbroken = 200

// firstLetters cuts a text after so many letters.
func firstLetters(text string, most int) string {
	n := 0
	for i := range text {
		if n++; n > most {
			return text[:i]
		}
	}
	return text
}

// set gives the text broken for width.
func (p *prose) set(width float32) setText {
	if p.text == "" {
		return setText{nil, p.role}
	}
	if width < narrowest {
		return setText{[]string{firstLetters(p.text, mostUnbroken)}, p.role}
	}
	s, known := p.broken[width]
	if !known {
		s = p.wrapped(width)
		if p.broken == nil || len(p.broken) > 8 {
			p.broken = map[float32]setText{}
		}
		p.broken[width] = s
	}
	return s
}

func (p *prose) wrapped(width float32) setText {
	s := setText{wrapText(p.text, width, p.role.width), p.role}
	if p.most == 0 || len(s.lines) <= p.most {
		return s
	}
	if p.small != nil {
		s = setText{wrapText(p.text, width, p.small.width), *p.small}
	}
	if len(s.lines) <= p.most {
		return s
	}
	rest := s.lines[p.most-1]
	for _, l := range s.lines[p.most:] {
		rest += " " + l
	}
	s.lines = append(s.lines[:p.most-1], clip(rest, width, s.role.width))
	return s
}

func (p *prose) heightFor(width float32) float32 {
	s := p.set(width)
	return float32(len(s.lines)) * s.role.lineHeight()
}

// CreateRenderer makes the renderer.
func (p *prose) CreateRenderer() fyne.WidgetRenderer {
	return &proseRenderer{prose: p}
}

type proseRenderer struct {
	prose *prose
	texts []fyne.CanvasObject
	shown []string
	width float32
}

func (r *proseRenderer) Layout(size fyne.Size) {
	r.set(size.Width)
	step := r.prose.set(size.Width).role.lineHeight()
	for i, t := range r.texts {
		natural := t.MinSize().Height
		t.Move(fyne.NewPos(0, float32(i)*step+(step-natural)/2))
		t.Resize(fyne.NewSize(size.Width, natural))
	}
}

// set breaks the text for width and keeps one canvas text for each line.
func (r *proseRenderer) set(width float32) {
	p := r.prose
	set := p.set(width)
	r.width, r.shown = width, set.lines
	r.texts = r.texts[:0]
	for _, l := range r.shown {
		r.texts = append(r.texts, set.role.line(l, p.color, p.align))
	}
}

// MinSize is one word wide and as high as the present width asks for; layouts
// that know the width ask heightFor instead.
func (r *proseRenderer) MinSize() fyne.Size {
	if r.width == 0 {
		return fyne.NewSize(1, r.prose.role.lineHeight())
	}
	return fyne.NewSize(1, r.prose.heightFor(r.width))
}

func (r *proseRenderer) Refresh() {
	r.Layout(r.prose.Size())
	canvas.Refresh(r.prose)
}

func (r *proseRenderer) Objects() []fyne.CanvasObject { return r.texts }
func (r *proseRenderer) Destroy()                     {}
