package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"

	"kilnpoise/app/window/kit"
	"kilnpoise/render"
)

const (
	machineGap    = 16
	captionHeight = 24
)

// CreateRenderer makes the renderer.
func (m *machines) CreateRenderer() fyne.WidgetRenderer { return &machinesRenderer{m: m} }

// machinesRenderer lays out captions, views, the beam under both, and the
// legends under the ends of the beam.
type machinesRenderer struct{ m *machines }

func (r *machinesRenderer) MinSize() fyne.Size {
	return fyne.NewSize(2*120+machineGap, captionHeight+110+kit.BalanceHeight+kit.ToggleHeight)
}

func (r *machinesRenderer) Layout(size fyne.Size) {
	m := r.m
	widths := r.widths(size.Width)
	below := float32(kit.BalanceHeight)
	var legends float32
	for i, w := range widths {
		if w > 0 && !m.paired {
			legends = max(legends, kit.HeightOf(m.legends[i], w))
		}
	}
	if m.paired {
		legends = kit.HeightOf(m.legends[m.stage], size.Width)
	}
	view := size.Height - captionHeight - below - legends - 4
	x := float32(0)
	for i, w := range widths {
		r.show(render.Machine(i), w > 0)
		if w == 0 {
			continue
		}
		m.captions[i].Move(fyne.NewPos(x, 0))
		m.captions[i].Resize(fyne.NewSize(w, captionHeight))
		m.views[i].Move(fyne.NewPos(x, captionHeight))
		m.views[i].Resize(fyne.NewSize(w, view))
		m.legends[i].Move(fyne.NewPos(x, captionHeight+view+4+below))
		m.legends[i].Resize(fyne.NewSize(w, legends))
		x += w + machineGap
	}
	if m.paired { // one legend for both, over the whole width
		kit.SetVisible(m.legends[1-m.stage], false)
		kit.SetVisible(m.legends[m.stage], true)
		m.legends[m.stage].Move(fyne.NewPos(0, captionHeight+view+4+below))
		m.legends[m.stage].Resize(fyne.NewSize(size.Width, legends))
	}
	m.beam.Move(fyne.NewPos(0, captionHeight+view+4))
	m.beam.Resize(fyne.NewSize(size.Width, below))
}

// widths gives the width of each machine, zero for one not shown.
func (r *machinesRenderer) widths(total float32) [2]float32 {
	switch {
	case r.m.whole == render.OnPlate:
		return [2]float32{total, 0}
	case r.m.whole == render.OnSetter:
		return [2]float32{0, total}
	default:
		half := (total - machineGap) / 2
		return [2]float32{half, half}
	}
}

func (r *machinesRenderer) show(machine render.Machine, visible bool) {
	m := r.m
	for _, o := range []fyne.CanvasObject{m.captions[machine], m.views[machine], m.legends[machine]} {
		if visible {
			o.Show()
		} else {
			o.Hide()
		}
	}
}

func (r *machinesRenderer) Refresh() {
	r.Layout(r.m.Size())
	for _, o := range r.Objects() {
		o.Refresh()
	}
	canvas.Refresh(r.m)
}

func (r *machinesRenderer) Objects() []fyne.CanvasObject {
	m := r.m
	return []fyne.CanvasObject{
		m.captions[0], m.captions[1], m.views[0], m.views[1], m.beam, m.legends[0], m.legends[1],
	}
}

func (r *machinesRenderer) Destroy() {}
