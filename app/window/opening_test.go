package window

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/storage"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/job"
	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient"
)

func TestBadFileLeavesThePart(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	bad := filepath.Join(t.TempDir(), "bad.stl")
	if err := os.WriteFile(bad, []byte("solid nothing\nfacet normal oops\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{bad, filepath.Join(t.TempDir(), "gone.stl"), t.TempDir()} {
		b.openPath(path)
		b.until("the refusal", func() bool { return b.board.Text(noticeOpen) != "" })
		text := b.board.Text(noticeOpen)
		if !strings.HasSuffix(text, "tee stays open.") || strings.Contains(text, "\n") {
			t.Errorf("%s: %q", filepath.Base(path), text)
		}
		if b.desk.part.Name != "tee" || b.desk.advice == nil {
			t.Errorf("%s: the part or its advice is lost", filepath.Base(path))
		}
	}
}

func TestBadFileOnTheCommandLineShowsTheDemo(t *testing.T) {
	b := newBench(t, &scripted{}, 1280, 770)
	b.begin(filepath.Join(t.TempDir(), "gone.stl"))
	b.waitAdvised()
	if b.board.Text(noticeOpen) == "" {
		t.Error("nothing says that the file was not opened")
	}
	if want := strings.TrimSuffix(defaultDemo().File, ".stl"); b.desk.part.Name != want {
		t.Errorf("open is %q, want the built-in %q", b.desk.part.Name, want)
	}
}

func TestUnitIsSuggestedAndTakenInOneClick(t *testing.T) {
	small := meshtest.Block(0.02, 0.03, 0.05) // a part written in metres
	b := advised(t, "small.stl", small)
	n := b.board.notices
	if len(n) != 1 || n[0].key != noticeUnit || len(n[0].actions) != 1 || n[0].actions[0].label != "Read it in metres" {
		t.Fatalf("notices = %+v", n)
	}
	n[0].actions[0].do()
	b.until("the part in metres", func() bool { return b.desk.part.Unit == mesh.Metre })
	b.waitAdvised()
	if s := b.desk.part.Mesh.Bounds().Size(); r3.Norm(r3.Sub(s, r3.Vec{X: 20, Y: 30, Z: 50})) > 1e-4 {
		t.Errorf("size = %v mm, want 20 x 30 x 50", s)
	}
	if b.board.Text(noticeUnit) != "" {
		t.Error("the notice stays")
	}
	if !b.head.unit.Visible() {
		t.Error("the unit can no longer be changed")
	}
}

// twoItems reads any file as two build items.
type twoItems struct{ scripted }

func (twoItems) Open(context.Context, source) (*mesh.File, *job.Content, error) {
	return &mesh.File{Path: "two.3mf", Name: "two", Unit: mesh.Millimetre, Items: []mesh.Item{
		{Name: "stem", Mesh: meshtest.Block(10, 10, 40)}, {Mesh: meshtest.Block(30, 30, 10)},
	}}, nil, nil
}

func TestSeveralItemsAreAskedFor(t *testing.T) {
	b := newBench(t, &twoItems{}, 1280, 770)
	b.openPath("two.3mf")
	b.until("the question", func() bool { return b.board.Text(noticeItems) != "" })
	choice := b.board.notices[0].choices
	if len(choice.options) != 3 || !strings.Contains(choice.options[1], "stem") {
		t.Fatalf("options = %q", choice.options)
	}
	choice.take(2)
	b.waitAdvised()
	if got := b.desk.part.Mesh.Bounds().Size().Z; got != 10 {
		t.Errorf("the part is %v mm high, want the plate of 10", got)
	}
}

func TestDropTakesTheFirstAndSaysSo(t *testing.T) {
	b := newBench(t, &scripted{}, 1280, 770)
	a, c := stlFile(t, "a.stl", tee()), stlFile(t, "c.stl", tee())
	b.dropped([]fyne.URI{storage.NewFileURI(a), storage.NewFileURI(c)})
	if got := b.board.Text(noticeItems); !strings.Contains(got, "a.stl") {
		t.Errorf("notice = %q", got)
	}
	b.waitAdvised()
	if b.desk.part.Name != "a" || !slices.Equal(b.prefs.recent(), []string{a}) {
		t.Errorf("open is %q, recent %q", b.desk.part.Name, b.prefs.recent())
	}
	if got := b.menu.recent.ChildMenu.Items; len(got) != 1 || !strings.HasPrefix(got[0].Label, "a.stl") {
		t.Errorf("the menu of recent files does not hold it")
	}
}

// The work is stopped while the search runs, and can be taken up again.
func TestStopAndGoOn(t *testing.T) {
	begun := make(chan struct{}, 2)
	e := &scripted{}
	e.advise = func(ctx context.Context, p *mesh.Part, br orient.Brief, r func(orient.Progress)) (*orient.Advice, error) {
		r(orient.Progress{Stage: "measuring", Fraction: 0.3, Leaders: []orient.Candidate{turned(1, "XYZ, +Z up", 0)}})
		begun <- struct{}{}
		<-ctx.Done()
		return nil, ctx.Err()
	}
	b := newBench(t, e, 1280, 770)
	b.begin(stlFile(t, "tee.stl", tee()))
	b.until("the leaders", func() bool { return len(b.desk.leaders) == 1 })
	<-begun
	if got := b.head.verdict.Text; !strings.HasPrefix(got, "Best so far. ") || b.head.status.Text != "measuring" {
		t.Errorf("verdict %q, status %q", got, b.head.status.Text)
	}
	if !b.why.hand.Disabled() {
		t.Error("something could be handed over before there is advice")
	}
	b.key(fyne.KeyEscape)
	if b.advising.running() || b.win.Title() != "Kilnpoise - tee - stopped" {
		t.Errorf("not stopped: %q", b.win.Title())
	}
	e.advise = nil
	b.board.notices[0].actions[0].do() // Go on
	b.waitAdvised()
	if b.desk.advice == nil {
		t.Error("no advice after going on")
	}
}

func TestAdviceThatFailsIsToldInOneSentence(t *testing.T) {
	e := &scripted{advise: func(context.Context, *mesh.Part, orient.Brief, func(orient.Progress)) (*orient.Advice, error) {
		return nil, errors.New("tee has no volume to print\nand more")
	}}
	b := newBench(t, e, 1280, 770)
	b.begin(stlFile(t, "tee.stl", tee()))
	b.until("the refusal", func() bool { return b.board.Text(noticeAdvice) != "" })
	if got := b.board.Text(noticeAdvice); got != "Tee has no volume to print." {
		t.Errorf("notice = %q", got)
	}
	if b.win.Title() != "Kilnpoise - tee - failed" {
		t.Errorf("title = %q", b.win.Title())
	}
}

// A new part begins with a clean page: no sizes of the part before, and its
// movement drawn true.
func TestNothingOfTheLastPartStays(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	if b.machines.Beam.Left == "" {
		t.Fatal("no sizes stand under the views")
	}
	b.machines.SetSagDrawn(20)
	b.clearDesk()
	if beam := b.machines.Beam; beam.Left+beam.Middle+beam.Right != "" {
		t.Errorf("%q, %q, %q stand under empty views", beam.Left, beam.Middle, beam.Right)
	}
	if got := b.machines.SagDrawn; got != 1 {
		t.Errorf("the next part is drawn with %g × the sag", got)
	}
}
