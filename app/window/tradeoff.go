package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"

	"kilnpoise/app/window/kit"
	"kilnpoise/app/window/machines"
	"kilnpoise/render"
)

// The size of the trade-off chart, in units of the window.
const chartWidth, chartHeight = sideNarrow - kit.ScrollGutter, 250

// chartKey explains the marks of the chart.
const chartKey = "Figures are ranks; click one to choose it. Large: this one. Square: as loaded. Cross: fails a gate. Triangle: collapses."

// tradeView shows the candidates by any two measures.
type tradeView struct {
	// OnMeasures is called with the places of the measures across and up.
	OnMeasures func(across, up int)

	across, up *kit.EscSelect
	chart      *kit.ChartView
	box        *fyne.Container
	setting    bool
}

func newTradeView(onKey func(*fyne.KeyEvent)) *tradeView {
	v := &tradeView{chart: kit.NewChartView(chartWidth, chartHeight)}
	v.chart.OnKey = onKey
	escape := func() { onKey(&fyne.KeyEvent{Name: fyne.KeyEscape}) }
	changed := func(string) {
		if !v.setting && v.OnMeasures != nil {
			v.OnMeasures(v.across.SelectedIndex(), v.up.SelectedIndex())
		}
	}
	v.across, v.up = kit.NewEscSelect(changed, escape), kit.NewEscSelect(changed, escape)
	label := func(text string) *kit.Prose { return kit.NewProse(kit.RoleBody, theme.ColorNameForeground, text) }
	v.box = kit.NewPile(0, kit.NewHeading("One against another"), kit.Gap(4),
		container.New(&labelled{}, label("Across"), v.across), kit.Gap(2), container.New(&labelled{}, label("Up"), v.up), kit.Gap(4),
		v.chart, kit.Gap(2), kit.NewSmall(chartKey), kit.Gap(10))
	return v
}

// SetMeasures lists the measures to choose from.
func (v *tradeView) SetMeasures(names []string, across, up int) {
	v.setting = true
	defer func() { v.setting = false }()
	for s, chosen := range map[*kit.EscSelect]int{v.across: across, v.up: up} {
		s.SetOptions(names)
		s.SetSelectedIndex(chosen)
	}
}

// tradeState is what the chart shows.
type tradeState struct {
	// across and up are the keys of the measures.
	across, up string
	drawn      *render.Chart
}

// usualTrade sets the two against each other that decide most often.
func usualTrade() tradeState { return tradeState{across: "support_volume", up: "sag"} }

// placeOf gives the place of the measure of a key, or 0.
func placeOf(list []render.Measure, key string) int {
	for i, m := range list {
		if m.Key == key {
			return i
		}
	}
	return 0
}

// measureNames lists measures for a list to choose from.
func measureNames(list []render.Measure) []string {
	var names []string
	for _, m := range list {
		names = append(names, kit.Typeset(kit.UpperFirst(m.Label())))
	}
	return names
}

// drawChart draws the trade-off of what is on the desk, in the background.
func (w *mainWindow) drawChart() {
	c := w.desk.candidate()
	if c == nil || w.desk.advice == nil {
		return
	}
	list := render.Measures(&w.desk.advice.Brief)
	across, up := placeOf(list, w.trade.across), placeOf(list, w.trade.up)
	w.why.trade.SetMeasures(measureNames(list), across, up)
	points, axes := render.TradeOffOf(w.desk.candidates(), c.Rank, list[across], list[up])
	palette := machines.PicturePalette()
	palette.Background = machines.Opaque(kit.Themed(kit.ColorRaised))
	scale := w.win.Canvas().Scale()
	_, ticket := w.charting.begin(w.ctx)
	var drawn *render.Chart
	w.background("drawing the trade-off", func() (err error) {
		drawn, err = render.DrawTradeOff(points, axes, int(chartWidth*scale), int(chartHeight*scale), float64(scale), palette)
		return err
	}, func(err error) {
		w.tellFault(err)
		if w.charting.done(ticket) && err == nil {
			w.trade.drawn = drawn
			w.why.trade.chart.SetPicture(drawn.Image)
		}
	})
}

// takeTrade sets two other measures against each other.
func (w *mainWindow) takeTrade(across, up int) {
	list := render.Measures(&w.desk.advice.Brief)
	if across >= 0 && across < len(list) && up >= 0 && up < len(list) {
		w.trade.across, w.trade.up = list[across].Key, list[up].Key
		w.drawChart()
	}
}

// pickChart chooses the candidate that is clicked in the chart.
func (w *mainWindow) pickChart(x, y float64) {
	if w.trade.drawn == nil {
		return
	}
	if i, ok := w.trade.drawn.PointAt(x, y); ok {
		w.choose(i)
	}
}
