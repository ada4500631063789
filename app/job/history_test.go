package job_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"kilnpoise/app/job"
)

// watch is a clock that a test winds.
type watch struct{ now time.Time }

func (w *watch) read() time.Time { return w.now }

func history(depth int) (*job.History[int], *watch) {
	w := &watch{time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)}
	h := job.NewHistory(0)
	h.Depth, h.Clock = depth, w.read
	return h, w
}

func TestUndoAndRedoNameTheirSteps(t *testing.T) {
	h, _ := history(10)
	h.Do("mark a face", 1)
	h.Do("choose a candidate", 2)
	if label, ok := h.CanUndo(); !ok || label != "choose a candidate" {
		t.Errorf("undo offers %q", label)
	}
	if v, ok := h.Undo(); !ok || v != 1 {
		t.Errorf("undo gives %d", v)
	}
	if label, ok := h.CanUndo(); !ok || label != "mark a face" {
		t.Errorf("undo offers %q", label)
	}
	if label, ok := h.CanRedo(); !ok || label != "choose a candidate" {
		t.Errorf("redo offers %q", label)
	}
	if v, ok := h.Redo(); !ok || v != 2 {
		t.Errorf("redo gives %d", v)
	}
	if _, ok := h.Redo(); ok {
		t.Error("there is nothing to redo")
	}
	h.Undo()
	h.Do("add a load", 3)
	if label, ok := h.CanRedo(); ok {
		t.Errorf("after another step %q can be redone", label)
	}
	h.Undo()
	h.Undo()
	if v, ok := h.Undo(); ok || v != 0 {
		t.Errorf("undoing past the beginning gives %d, %v", v, ok)
	}
}

func TestSlidesAreOneStep(t *testing.T) {
	h, w := history(10)
	slide := func(label string, v int, after time.Duration) {
		w.now = w.now.Add(after)
		h.Slide(label, v)
	}
	undone := func() []int {
		var out []int
		for v, ok := h.Undo(); ok; v, ok = h.Undo() {
			out = append(out, v)
		}
		h.Reset(0)
		return out
	}
	for i := 1; i <= 20; i++ {
		slide("weigh sag", i, 100*time.Millisecond)
	}
	if got := undone(); !slices.Equal(got, []int{0}) {
		t.Errorf("twenty slides are undone by way of %v", got)
	}
	slide("weigh sag", 1, 0)
	slide("weigh sag", 2, 2*time.Second)
	slide("weigh faces", 3, 0)
	if got := undone(); !slices.Equal(got, []int{2, 1, 0}) {
		t.Errorf("slides after a rest and of another slider are undone by way of %v", got)
	}
	h.Do("weigh sag", 1)
	slide("weigh sag", 2, 0)
	h.Saved()
	slide("weigh sag", 3, 0)
	if !h.Changed() {
		t.Error("a slide after saving counts as saved")
	}
	if got := undone(); !slices.Equal(got, []int{2, 1, 0}) {
		t.Errorf("slides after a step and after saving are undone by way of %v", got)
	}
	slide("weigh sag", 1, 0)
	slide("weigh faces", 2, 0)
	h.Undo()
	slide("weigh sag", 3, 0)
	if got := undone(); !slices.Equal(got, []int{1, 0}) {
		t.Errorf("a slide after undoing is undone by way of %v", got)
	}
}

func TestAmendIsNoStep(t *testing.T) {
	h, _ := history(10)
	h.Do("open", 1)
	h.Saved()
	h.Amend(11)
	if h.Now() != 11 || h.Changed() {
		t.Errorf("now %d, changed %v", h.Now(), h.Changed())
	}
	h.Undo()
	if v, _ := h.Redo(); v != 11 {
		t.Errorf("redo gives %d", v)
	}
}

// model is history told the simplest way: every state ever, with its number.
type model struct {
	past, future []int
	now, saved   int
	depth        int
}

func (m *model) step(v int) {
	m.past = append(m.past, m.now)
	if len(m.past) > m.depth {
		m.past = m.past[1:]
	}
	m.now, m.future = v, nil
}

func TestHistoryAgainstAModel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := &model{depth: rapid.IntRange(1, 6).Draw(t, "depth")}
		h, w := history(m.depth)
		next := 0 // every state is another one, so values tell states
		fresh := func() int { next++; return next }
		t.Repeat(map[string]func(*rapid.T){
			"do": func(*rapid.T) {
				v := fresh()
				h.Do("do", v)
				m.step(v)
			},
			"slide alone": func(*rapid.T) {
				w.now = w.now.Add(time.Minute)
				v := fresh()
				h.Slide("slide", v)
				m.step(v)
			},
			"slide and slide on": func(t *rapid.T) {
				w.now = w.now.Add(time.Minute)
				n := rapid.IntRange(2, 5).Draw(t, "slides")
				for range n {
					h.Slide("slide", fresh())
				}
				m.step(next)
			},
			"undo": func(t *rapid.T) {
				v, ok := h.Undo()
				if ok != (len(m.past) > 0) {
					t.Fatalf("undo says %v with %v before", ok, m.past)
				}
				if ok {
					m.future = append(m.future, m.now)
					m.now, m.past = m.past[len(m.past)-1], m.past[:len(m.past)-1]
				}
				if v != m.now {
					t.Fatalf("undo gives %d, want %d", v, m.now)
				}
			},
			"redo": func(t *rapid.T) {
				v, ok := h.Redo()
				if ok != (len(m.future) > 0) {
					t.Fatalf("redo says %v with %v after", ok, m.future)
				}
				if ok {
					m.past = append(m.past, m.now)
					m.now, m.future = m.future[len(m.future)-1], m.future[:len(m.future)-1]
				}
				if v != m.now {
					t.Fatalf("redo gives %d, want %d", v, m.now)
				}
			},
			"save":  func(*rapid.T) { h.Saved(); m.saved = m.now },
			"amend": func(*rapid.T) { h.Amend(m.now) },
			"": func(t *rapid.T) {
				_, undo := h.CanUndo()
				_, redo := h.CanRedo()
				if h.Now() != m.now || undo != (len(m.past) > 0) || redo != (len(m.future) > 0) || h.Changed() != (m.saved != m.now) {
					t.Fatalf("now %d, undo %v, redo %v, changed %v; the model is %+v", h.Now(), undo, redo, h.Changed(), m)
				}
			},
		})
	})
}

func ExampleHistory() {
	h := job.NewHistory("a bare part")
	h.Do("mark a face", "a part with a clean face")
	label, _ := h.CanUndo()
	back, _ := h.Undo()
	fmt.Printf("undo %q: %s\n", label, back)
	// Output: undo "mark a face": a bare part
}
