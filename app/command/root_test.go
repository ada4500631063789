package command

import (
	"context"
	"io"
	"testing"

	"kilnpoise/app/fault"
)

// runs executes a command line and gives its exit code.
func runs(t *testing.T, args []string) int {
	t.Helper()
	return run(context.Background(), fault.Desk{Folder: t.TempDir()}, args, io.Discard, io.Discard)
}

// The exit codes that scripts rely on.
func TestExitCodes(t *testing.T) {
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	tests := []struct {
		name string
		args []string
		want int
	}{
		{"done", []string{"advise", "--no-search", "--no-files", "--out", t.TempDir()}, exitDone},
		{"missing part", []string{"advise", "no-such-part.stl", "--out", t.TempDir()}, exitFault},
		{"unknown flag", []string{"advise", "--bogus"}, exitUsage},
		{"unknown flag of the window", []string{"--bogus"}, exitUsage},
		{"bad direction", []string{"advise", "--up", "1,2"}, exitUsage},
		{"no direction", []string{"advise", "--up", "0,0,0"}, exitUsage},
		{"bad shrinkage", []string{"advise", "--shrink", "16,16,20"}, exitUsage},
		{"bad unit", []string{"advise", "--unit", "ell"}, exitUsage},
		{"too many candidates", []string{"advise", "--candidates", "5000"}, exitUsage},
		{"two parts", []string{"advise", "a.stl", "b.stl"}, exitUsage},
		{"item out of range", []string{"advise", "--item", "3", "--no-files", "--out", t.TempDir()}, exitFault},
		{"no coupon", []string{"calibrate"}, exitUsage},
		{"bad coupon", []string{"calibrate", "--coupon", "10,3"}, exitUsage},
		{"coupon tried", []string{"calibrate", "--coupon", "15,3,0.6", "--try"}, exitDone},
		{"coupon collapsed", []string{"calibrate", "--coupon", "20,2,9", "--try"}, exitFault},
		{"help", []string{"advise", "--help"}, exitDone},
	}
	for _, tt := range tests {
		if got := runs(t, tt.args); got != tt.want {
			t.Errorf("%s: exit code %d, want %d", tt.name, got, tt.want)
		}
	}
}
