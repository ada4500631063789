package window

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"kilnpoise/app/book"
	"kilnpoise/app/job"
	"kilnpoise/app/window/kit"
	"kilnpoise/app/window/machines"
	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/orient/support"
	"kilnpoise/render"
)

// faulty is an engine with a fault of the program in one of its steps.
type faulty struct {
	scripted
	at atomic.Value // a string: the step that panics
}

func (f *faulty) pass(step string) {
	if f.at.Load() == step {
		var none []int
		_ = none[len(step)]
	}
}

func (f *faulty) Open(ctx context.Context, from source) (*mesh.File, *job.Content, error) {
	f.pass("open")
	return f.scripted.Open(ctx, from)
}

func (f *faulty) Part(ctx context.Context, m *mesh.File, item int) (*mesh.Part, error) {
	f.pass("part")
	return f.scripted.Part(ctx, m, item)
}

func (f *faulty) Advise(ctx context.Context, p *mesh.Part, b orient.Brief, r func(orient.Progress)) (*orient.Advice, error) {
	f.pass("advise")
	return f.scripted.Advise(ctx, p, b, r)
}

func (f *faulty) Revise(ctx context.Context, a *orient.Advice, b orient.Brief, r func(orient.Progress)) (*orient.Advice, error) {
	f.pass("revise")
	return f.scripted.Revise(ctx, a, b, r)
}

func (f *faulty) Fire(ctx context.Context, a *orient.Advice, r func(orient.Progress)) (*orient.Advice, error) {
	f.pass("fire")
	return f.scripted.Fire(ctx, a, r)
}

func (f *faulty) Plan(ctx context.Context, a *orient.Advice, p orient.Pose, left []int) (*orient.Advice, error) {
	f.pass("plan")
	return f.scripted.Plan(ctx, a, p, left)
}

func (f *faulty) Map(ctx context.Context, a *orient.Advice, n int) ([]orient.MapPoint, error) {
	f.pass("map")
	return f.scripted.Map(ctx, a, n)
}

func (f *faulty) Detail(ctx context.Context, a *orient.Advice, c *orient.Candidate) (*orient.Detail, error) {
	f.pass("detail")
	return f.scripted.Detail(ctx, a, c)
}

func (f *faulty) Write(ctx context.Context, o handoverOrder) (handed, error) {
	f.pass("write")
	return f.scripted.Write(ctx, o)
}

// handReport is what the hand-over says, where there is one.
func (b *bench) handReport() []fyne.CanvasObject {
	if b.hand == nil {
		return nil
	}
	return b.hand.report.Objects
}

// said is all that the window says in notices and in the hand-over.
func (b *bench) said() string {
	var all []string
	for _, n := range b.board.notices {
		all = append(all, n.text)
	}
	for _, o := range b.handReport() {
		for _, p := range test.LaidOutObjects(o) {
			if t, ok := p.(*kit.Prose); ok {
				all = append(all, t.Text)
			}
		}
	}
	if b.firings != nil {
		for _, n := range b.firings.board.notices {
			all = append(all, n.text)
		}
	}
	return strings.Join(all, " | ")
}

// A fault of the program in any kind of work costs that work alone: the window stays
// with the job as it was, says it in a sentence that names a report, and goes on.
func TestAFaultCostsOneTask(t *testing.T) {
	for _, tt := range []struct {
		name string
		// step is where the engine fails; do begins the work.
		step string
		do   func(t *testing.T, b *bench)
	}{
		{"reading a part", "open", func(t *testing.T, b *bench) { b.openPath(stlFile(t, "secret.stl", tee())) }},
		{"checking a part", "part", func(t *testing.T, b *bench) { b.openPath(stlFile(t, "secret.stl", tee())) }},
		{"advice for another part", "advise", func(t *testing.T, b *bench) { b.desk.advice = nil; b.advise() }},
		{"advice for another brief", "revise", func(_ *testing.T, b *bench) { b.advise() }},
		{"the furnace", "fire", func(_ *testing.T, b *bench) { b.fire() }},
		{"the map", "map", func(_ *testing.T, b *bench) { b.sphere.of = nil; b.mapSphere() }},
		{"the views", "detail", func(_ *testing.T, b *bench) { b.scenes.clear(); b.showMachines() }},
		{"side by side", "detail", func(_ *testing.T, b *bench) { b.scenes.clear(); b.toggleBesides() }},
		{"the cards", "detail", func(_ *testing.T, b *bench) { clear(b.thumbs); b.drawThumbs() }},
		{"the hand-over", "write", func(t *testing.T, b *bench) {
			b.beginHandOver()
			b.writeFiles(handChoice{folder: t.TempDir(), name: "secret", stl: true})
		}},
		{"supports", "plan", func(_ *testing.T, b *bench) {
			advice := *b.desk.advice
			advice.Candidates = append([]orient.Candidate(nil), advice.Candidates...)
			advice.Candidates[0].Plan = &support.Plan{}
			b.desk.advice = &advice
			b.choose(1)
			b.planChosen()
		}},
		{"reading a job", "", func(_ *testing.T, b *bench) {
			b.readJob("secret", func(context.Context) (openedJob, error) { panic("secret") }, func(err error) { b.jobRefused("secret", err) })
		}},
		{"saving", "", func(_ *testing.T, b *bench) {
			b.mainWindow.save("saving", func(context.Context, job.Job) (*job.Claim, error) { panic("secret") })
		}},
		{"an errand", "", func(_ *testing.T, b *bench) { b.errand("an errand", func() { panic("secret") }) }},
		{"a picture", "", func(_ *testing.T, b *bench) {
			b.machines.Framers[0].Ask(machines.FrameRequest{Shot: render.Shot{Width: 5, Height: 5}}) // no scene
		}},
		{"what a worker posts", "", func(_ *testing.T, b *bench) { b.post(func() { panic("secret") }) }},
		{"a button", "", func(_ *testing.T, b *bench) { b.hand = nil; b.why.OnHandOver() }},
		{"a key", "", func(_ *testing.T, b *bench) {
			b.hand = nil
			b.win.Canvas().OnTypedKey()(&fyne.KeyEvent{Name: fyne.KeyH})
		}},
		{"a menu", "", func(_ *testing.T, b *bench) { b.hand = nil; b.menu.main.Items[4].Items[2].Action() }},
		{"a notice", "", func(_ *testing.T, b *bench) {
			b.board.Put(notice{key: "x", actions: []noticeAction{{"Go", func() { panic("secret") }}}})
			b.board.attempt(b.board.notices[0].actions[0].do)
		}},
		{"the firing book", "", func(t *testing.T, b *bench) {
			b.bookPath = filepath.Join(t.TempDir(), "firings")
			b.openFiringBook()
			b.firings.write("writing", func(context.Context, *book.Book) error { panic("secret") }, func(err error) { b.firings.failed(err) })
			t.Cleanup(b.firings.end)
		}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			e := &faulty{}
			b := newBench(t, e, 1280, 770)
			b.begin(stlFile(t, "secret.stl", tee()))
			b.waitAdvised()
			b.takeNotes("precious")
			kept := b.jobNow()
			hand, part := b.hand, b.desk.part
			e.at.Store(tt.step)
			tt.do(t, b)
			b.until("the fault to be told", func() bool { return strings.Contains(b.said(), "fault of the program itself") })
			e.at.Store("")
			b.hand, b.desk.part = hand, part
			reports, err := filepath.Glob(filepath.Join(b.faults.Folder, "*.txt"))
			if err != nil || len(reports) == 0 {
				t.Fatalf("no report was written: %v, %v", reports, err)
			}
			named := false
			for _, report := range reports {
				named = named || strings.Contains(b.said(), report)
				text, err := os.ReadFile(report)
				if err != nil || strings.Contains(string(text), "secret") || !strings.Contains(string(text), "Kilnpoise test") {
					t.Errorf("the report says %s (%v)", text, err)
				}
			}
			if !named || strings.Contains(b.said(), "\n") {
				t.Errorf("the window says %q, and the reports are %s", b.said(), reports)
			}
			if now := b.jobNow(); now.Notes != kept.Notes || !now.Part.Content.Equal(kept.Part.Content) {
				t.Errorf("the job is %+v, was %+v", now, kept)
			}
			b.openPath(stlFile(t, "next.stl", tee()))
			b.until("the next part", func() bool { return b.desk.part.Name == "next" })
			b.waitAdvised()
			for name, busy := range map[string]bool{
				"the hand-over": b.handing.running(), "the saving": b.savingJob.running(), "the opening": b.opening.running(),
			} {
				if busy {
					t.Errorf("%s is still going on", name)
				}
			}
		})
	}
}
