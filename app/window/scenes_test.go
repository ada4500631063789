package window

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"kilnpoise/app/window/machines"
	"kilnpoise/assets"
)

// The handle bracket as loaded has its arm in the air: it is to be fired lying, and
// the setter shows it so, or as printed when that is asked for.
func TestTheSetterShowsHowToLayItDown(t *testing.T) {
	if testing.Short() {
		t.Skip("short: solves the furnace")
	}
	b := newBench(t, &scripted{fire: workshop{}.Fire}, 1280, 770)
	b.open(source{demo: assets.DefaultPart()})
	b.waitAdvised()
	loaded := asLoadedOf(b.desk.candidates())
	if !loaded.RestsOtherwise() {
		t.Fatalf("as loaded it is fired as printed: %+v", loaded.Resting)
	}
	b.choose(loaded.Rank - 1)
	caption := func() string { return b.machines.Captions[1].Text }
	b.until("the laid part", func() bool { return strings.HasPrefix(caption(), "Setter, on ") })
	b.key(fyne.KeyL)
	b.until("the part as printed", func() bool { return strings.HasSuffix(caption(), "as printed") && b.menu.asPrinted.Checked })
	b.key(fyne.KeyL)
	b.until("the laid part again", func() bool { return strings.HasPrefix(caption(), "Setter, on ") })
	for i, c := range b.desk.candidates() {
		if !c.RestsOtherwise() {
			b.choose(i)
			b.until("the usual caption", func() bool { return caption() == machines.Titles()[1] })
			break
		}
	}
}
