package window

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"

	"kilnpoise/app/window/machines"
	"kilnpoise/render"
)

// paired opens a part and shows its first choice beside the one as loaded.
func paired(t *testing.T) *bench {
	t.Helper()
	b := advised(t, "tee.stl", tee())
	b.key(fyne.KeyC)
	b.until("the pair", func() bool { return b.machines.Paired })
	return b
}

func TestTwoCandidatesSideBySide(t *testing.T) {
	b := paired(t)
	loaded := asLoadedOf(b.desk.candidates())
	if i := b.other(); b.desk.candidates()[i].Pose != loaded.Pose {
		t.Errorf("on the right is no. %d, want the one as loaded", i+1)
	}
	if left, right := b.machines.Scenes[0], b.machines.Scenes[1]; left == right || left == nil || right == nil {
		t.Error("the views do not show two candidates")
	}
	if got := b.machines.Captions[1].Text; !strings.HasSuffix(got, cardTitle(loaded)) {
		t.Errorf("the right view is headed %q, want %q", got, cardTitle(loaded))
	}
	if got := b.why.table.titles; len(got) != 2 || !strings.HasPrefix(got[1], "no. ") {
		t.Errorf("the table compares %v, want this one with the one on the right", got)
	}
	b.until("both pictures", func() bool {
		b.win.Canvas().Capture()
		return b.machines.Last[0].Scene == b.machines.Scenes[0] && b.machines.Last[1].Scene == b.machines.Scenes[1]
	})
	if b.machines.Last[0].Shot.Overlays != b.machines.Last[1].Shot.Overlays {
		t.Error("the two are drawn with different overlays")
	}
	if b.machines.Last[0].Shot.Camera != b.machines.Last[1].Shot.Camera || b.machines.Last[0].Shot.MMPerPixel != b.machines.Last[1].Shot.MMPerPixel {
		t.Error("the two are not drawn from one camera at one scale")
	}
}

func TestTheRightSideWalksAndTheMachineSwitches(t *testing.T) {
	b := paired(t)
	was := b.other()
	b.stepOther(-1)
	if b.other() != max(was-1, 0) || b.desk.index() != 0 {
		t.Errorf("on the right is no. %d, on the left no. %d", b.other()+1, b.desk.index()+1)
	}
	b.key(fyne.KeyV)
	b.until("the setter", func() bool { return b.machines.Stage == render.OnSetter && b.machines.Paired })
	if b.machines.Legends[render.OnPlate].Visible() {
		t.Error("the legend of the plate shows under two setters")
	}
	b.escape()
	if b.machines.Paired || b.machines.Captions[0].Text != machines.Titles()[0] {
		t.Error("Esc does not bring both machines back")
	}
}

func TestAnotherPartEndsTheComparison(t *testing.T) {
	b := paired(t)
	was := b.desk.part
	b.openPath(stlFile(t, "other.stl", tee()))
	b.until("the other part", func() bool { return b.desk.part != was })
	b.waitAdvised()
	if b.besides.on() || b.machines.Paired {
		t.Error("another part is still shown side by side")
	}
}
