package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// rule is a line of the page in a colour of the theme, set anew when that
// changes.
type rule struct {
	widget.BaseWidget
	color fyne.ThemeColorName
	// length is how far the line goes; 0 takes the whole width. It lies in the
	// middle of its height.
	length, thickness float32
}

func newLine(color fyne.ThemeColorName, length, thickness float32) *rule {
	r := &rule{color: color, length: length, thickness: thickness}
	r.ExtendBaseWidget(r)
	return r
}

// hairline draws a rule over the whole width.
func hairline() *rule { return newLine(colorHairline, 0, 1) }

// newDash makes the mark of a plain entry of a list: a short stroke.
func newDash() *rule { return newLine(colorSoftInk, 8, 1.5) }

// CreateRenderer makes the renderer.
func (r *rule) CreateRenderer() fyne.WidgetRenderer {
	return &ruleRenderer{rule: r, line: canvas.NewRectangle(themed(r.color))}
}

type ruleRenderer struct {
	rule *rule
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
	r.line.FillColor = themed(r.rule.color)
	canvas.Refresh(r.line)
}

func (r *ruleRenderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.line} }
func (r *ruleRenderer) Destroy()                     {}
