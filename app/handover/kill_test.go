//go:build unix

package handover_test

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"kilnpoise/app/handover"
)

// writerFolder is set for the process that writes until it is killed.
const writerFolder = "KILNPOISE_TEST_WRITER"

// filesOf lists the files of the set of a generation: each generation has others.
func filesOf(generation int) []string {
	files := []string{"advice.json"}
	for i := range 2 + generation%5 {
		files = append(files, fmt.Sprintf("candidate-%02d.png", i+1))
	}
	return append(files, fmt.Sprintf("lug-%d.stl", generation%3))
}

// TestWriter is the process that TestKilledWhileWriting kills.
func TestWriter(t *testing.T) {
	folder := os.Getenv(writerFolder)
	if folder == "" {
		t.Skip("part of TestKilledWhileWriting")
	}
	data, _ := os.ReadFile(filepath.Join(folder, "advice.json"))
	generation, _ := strconv.Atoi(string(data))
	for {
		generation++
		if err := put(t, folder, "lug", strconv.Itoa(generation), false, filesOf(generation)...); err != nil {
			t.Fatal(err)
		}
		fmt.Println("put", generation)
	}
}

// TestKilledWhileWriting kills a program while it hands over one set after another.
// After that the folder holds one whole set, at the latest when the next one begins
// to write, and nothing temporary.
func TestKilledWhileWriting(t *testing.T) {
	folder := t.TempDir()
	random := rand.New(rand.NewPCG(1, 2))
	const kills = 50
	generations, finished := map[string]bool{}, 0
	for range kills {
		c := exec.Command(os.Args[0], "-test.run=^TestWriter$")
		c.Env = append(os.Environ(), writerFolder+"="+folder)
		said, err := c.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		// It is at work once it has said so, however slow the machine.
		for lines := bufio.NewScanner(said); lines.Scan() && !strings.HasPrefix(lines.Text(), "put"); {
		}
		time.Sleep(time.Duration(random.IntN(40_000)) * time.Microsecond)
		_ = c.Process.Kill()
		_ = c.Wait()
		if _, err := os.Lstat(filepath.Join(folder, ".kilnpoise-ready")); err == nil {
			finished++
		} else {
			checkGeneration(t, folder)
		}
		s, err := handover.Begin(folder, "lug")
		if err != nil {
			t.Fatal(err)
		}
		s.Drop()
		generations[checkGeneration(t, folder)] = true
		if hidden, _ := filepath.Glob(filepath.Join(folder, ".kilnpoise-*")); len(hidden) > 1 {
			t.Fatalf("left behind: %v", hidden)
		}
	}
	t.Logf("%d kills, %d different sets found, %d of them brought to their end", kills, len(generations), finished)
	if len(generations) < 5 {
		t.Error("the writer was killed before it wrote anything")
	}
}

// checkGeneration wants the files of one generation, all of them and no other.
func checkGeneration(t *testing.T, folder string) string {
	t.Helper()
	got := holds(t, folder)
	if got == "" {
		return ""
	}
	data, err := os.ReadFile(filepath.Join(folder, "advice.json"))
	if err != nil {
		t.Fatalf("the folder holds %s", got)
	}
	generation, err := strconv.Atoi(string(data))
	if err != nil {
		t.Fatal(err)
	}
	var want []string
	for _, f := range filesOf(generation) {
		want = append(want, fmt.Sprintf("%s=%d", f, generation))
	}
	if got != strings.Join(want, " ") {
		t.Fatalf("the folder holds %s, want %v", got, want)
	}
	return string(data)
}
