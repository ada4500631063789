package window

import (
	"context"

	"kilnpoise/orient"
	"kilnpoise/render"
)

// stagedCandidate is one candidate made ready for both machines.
type stagedCandidate struct {
	pose orient.Pose
	// plate and setter show it as printed. laid is on the setter in the pose that
	// it is to be laid down in, nil where that is the same.
	plate, setter, laid *render.Scene
	// laidAs says in words how it is to be laid down.
	laidAs string
}

// onSetter gives the scene on the setter, as it is to be laid down or as printed.
func (s *stagedCandidate) onSetter(asPrinted bool) *render.Scene {
	if s.laid == nil || asPrinted {
		return s.setter
	}
	return s.laid
}

// sceneShelf keeps the candidates shown last, so that going back to one is
// instant. They are large: few are kept.
type sceneShelf struct{ staged []stagedCandidate }

const mostScenes = 4

// find gives the candidate in that pose.
func (s *sceneShelf) find(p orient.Pose) (stagedCandidate, bool) {
	for _, c := range s.staged {
		if c.pose == p {
			return c, true
		}
	}
	return stagedCandidate{}, false
}

// add keeps a candidate and lets the oldest go.
func (s *sceneShelf) add(c stagedCandidate) {
	if len(s.staged) == mostScenes {
		s.staged = s.staged[1:]
	}
	s.staged = append(s.staged[:len(s.staged):len(s.staged)], c)
}

// mark shows other marks on all candidates; see orient.Detail.Marked.
func (s *sceneShelf) mark(marked []orient.MarkSet) {
	staged := make([]stagedCandidate, len(s.staged))
	for i, c := range s.staged {
		c.plate, c.setter = c.plate.WithMarks(marked), c.setter.WithMarks(marked)
		if c.laid != nil {
			c.laid = c.laid.WithMarks(marked)
		}
		staged[i] = c
	}
	s.staged = staged
}

// clear lets all go.
func (s *sceneShelf) clear() { s.staged = nil }

// stage makes a candidate ready; it is worker's work.
func stage(ctx context.Context, e engine, a *orient.Advice, c *orient.Candidate) (stagedCandidate, error) {
	detail, err := e.Detail(ctx, a, c)
	if err != nil {
		return stagedCandidate{}, err
	}
	s := stagedCandidate{
		pose:   c.Pose,
		plate:  render.NewScene(detail, render.StageOf(&a.Brief, render.OnPlate)),
		setter: render.NewScene(detail, render.StageOf(&a.Brief, render.OnSetter)),
	}
	if c.RestsOtherwise() {
		rest, err := a.RestingDetail(ctx, c)
		if err != nil {
			return stagedCandidate{}, err
		}
		s.laid, s.laidAs = render.NewScene(rest, render.StageOf(&a.Brief, render.OnSetter)), c.LaidAs()
	}
	return s, ctx.Err()
}

// plainDetail is a candidate that is still being measured: its shape alone.
func plainDetail(d *desk, c *orient.Candidate) *orient.Detail {
	return &orient.Detail{Green: c.Pose.Green(d.part.Mesh), Sintered: c.Pose.Sintered(d.part.Mesh)}
}
