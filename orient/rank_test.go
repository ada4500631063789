package orient

import (
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// made makes a ranked-to-be candidate with the given measures.
func made(x float64, m Measures) Candidate {
	p, _ := poseFor(r3.Unit(r3.Vec{X: x, Z: 1}), []r3.Vec{{}, {X: 1}, {Y: 1}, {Z: 1}}, r3.Vec{X: 1, Y: 1, Z: 1})
	m.FootShare, m.LoadStrength, m.ThinnestGreenWallMM = 1, 1, 3
	return Candidate{Origin: FromSearch, Pose: p, Measures: m, GreenSize: r3.Vec{X: 10, Y: 10, Z: 10}}
}

func testYard() yardstick {
	return yardstick{greenVolume: 1000, greenArea: 600, side: 10, bareTimeS: 1000, layer: 0.15, supportFill: 0.2, allowedSag: 0.3, bond: 0.8}
}

// A candidate that fails a gate never comes before one that passes all, however
// cheap it is.
func TestFailedGatesComeLast(t *testing.T) {
	cheap := made(0, Measures{TipAngleDeg: 1, PrintTimeS: 1000})
	dear := made(1, Measures{TipAngleDeg: 40, PrintTimeS: 9000, SupportVolumeMM3: 5000, SupportContactMM2: 300, SagMM: 0.2, SagLowMM: 0.1})
	all := []Candidate{cheap, dear}
	rank(all, testYard(), testBrief(t))
	if !all[0].Passes() || all[1].Passes() {
		t.Errorf("order by gates: %v, %v", all[0].Gates, all[1].Gates)
	}
	if all[0].Cost < all[1].Cost {
		t.Error("the test wants the failing candidate to be the cheaper one")
	}
}

// The Pareto set: better in one is enough to stay, worse in all is not.
func TestFront(t *testing.T) {
	base := Measures{TipAngleDeg: 40, PrintTimeS: 2000, SupportVolumeMM3: 100, StepHeightMM: 0.05, DimensionSpreadMM: 0.1, SagMM: 0.1, SagLowMM: 0.03}
	worse, other := base, base
	worse.SupportVolumeMM3, worse.SagMM = 200, 0.2
	other.SupportVolumeMM3, other.PrintTimeS = 300, 1200
	all := []Candidate{made(0, base), made(1, worse), made(2, other)}
	rank(all, testYard(), testBrief(t))
	for _, c := range all {
		if want := c.Measures.SagMM != 0.2; c.OnFront != want {
			t.Errorf("support %g, sag %g: on the front %v, want %v", c.Measures.SupportVolumeMM3, c.Measures.SagMM, c.OnFront, want)
		}
	}
	if all[2].Measures.SagMM != 0.2 {
		t.Error("the dominated candidate is not last")
	}
}

// Priorities decide among the front.
func TestPrioritiesDecide(t *testing.T) {
	quick := made(0, Measures{TipAngleDeg: 40, PrintTimeS: 1100, SupportVolumeMM3: 900, SupportContactMM2: 100})
	clean := made(1, Measures{TipAngleDeg: 40, PrintTimeS: 3000})
	for _, tt := range []struct {
		p    Priorities
		want float64
	}{{Priorities{LessSupport: 1}, 3000}, {Priorities{ShorterPrint: 1}, 1100}} {
		all := []Candidate{quick, clean}
		b := testBrief(t)
		b.Priorities = tt.p
		rank(all, testYard(), b)
		if got := all[0].Measures.PrintTimeS; got != tt.want {
			t.Errorf("priorities %v: first prints %g s, want %g", tt.p, got, tt.want)
		}
	}
}

// Terms lie between 0 and 1 and grow with their measure.
func TestTermsGrow(t *testing.T) {
	y := testYard()
	less := Measures{LoadStrength: 1, FootShare: 1, SupportVolumeMM3: 10, SupportContactMM2: 5, SagMM: 0.1, PrintTimeS: 1100, StepHeightMM: 0.01, DimensionSpreadMM: 0.05}
	more := Measures{LoadStrength: 0.8, SupportVolumeMM3: 1e9, SupportContactMM2: 5e6, SagMM: 1e4, PrintTimeS: 1e9, StepHeightMM: 3, DimensionSpreadMM: 70}
	lying := func(m *Measures) *Lying { l := m.lyingAsPrinted(fitting{}); return &l }
	a, b := y.values(&less, nil, lying(&less)), y.values(&more, nil, lying(&more))
	for i := range a {
		if !(a[i] >= 0 && a[i] < b[i] && b[i] <= 1) {
			t.Errorf("%s: %g and %g, want 0 <= less < more <= 1", Priority(i), a[i], b[i])
		}
	}
}

// Reasons carry the numbers of the measures they speak of.
func TestReasonsAreTrueToTheMeasures(t *testing.T) {
	if testing.Short() {
		t.Skip("short: numbers alone, and many of them")
	}
	a := advise(t, partOf("bench", bench()), testBrief(t))
	best, from := &a.Candidates[0], a.AsLoaded()
	if best.Origin == AsLoaded {
		t.Fatal("the test wants a part that is better turned")
	}
	text := strings.Join(best.Reasons, "\n")
	u := unitsFor(&best.Measures, &from.Measures)
	here := u.volume(best.Measures.SupportVolumeMM3)
	if isNought(here) {
		here = "none"
	}
	want := "(" + here + " against " + u.volume(from.Measures.SupportVolumeMM3) + ")"
	if !strings.Contains(text, want) {
		t.Errorf("reasons do not hold %q:\n%s", want, text)
	}
	for _, c := range a.Candidates {
		for _, g := range c.Gates {
			if !g.Passed && !strings.Contains(strings.Join(c.Reasons, "\n"), g.Name) {
				t.Errorf("no. %d fails %q and no reason says so", c.Rank, g.Name)
			}
		}
	}
}
