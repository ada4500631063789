package window

import (
	"fmt"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/window/kit"
	"kilnpoise/orient"
)

// seenText is a text with the part of the window that it may be seen through.
type seenText struct {
	text  *canvas.Text
	at    fyne.Position
	frame rect
}

// rect is a rectangle in units of the window.
type rect struct{ x0, y0, x1, y1 float32 }

func (r rect) cut(p fyne.Position, s fyne.Size) rect {
	return rect{max(r.x0, p.X), max(r.y0, p.Y), min(r.x1, p.X+s.Width), min(r.y1, p.Y+s.Height)}
}

// seen walks through what is visible and lists its texts. What lies in a scroll
// can be brought into view in its direction, and is only held against its edges
// across.
func seen(o fyne.CanvasObject, at fyne.Position, frame rect, out *[]seenText) {
	if !o.Visible() {
		return
	}
	at = at.Add(o.Position())
	switch o := o.(type) {
	case *canvas.Text:
		*out = append(*out, seenText{o, at, frame})
	case *fyne.Container:
		for _, c := range o.Objects {
			seen(c, at, frame, out)
		}
	case *container.Scroll:
		frame = frame.cut(at, o.Size())
		if o.Direction == container.ScrollHorizontalOnly {
			frame.x0, frame.x1 = -1e6, 1e6
		} else {
			frame.y0, frame.y1 = -1e6, 1e6
		}
		seen(o.Content, at, frame, out)
	case fyne.Widget:
		for _, c := range test.WidgetRenderer(o).Objects() {
			seen(c, at, frame, out)
		}
	}
}

// cutOff lists the texts that are not seen whole.
func cutOff(w fyne.Window) []string {
	// These end in dots because they lead on.
	asks := map[string]bool{"Open a part…": true, "Open another…": true, "Hand over…": true, "Figures…": true, "Choose…": true, "another unit…": true, "change…": true}
	var texts []seenText
	size := w.Canvas().Size()
	seen(w.Content(), fyne.Position{}, rect{0, 0, size.Width, size.Height}, &texts)
	var out []string
	for _, t := range texts {
		if t.text.Text == "" {
			continue
		}
		if strings.HasSuffix(t.text.Text, "…") && !asks[t.text.Text] {
			out = append(out, fmt.Sprintf("%q is shortened", t.text.Text))
		}
		need, has := t.text.MinSize(), t.text.Size()
		x0, x1 := t.at.X, t.at.X+need.Width
		switch t.text.Alignment {
		case fyne.TextAlignTrailing:
			x1 = t.at.X + has.Width
			x0 = x1 - need.Width
		case fyne.TextAlignCenter:
			x0 = t.at.X + (has.Width-need.Width)/2
			x1 = x0 + need.Width
		}
		const slack = 1
		if x0 < t.frame.x0-slack || x1 > t.frame.x1+slack || t.at.Y < t.frame.y0-slack || t.at.Y+need.Height > t.frame.y1+2*slack {
			out = append(out, fmt.Sprintf("%q at %.0f..%.0f, %.0f..%.0f of %+v", t.text.Text, x0, x1, t.at.Y, t.at.Y+need.Height, t.frame))
		}
	}
	return out
}

func TestNothingIsCutOff(t *testing.T) {
	sizes := []fyne.Size{fyne.NewSize(1280, 770), fyne.NewSize(1024, 670), fyne.NewSize(1920, 1050)}
	if testing.Short() {
		sizes = sizes[:1]
	}
	states := []struct {
		name string
		set  func(*bench)
	}{
		{"as opened", func(*bench) {}},
		{"last candidate", func(b *bench) { b.choose(len(b.desk.candidates()) - 1) }},
		{"brief", func(b *bench) { b.openBrief() }},
		{"record", func(b *bench) { b.editRecord(materialRecord) }},
		{"side by side", func(b *bench) {
			b.toggleBesides()
			b.until("the pair", func() bool { return b.machines.Paired })
		}},
		{"both again", func(b *bench) { b.toggleBesides() }},
		{"coupon", func(b *bench) { b.openCoupon() }},
		{"marks", func(b *bench) {
			b.beginMarking()
			b.until("the surface", func() bool { return b.desk.surface != nil })
			b.takeWhat(markDistance)
			b.facePicked(facetFacing(b.t, b.desk.part.Mesh, r3.Vec{Z: 1}))
			b.facePicked(facetFacing(b.t, b.desk.part.Mesh, r3.Vec{Z: -1}))
		}},
		{"hand-over", func(b *bench) { b.toggleBrief(); b.beginHandOver() }},
		{"notices", func(b *bench) {
			b.board.Put(notice{key: "a", kind: kit.MarkFails, text: "A rather long sentence that tells of a fault in a file, names the place and says what to do about it, and goes on.",
				actions: []noticeAction{{"Open another…", func() {}}, {"Try again", func() {}}}})
			b.board.Put(notice{key: "b", kind: kit.MarkNote, text: "Which?", choices: &noticeChoice{options: []string{"one", "two"}}})
		}},
		{"picking", func(b *bench) { b.board.Clear("a"); b.board.Clear("b"); b.endHandOver(); b.togglePicking() }},
		{"busy", func(b *bench) { b.head.SetBusy("measuring the finalists on the full mesh", 0.4) }},
	}
	for _, size := range sizes {
		b := newBench(t, &scripted{}, size.Width, size.Height)
		b.begin(stlFile(t, "a-part-with-quite-a-long-name-for-a-fitting.stl", tee()))
		b.waitAdvised()
		b.until("the scenes", func() bool { return b.machines.Scenes[0] != nil })
		for _, s := range states {
			s.set(b)
			b.q.drain()
			for _, text := range cutOff(b.win) {
				t.Errorf("%.0f x %.0f, %s: cut off: %s", size.Width, size.Height, s.name, text)
			}
		}
		b.win.Resize(fyne.NewSize(600, 300))
		if len(cutOff(b.win)) == 0 {
			t.Error("nothing is cut off in far too small a window: the check sees nothing")
		}
	}
}

// The text that widgets shorten by themselves must still fit at usual sizes.
func TestCardsHoldTheirTitles(t *testing.T) {
	test.NewTempApp(t).Settings().SetTheme(kit.NewLook(kit.AlwaysLight))
	for _, name := range []string{"on its side, broad side down, -X up", "upright, heavy end down", "leaning 35 deg, A -135 B -10 C -115 deg"} {
		face := faceOf(&orient.Candidate{Name: name, Origin: orient.FromSearch})
		for text, role := range map[string]kit.TextRole{face.title: kit.RoleStrong, face.below: kit.RoleSmall} {
			if w := role.Measure(text).Width; w > cardWidth-2*cardMargin {
				t.Errorf("%q is %.0f wide, the card has %d", text, w, cardWidth-2*cardMargin)
			}
		}
	}
}
