package command

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"

	"kilnpoise/app/fault"
	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

// brittle is a context that panics when it is asked for the so manieth time whether
// work should go on. Every goroutine of the engine asks, so that each can be made to
// panic from outside.
type brittle struct {
	context.Context
	left *atomic.Int64
}

func (b brittle) Err() error {
	if b.left.Add(-1) == 0 {
		panic("brittle")
	}
	return nil
}

// snapping is a writer that panics.
type snapping struct{}

func (*snapping) Write([]byte) (int, error) { panic("snapping") }

// TestAPanicIsOneLineAndAReport lets every command panic, advise at many steps and on
// all its goroutines: exit code 3, one line that names the report, and nothing left
// half-written.
func TestAPanicIsOneLineAndAReport(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	part, out := filepath.Join(t.TempDir(), "block.stl"), filepath.Join(t.TempDir(), "out")
	err := mesh.WriteFileWhole(part, func(w io.Writer) error { return mesh.WriteSTL(w, meshtest.Block(10, 8, 6), "a block") })
	if err != nil {
		t.Fatal(err)
	}
	tried := 0
	for k := int64(1); ; k += 1 + k/2 {
		left := new(atomic.Int64)
		left.Store(k)
		args := []string{"advise", part, "--candidates", "1", "--no-search", "--furnace-grid", "200", "--out", out}
		if breaks(t, brittle{context.Background(), left}, io.Discard, args) == exitDone {
			break
		}
		tried++
		checkClean(t, out)
	}
	if tried < 5 {
		t.Errorf("advise could be made to panic %d times only", tried)
	}
	table := filepath.Join(t.TempDir(), "table.csv")
	reading := []string{"book", "add", "--reading", "width,X,47.6,39.94", "--reading", "depth,Y,35,29.4", "--reading", "height,Z,25,20"}
	for _, args := range [][]string{reading, {"book", "export", "--out", table}} {
		if got := runs(t, args); got != exitDone {
			t.Fatalf("%v: exit code %d", args, got)
		}
	}
	for _, args := range [][]string{
		{"advise", part, "--json", "--no-files", "--no-search", "--no-furnace", "--out", t.TempDir()},
		{"calibrate", "--coupon", "15,3,0.6", "--try"},
		reading,
		{"book", "list"},
		{"book", "fit", "--material", "316l"},
		{"book", "export", "--out", "-"},
		{"book", "import", table},
		{"book", "remove", "1"},
	} {
		if code := breaks(t, context.Background(), &snapping{}, args); code != exitProgram {
			t.Errorf("%v with a writer that panics: exit code %d", args, code)
		}
		tried++
	}
	t.Logf("%d panics, each caught where its task began", tried)
}

// breaks runs a command line that may panic, and wants a line and a report where it
// does.
func breaks(t *testing.T, ctx context.Context, stdout io.Writer, args []string) int {
	t.Helper()
	desk := fault.Desk{Folder: t.TempDir(), Version: Version}
	var stderr bytes.Buffer
	code := run(ctx, desk, args, stdout, &stderr)
	if code == exitDone {
		return code
	}
	lines := strings.Split(strings.TrimSpace(stderr.String()), "\n")
	last := lines[len(lines)-1]
	_, report, found := strings.Cut(last, desk.Folder)
	if code != exitProgram || !found {
		t.Errorf("%v: exit code %d, last line %q", args, code, last)
		return code
	}
	data, err := os.ReadFile(desk.Folder + report)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(data), "brittle.Err") && !strings.Contains(string(data), "snapping") {
		t.Errorf("the report does not lead to the fault:\n%s", data)
	}
	return code
}

// checkClean wants no temporary file below a folder.
func checkClean(t *testing.T, folder string) {
	t.Helper()
	err := filepath.WalkDir(folder, func(path string, d os.DirEntry, err error) error {
		if err == nil && strings.HasSuffix(path, ".part") {
			t.Errorf("%s is left", path)
		}
		return err
	})
	if err != nil && !os.IsNotExist(err) {
		t.Error(err)
	}
}
