package orient

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

func blockAt(x, y, z, w, d, h float64) *mesh.Mesh {
	return meshtest.Moved(meshtest.Block(w, d, h), x, y, z)
}

// Of several bodies each has to stand by itself: the least tip angle counts, and the
// gate names the body.
func TestEachBodyStandsByItself(t *testing.T) {
	slab, pin := blockAt(0, 0, 0, 40, 30, 10), blockAt(60, 0, 0, 4, 10, 20)
	for _, tt := range []struct {
		name   string
		m      *mesh.Mesh
		tip    float64 // as loaded
		state  State
		reason string
	}{
		{"both on the plate", meshtest.Together(slab, blockAt(60, 0, 0, 20, 20, 20)), 0, Passed, "tips at"},
		{"one tips early", meshtest.Together(slab, pin), math.Atan2(2*1/0.84, 10*1/0.8) * 180 / math.Pi, Passed, "Body 2 of 2 (about X 62, Y 5, Z 10 in the file) tips at"},
		{"one hangs", meshtest.Together(slab, blockAt(60, 4, 5, 20, 20, 10)), 0, Failed, "body 2 of 2 (about X 70, Y 14, Z 10 in the file) rests on nothing."},
		{"one in the hollow of the other", meshtest.Together(meshtest.Blocks([]float64{0, 5, 35, 40}, []float64{0, 5, 35, 40}, []float64{0, 5, 35}, func(i, j, k int) bool {
			return k == 0 || i != 1 || j != 1
		}), blockAt(12, 12, 8, 10, 10, 10)), 0, Failed, "rests on nothing."},
	} {
		for _, turn := range []mesh.Matrix{mesh.Identity(), mesh.RotationAbout(r3.Vec{Z: 1}, 0.6)} {
			b := testBrief(t)
			b.OnlyGiven = true
			a := advise(t, partOf(tt.name, tt.m.Transform(turn, r3.Vec{})), b)
			c := a.AsLoaded()
			g := c.Gates[gateStands]
			reason := tt.reason
			if turn != mesh.Identity() {
				reason = ""
			}
			if g.State != tt.state || !strings.Contains(g.Reason, reason) {
				t.Errorf("%s: standing is %s: %s", tt.name, g.State, g.Reason)
			}
			if tt.tip > 0 && math.Abs(c.Measures.TipAngleDeg-tt.tip) > 0.1 {
				t.Errorf("%s: it tips at %.2f deg, want %.2f", tt.name, c.Measures.TipAngleDeg, tt.tip)
			}
			if told := strings.Contains(g.Cure, "Export each body"); told != (tt.state == Failed) {
				t.Errorf("%s: what to do is %q", tt.name, g.Cure)
			}
			if c.Falls() != (tt.state == Failed) {
				t.Errorf("%s: falls is %v", tt.name, c.Falls())
			}
			if len(a.Notes) == 0 || !strings.Contains(a.Notes[0], "holds 2 bodies that do not touch") {
				t.Errorf("%s: the notes do not tell of the bodies: %q", tt.name, a.Notes)
			}
		}
	}
	one := advise(t, partOf("one", meshtest.Together(slab, blockAt(10, 10, 10, 5, 5, 5))), testBrief(t))
	for _, n := range one.Notes {
		if strings.Contains(n, "bodies") {
			t.Errorf("bodies that touch are told as separate: %s", n)
		}
	}
}

// Where every way leaves some body hanging, the one that leaves the least of them is
// first.
func TestLeastThatHangs(t *testing.T) {
	m := meshtest.Together(blockAt(0, 0, 0, 60, 50, 6), blockAt(10, 10, 9, 8, 8, 8), blockAt(40, 30, 9, 8, 8, 5))
	b := testBrief(t)
	b.Candidates = 2
	a := advise(t, partOf("deck", m), b)
	if up := a.Candidates[0].Pose.Up(); !a.Candidates[0].Falls() || angleBetween(up, r3.Vec{Z: 1}) > 1 {
		t.Errorf("first is %s with %v up, want the deck on the plate", a.Candidates[0].Name, up)
	}
}

// A foot that is small for the height is in doubt, and what is asked for is told.
func TestSmallFootIsInDoubt(t *testing.T) {
	legs := func(side float64) *mesh.Mesh {
		at := []float64{0, side, 40 - side, 40}
		return meshtest.Blocks(at, at, []float64{0, 38, 40}, func(i, j, k int) bool { return k == 1 || i != 1 && j != 1 })
	}
	for _, tt := range []struct {
		side  float64
		state State
	}{{1.4, Doubtful}, {3, Passed}} {
		b := testBrief(t)
		b.OnlyGiven = true
		c := advise(t, partOf("table", legs(tt.side)), b).AsLoaded()
		m := &c.Measures
		printed := m.lyingAsPrinted(c.setter)
		v := b.judgeLying(&printed)
		if m.TipAngleDeg < 8 || v.gates[gateStands].state != tt.state {
			t.Errorf("legs of %g mm: tips at %.1f deg on %.1f mm2 and is %s, want %s", tt.side, m.TipAngleDeg, m.FootprintMM2, v.gates[gateStands].state, tt.state)
		}
		reason := standsReason(m, &printed, b.Material.SmallestTipDeg)
		if told := strings.Contains(reason, "rests on 11 mm2 only, where its height asks for 25 mm2"); told != (tt.state == Doubtful) {
			t.Errorf("legs of %g mm: %s", tt.side, reason)
		}
		if (m.RaftMM3 > 0) != (tt.state == Doubtful) {
			t.Errorf("legs of %g mm: a raft of %.0f mm3", tt.side, m.RaftMM3)
		}
	}
}

// What every way up misses alike decides nothing; what is missed beyond it does.
func TestWhatNoWayAvoids(t *testing.T) {
	way := func(gate int, r ruling, curable bool) sampled {
		var s sampled
		for i := range s.verdict.gates {
			s.verdict.gates[i].state = Passed
		}
		s.verdict.gates[gate], s.verdict.curable[gate] = r, curable
		return s
	}
	failed := func(miss float64) ruling { return ruling{Failed, miss} }
	passed := ruling{state: Passed}
	for _, tt := range []struct {
		name    string
		gate    int
		ways    []sampled
		nothing []float64 // misses that weigh nothing
		weighs  []float64
	}{
		{"too thick every way", gateDebinding, []sampled{way(gateDebinding, failed(0.97), false), way(gateDebinding, failed(1.02), false)}, []float64{0.97, 1.02, 1.16}, []float64{1.3, 3}},
		{"thick but for one", gateDebinding, []sampled{way(gateDebinding, failed(0.02), false), way(gateDebinding, passed, false)}, nil, []float64{0.02, 0.1}},
		{"too thin every way", gateThin, []sampled{way(gateThin, failed(0.5), false), way(gateThin, failed(0.53), false)}, []float64{0.5, 0.54}, []float64{0.6}},
		{"fits nothing", gateFurnace, []sampled{way(gateFurnace, failed(0.4), false), way(gateFurnace, failed(2), false)}, []float64{0.4, 2, 900}, nil},
		{"fits another record some way", gateFurnace, []sampled{way(gateFurnace, failed(0.4), false), way(gateFurnace, failed(2), true)}, nil, []float64{0.4, 2}},
		{"sag is no matter of the shape alone", gateSag, []sampled{way(gateSag, failed(0.4), false), way(gateSag, failed(2), false)}, nil, []float64{0.4, 2}},
	} {
		weight := func(miss float64) float64 {
			w := way(tt.gate, failed(miss), false)
			w.verdict.least = unavoidableOf(tt.ways)
			return w.verdict.burden()
		}
		for _, miss := range tt.nothing {
			if w := weight(miss); w != 0 {
				t.Errorf("%s: missed by %g weighs %g, want nothing", tt.name, miss, w)
			}
		}
		for _, miss := range tt.weighs {
			if w := weight(miss); w <= 0 {
				t.Errorf("%s: missed by %g weighs nothing", tt.name, miss)
			}
		}
	}
}

// Laying it down on another face with no gain, and a foot or tip angle that is smaller,
// come second; no gain makes up for what is missed.
func TestTieBreaks(t *testing.T) {
	b := testBrief(t)
	base := Measures{TipAngleDeg: 40, FootprintMM2: 100, PrintTimeS: 2000}
	less, narrow := base, base
	less.TipAngleDeg, narrow.FootprintMM2 = 20, 30
	anew := made(0.3, base)
	flat := Lying{TipAngleDeg: 45}
	flat.Lean.Growth, flat.Lean.Low, flat.Lean.High = 1, 1, 1
	anew.Resting = &Resting{laid: []Lying{flat, flat}, Chosen: 1}
	all := []Candidate{anew, made(0.2, less), made(0.1, narrow), made(0, base)}
	for i := range all {
		all[i].Name = []string{"laid anew", "tips earlier", "narrower", "as it is"}[i]
	}
	rank(all, testYard(), b)
	var order []string
	for _, c := range all {
		order = append(order, c.Name)
	}
	if got := strings.Join(order, ", "); got != "as it is, narrower, tips earlier, laid anew" {
		t.Errorf("order: %s", got)
	}
}
