package window

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"

	"kilnpoise/app/window/kit"
	"kilnpoise/orient"
)

// prioritySliders lets the user say what counts, one slider for each thing.
type prioritySliders struct {
	// OnChanged is called with the new weights while a slider moves.
	OnChanged func(orient.Priorities)
	OnEscape  func()

	sliders []*kit.EscSlider
	words   []*kit.Prose
	box     *fyne.Container
	weights orient.Priorities
	setting bool
}

func newPrioritySliders() *prioritySliders {
	s := &prioritySliders{box: kit.NewPile(2)}
	for _, p := range orient.AllPriorities() {
		slider := kit.NewEscSlider(0, mostWeight, func() { kit.Call(s.OnEscape) })
		word := kit.NewProse(kit.RoleSmall, kit.ColorSoftInk, "")
		word.Align, word.Most = fyne.TextAlignTrailing, 1
		slider.OnChanged = func(w float64) { s.changed(p, w) }
		name := kit.NewProse(kit.RoleBody, theme.ColorNameForeground, kit.UpperFirst(p.String()))
		name.Most = 1
		s.sliders, s.words = append(s.sliders, slider), append(s.words, word)
		s.box.Add(kit.NewPile(-7, container.New(&twoEnds{}, name, word), slider))
	}
	return s
}

// Set shows weights without calling OnChanged.
func (s *prioritySliders) Set(weights orient.Priorities) {
	s.setting = true
	defer func() { s.setting = false }()
	s.weights = settled(weights)
	for i, slider := range s.sliders {
		slider.SetValue(s.weights[i])
		s.words[i].SetText(weightWord(s.weights[i]))
	}
}

func (s *prioritySliders) changed(p orient.Priority, w float64) {
	s.words[p].SetText(weightWord(w))
	if s.setting || s.weights[p] == w {
		return
	}
	s.weights[p] = w
	if s.OnChanged != nil {
		s.OnChanged(s.weights)
	}
}

// twoEnds sets one text at the left and one at the right of a line.
type twoEnds struct{}

func (*twoEnds) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	right := min(size.Width*0.45, 140)
	objects[0].Move(fyne.NewPos(0, 0))
	objects[0].Resize(fyne.NewSize(size.Width-right-6, size.Height))
	objects[1].Move(fyne.NewPos(size.Width-right, 0))
	objects[1].Resize(fyne.NewSize(right, size.Height))
}

func (*twoEnds) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(160, max(objects[0].MinSize().Height, objects[1].MinSize().Height))
}
