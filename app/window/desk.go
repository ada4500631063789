package window

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/job"
	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/orient/mark"
)

// desk is what lies on the desk: the part, the brief, the advice and the choice.
// Only the UI goroutine touches it.
type desk struct {
	from  source
	part  *mesh.Part
	facts partFacts
	// content is the file that the part was read from, item which of its build
	// items, as a job keeps them.
	content *job.Content
	item    int
	// notes are the user's own, hand what they asked for in the hand-over.
	notes string
	hand  handWishes

	brief orient.Brief
	// kept are the marks as places, from which the brief's are found; surface is
	// the part made ready for picking, nil until that is needed.
	kept    mark.Kept
	surface *mark.Surface
	// ids are the records that the brief was made from.
	ids [recordKinds]string

	// advice is the last that was finished; it stays while a new one is worked
	// out. leaders are shown only while there is none.
	advice *orient.Advice
	// advisedFor is the brief that the advice was asked for with.
	advisedFor orient.Brief
	leaders    []orient.Candidate
	// chosen is the build direction of the candidate that is shown; the zero
	// vector takes the first.
	chosen r3.Vec
	// left are the regions of support plans that the user leaves out; a slice is
	// never changed in place.
	left []leftOut
	// wanted is the direction of a candidate of the user's own that is still
	// being measured; it is chosen when it arrives.
	wanted r3.Vec
}

// candidates lists what can be shown now, best first.
func (d *desk) candidates() []orient.Candidate {
	if d.advice != nil {
		return d.advice.Candidates
	}
	return d.leaders
}

// index gives the place of the chosen candidate, or -1 where there is none.
func (d *desk) index() int {
	all := d.candidates()
	if len(all) == 0 {
		return -1
	}
	if d.chosen == (r3.Vec{}) {
		return 0
	}
	best, nearest := 0, math.Inf(-1)
	for i := range all {
		if c := r3.Dot(all[i].Pose.Up(), d.chosen); c > nearest {
			best, nearest = i, c
		}
	}
	if nearest < math.Cos(orient.SameDirectionDeg*math.Pi/180) {
		return 0 // it is no longer among them
	}
	return best
}

// candidate gives the chosen candidate, or nil.
func (d *desk) candidate() *orient.Candidate {
	i := d.index()
	if i < 0 {
		return nil
	}
	return &d.candidates()[i]
}

// choose takes the candidate at that place. Taking the first means "the best",
// whichever that will be after the next change of the brief.
func (d *desk) choose(i int) {
	all := d.candidates()
	if i < 0 || i >= len(all) {
		return
	}
	d.chosen = r3.Vec{}
	if i > 0 {
		d.chosen = all[i].Pose.Up()
	}
}

// put lays a new part on the desk; the brief stays, but for the directions and
// marks that belong to the old part. Marks on the same part, read anew, are found
// again; those that are not are returned.
func (d *desk) put(from source, part *mesh.Part, facts partFacts) []*mark.Lost {
	again := from.same(d.from) && facts.surface != nil
	d.from, d.part, d.facts = from, part, facts
	d.advice, d.leaders = nil, nil
	d.chosen, d.wanted = r3.Vec{}, r3.Vec{}
	d.left, d.notes = nil, ""
	d.hand.bodies, d.hand.raft, d.hand.sintered = false, false, false
	d.brief.Directions, d.brief.Marks = nil, mark.Marks{}
	d.surface = facts.surface
	if !again {
		d.kept = mark.Kept{}
		return nil
	}
	var lost []*mark.Lost
	d.brief.Marks, lost = d.kept.Find(d.surface)
	return lost
}

// settle takes a finished advice.
func (d *desk) settle(a *orient.Advice) {
	d.advice, d.leaders = a, nil
	if d.wanted != (r3.Vec{}) {
		d.chosen, d.wanted = d.wanted, r3.Vec{}
	}
}

// restOn adds the direction that rests the part on a face with that outward
// normal, in the part frame, and reports whether it is new.
func (d *desk) restOn(normal r3.Vec) bool {
	if n := r3.Norm(normal); !(n > 0) {
		return false
	}
	up := r3.Scale(-1, r3.Unit(normal))
	d.wanted = up
	for _, old := range d.brief.Directions {
		if r3.Dot(old, up) > 1-1e-9 {
			d.chosen, d.wanted = up, r3.Vec{}
			return false
		}
	}
	// A new slice: workers hold the old one.
	d.brief.Directions = append(append([]r3.Vec(nil), d.brief.Directions...), up)
	return true
}
