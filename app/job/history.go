package job

import "time"

// History is undo and redo over states that are never changed in place. Its zero
// value is not usable; see NewHistory. It is used by one goroutine.
type History[T any] struct {
	// Depth is how many steps can be undone; the oldest go. Changing it counts
	// from the next step on.
	Depth int
	// Within is how soon one Slide must follow another to be one step with it.
	Within time.Duration
	// Clock tells the time.
	Clock func() time.Time

	states []state[T] // never empty
	at     int        // the state that holds now
	saved  int        // the state that is saved; notKept where it is none of these
}

// state is a state with the step that led to it.
type state[T any] struct {
	value T
	label string
	// slid is when the last Slide led to it; zero for Do.
	slid time.Time
}

const (
	usualDepth  = 200
	usualWithin = time.Second
	notKept     = -1
)

// NewHistory begins with a state, which counts as saved.
func NewHistory[T any](first T) *History[T] {
	return &History[T]{Depth: usualDepth, Within: usualWithin, Clock: time.Now, states: []state[T]{{value: first}}}
}

// Now gives the state that holds.
func (h *History[T]) Now() T { return h.states[h.at].value }

// Do takes a step to another state. label says it in words, for "undo …": "mark a
// face". What was undone before cannot be redone any more.
func (h *History[T]) Do(label string, next T) { h.push(state[T]{value: next, label: label}) }

// Slide takes a step as Do does, but makes it one with the step before where that was
// a Slide of the same label a moment ago: the many small steps of a slider are undone
// at once.
func (h *History[T]) Slide(label string, next T) {
	now := h.Clock()
	s := &h.states[h.at]
	last := h.at == len(h.states)-1
	if last && h.at > 0 && h.saved != h.at && s.label == label && !s.slid.IsZero() && now.Sub(s.slid) <= h.Within {
		s.value, s.slid = next, now
		return
	}
	h.push(state[T]{value: next, label: label, slid: now})
}

func (h *History[T]) push(next state[T]) {
	clear(h.states[h.at+1:]) // let go of what they hold
	h.states = append(h.states[:h.at+1], next)
	if h.saved > h.at {
		h.saved = notKept
	}
	h.at++
	if over := h.at - max(h.Depth, 1); over > 0 {
		clear(h.states[:over])
		h.states = append([]state[T](nil), h.states[over:]...)
		h.at -= over
		h.saved = max(h.saved-over, notKept)
	}
}

// CanUndo gives the label of the step that Undo would take back, and false where
// there is none.
func (h *History[T]) CanUndo() (label string, ok bool) {
	if h.at == 0 {
		return "", false
	}
	return h.states[h.at].label, true
}

// CanRedo gives the label of the step that Redo would take again, and false where
// there is none.
func (h *History[T]) CanRedo() (label string, ok bool) {
	if h.at == len(h.states)-1 {
		return "", false
	}
	return h.states[h.at+1].label, true
}

// Undo takes the last step back and gives the state before it; false where there is
// none, and nothing changes. A Slide after it begins a step of its own.
func (h *History[T]) Undo() (T, bool) {
	if h.at == 0 {
		return h.Now(), false
	}
	h.at--
	return h.Now(), true
}

// Redo takes the step again that was undone last; see Undo.
func (h *History[T]) Redo() (T, bool) {
	if h.at == len(h.states)-1 {
		return h.Now(), false
	}
	h.at++
	h.states[h.at].slid = time.Time{}
	return h.Now(), true
}

// Saved notes that the state that holds was saved.
func (h *History[T]) Saved() { h.saved = h.at }

// Changed reports whether the state that holds differs from the saved one.
func (h *History[T]) Changed() bool { return h.saved != h.at }

// Reset begins anew with a state, which counts as saved.
func (h *History[T]) Reset(first T) {
	h.states, h.at, h.saved = []state[T]{{value: first}}, 0, 0
}

// Amend puts another value in place of the state that holds, without a step: for what
// is no doing of the user, such as a finished advice.
func (h *History[T]) Amend(value T) { h.states[h.at].value = value }
