package window

import (
	"context"

	"kilnpoise/orient"
	"kilnpoise/render"
)

// stagedCandidate is one candidate made ready for both machines.
type stagedCandidate struct {
	pose          orient.Pose
	plate, setter *render.Scene
	detail        *orient.Detail
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

// replace puts another showing of a candidate in its place.
func (s *sceneShelf) replace(c stagedCandidate) {
	for i := range s.staged {
		if s.staged[i].pose == c.pose {
			s.staged[i] = c
		}
	}
}

// clear lets all go.
func (s *sceneShelf) clear() { s.staged = nil }

// stage makes a candidate ready; it is worker's work.
func stage(ctx context.Context, e engine, a *orient.Advice, c *orient.Candidate) (stagedCandidate, error) {
	detail, err := e.Detail(ctx, a, c)
	if err != nil {
		return stagedCandidate{}, err
	}
	return stagedCandidate{
		pose:   c.Pose,
		detail: detail,
		plate:  render.NewScene(detail, render.StageOf(&a.Brief, render.OnPlate)),
		setter: render.NewScene(detail, render.StageOf(&a.Brief, render.OnSetter)),
	}, ctx.Err()
}

// plainDetail is a candidate that is still being measured: its shape alone.
func plainDetail(d *desk, c *orient.Candidate) *orient.Detail {
	return &orient.Detail{Green: c.Pose.Green(d.part.Mesh), Sintered: c.Pose.Sintered(d.part.Mesh)}
}
