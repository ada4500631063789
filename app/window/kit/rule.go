package kit

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// Rule is a line of the page in a colour of the theme, set anew when that
// changes.
type Rule struct {
	widget.BaseWidget
	color fyne.ThemeColorName
	// length is how far the line goes; 0 takes the whole width. It lies in the
	// middle of its height.
	length, thickness float32
}

// NewLine makes a line; a length of 0 takes the width that there is.
func NewLine(color fyne.ThemeColorName, length, thickness float32) *Rule {
	r := &Rule{color: color, length: length, thickness: thickness}
	r.ExtendBaseWidget(r)
	return r
}

// Hairline draws a rule over the whole width.
func Hairline() *Rule { return NewLine(ColorHairline, 0, 1) }

// NewDash makes the mark of a plain entry of a list: a short stroke.
func NewDash() *Rule { return NewLine(ColorSoftInk, 8, 1.5) }

// CreateRenderer makes the renderer.
func (r *Rule) CreateRenderer() fyne.WidgetRenderer {
	return &ruleRenderer{rule: r, line: canvas.NewRectangle(Themed(r.color))}
}

type ruleRenderer struct {
	rule *Rule
	line *canvas.Rectangle
}

func (r *ruleRenderer) MinSize() fyne.Size {
	return fyne.NewSize(max(r.rule.length, 1), r.rule.thickness)
}

func (r *ruleRenderer) Layout(size fyne.Size) {
	length := r.rule.length
	if length == 0 {
		length = size.Width
	}
	if size.Width < size.Height { // an upright rule
		r.line.Resize(size)
		return
	}
	r.line.Move(fyne.NewPos(0, (size.Height-r.rule.thickness)/2))
	r.line.Resize(fyne.NewSize(length, r.rule.thickness))
}

func (r *ruleRenderer) Refresh() {
	r.line.FillColor = Themed(r.rule.color)
	canvas.Refresh(r.line)
}

func (r *ruleRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.line} }
func (r *ruleRenderer) Destroy()                     {}
