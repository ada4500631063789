package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// A build for 32 bits gives the same advice as one for 64: every word the same, and
// numbers to more digits than are shown anywhere. Rounding may differ, since some
// functions are written in assembly for one of the two only.
func TestWordSizeMakesNoDifference(t *testing.T) {
	if os.Getenv("KILNPOISE_REQUIRE_ALL") == "" {
		t.Skip("builds the program twice: asked for with KILNPOISE_REQUIRE_ALL")
	}
	if runtime.GOOS != "linux" || runtime.GOARCH != "amd64" {
		t.Skip("needs a machine that runs both builds")
	}
	wide, narrow := built(t, "amd64"), built(t, "386")
	for _, part := range []string{"rod-clevis", "check-poppet"} {
		t.Run(part, func(t *testing.T) {
			numbers := 0
			for _, d := range differences("", advised(t, wide, part), advised(t, narrow, part), &numbers) {
				t.Error(d)
			}
			if numbers < 500 {
				t.Errorf("only %d numbers were compared", numbers)
			}
		})
	}
}

// built gives the path of the program without a window for a processor.
func built(t *testing.T, arch string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "kilnpoise")
	build := exec.Command("go", "build", "-tags", "ci", "-o", path, "kilnpoise/app")
	build.Env = append(os.Environ(), "GOARCH="+arch, "CGO_ENABLED=0")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("building for %s: %v\n%s", arch, err, out)
	}
	return path
}

// advised gives what the program answers for a demo part.
func advised(t *testing.T, program, part string) (answer any) {
	t.Helper()
	run := exec.Command(program, "advise", "--no-files", "--json", "--furnace-grid", "3000", "--out", t.TempDir(), "../assets/parts/"+part+".stl")
	run.Env = append(os.Environ(), "HOME="+t.TempDir(), "XDG_CONFIG_HOME="+t.TempDir())
	out, err := run.Output()
	if err != nil {
		t.Fatalf("%s: %v", part, err)
	}
	if err := json.Unmarshal(out, &answer); err != nil {
		t.Fatal(err)
	}
	return answer
}

// differences lists where two answers differ by more than rounding, but for the time
// that was taken, and counts the numbers.
func differences(at string, a, b any, numbers *int) (out []string) {
	if strings.HasSuffix(at, "/elapsed_s") {
		return nil
	}
	differ := []string{fmt.Sprintf("%s: %v on 64 bits, %v on 32", at, a, b)}
	switch a := a.(type) {
	case map[string]any:
		b, ok := b.(map[string]any)
		if !ok || len(a) != len(b) {
			return differ
		}
		for key := range a {
			out = append(out, differences(at+"/"+key, a[key], b[key], numbers)...)
		}
	case []any:
		b, ok := b.([]any)
		if !ok || len(a) != len(b) {
			return differ
		}
		for i := range a {
			out = append(out, differences(fmt.Sprint(at, "/", i), a[i], b[i], numbers)...)
		}
	case float64:
		*numbers++
		const digits = 1e-6
		if b, ok := b.(float64); !ok || math.Abs(a-b) > digits*max(math.Abs(a), math.Abs(b), 1e-3) {
			return differ
		}
	default:
		if a != b {
			return differ
		}
	}
	slices.Sort(out)
	return out
}
