package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"gonum.org/v1/gonum/spatial/r3"
)

// sphereView shows every build direction as a map, with the measure that it is
// coloured by and what lies under the mouse.
type sphereView struct {
	OnMeasure func(index int)
	// OnOwn measures the direction that was picked last as a candidate.
	OnOwn func()
	// OnWay measures a direction that was typed as a candidate.
	OnWay func(up r3.Vec)

	measure *escSelect
	chart   *chartView
	words   *prose
	own     *link
	way     *escEntry
	box     *fyne.Container
	setting bool
}

// The size of the map, in units of the window.
const sphereWidth, sphereHeight = sideNarrow - scrollGutter, 252

// sphereHint says what the map is for.
const sphereHint = "Each point is a way up, in the frame of the file: +Z in the middle left, −Z right. Click one to look at the part from there. Small rings are faces it rests on exactly: struck through once in doubt, twice where a gate fails."

func newSphereView(onKey func(*fyne.KeyEvent)) *sphereView {
	v := &sphereView{chart: newChartView(sphereWidth, sphereHeight), words: newSmall(sphereHint)}
	v.chart.OnKey = onKey
	v.measure = newEscSelect(func(string) {
		if i := v.measure.SelectedIndex(); !v.setting && i >= 0 && v.OnMeasure != nil {
			v.OnMeasure(i)
		}
	}, func() { onKey(&fyne.KeyEvent{Name: fyne.KeyEscape}) })
	v.own = newLink("Measure it as a candidate", func() { call(v.OnOwn) })
	v.own.OnKey = onKey
	v.own.Hide()
	v.way = newEscEntry(func() { onKey(&fyne.KeyEvent{Name: fyne.KeyEscape}) })
	v.way.SetPlaceHolder(wayHint)
	v.way.OnSubmitted = func(string) { v.typed() }
	measure := newLink("Measure this way up", v.typed)
	measure.OnKey = onKey
	typing := newProse(roleBody, theme.ColorNameForeground, "Or type it")
	label := newProse(roleBody, theme.ColorNameForeground, "Coloured by")
	v.box = newPile(0, newHeading("Every way up"), gap(4), container.New(&labelled{}, label, v.measure), gap(4),
		v.chart, gap(2), v.words, newFlow(0, 0, v.own), gap(4),
		container.New(&labelled{}, typing, v.way), newFlow(0, 0, measure), gap(10))
	return v
}

// SetMeasures lists the measures to colour by.
func (v *sphereView) SetMeasures(names []string, chosen int) {
	v.setting = true
	defer func() { v.setting = false }()
	v.measure.SetOptions(names)
	v.measure.SetSelectedIndex(chosen)
}

// typed measures the way up that was typed.
func (v *sphereView) typed() {
	up, err := readWay(v.way.Text)
	if err != nil {
		v.SetWords(sentence(err), false)
		return
	}
	v.way.SetText("")
	if v.OnWay != nil {
		v.OnWay(up)
	}
}

// SetWords says what lies under the mouse or was picked; own lets it be measured.
func (v *sphereView) SetWords(text string, own bool) {
	v.words.SetText(text)
	show(v.own, own)
}

// labelled sets a label before a control that takes the rest of the line.
type labelled struct{}

const labelledWidth = 92

// Layout places both.
func (*labelled) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	line := roleBody.lineHeight()
	objects[0].Move(fyne.NewPos(0, (size.Height-line)/2))
	objects[0].Resize(fyne.NewSize(labelledWidth, line))
	objects[1].Move(fyne.NewPos(labelledWidth, 0))
	objects[1].Resize(fyne.NewSize(size.Width-labelledWidth, size.Height))
}

// MinSize is that of the control.
func (*labelled) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(220, objects[1].MinSize().Height)
}
