package job_test

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"testing"

	"kilnpoise/app/job"
)

// helperRole is set for a process that plays the other window: see helper.
const helperRole = "KILNPOISE_JOB_TEST_ROLE"

func TestMain(m *testing.M) {
	switch role, args := os.Getenv(helperRole), os.Args[1:]; role {
	case "":
		os.Exit(m.Run())
	case "hold":
		holdRole(args)
	case "save":
		saveRole(args)
	case "open":
		openRole(args)
	default:
		fmt.Println("no such role:", role)
		os.Exit(2)
	}
}

// player is a helper: this test binary, run again with a role.
type player struct {
	cmd   *exec.Cmd
	lines *bufio.Scanner
	in    io.WriteCloser
	ended bool
}

// helper starts a process with a role. It is killed when the test ends.
func helper(t *testing.T, role string, args ...string) *player {
	t.Helper()
	cmd := exec.Command(os.Args[0], args...)
	cmd.Env = append(os.Environ(), helperRole+"="+role)
	cmd.Stderr = os.Stderr
	out, err1 := cmd.StdoutPipe()
	in, err2 := cmd.StdinPipe()
	if err1 != nil || err2 != nil {
		t.Fatal(err1, err2)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	p := &player{cmd: cmd, lines: bufio.NewScanner(out), in: in}
	t.Cleanup(p.kill)
	return p
}

// line gives the next line that the process says; "" at its end.
func (p *player) line() string {
	if !p.lines.Scan() {
		return ""
	}
	return strings.TrimSpace(p.lines.Text())
}

// kill ends the process without a chance to tidy up.
func (p *player) kill() {
	if p.ended {
		return
	}
	p.ended = true
	_ = p.cmd.Process.Kill()
	for p.lines.Scan() { // what it said before
	}
	_ = p.cmd.Wait()
}

// openRole opens the job of its argument and makes its part, as the window does, and
// says how much memory the process took at most.
func openRole(args []string) {
	claim, j, _, err := job.Open(context.Background(), args[0])
	if err != nil {
		panic(err)
	}
	f, err := j.Part.Read(context.Background())
	if err != nil {
		panic(err)
	}
	p, err := j.Part.Make(context.Background(), f)
	if err != nil {
		panic(err)
	}
	status, err := os.ReadFile("/proc/self/status")
	if err != nil {
		panic(err)
	}
	_, peak, _ := strings.Cut(string(status), "VmHWM:")
	peak, _, _ = strings.Cut(peak, "\n")
	fmt.Println("facets", len(p.Mesh.Facets), "peak", strings.TrimSpace(peak))
	if err := claim.Release(); err != nil {
		panic(err)
	}
}
