package kit

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
)

// Tall is an object whose height follows from the width that it is given.
type Tall interface {
	fyne.CanvasObject
	HeightFor(width float32) float32
}

// Prose is wrapped text set flush with its left edge, without padding.
type Prose struct {
	widget.BaseWidget
	Text  string
	Role  TextRole
	Color fyne.ThemeColorName
	Align fyne.TextAlign
	// Most is the number of lines after which the text is cut with an
	// ellipsis; 0 is no limit.
	Most int
	// Small sets a text smaller that would be cut otherwise; nil where there is no
	// smaller way.
	Small *TextRole

	// broken keeps the lines for the widths asked for last: layouts ask for the
	// same height several times.
	broken map[float32]setText
}

// setText is a text broken into lines for a width, and the role that it is set in.
type setText struct {
	Lines []string
	Role  TextRole
}

var (
	_ fyne.Widget = (*Prose)(nil)
	_ Tall        = (*Prose)(nil)
)

// NewProse sets text in a role and a colour of the theme.
func NewProse(role TextRole, color fyne.ThemeColorName, text string) *Prose {
	p := &Prose{Text: text, Role: role, Color: color}
	p.ExtendBaseWidget(p)
	return p
}

// NewBody sets text as the body of a page.
func NewBody(text string) *Prose { return NewProse(RoleBody, theme.ColorNameForeground, text) }

// NewSmall sets text small and soft.
func NewSmall(text string) *Prose { return NewProse(RoleSmall, ColorSoftInk, text) }

// NewHeading sets text as a heading.
func NewHeading(text string) *Prose { return NewProse(RoleHeading, theme.ColorNameForeground, text) }

// SetText replaces the text; the owner lays out again where the height matters.
func (p *Prose) SetText(text string) {
	if p.Text == text {
		return
	}
	p.Text = text
	p.broken = nil
	p.Refresh()
}

// Width gives the width of text on one line in role r.
func (r TextRole) Width(text string) float32 { return r.Measure(text).Width }

// narrowest is the width below which nothing is broken: such widths come up only
// while a page is being laid out.
const narrowest = 20

// mostUnbroken is how many letters of a text are shown while it is not broken.
const mostUnbroken = 200

// FirstLetters cuts a text after so many letters.
func FirstLetters(text string, most int) string {
	n := 0
	for i := range text {
		if n++; n > most {
			return text[:i]
		}
	}
	return text
}

// Set gives the text broken for width.
func (p *Prose) Set(width float32) setText {
	if p.Text == "" {
		return setText{nil, p.Role}
	}
	if width < narrowest {
		return setText{[]string{FirstLetters(p.Text, mostUnbroken)}, p.Role}
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

func (p *Prose) wrapped(width float32) setText {
	s := setText{wrapText(p.Text, width, p.Role.Width), p.Role}
	if p.Most == 0 || len(s.Lines) <= p.Most {
		return s
	}
	if p.Small != nil {
		s = setText{wrapText(p.Text, width, p.Small.Width), *p.Small}
	}
	if len(s.Lines) <= p.Most {
		return s
	}
	rest := s.Lines[p.Most-1]
	for _, l := range s.Lines[p.Most:] {
		rest += " " + l
	}
	s.Lines = append(s.Lines[:p.Most-1], Clip(rest, width, s.Role.Width))
	return s
}

// HeightFor is the height that the text takes at that width.
func (p *Prose) HeightFor(width float32) float32 {
	s := p.Set(width)
	return float32(len(s.Lines)) * s.Role.LineHeight()
}

// CreateRenderer makes the renderer.
func (p *Prose) CreateRenderer() fyne.WidgetRenderer {
	return &proseRenderer{prose: p}
}

type proseRenderer struct {
	prose *Prose
	texts []fyne.CanvasObject
	shown []string
	width float32
}

func (r *proseRenderer) Layout(size fyne.Size) {
	r.set(size.Width)
	step := r.prose.Set(size.Width).Role.LineHeight()
	for i, t := range r.texts {
		natural := t.MinSize().Height
		t.Move(fyne.NewPos(0, float32(i)*step+(step-natural)/2))
		t.Resize(fyne.NewSize(size.Width, natural))
	}
}

// set breaks the text for width and keeps one canvas text for each line.
func (r *proseRenderer) set(width float32) {
	p := r.prose
	set := p.Set(width)
	r.width, r.shown = width, set.Lines
	r.texts = r.texts[:0]
	for _, l := range r.shown {
		r.texts = append(r.texts, set.Role.Line(l, p.Color, p.Align))
	}
}

// MinSize is one word wide and as high as the present width asks for; layouts
// that know the width ask heightFor instead.
func (r *proseRenderer) MinSize() fyne.Size {
	if r.width == 0 {
		return fyne.NewSize(1, r.prose.Role.LineHeight())
	}
	return fyne.NewSize(1, r.prose.HeightFor(r.width))
}

func (r *proseRenderer) Refresh() {
	r.Layout(r.prose.Size())
	canvas.Refresh(r.prose)
}

func (r *proseRenderer) Objects() []fyne.CanvasObject { return r.texts }
func (r *proseRenderer) Destroy()                     {}
