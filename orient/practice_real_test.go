package orient_test

import (
	"context"
	"encoding/csv"
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/mesh"
	"kilnpoise/orient"
	"kilnpoise/orient/orienttest"
)

const (
	realParts  = "../../shared/meshes/real"
	realTable  = "../testdata/orient/real_parts.csv"
	reasonable = 25 // letters that a reason has at least
)

// chosen is a line of the table of real parts: what the advice put first, the
// furnace solved and the supports planned, and why a technician would do the same.
type chosen struct {
	part, unit, name, reason     string
	signed                       bool // a technician would do the same; otherwise the reason says what instead
	up                           r3.Vec
	tipDeg, supportCM3, heightMM float64
}

// What the advice puts first on a real part never topples where another face
// carries the part, and the table tells it as it is measured. Lines that no
// technician would sign say what instead, and are skipped as open.
func TestPracticeOnRealParts(t *testing.T) {
	files, err := os.ReadDir(realParts)
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("the folder of real parts does not lie beside the checkout")
	}
	if err != nil {
		t.Fatal(err)
	}
	table := readChosen(t)
	for i, f := range files {
		if testing.Short() && i%shortStep != 0 {
			continue
		}
		t.Run(f.Name(), func(t *testing.T) {
			t.Parallel()
			row, known := table[f.Name()]
			part := readReal(t, f.Name(), mesh.Unit(row.unit))
			if !part.Health.Watertight {
				t.Skip("the part is not closed")
			}
			if !known || len(row.reason) < reasonable {
				t.Fatalf("the table has no line with a reason for %s", f.Name())
			}
			row.check(t, part)
		})
	}
}

func (r *chosen) check(t *testing.T, part *mesh.Part) {
	t.Helper()
	b := orienttest.BuiltInBrief(t)
	b.Candidates = 2
	b.Directions = []r3.Vec{r.up, top, bottom, front, back, left, right}
	a, err := orient.Advise(context.Background(), part, b, nil)
	if err != nil {
		t.Fatal(err)
	}
	first, told := &a.Candidates[0], given(a, r.up)
	t.Logf("%s: %s, up %.2f %.2f %.2f, tips at %.1f deg, %.1f cm3 of support, failing %q",
		r.part, first.Name, first.Pose.Up().X, first.Pose.Up().Y, first.Pose.Up().Z, first.Measures.TipAngleDeg, first.Measures.SupportVolumeMM3/1000, failedGates(first))
	for what, pair := range map[string][2]float64{
		"tip angle":    {r.tipDeg, told.Measures.TipAngleDeg},
		"support, cm3": {r.supportCM3, told.Measures.SupportVolumeMM3 / 1000},
		"height":       {r.heightMM, told.Measures.HeightMM},
	} {
		if math.Abs(pair[0]-pair[1]) > 0.03*math.Abs(pair[1])+0.2 {
			t.Errorf("%s of the first choice is %.2f in the table and measures %.2f", what, pair[0], pair[1])
		}
	}
	r.checkStanding(t, a)
}

// checkStanding wants both what comes first and what the table has first to stand by
// themselves, where some way up does.
func (r *chosen) checkStanding(t *testing.T, a *orient.Advice) {
	t.Helper()
	if !r.signed {
		t.Skipf("still open: %s", r.reason)
	}
	face := carrying(a)
	if face == nil {
		return
	}
	for _, c := range []*orient.Candidate{&a.Candidates[0], given(a, r.up)} {
		if !carried(c, a.Brief.Material.SmallestTipDeg) {
			t.Errorf("%s topples (it tips at %.1f deg on %.0f mm2), while %s carries the part", c.Name, c.Measures.TipAngleDeg, c.Measures.FootprintMM2, face.Name)
		}
	}
}

// carried reports whether c stands by itself, as printed and in the furnace.
func carried(c *orient.Candidate, least float64) bool {
	state, _ := stateOf(c, orient.GateStands)
	return state != failed && c.Measures.TipAngleDeg >= least
}

// carrying gives a candidate that stands by itself as printed and in the furnace;
// nil where there is none.
func carrying(a *orient.Advice) *orient.Candidate {
	for i := range a.Candidates {
		c := &a.Candidates[i]
		if carried(c, a.Brief.Material.SmallestTipDeg) && c.Measures.FootprintMM2 >= 1 {
			return c
		}
	}
	return nil
}

func readReal(t *testing.T, name string, unit mesh.Unit) *mesh.Part {
	t.Helper()
	f, err := mesh.ReadFile(context.Background(), filepath.Join(realParts, name), mesh.ReadOptions{Unit: unit})
	if err != nil {
		t.Fatal(err)
	}
	part, err := f.Part(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return part
}

func readChosen(t *testing.T) map[string]chosen {
	t.Helper()
	f, err := os.Open(realTable)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]chosen{}
	for _, l := range lines[1:] {
		n := make([]float64, 6)
		for i, s := range append(strings.Fields(l[3]), l[4:7]...) {
			if n[i], err = strconv.ParseFloat(s, 64); err != nil {
				t.Fatalf("%s: %v", l[0], err)
			}
		}
		out[l[0]] = chosen{
			part: l[0], unit: l[1], name: l[2], signed: l[8] == "yes", up: r3.Vec{X: n[0], Y: n[1], Z: n[2]},
			tipDeg: n[3], supportCM3: n[4], heightMM: n[5], reason: l[9],
		}
	}
	return out
}
