package machines

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
func (m *Pane) CreateRenderer() fyne.WidgetRenderer { return &machinesRenderer{m: m} }

// machinesRenderer lays out captions, views, the beam under both, and the
// legends under the ends of the beam.
type machinesRenderer struct{ m *Pane }

func (r *machinesRenderer) MinSize() fyne.Size {
	return fyne.NewSize(2*120+machineGap, captionHeight+110+kit.BalanceHeight+kit.ToggleHeight)
}

func (r *machinesRenderer) Layout(size fyne.Size) {
	m := r.m
	widths := r.widths(size.Width)
	below := float32(kit.BalanceHeight)
	var legends float32
	for i, w := range widths {
		if w > 0 && !m.Paired {
			legends = max(legends, kit.HeightOf(m.Legends[i], w))
		}
	}
	if m.Paired {
		legends = kit.HeightOf(m.Legends[m.Stage], size.Width)
	}
	view := size.Height - captionHeight - below - legends - 4
	x := float32(0)
	for i, w := range widths {
		r.show(render.Machine(i), w > 0)
		if w == 0 {
			continue
		}
		m.Captions[i].Move(fyne.NewPos(x, 0))
		m.Captions[i].Resize(fyne.NewSize(w, captionHeight))
		m.Views[i].Move(fyne.NewPos(x, captionHeight))
		m.Views[i].Resize(fyne.NewSize(w, view))
		m.Legends[i].Move(fyne.NewPos(x, captionHeight+view+4+below))
		m.Legends[i].Resize(fyne.NewSize(w, legends))
		x += w + machineGap
	}
	if m.Paired { // one legend for both, over the whole width
		kit.SetVisible(m.Legends[1-m.Stage], false)
		kit.SetVisible(m.Legends[m.Stage], true)
		m.Legends[m.Stage].Move(fyne.NewPos(0, captionHeight+view+4+below))
		m.Legends[m.Stage].Resize(fyne.NewSize(size.Width, legends))
	}
	m.Beam.Move(fyne.NewPos(0, captionHeight+view+4))
	m.Beam.Resize(fyne.NewSize(size.Width, below))
}

// widths gives the width of each machine, zero for one not shown.
func (r *machinesRenderer) widths(total float32) [2]float32 {
	switch {
	case r.m.Whole == render.OnPlate:
		return [2]float32{total, 0}
	case r.m.Whole == render.OnSetter:
		return [2]float32{0, total}
	default:
		half := (total - machineGap) / 2
		return [2]float32{half, half}
	}
}

func (r *machinesRenderer) show(machine render.Machine, visible bool) {
	m := r.m
	for _, o := range []fyne.CanvasObject{m.Captions[machine], m.Views[machine], m.Legends[machine]} {
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
		m.Captions[0], m.Captions[1], m.Views[0], m.Views[1], m.Beam, m.Legends[0], m.Legends[1],
	}
}

func (r *machinesRenderer) Destroy() {}
