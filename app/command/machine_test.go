//go:build unix

package command

import (
	"bytes"
	"fmt"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
)

// beTheProgram is set for processes that are the program and no test.
const beTheProgram = "KILNPOISE_TEST_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(beTheProgram) != "" {
		os.Exit(Main(os.Args[1:]))
	}
	os.Exit(m.Run())
}

// program makes a process of the program with a home of its own.
func program(t *testing.T, args ...string) (*exec.Cmd, *bytes.Buffer) {
	t.Helper()
	home := t.TempDir()
	c := exec.Command(os.Args[0], args...)
	c.Env = append(os.Environ(), beTheProgram+"=1", "HOME="+home, "XDG_CONFIG_HOME="+filepath.Join(home, "config"), "XDG_STATE_HOME="+filepath.Join(home, "state"))
	var stderr bytes.Buffer
	c.Stderr = &stderr
	return c, &stderr
}

// code gives the exit code of a process that has ended.
func code(err error) int {
	if err == nil {
		return 0
	}
	if e, ok := err.(*exec.ExitError); ok {
		return e.ExitCode()
	}
	return -1
}

// block writes a small part.
func block(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "block.stl")
	m := meshtest.Block(10, 8, 6)
	err := mesh.WriteFileWhole(path, func(w io.Writer) error { return mesh.WriteSTL(w, m, "a block") })
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// advise are the arguments of a run that takes little time.
func advise(part, out string, more ...string) []string {
	return append([]string{"advise", part, "--no-search", "--no-furnace", "--out", out}, more...)
}

// oneLine wants the last line of what was told to be the program's own, and to say
// something of the words.
func oneLine(t *testing.T, stderr, want string) {
	t.Helper()
	lines := strings.Split(strings.TrimSpace(stderr), "\n")
	if last := lines[len(lines)-1]; !strings.HasPrefix(last, "kilnpoise: ") || !strings.Contains(last, want) || strings.Contains(last, "context canceled") {
		t.Errorf("the last line is %q, want %q in it", last, want)
	}
}

// hidden lists the hidden files of a folder.
func hidden(folder string) []string {
	out, _ := filepath.Glob(filepath.Join(folder, ".*"))
	return out
}

// Each signal that asks to stop ends a run at once, with the folder as it was.
func TestSignals(t *testing.T) {
	part, tried := block(t), 0
	for _, signal := range []os.Signal{syscall.SIGINT, syscall.SIGTERM, syscall.SIGHUP} {
		out := filepath.Join(t.TempDir(), "out")
		c, stderr := program(t, "advise", part, "--out", out)
		c.Stderr = nil
		told, err := c.StderrPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		first := make([]byte, 1)
		if _, err := io.ReadFull(told, first); err != nil { // it is at work
			t.Fatal(err)
		}
		time.Sleep(50 * time.Millisecond)
		began := time.Now()
		if err := c.Process.Signal(signal); err != nil {
			t.Fatal(err)
		}
		_, _ = io.Copy(stderr, told)
		if got := code(c.Wait()); got != exitFault {
			t.Errorf("%v: exit code %d", signal, got)
		}
		t.Logf("%v: ended after %v", signal, time.Since(began).Round(time.Millisecond))
		oneLine(t, stderr.String(), "stopped")
		if left, _ := os.ReadDir(out); len(left) != 0 {
			t.Errorf("%v leaves %v", signal, left)
		}
		tried++
	}
	t.Logf("%d signals", tried)
}

// A run that is killed leaves nothing that the next one does not clear away.
func TestKilledRuns(t *testing.T) {
	part, out := block(t), t.TempDir()
	c, stderr := program(t, advise(part, out)...)
	began := time.Now()
	if err := c.Run(); err != nil {
		t.Fatal(err, stderr.String())
	}
	whole := time.Since(began)
	const kills = 6
	for i := range kills {
		c, _ := program(t, advise(part, out)...)
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(whole * time.Duration(i+1) / (kills + 1))
		_ = c.Process.Kill()
		_ = c.Wait()
		entries, err := os.ReadDir(out)
		if err != nil {
			t.Fatal(err)
		}
		seen := 0
		for _, e := range entries {
			if !strings.HasPrefix(e.Name(), ".") {
				seen++
			}
		}
		if _, err := os.Lstat(filepath.Join(out, ".kilnpoise-ready")); err != nil && seen != 5 { // it is not brought to its end yet
			t.Errorf("killed, and the folder holds %v", entries)
		}
	}
	c, stderr = program(t, advise(part, out)...)
	if err := c.Run(); err != nil {
		t.Fatal(err, stderr.String())
	}
	if left := hidden(out); len(left) != 1 {
		t.Errorf("left behind: %v", left)
	}
	t.Logf("%d kills", kills)
}

// A pipe that nobody reads costs what is told, never what is written.
func TestClosedPipes(t *testing.T) {
	part := block(t)
	for name, give := range map[string]func(c *exec.Cmd, w *os.File){
		"standard error":  func(c *exec.Cmd, w *os.File) { c.Stderr = w },
		"standard output": func(c *exec.Cmd, w *os.File) { c.Stdout = w },
	} {
		out := t.TempDir()
		c, _ := program(t, advise(part, out, "--json")...)
		r, w, err := os.Pipe()
		if err != nil {
			t.Fatal(err)
		}
		r.Close()
		give(c, w)
		got := code(c.Run())
		w.Close()
		if want := map[bool]int{true: exitFault, false: exitDone}[name == "standard output"]; got != want {
			t.Errorf("%s: exit code %d, want %d", name, got, want)
		}
		if _, err := os.Stat(filepath.Join(out, "advice.json")); err != nil || len(hidden(out)) != 1 {
			t.Errorf("%s: %v, hidden %v", name, err, hidden(out))
		}
	}
}

// Faults of the machine end in one line and exit code 1, or are told and got round.
func TestFaultsOfTheMachine(t *testing.T) {
	part := block(t)
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	taken := t.TempDir()
	if err := os.Mkdir(filepath.Join(taken, "advice.json"), 0o755); err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name string
		args []string
		env  []string
		want int
		says string
	}{
		{"a file with the name of the folder", advise(part, file), nil, exitFault, file},
		{"a folder below a file", advise(part, filepath.Join(file, "out")), nil, exitFault, file},
		{"a folder in the place of a file", advise(part, taken), nil, exitFault, "advice.json"},
		{"a device for a folder", advise(part, "/dev/null"), nil, exitFault, "/dev/null"},
		{"a folder that takes nothing", advise(part, "/proc/kilnpoise"), nil, exitFault, "/proc/kilnpoise"},
		{"a home that is none", advise(part, t.TempDir()), []string{"HOME=" + file, "XDG_CONFIG_HOME=" + file}, exitDone, ""},
		{"no home at all", advise(part, t.TempDir()), []string{"HOME=", "XDG_CONFIG_HOME=", "XDG_STATE_HOME="}, exitDone, ""},
		{"a book in a home that is none", []string{"book", "list"}, []string{"HOME=" + file, "XDG_CONFIG_HOME=" + file}, exitFault, "firing book"},
		{"a record in a home that is none", []string{"calibrate", "--coupon", "15,3,0.6"}, []string{"HOME=" + file, "XDG_CONFIG_HOME=" + file}, exitFault, "not saved"},
	}
	for _, tt := range tests {
		c, stderr := program(t, tt.args...)
		c.Env = append(c.Env, tt.env...)
		if got := code(c.Run()); got != tt.want {
			t.Errorf("%s: exit code %d, want %d: %s", tt.name, got, tt.want, stderr)
		}
		if tt.says != "" {
			oneLine(t, stderr.String(), tt.says)
		}
	}
	if data, err := os.ReadFile(file); err != nil || string(data) != "mine" {
		t.Error("the file has changed")
	}
	t.Logf("%d faults", len(tests))
}

// The folder goes while the program is at work: one line, and no folder is made anew.
func TestFolderRemovedMeanwhile(t *testing.T) {
	part, out := block(t), filepath.Join(t.TempDir(), "out")
	c, stderr := program(t, "advise", part, "--out", out)
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	for range 2000 {
		if staged, _ := filepath.Glob(filepath.Join(out, ".kilnpoise-*.part")); len(staged) > 0 {
			break
		}
		time.Sleep(5 * time.Millisecond)
	}
	if err := os.RemoveAll(out); err != nil {
		t.Fatal(err)
	}
	if got := code(c.Wait()); got != exitFault {
		t.Errorf("exit code %d", got)
	}
	oneLine(t, stderr.String(), "")
	if _, err := os.Stat(out); err == nil {
		t.Error("the folder was made anew")
	}
}

// A disk that is full leaves the set before as it was, and nothing temporary.
func TestFullDisk(t *testing.T) {
	out := t.TempDir()
	if err := mountSmall(out, 600<<10); err != nil {
		t.Skipf("needs the right to mount: %v", err)
	}
	defer func() {
		if err := unmount(out); err != nil {
			t.Error(err)
		}
	}()
	part := block(t)
	c, stderr := program(t, advise(part, out, "--no-files")...)
	if err := c.Run(); err != nil {
		t.Fatal(err, stderr.String())
	}
	was, err := os.ReadFile(filepath.Join(out, "advice.json"))
	if err != nil {
		t.Fatal(err)
	}
	filler := filepath.Join(out, "filler")
	if err := os.WriteFile(filler, make([]byte, 450<<10), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, room := range []string{"little", "none"} {
		if room == "none" {
			f, err := os.OpenFile(filler, os.O_APPEND|os.O_WRONLY, 0)
			if err != nil {
				t.Fatal(err)
			}
			for err == nil {
				_, err = fmt.Fprint(f, strings.Repeat("x", 1000))
			}
			f.Close()
		}
		c, stderr := program(t, advise(part, out)...)
		if got := code(c.Run()); got != exitFault {
			t.Errorf("%s room: exit code %d: %s", room, got, stderr)
		}
		oneLine(t, stderr.String(), "")
		now, err := os.ReadFile(filepath.Join(out, "advice.json"))
		if err != nil || !bytes.Equal(was, now) || len(hidden(out)) != 1 {
			t.Errorf("%s room: the folder has changed (%v); hidden %v", room, err, hidden(out))
		}
	}
}

// On a file system that takes nothing any more a run ends in one line with the set as it
// was; what only reads goes on: a part, records, a book.
func TestReadOnlyFolder(t *testing.T) {
	out := t.TempDir()
	if err := mountSmall(out, 4<<20); err != nil {
		t.Skipf("needs the right to mount: %v", err)
	}
	defer func() {
		if err := unmount(out); err != nil {
			t.Error(err)
		}
	}()
	part, book := filepath.Join(out, "block.stl"), filepath.Join(out, "firings.db")
	data, err := os.ReadFile(block(t))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(part, data, 0o600); err != nil {
		t.Fatal(err)
	}
	add := []string{"book", "add", "--book", book, "--part", "block", "--reading", "w,X,59.52,50.02"}
	for _, args := range [][]string{advise(part, out), add} {
		if c, stderr := program(t, args...); c.Run() != nil {
			t.Fatal(stderr)
		}
	}
	was := contents(t, out)
	if err := makeReadOnly(out); err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name string
		args []string
		want int
		says string
	}{
		{"the same set again", advise(part, out), exitFault, "written"},
		{"a folder below", advise(part, filepath.Join(out, "below")), exitFault, "below"},
		{"a firing", add, exitFault, "firing book"},
		{"a table", []string{"book", "export", "--book", book, "--material", "316l", "--out", filepath.Join(out, "t.csv")}, exitFault, "t.csv"},
		{"what the book holds", []string{"book", "list", "--book", book}, exitDone, ""},
		{"a part that lies there", advise(part, t.TempDir()), exitDone, ""},
	}
	for _, tt := range tests {
		c, stderr := program(t, tt.args...)
		c.Env = append(c.Env, "HOME="+out, "XDG_CONFIG_HOME="+out, "XDG_STATE_HOME="+out)
		if got := code(c.Run()); got != tt.want {
			t.Errorf("%s: exit code %d, want %d: %s", tt.name, got, tt.want, stderr)
		}
		if tt.want != exitDone {
			oneLine(t, stderr.String(), tt.says)
		}
	}
	if now := contents(t, out); !maps.Equal(was, now) {
		t.Errorf("the folder has changed: %v, was %v", slices.Sorted(maps.Keys(now)), slices.Sorted(maps.Keys(was)))
	}
	t.Logf("%d runs", len(tests))
}

// contents gives the files of a folder, hidden ones too, with what they hold.
func contents(t *testing.T, folder string) map[string]string {
	t.Helper()
	out := map[string]string{}
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if data, err := os.ReadFile(filepath.Join(folder, e.Name())); err == nil {
			out[e.Name()] = string(data)
		}
	}
	return out
}
