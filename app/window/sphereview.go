package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"gonum.org/v1/gonum/spatial/r3"
	"kilnpoise/app/window/kit"
)

// sphereView shows every build direction as a map, with the measure that it is
// coloured by and what lies under the mouse.
type sphereView struct {
	OnMeasure func(index int)
	// OnOwn measures the direction that was picked last as a candidate.
	OnOwn func()
	// OnWay measures a direction that was typed as a candidate.
	OnWay func(up r3.Vec)

	measure *kit.EscSelect
	chart   *kit.ChartView
	words   *kit.Prose
	own     *kit.Link
	way     *kit.EscEntry
	box     *fyne.Container
	setting bool
}

// The size of the map, in units of the window.
const sphereWidth, sphereHeight = sideNarrow - kit.ScrollGutter, 252

// sphereHint says what the map is for.
const sphereHint = "Each point is a way up, in the frame of the file: +Z in the middle left, −Z right. Click one to look at the part from there. Small rings are faces it rests on exactly: struck through once in doubt, twice where a gate fails."

func newSphereView(onKey func(*fyne.KeyEvent)) *sphereView {
	v := &sphereView{chart: kit.NewChartView(sphereWidth, sphereHeight), words: kit.NewSmall(sphereHint)}
	v.chart.OnKey = onKey
	v.measure = kit.NewEscSelect(func(string) {
		if i := v.measure.SelectedIndex(); !v.setting && i >= 0 && v.OnMeasure != nil {
			v.OnMeasure(i)
		}
	}, func() { onKey(&fyne.KeyEvent{Name: fyne.KeyEscape}) })
	v.own = kit.NewLink("Measure it as a candidate", func() { kit.Call(v.OnOwn) })
	v.own.OnKey = onKey
	v.own.Hide()
	v.way = kit.NewEscEntry(func() { onKey(&fyne.KeyEvent{Name: fyne.KeyEscape}) })
	v.way.SetPlaceHolder(wayHint)
	v.way.OnSubmitted = func(string) { v.typed() }
	measure := kit.NewLink("Measure this way up", v.typed)
	measure.OnKey = onKey
	typing := kit.NewProse(kit.RoleBody, theme.ColorNameForeground, "Or type it")
	label := kit.NewProse(kit.RoleBody, theme.ColorNameForeground, "Coloured by")
	v.box = kit.NewPile(0, kit.NewHeading("Every way up"), kit.Gap(4), container.New(&labelled{}, label, v.measure), kit.Gap(4),
		v.chart, kit.Gap(2), v.words, kit.NewFlow(0, 0, v.own), kit.Gap(4),
		container.New(&labelled{}, typing, v.way), kit.NewFlow(0, 0, measure), kit.Gap(10))
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
		v.SetWords(kit.Sentence(err), false)
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
	kit.SetVisible(v.own, own)
}

// labelled sets a label before a control that takes the rest of the line.
type labelled struct{}

const labelledWidth = 92

// Layout places both.
func (*labelled) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	line := kit.RoleBody.LineHeight()
	objects[0].Move(fyne.NewPos(0, (size.Height-line)/2))
	objects[0].Resize(fyne.NewSize(labelledWidth, line))
	objects[1].Move(fyne.NewPos(labelledWidth, 0))
	objects[1].Resize(fyne.NewSize(size.Width-labelledWidth, size.Height))
}

// MinSize is that of the control.
func (*labelled) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(220, objects[1].MinSize().Height)
}
