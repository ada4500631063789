package machines

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"kilnpoise/app/window/kit"
)

// sagSlider chooses how many times larger than true the movement in the furnace
// is drawn in the shape of the part.
type sagSlider struct {
	OnTimes func(times float64)

	Slider *kit.EscSlider
	Words  *kit.Prose
	box    *fyne.Container
}

// SagSteps are the exaggerations on offer; 0 draws the part straight.
func SagSteps() []float64 { return []float64{0, 1, 2, 5, 10, 20, 50, 100} }

func newSagSlider(escape func()) *sagSlider {
	s := &sagSlider{Words: kit.NewSmall("")}
	s.Words.Most = 1
	s.Slider = kit.NewEscSlider(0, float64(len(SagSteps())-1), escape)
	s.Slider.OnChanged = func(at float64) {
		times := SagSteps()[int(at)]
		s.Words.SetText(sagDrawnWords(times))
		if s.OnTimes != nil {
			s.OnTimes(times)
		}
	}
	s.box = container.New(&sagSliderLayout{}, s.Slider, s.Words)
	s.Set(0, false)
	return s
}

// Set shows an exaggeration; enabled is false where no movement is known.
func (s *sagSlider) Set(times float64, enabled bool) {
	at := 0
	for i, t := range SagSteps() {
		if t <= times {
			at = i
		}
	}
	s.Slider.Value = float64(at)
	s.Words.SetText(sagDrawnWords(times))
	if enabled {
		s.Slider.Enable()
	} else {
		s.Slider.Disable()
	}
	s.Slider.Refresh()
}

// sagDrawnWords says how the shape is drawn.
func sagDrawnWords(times float64) string {
	switch times {
	case 0:
		return "sag not drawn"
	case 1:
		return "as fired"
	default:
		return "fired × " + kit.PlainNumber(times)
	}
}

// sagSliderLayout sets the slider and its words on the line of a legend.
type sagSliderLayout struct{}

const sagSliderWidth, sagSliderLeast = 130, 70

// Layout places both.
func (*sagSliderLayout) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	h := objects[0].MinSize().Height
	wide := max(min(size.Width-sagWordsWidth()-4, sagSliderWidth), sagSliderLeast)
	objects[0].Move(fyne.NewPos(0, (size.Height-h)/2))
	objects[0].Resize(fyne.NewSize(wide, h))
	line := kit.RoleSmall.LineHeight()
	objects[1].Move(fyne.NewPos(wide+4, (size.Height-line)/2))
	objects[1].Resize(fyne.NewSize(size.Width-wide-4, line))
}

// MinSize has room for the longest words.
func (*sagSliderLayout) MinSize([]fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(sagSliderWidth+4+sagWordsWidth(), kit.ToggleHeight)
}

// sagWordsWidth is that of the longest words.
func sagWordsWidth() float32 {
	var most float32
	for _, t := range SagSteps() {
		most = max(most, kit.RoleSmall.Measure(sagDrawnWords(t)).Width)
	}
	return most + 2
}
