package window

import (
	"image"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"kilnpoise/orient"
	"kilnpoise/render"
)

// The size of the trade-off chart, in units of the window.
const chartWidth, chartHeight = sideNarrow - scrollGutter, 250

// chartKey explains the marks of the chart.
const chartKey = "Figures are ranks. Large dot: this one. Cross: fails a gate. Triangle at the top: collapses."

// tradeOffPoints sets the candidates as points: support across, sag up.
func tradeOffPoints(all []orient.Candidate, chosen *orient.Candidate) []render.Point {
	var out []render.Point
	for i := range all {
		c := &all[i]
		out = append(out, render.Point{
			X: c.Measures.SupportVolumeMM3 / 1000, Y: c.Measures.SagMM, OffScale: c.Measures.SagCollapses,
			Label: faceOf(c).rank, OnFront: c.OnFront, Chosen: c.Rank == chosen.Rank,
			AsLoaded: c.Origin == orient.AsLoaded, Fails: !c.Passes(),
		})
	}
	return out
}

// drawChart draws the trade-off of what is on the desk, in the background.
func (w *mainWindow) drawChart() {
	c := w.desk.candidate()
	if c == nil || w.desk.advice == nil {
		return
	}
	points, palette := tradeOffPoints(w.desk.candidates(), c), picturePalette()
	palette.Background = opaque(themed(colorRaised))
	scale := w.win.Canvas().Scale()
	_, ticket := w.charting.begin(w.ctx)
	go func() {
		img, err := render.TradeOff(points, render.Axes{X: "support, cm³", Y: "sag (estimate), mm"},
			int(chartWidth*scale), int(chartHeight*scale), float64(scale), palette)
		w.post(func() {
			if w.charting.done(ticket) && err == nil {
				w.why.SetChart(img)
			}
		})
	}()
}

// newChartFrame makes the place of the chart.
func newChartFrame() (*canvas.Image, *fyne.Container) {
	img := canvas.NewImageFromImage(image.NewRGBA(image.Rect(0, 0, 1, 1)))
	img.FillMode, img.ScaleMode = canvas.ImageFillContain, canvas.ImageScaleFastest
	img.SetMinSize(fyne.NewSize(chartWidth, chartHeight))
	return img, container.NewStack(img)
}
