package window

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"kilnpoise/orient"
)

func TestPrefsSurviveNonsense(t *testing.T) {
	p := prefs{test.NewTempApp(t).Preferences()}
	p.store.SetFloat(prefWidth, math.NaN())
	p.store.SetFloat(prefHeight, -3)
	p.store.SetString(prefMode, "purple")
	p.store.SetFloat(prefWeight+orient.LessSag.Key(), 99)
	p.store.SetStringList(prefRecent, []string{"", "a.stl"})
	if got := p.windowSize(); got != fyne.NewSize(usualWidth, usualHeight) {
		t.Errorf("size = %v", got)
	}
	if got := p.mode(); got != asSystem {
		t.Errorf("mode = %q", got)
	}
	if got := p.priorities(); got != orient.DefaultPriorities() {
		t.Errorf("priorities = %v", got)
	}
	if got := p.recent(); !slices.Equal(got, []string{"a.stl"}) {
		t.Errorf("recent = %q", got)
	}
}

func TestPrefsComeBack(t *testing.T) {
	p := prefs{test.NewTempApp(t).Preferences()}
	p.setWindowSize(fyne.NewSize(1111, 777))
	p.setMode(alwaysDark)
	weights := orient.Priorities{0, 1, 2, 3, 4}
	p.setPriorities(weights)
	ids := [recordKinds]string{"a", "b", "c"}
	p.setRecordIDs(ids)
	if p.windowSize() != fyne.NewSize(1111, 777) || p.mode() != alwaysDark || p.priorities() != weights || p.recordIDs() != ids {
		t.Errorf("came back as %v %v %v %v", p.windowSize(), p.mode(), p.priorities(), p.recordIDs())
	}
}

func TestRecentFiles(t *testing.T) {
	p := prefs{test.NewTempApp(t).Preferences()}
	for i := range mostRecent + 5 {
		p.addRecent(fmt.Sprint(i))
	}
	p.addRecent("9")
	p.dropRecent("13")
	got := p.recent()
	if want := []string{"9", "14", "12", "11", "10", "8", "7", "6", "5"}; !slices.Equal(got, want) {
		t.Errorf("recent = %q, want %q", got, want)
	}
}
