package headless_test

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/handover"
	"kilnpoise/app/headless"
	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

// plainRun is a run with files that takes little time.
func plainRun(part, out string, up ...r3.Vec) headless.Options {
	return headless.Options{Part: part, Out: out, NoFurnace: true, OnlyGiven: true, Up: up}
}

func start(o headless.Options) error {
	return headless.Run(context.Background(), o, &bytes.Buffer{}, &bytes.Buffer{})
}

// A run takes the place of the one before as a whole: no picture of more candidates
// stays, and another part or what somebody changed gives way only when asked.
func TestRunsReplaceTheirSet(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	part, out := writePart(t, meshtest.Block(10, 8, 6)), filepath.Join(t.TempDir(), "out")
	other := filepath.Join(t.TempDir(), "crank.stl")
	if data, err := os.ReadFile(part); err != nil || os.WriteFile(other, data, 0o600) != nil {
		t.Fatal(err)
	}
	if err := start(plainRun(part, out, r3.Vec{X: 1}, r3.Vec{Y: 1})); err != nil {
		t.Fatal(err)
	}
	three := visible(t, out)
	if err := start(plainRun(part, out)); err != nil {
		t.Fatal(err)
	}
	want := []string{"advice.json", "candidate-01.png", "hook-green.3mf", "hook-green.stl", "hook-sheet.pdf"}
	if one := visible(t, out); !slices.Equal(one, want) || len(three) != 7 {
		t.Errorf("%v after %v", one, three)
	}
	var way *handover.InTheWayError
	if err := start(plainRun(other, out)); !errors.As(err, &way) || !strings.Contains(err.Error(), "advice.json") || !strings.Contains(err.Error(), "--force") {
		t.Errorf("another part: %v", err)
	}
	if after := visible(t, out); !slices.Equal(after, want) {
		t.Errorf("refused, and the folder holds %v", after)
	}
	forced := plainRun(other, out)
	forced.Force = true
	if err := start(forced); err != nil {
		t.Fatal(err)
	}
	for i := range want {
		want[i] = strings.Replace(want[i], "hook", "crank", 1)
	}
	slices.Sort(want)
	if after := visible(t, out); !slices.Equal(after, want) {
		t.Errorf("forced, and the folder holds %v", after)
	}
	if err := os.WriteFile(filepath.Join(out, "crank-sheet.pdf"), []byte("signed"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := start(plainRun(other, out)); !errors.As(err, &way) || !slices.Equal(way.Files, []string{"crank-sheet.pdf"}) {
		t.Errorf("a sheet that was changed: %v", err)
	}
}

// The part is safe where a link leads from an output to it.
func TestTheInputIsNotWrittenOver(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	part := writePart(t, meshtest.Block(10, 8, 6))
	before, err := os.ReadFile(part)
	if err != nil {
		t.Fatal(err)
	}
	out := t.TempDir()
	if err := os.Symlink(part, filepath.Join(out, "hook-green.stl")); err != nil {
		t.Skip("needs links")
	}
	for _, force := range []bool{false, true} {
		o := plainRun(part, out)
		o.Force = force
		if err := start(o); err == nil || !strings.Contains(err.Error(), "hook-green.stl") {
			t.Errorf("forced %v: error %v", force, err)
		}
	}
	if after, err := os.ReadFile(part); err != nil || !bytes.Equal(before, after) {
		t.Error("the part has changed")
	}
	if files := visible(t, out); len(files) != 1 {
		t.Errorf("the folder holds %v", files)
	}
}

// A run that is stopped leaves the folder as it was, wherever it stops.
func TestStoppedRunsLeaveTheSetBefore(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	part, out := writePart(t, meshtest.Block(10, 8, 6)), t.TempDir()
	if err := start(plainRun(part, out, r3.Vec{X: 1})); err != nil {
		t.Fatal(err)
	}
	was, err := os.ReadFile(filepath.Join(out, "advice.json"))
	if err != nil {
		t.Fatal(err)
	}
	stopped := 0
	for k := 1; ; k++ {
		ctx, cancel := context.WithCancel(context.Background())
		s := &stopper{cancel: cancel, left: k}
		err := headless.Run(ctx, plainRun(part, out), &bytes.Buffer{}, s)
		cancel()
		if err == nil {
			break
		}
		stopped++
		if now, e := os.ReadFile(filepath.Join(out, "advice.json")); e != nil || !bytes.Equal(was, now) || len(visible(t, out)) != 6 {
			t.Fatalf("stopped at line %d, the folder holds %v", k, visible(t, out))
		}
		if hidden, _ := filepath.Glob(filepath.Join(out, ".kilnpoise*")); len(hidden) != 1 {
			t.Errorf("stopped at line %d, left behind: %v", k, hidden)
		}
	}
	t.Logf("stopped at %d lines", stopped)
	if stopped < 5 {
		t.Errorf("stopped %d times only", stopped)
	}
}

// What was asked for beside the advice may fail by itself: it is told, and the rest is
// written.
func TestBodiesThatCannotBeBuilt(t *testing.T) {
	if testing.Short() {
		t.Skip("short: a part of two metres")
	}
	spinner := &mesh.Mesh{ // stands on a corner, with flat flanks
		Vertices: []r3.Vec{{Z: -5}, {X: 10}, {Y: 10}, {X: -10}, {Y: -10}, {Z: 5}},
		Facets:   [][3]int32{{0, 2, 1}, {0, 3, 2}, {0, 4, 3}, {0, 1, 4}, {5, 1, 2}, {5, 2, 3}, {5, 3, 4}, {5, 4, 1}},
	}
	table := meshtest.Blocks([]float64{0, 900, 1100, 2000}, []float64{0, 900, 1100, 2000}, []float64{0, 300, 400}, func(i, j, k int) bool { return k == 1 || i == 1 && j == 1 })
	tests := []struct {
		name         string
		m            *mesh.Mesh
		bodies, raft bool
		told, built  []string
	}{
		{"no foot", spinner, false, true, []string{"The raft could not be built"}, nil},
		{"no foot but supports", spinner, true, true, nil, []string{"hook-raft.stl", "hook-support-1.stl"}},
		{"walls too thin", table, true, true, []string{"The planned support could not be built", "The raft could not be built"}, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			o := plainRun(writePart(t, tt.m), t.TempDir())
			o.Bodies, o.Raft = tt.bodies, tt.raft
			_, told := run(t, o)
			report := readReport(t, filepath.Join(o.Out, "advice.json"))
			findings := strings.Join(report.Part.Findings, "\n")
			for _, want := range tt.told {
				if !strings.Contains(told, want) || !strings.Contains(findings, want) {
					t.Errorf("%q is not told in\n%s\nand\n%s", want, told, findings)
				}
			}
			files := visible(t, o.Out)
			if len(tt.told) == 0 == strings.Contains(findings, "could not be built") || len(files) != 5+len(tt.built) {
				t.Errorf("findings %q, files %v", findings, files)
			}
			for _, want := range tt.built {
				if !slices.Contains(files, want) {
					t.Errorf("%s is missing among %v", want, files)
				}
			}
		})
	}
}
