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

// The words of the table on whether a technician would sign the first choice.
const (
	signed = "yes"
	// noWay: no way up is right, and the reason says why and what to do instead.
	noWay = "no way"
)

// chosen is a line of the table of real parts: what the advice put first, the
// furnace solved and the supports planned, and why a technician would do the same.
type chosen struct {
	part, unit, name, signed, reason string
	up                               r3.Vec
	tipDeg, supportCM3, heightMM     float64
	// search is true where the search alone, without the furnace solved, puts the same
	// first.
	search bool
}

// What the advice puts first on a real part never topples where another face
// carries the part, however the file is turned, and the table tells it as it is measured.
// Every part has its line, which a technician would sign or which says why no way is
// right. The files turned are all for KILNPOISE_REQUIRE_ALL, a few of them for every day.
func TestPracticeOnRealParts(t *testing.T) {
	files, err := os.ReadDir(realParts)
	if errors.Is(err, fs.ErrNotExist) {
		t.Skip("the folder of real parts does not lie beside the checkout")
	}
	if err != nil {
		t.Fatal(err)
	}
	turnedToo := 5
	if os.Getenv("KILNPOISE_REQUIRE_ALL") != "" {
		turnedToo = 1
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
			if !known || len(row.reason) < reasonable || row.signed != signed && row.signed != noWay {
				t.Fatalf("the table has no line for %s that is signed or says why no way is right", f.Name())
			}
			straight := row.check(t, part, mesh.Identity())
			if i%turnedToo == 0 {
				row.compare(t, straight, row.check(t, part, anyTurn(uint64(i))))
			}
		})
	}
}

// check advises on the part with its file turned and gives the first choice.
func (r *chosen) check(t *testing.T, part *mesh.Part, turn mesh.Matrix) *orient.Candidate {
	t.Helper()
	turned := *part
	turned.Mesh = part.Mesh.Transform(turn, r3.Vec{})
	b := orienttest.BuiltInBrief(t)
	b.Candidates = 2
	for _, up := range []r3.Vec{r.up, top, bottom, front, back, left, right} {
		b.Directions = append(b.Directions, turn.MulVec(up))
	}
	a, err := orient.Advise(context.Background(), &turned, b, nil)
	if err != nil {
		t.Fatal(err)
	}
	first, told := &a.Candidates[0], given(a, turn.MulVec(r.up))
	up := turn.Transpose().MulVec(first.Pose.Up())
	t.Logf("%s, %s: %s, up %.4f %.4f %.4f, tips at %.1f deg, %.1f cm3 of support, %.1f mm high, failing %q",
		r.part, how(turn), first.Name, up.X, up.Y, up.Z, first.Measures.TipAngleDeg, first.Measures.SupportVolumeMM3/1000, first.Measures.HeightMM, failedGates(first))
	r.measuresAs(t, told, "what the table has first")
	if r.search {
		r.measuresAs(t, first, "the first choice")
	}
	r.checkStanding(t, a, told)
	return first
}

// measuresAs wants a candidate to measure as the table tells.
func (r *chosen) measuresAs(t *testing.T, c *orient.Candidate, what string) {
	t.Helper()
	for quantity, pair := range map[string][2]float64{
		"tip angle":    {r.tipDeg, c.Measures.TipAngleDeg},
		"support, cm3": {r.supportCM3, c.Measures.SupportVolumeMM3 / 1000},
		"height":       {r.heightMM, c.Measures.HeightMM},
	} {
		if math.Abs(pair[0]-pair[1]) > 0.03*math.Abs(pair[1])+0.2 {
			t.Errorf("%s: %s is %.2f in the table and measures %.2f (%s)", what, quantity, pair[0], pair[1], c.Name)
		}
	}
}

// compare wants the same first choice for the file straight and turned, by what it
// measures: of a part that is nearly symmetric the direction itself may be another.
func (r *chosen) compare(t *testing.T, straight, turned *orient.Candidate) {
	t.Helper()
	for quantity, pair := range map[string][2]float64{
		"tip angle":    {straight.Measures.TipAngleDeg, turned.Measures.TipAngleDeg},
		"support, cm3": {straight.Measures.SupportVolumeMM3 / 1000, turned.Measures.SupportVolumeMM3 / 1000},
		"height":       {straight.Measures.HeightMM, turned.Measures.HeightMM},
	} {
		if math.Abs(pair[0]-pair[1]) > 0.03*math.Abs(pair[0])+0.2 {
			t.Errorf("%s of the first choice is %.2f straight and %.2f turned", quantity, pair[0], pair[1])
		}
	}
}

// checkStanding wants both what comes first and what the table has first to stand by
// themselves, where some way up does; and where no way is right, none to be told as if
// it stood.
func (r *chosen) checkStanding(t *testing.T, a *orient.Advice, told *orient.Candidate) {
	t.Helper()
	face := carrying(a)
	if r.signed == noWay && face != nil {
		t.Errorf("no way is right, says the table, and %s carries the part", face.Name)
	}
	if face == nil {
		return
	}
	for _, c := range []*orient.Candidate{&a.Candidates[0], told} {
		if !carried(c, a.Brief.Material.SmallestTipDeg) {
			t.Errorf("%s topples (it tips at %.1f deg on %.1f mm2), while %s carries the part", c.Name, c.Measures.TipAngleDeg, c.Measures.FootprintMM2, face.Name)
		}
	}
}

// carried reports whether c stands by itself, as printed and in the furnace.
func carried(c *orient.Candidate, least float64) bool {
	state, _ := stateOf(c, orient.GateStands)
	return state != failed && c.Measures.TipAngleDeg >= least
}

// carrying gives a candidate that stands by itself as printed and in the furnace, on a
// foot broad enough; nil where there is none.
func carrying(a *orient.Advice) *orient.Candidate {
	for i := range a.Candidates {
		c := &a.Candidates[i]
		if state, _ := stateOf(c, orient.GateStands); state == passed && carried(c, a.Brief.Material.SmallestTipDeg) {
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
			part: l[0], unit: l[1], name: l[2], search: l[8] == "yes", signed: l[9], up: r3.Vec{X: n[0], Y: n[1], Z: n[2]},
			tipDeg: n[3], supportCM3: n[4], heightMM: n[5], reason: l[10],
		}
	}
	return out
}
