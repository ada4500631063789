package orient_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/orient/orienttest"
)

// ways is a set of build directions: near one of dirs, or across an axis. The zero
// value holds all.
type ways struct {
	dirs   []r3.Vec
	across r3.Vec
}

// nearDeg is how near a build direction has to be.
const nearDeg = 3

func way(dirs ...r3.Vec) ways { return ways{dirs: dirs} }

// hold reports whether up, on the part as drawn, is among w.
func (w ways) hold(up r3.Vec) bool {
	if w.all() {
		return true
	}
	near := func(d r3.Vec) bool { return angleDeg(up, d) <= nearDeg }
	return slices.ContainsFunc(w.dirs, near) || w.across != (r3.Vec{}) && math.Abs(angleDeg(up, w.across)-90) <= nearDeg
}

// all reports whether w holds every direction.
func (w ways) all() bool { return len(w.dirs) == 0 && w.across == (r3.Vec{}) }

func angleDeg(a, b r3.Vec) float64 {
	return math.Atan2(r3.Norm(r3.Cross(a, b)), r3.Dot(a, b)) * 180 / math.Pi
}

// The first choice for each kind of part is one that a technician would take,
// whichever way the file has it. The whole table is for KILNPOISE_REQUIRE_ALL, half
// of it for every day.
func TestPractice(t *testing.T) {
	step := 2
	switch {
	case os.Getenv("KILNPOISE_REQUIRE_ALL") != "":
		step = 1
	case testing.Short():
		step = shortStep
	}
	for i, p := range practices() {
		if i%step != 0 {
			continue
		}
		t.Run(p.part, func(t *testing.T) {
			t.Parallel()
			straight := p.check(t, mesh.Identity())
			turned := p.check(t, anyTurn(uint64(i)))
			p.compare(t, straight, turned)
		})
	}
}

// shortStep is which part of the table -short takes.
const shortStep = 8

// anyTurn is some rotation, the same for the same seed.
func anyTurn(seed uint64) mesh.Matrix {
	r := rand.New(rand.NewPCG(seed, 7))
	axis := r3.Unit(r3.Vec{X: r.NormFloat64(), Y: r.NormFloat64(), Z: r.NormFloat64()})
	return mesh.RotationAbout(axis, 0.4+2.2*r.Float64())
}

// check advises on the part with its file turned, and gives the first choice.
func (p *practice) check(t *testing.T, turn mesh.Matrix) *orient.Candidate {
	t.Helper()
	part := soundPart(t, p.part, p.mesh.Transform(turn, r3.Vec{X: 3, Y: -7, Z: 11}))
	b := orienttest.BuiltInBrief(t)
	b.Candidates = 2
	for _, v := range p.also {
		b.Directions = append(b.Directions, turn.MulVec(v.up))
	}
	a, err := orient.Advise(context.Background(), part, b, nil)
	if err != nil {
		t.Fatal(err)
	}
	if p.fired {
		if a, err = a.Fire(context.Background(), orient.FiringOptions{Elements: firedElements}, nil); err != nil {
			t.Fatal(err)
		}
	}
	for _, fault := range p.faults(a, turn) {
		p.report(t, "%s: %s (%s)", how(turn), fault, p.why)
	}
	return &a.Candidates[0]
}

// firedElements is a grid that tells the choice, not the tenth of a millimetre.
const firedElements = 4000

// report is t.Errorf, but skips a row that is open.
func (p *practice) report(t *testing.T, format string, args ...any) {
	t.Helper()
	if p.open {
		t.Skipf("still open: "+format, args...)
	}
	t.Errorf(format, args...)
}

func how(turn mesh.Matrix) string {
	if turn == mesh.Identity() {
		return "straight"
	}
	return "turned"
}

// faults says in what the advice is not what a technician would do.
func (p *practice) faults(a *orient.Advice, turn mesh.Matrix) []string {
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	first := &a.Candidates[0]
	back := turn.Transpose()
	if up := back.MulVec(first.Pose.Up()); !p.up.hold(up) {
		say("first is %q with %.2f %.2f %.2f of the drawing up, tips at %.1f deg on %.1f mm2, %.0f mm3 of support, failing %q",
			first.Name, up.X, up.Y, up.Z, first.Measures.TipAngleDeg, first.Measures.FootprintMM2, first.Measures.SupportVolumeMM3, failedGates(first))
		return out
	}
	if least := a.Brief.Material.SmallestTipDeg; !p.rolls && first.Measures.TipAngleDeg < least {
		say("first tips at %.1f deg, wanted %.0f at least", first.Measures.TipAngleDeg, least)
	}
	if p.bare && first.Measures.SupportVolumeMM3 > 1 {
		say("first needs %.0f mm3 of support", first.Measures.SupportVolumeMM3)
	}
	out = append(out, p.gateFaults(first)...)
	for _, v := range p.also {
		if c := given(a, turn.MulVec(v.up)); !v.fault.shows(c, &a.Brief) {
			say("with %v of the drawing up it %s, and the measures do not show it: tips at %.1f deg, lean grows by a factor of %.2f, sags by %.2f mm",
				v.up, v.fault, c.Measures.TipAngleDeg, c.Measures.LeanGrowth, c.Measures.SagMM)
		}
	}
	return out
}

// shows reports whether the measures of the pose, as printed, have the fault.
func (f standingFault) shows(c *orient.Candidate, b *orient.Brief) bool {
	switch m, mat := &c.Measures, &b.Material; f {
	case topples:
		return m.TipAngleDeg < mat.SmallestTipDeg
	case leans:
		return m.LeanGrowthLow > 1+mat.AllowedLeanGrowth
	default:
		return m.SagMM > mat.AllowedSagMM
	}
}

// gateFaults compares the gates of the first choice with those wanted.
func (p *practice) gateFaults(c *orient.Candidate) []string {
	var out []string
	var reasons strings.Builder
	for _, want := range p.fails {
		if state, reason := stateOf(c, want); state != failed {
			out = append(out, fmt.Sprintf("%q should have failed and is %s: %s", want, orNone(state), reason))
		}
	}
	for i := range c.Gates {
		g := &c.Gates[i]
		if string(g.State) != failed {
			continue
		}
		reasons.WriteString(g.Reason)
		expected := func(name string) bool { return strings.Contains(g.Name, name) }
		if !slices.ContainsFunc(p.fails, expected) && !slices.ContainsFunc(p.mayFail, expected) {
			out = append(out, fmt.Sprintf("%q fails: %s", g.Name, g.Reason))
		}
	}
	if !strings.Contains(reasons.String(), p.cure) {
		out = append(out, fmt.Sprintf("no failed gate names the record that would fit (%q): %s", p.cure, reasons.String()))
	}
	return out
}

// compare wants the same first choice for the file straight and turned, by what
// it costs: of symmetric parts the direction itself may be another. Where every way
// will do, since none stands, it may.
func (p *practice) compare(t *testing.T, straight, turned *orient.Candidate) {
	t.Helper()
	if t.Failed() || p.up.all() {
		return
	}
	for what, pair := range map[string][2]float64{
		"height": {straight.Measures.HeightMM, turned.Measures.HeightMM}, "tip angle": {straight.Measures.TipAngleDeg, turned.Measures.TipAngleDeg},
		"support": {straight.Measures.SupportVolumeMM3, turned.Measures.SupportVolumeMM3}, "footprint": {straight.Measures.FootprintMM2, turned.Measures.FootprintMM2},
	} {
		if math.Abs(pair[0]-pair[1]) > 0.02*math.Abs(pair[0])+0.1 {
			p.report(t, "%s is %.2f straight and %.2f turned", what, pair[0], pair[1])
		}
	}
}

// given gives the candidate measured for a direction of the brief.
func given(a *orient.Advice, up r3.Vec) *orient.Candidate {
	for i := range a.Candidates {
		c := &a.Candidates[i]
		if c.Origin == orient.Given && angleDeg(c.Pose.Up(), up) < 1e-3 {
			return c
		}
	}
	return &orient.Candidate{}
}

func failedGates(c *orient.Candidate) []string {
	var names []string
	for i := range c.Gates {
		if string(c.Gates[i].State) == failed {
			names = append(names, c.Gates[i].Name)
		}
	}
	return names
}

// stateOf gives the state and the reason of the gate whose name holds a word; ""
// where there is no such gate.
func stateOf(c *orient.Candidate, word string) (state, reason string) {
	for i := range c.Gates {
		if strings.Contains(c.Gates[i].Name, word) {
			return string(c.Gates[i].State), c.Gates[i].Reason
		}
	}
	return "", ""
}

func orNone(state string) string {
	if state == "" {
		return "not there"
	}
	return state
}

// soundPart makes a part of a mesh as reading a file does; bodies that run through
// each other become one, and nothing else may want mending.
func soundPart(t *testing.T, name string, m *mesh.Mesh) *mesh.Part {
	t.Helper()
	mended, health, err := mesh.Mend(context.Background(), m)
	if err != nil {
		t.Fatal(err)
	}
	if !health.Watertight {
		t.Fatalf("the part is not closed: %q", health.Findings)
	}
	return &mesh.Part{Name: name, File: name + ".stl", Mesh: mended, Health: health}
}
